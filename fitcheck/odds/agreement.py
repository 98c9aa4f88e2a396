"""Three answers are held together: the linear law, samples, and boxes that were folded anew."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.odds.forms import Forms
from fitcheck.odds.propagate import Samples, linear_law
from fitcheck.odds.quantities import Outlook

TRUSTED_SHARE = 0.2
"""A departure of up to this share of the standard uncertainty moves odds by a few per cent."""
MARGIN_SHARE = 1.0 / 3.0
"""Departures up to this share of the room that even the tightest box has change no verdict."""
ALIKE_SHARE = 0.1
"""The linear law's uncertainty may differ from the samples' by this share."""
LEAST_U_MM = 0.1
"""What varies by less is held against this: a hundredth of a millimetre changes no verdict."""
FEW_LOST = 0.02
"""Where more boxes than this cannot be folded, they are counted."""
UNLIKE_SHARE = 0.1
"""In so many of the boxes folded anew contents may fit other than the odds said."""


@dataclass(frozen=True)
class LinearOrSampled:
    """One quantity by the linear law and by the samples, mm."""

    name: str
    linear_mean_mm: float
    linear_u_mm: float
    sampled_mean_mm: float
    sampled_u_mm: float

    @property
    def apart(self) -> float:
        """How far they differ, in standard deviations of the samples, LEAST_U_MM at the least."""
        mean = abs(self.linear_mean_mm - self.sampled_mean_mm)
        off = max(mean, abs(self.linear_u_mm - self.sampled_u_mm))
        return off / max(self.sampled_u_mm, LEAST_U_MM)


@dataclass(frozen=True)
class Refolded:
    """What folding drawn boxes anew showed about one quantity, mm.

    Of a length that only must not be missing, `rms_mm` and `worst_mm` count what was missing of it.
    """

    name: str
    bias_mm: float
    """Mean of the folded less the linearised."""
    rms_mm: float
    worst_mm: float
    u_mm: float
    """Standard uncertainty of the quantity itself."""
    margin_mm: float = 0.0
    """How far the lowest of all boxes is from pressing; 0 where that is not what is judged."""

    @property
    def trusted(self) -> bool:
        """True when the departures are small beside the spread, or could change no verdict."""
        small = self.rms_mm <= max(TRUSTED_SHARE * self.u_mm, 1e-6)
        return small or self.worst_mm < MARGIN_SHARE * self.margin_mm

    @property
    def astray(self) -> bool:
        """True when the departures are larger than all that hands and papers make of it."""
        return not self.trusted and self.rms_mm > self.u_mm > 0.0


@dataclass(frozen=True)
class CloseCalls:
    """Boxes folded anew of those that are nearest to another verdict, or furthest from the middle.

    They say nothing of how many boxes come out so: they are where the samples may fail first.
    """

    boxes: int = 0
    verdicts_alike: int = 0
    strays: int = 0
    """Boxes with another verdict although they lie further from its edge than by TRUSTED_SHARE."""

    @property
    def trusted(self) -> bool:
        """True when boxes with another verdict lie right beside its edge, but for few."""
        return self.strays <= UNLIKE_SHARE * self.boxes


@dataclass(frozen=True)
class Agreement:
    """How far the three answers agree."""

    laws: tuple[LinearOrSampled, ...]
    refolded: tuple[Refolded, ...]
    verdicts_alike: int
    """Boxes folded anew that got the very verdict which the samples gave them."""
    boxes: int
    unfoldable: int
    """Boxes drawn for folding that could not be folded at all."""
    contents_alike: int | None = None
    """Boxes folded anew in which contents fitted, or did not, as the samples said; None without
    contents that are followed."""
    close: CloseCalls = CloseCalls()
    problem: str = ""
    """Why the first of those that could not be folded could not."""
    lost: int = 0
    """Of the boxes drawn as hands make them alone, those that could not be folded."""

    @property
    def loses_many(self) -> bool:
        """Whether so many boxes cannot be folded that they have to be counted."""
        return self.lost > FEW_LOST * (self.boxes + self.lost)

    @property
    def tried(self) -> int:
        """Boxes that were to be folded anew."""
        return self.boxes + self.close.boxes + self.unfoldable

    @property
    def linear_enough(self) -> bool:
        """True when the linear law could stand in for the samples."""
        return all(one.apart <= ALIKE_SHARE for one in self.laws)

    @property
    def trusted(self) -> bool:
        """True when the samples are confirmed by folding."""
        folded = self.unfoldable == 0 and all(one.trusted for one in self.refolded)
        return folded and self.contents_trusted and self.close.trusted

    @property
    def astray(self) -> bool:
        """True when folding shows that the samples are of another box: no count of them holds."""
        return any(one.astray for one in self.refolded)

    @property
    def contents_trusted(self) -> bool:
        """True when contents fit in the boxes folded anew as the samples say, but for few."""
        if self.contents_alike is None:
            return True
        return self.boxes - self.contents_alike <= UNLIKE_SHARE * self.boxes


def laws_of(
    outlook: Outlook, forms: Forms, samples: Samples, names: Sequence[str]
) -> tuple[LinearOrSampled, ...]:
    """Linear law beside samples for some quantities."""
    variates = [one.variate for one in forms.inputs]
    means = forms.expected
    found = []
    for name in names:
        value, gradient = outlook.sensitivities(forms, name)
        law = linear_law(variates, value + float(gradient @ means), gradient)
        row = outlook.row(name)
        mean, u = float(samples.outcomes[row].mean()), float(samples.spreads.deviations[row])
        found.append(LinearOrSampled(name, law.value, law.u, mean, u))
    return tuple(found)
