"""Three answers are held together: linear law, samples, and boxes folded anew as they were drawn.

The samples are as good as the limits are linear; folding a few of the very same boxes through the
whole model shows how far that holds.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.design.model import Axis, LidVerdict
from fitcheck.errors import ModelError
from fitcheck.fit.check import Check
from fitcheck.fit.lid import LidFit, fit_lid
from fitcheck.fit.right import verdict_of_play
from fitcheck.folding.pose import Array
from fitcheck.odds.making import Made, Workshop, offsets_of
from fitcheck.odds.propagate import Samples, linear_law
from fitcheck.odds.quantities import LID_PLAY, RIM, Outlook, is_slack, play_name
from fitcheck.odds.readings import Readings
from fitcheck.odds.responses import Forms
from fitcheck.odds.variates import draw_values
from fitcheck.workspace.progress import SILENT, Progress

TRUSTED_SHARE = 0.2
"""A departure of up to this share of the standard uncertainty moves odds by a few per cent."""
MARGIN_SHARE = 1.0 / 3.0
"""Departures up to this share of the room that even the tightest box has change no verdict."""
ALIKE_SHARE = 0.1
"""The linear law's uncertainty may differ from the samples' by this share."""


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
    """What folding drawn boxes anew showed about one quantity, mm."""

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

    @property
    def linear_enough(self) -> bool:
        """True when the linear law could stand in for the samples."""
        return all(one.apart <= ALIKE_SHARE for one in self.laws)

    @property
    def trusted(self) -> bool:
        """True when the samples are confirmed by folding."""
        return self.unfoldable == 0 and all(one.trusted for one in self.refolded)


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
) -> tuple[tuple[Refolded, ...], int, int, int]:
    """Draw `count` boxes, fold each, and fit lid and contents by the whole model.

    Gives the departures, how many verdicts were alike, how many were folded and how many not.
    """
    inputs = workshop.inputs
    drawn = np.empty((len(inputs), count))
    draw_values([one.variate for one in inputs], rng.spawn(len(inputs)), drawn)
    expected = outlook.evaluate(forms, drawn)
    names = [one.name for one in outlook.quantities]
    departures: list[Array] = []
    alike = unfoldable = 0
    for column in range(count):
        progress.step(column, count, "folding boxes anew to prove the odds")
        try:
            made = workshop.make(offsets_of(inputs, drawn[:, column].tolist()))
            truth, lid = _whole_model(check, outlook, made)
        except ModelError:
            unfoldable += 1
            continue
        departures.append(truth - expected[: len(names), column])
        alike += _same_verdict(check, outlook, lid, expected[:, column])
    found = []
    if departures:
        table = np.array(departures)
        for i, name in enumerate(names):
            off = table[:, i]
            u = float(samples.outcomes[i].std())
            rms, worst = math.sqrt(float(np.mean(off**2))), float(np.max(np.abs(off)))
            least = float(samples.outcomes[i].min()) if is_slack(name) else 0.0
            found.append(
                Refolded(name, len(off), float(off.mean()), rms, worst, u, max(least, 0.0))
            )
    return tuple(found), alike, len(departures), unfoldable


def _whole_model(check: Check, outlook: Outlook, made: Made) -> tuple[Array, LidFit | None]:
    """The quantities of a folded box; a lid by its own fit, contents by all their pairs."""
    found = {}
    fit = None
    base, lid = made.parts
    if lid is not None:
        fit = fit_lid(base, lid, check.design.bands)
        found = {play_name(axis): fit.slide.travel(axis).play_mm for axis in Axis}
        found[RIM] = fit.rim_mm
    read: Readings = {}
    for reader in outlook.readers:
        read |= reader.read(made, 0.0, None)
    for one in outlook.quantities:
        if one.name not in found:
            found[one.name] = one.constant_mm + sum(
                sign * min(read[family].values()) for sign, family in one.terms
            )
    return np.array([found[one.name] for one in outlook.quantities]), fit


def _same_verdict(check: Check, outlook: Outlook, lid: LidFit | None, expected: Array) -> bool:
    if lid is None:
        return True
    play = float(expected[outlook.row(LID_PLAY)])
    verdict = verdict_of_play(play, check.design.bands)
    return lid.verdict is verdict and isinstance(verdict, LidVerdict)
