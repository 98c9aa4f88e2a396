"""Three answers are held together: linear law, samples, and boxes folded anew as they were drawn.

The samples are as good as the limits are linear; folding a few of the very same boxes through the
whole model shows how far that holds.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.design.model import Axis
from fitcheck.fit.check import Check
from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.lid import LidFit, fit_lids
from fitcheck.fit.right import verdict_of_play
from fitcheck.folding.pose import Array
from fitcheck.odds.content_readings import SingleReader
from fitcheck.odds.making import Made, Workshop, offsets_of
from fitcheck.odds.propagate import Samples, linear_law
from fitcheck.odds.quantities import (
    LID_PLAY,
    RIM,
    Outlook,
    ease_name,
    is_slack,
    judged_contents,
    play_name,
    slack_name,
)
from fitcheck.odds.refitted import go_in_together, height_under, put_alone
from fitcheck.odds.responses import Forms
from fitcheck.odds.self_readings import SelfReader
from fitcheck.odds.variates import draw_values
from fitcheck.workspace.progress import SILENT, Progress

TRUSTED_SHARE = 0.2
"""A departure of up to this share of the standard uncertainty moves odds by a few per cent."""
MARGIN_SHARE = 1.0 / 3.0
"""Departures up to this share of the room that even the tightest box has change no verdict."""
ALIKE_SHARE = 0.1
"""The linear law's uncertainty may differ from the samples' by this share."""
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
        """How far they differ, as a share of the sampled uncertainty."""
        if self.sampled_u_mm == 0.0:
            return 0.0
        mean = abs(self.linear_mean_mm - self.sampled_mean_mm)
        return max(mean, abs(self.linear_u_mm - self.sampled_u_mm)) / self.sampled_u_mm


@dataclass(frozen=True)
class Refolded:
    """What folding drawn boxes anew showed about one quantity, mm.

    Of a length that only must not be missing, `rms_mm` and `worst_mm` count what was missing of it.
    """

    name: str
    boxes: int
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

    @property
    def linear_enough(self) -> bool:
        """True when the linear law could stand in for the samples."""
        return all(one.apart <= ALIKE_SHARE for one in self.laws)

    @property
    def trusted(self) -> bool:
        """True when the samples are confirmed by folding."""
        folded = self.unfoldable == 0 and all(one.trusted for one in self.refolded)
        return folded and self.contents_trusted

    @property
    def contents_trusted(self) -> bool:
        """True when contents fit in the boxes folded anew as the samples say, but for few."""
        if self.contents_alike is None:
            return True
        return self.boxes - self.contents_alike <= UNLIKE_SHARE * self.boxes


@dataclass(frozen=True)
class FoldedAgain:
    """What came of boxes that were folded anew as they were drawn."""

    refolded: tuple[Refolded, ...]
    """The quantities that a folded box has by itself."""
    verdicts_alike: int
    """Boxes in which both the lid's verdict and the contents' were those of the samples."""
    contents_alike: int | None
    boxes: int
    unfoldable: int


def laws_of(
    outlook: Outlook, forms: Forms, samples: Samples, names: Sequence[str]
) -> tuple[LinearOrSampled, ...]:
    """Linear law beside samples for some quantities."""
    variates = [one.variate for one in forms.inputs]
    means = forms.means
    found = []
    for name in names:
        value, gradient = outlook.sensitivities(forms, name)
        law = linear_law(variates, value + float(gradient @ means), gradient)
        drawn = samples.outcomes[outlook.row(name)]
        found.append(
            LinearOrSampled(name, law.value, law.u, float(drawn.mean()), float(drawn.std()))
        )
    return tuple(found)


def fold_again(
    check: Check,
    workshop: Workshop,
    outlook: Outlook,
    forms: Forms,
    samples: Samples,
    count: int,
    rng: np.random.Generator,
    progress: Progress = SILENT,
) -> FoldedAgain:
    """Draw `count` boxes, fold each, and fit lid and contents by the whole model."""
    inputs = workshop.inputs
    drawn = np.empty((len(inputs), count))
    draw_values([one.variate for one in inputs], rng.spawn(len(inputs)), drawn)
    expected = outlook.evaluate(forms, drawn)
    departures: dict[str, list[float]] = {}
    alike = contents_alike = 0
    progress.step(0, count, "folding boxes anew to prove the odds")
    boxes = workshop.make_all([offsets_of(inputs, column.tolist()) for column in drawn.T])
    there = [column for column, made in enumerate(boxes) if made is not None]
    truths = _whole_model(check, outlook, [made for made in boxes if made is not None], progress)
    for column, truth in zip(there, truths, strict=True):
        for name, value in truth.lengths.items():
            departures.setdefault(name, []).append(value - expected[outlook.row(name), column])
        same_contents = truth.contents_fit in (None, _contents_fit(outlook, expected[:, column]))
        contents_alike += same_contents
        alike += same_contents and _same_lid(check, outlook, truth.lid, expected[:, column])
    folded = len(there)
    refolded = tuple(
        _refolded(name, np.array(off), samples.outcomes[outlook.row(name)])
        for name, off in departures.items()
    )
    followed = contents_alike if judged_contents(check) else None
    return FoldedAgain(refolded, alike, followed, folded, count - folded)


def _refolded(name: str, off: Array, sampled: Array) -> Refolded:
    # a length that only must not be missing is not odds too high where there is more of it
    against = np.minimum(off, 0.0) if is_slack(name) else off
    rms, worst = math.sqrt(float(np.mean(against**2))), float(np.max(np.abs(against)))
    least = float(sampled.min()) if is_slack(name) else 0.0
    u = float(sampled.std())
    return Refolded(name, len(off), float(off.mean()), rms, worst, u, max(least, 0.0))


@dataclass(frozen=True, eq=False)
class _Truth:
    """What a folded box is like by itself."""

    lid: LidFit | None
    contents_fit: bool | None
    """None without contents that are followed."""
    lengths: dict[str, float]
    """By the names of the quantities that are asked about."""


def _whole_model(
    check: Check, outlook: Outlook, boxes: Sequence[Made], progress: Progress
) -> list[_Truth]:
    """Folded boxes; lids by their own fit, contents put in anew."""
    if not boxes:
        return []
    lids = _lids(check, boxes)
    eases = {
        ease_name(reader.part): [
            min(family.values())
            for own in reader.read_all(boxes, 0.0, None)
            for family in own.values()
        ]
        for reader in outlook.readers
        if isinstance(reader, SelfReader)
    }
    ceilings = [height_under(made, lid) for made, lid in zip(boxes, lids, strict=True)]
    single = [one for one in outlook.readers if isinstance(one, SingleReader)]
    alone = put_alone(check, boxes, ceilings, single[0].pose) if single else []
    truths = []
    for index, (made, lid) in enumerate(zip(boxes, lids, strict=True)):
        progress.step(index, len(boxes), "fitting boxes that were folded anew")
        found = {name: own[index] for name, own in eases.items()}
        fits = None
        if lid is not None:
            found |= {play_name(axis): lid.slide.travel(axis).play_mm for axis in Axis}
            found[RIM] = lid.rim_mm
        if outlook.arranged is not None:
            fits = go_in_together(check, made, ceilings[index])
        elif single:
            own = alone[index]
            fits = own.fits
            found[slack_name(0, Axis.WIDTH)] = own.width_mm
            found[slack_name(0, Axis.LENGTH)] = own.length_mm
            if own.height_mm is not None:
                found[slack_name(0, "height")] = own.height_mm
        asked = {name: value for name, value in found.items() if name in outlook.names}
        truths.append(_Truth(lid, fits, asked))
    return truths


def _lids(check: Check, boxes: Sequence[Made]) -> Sequence[LidFit | None]:
    """How the lid of each box sits; None without lids."""
    pairs = [(made.base, made.lid) for made in boxes if made.lid is not None]
    return fit_lids(pairs, check.design.bands) if pairs else [None] * len(boxes)


def _contents_fit(outlook: Outlook, expected: Array) -> bool:
    names = [one.name for one in outlook.smallest if is_slack(one.name)]
    return all(float(expected[outlook.row(name)]) >= -TOUCH_MM for name in names)


def _same_lid(check: Check, outlook: Outlook, lid: LidFit | None, expected: Array) -> bool:
    if lid is None:
        return True
    play = float(expected[outlook.row(LID_PLAY)])
    return lid.verdict is verdict_of_play(play, check.design.bands)
