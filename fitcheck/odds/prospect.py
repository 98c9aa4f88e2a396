"""A design with its limits taken: boxes can be drawn of it and judged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, reduce

import numpy as np

from fitcheck.errors import InputError, ModelError
from fitcheck.fit.check import Check
from fitcheck.fit.right import Deciding, Flags, right
from fitcheck.folding.pose import Array
from fitcheck.odds.forms import AT_A_TIME, Forms
from fitcheck.odds.found_inputs import inputs_of
from fitcheck.odds.inputs import Humidity, Input, Source, u_of
from fitcheck.odds.intervals import Chance, chance_of
from fitcheck.odds.landing import play_name
from fitcheck.odds.limits import Limits, forms_of
from fitcheck.odds.making import Grains, Workshop
from fitcheck.odds.outlook import judged_contents, known_contents, outlook_of
from fitcheck.odds.propagate import Samples, sample, streams_of
from fitcheck.odds.quantities import (
    LID_PLAY,
    OVER_GRID,
    RIM,
    Outlook,
    content_slack,
    ease_name,
    lands_name,
    mate_play,
    steadied_plays,
    trimmed,
)
from fitcheck.odds.remarks import blocked
from fitcheck.odds.responses import take_limits
from fitcheck.odds.slopes import read_again, slopes, touches
from fitcheck.odds.weather import possible_grains
from fitcheck.pattern.sheet import Axis
from fitcheck.workspace.progress import SILENT, Progress


@dataclass(frozen=True, eq=False)
class Prospect:
    """A design with its limits taken: boxes can be drawn."""

    check: Check
    workshop: Workshop
    outlook: Outlook
    limits: Limits
    humidity: Humidity | None = None
    """The air that its boxes meet; None for that in which papers are measured."""

    def forms(self) -> Forms:
        """The limits that may come first, as forms of the inputs."""
        return forms_of(self.limits, self.workshop.inputs)

    def draw(self, forms: Forms, boxes: int, seed: int, progress: Progress = SILENT) -> Samples:
        """Virtual boxes; the same seed draws the same ones, and with other forms their likes."""
        rng = streams_of(seed)[0]
        variates = [one.variate for one in forms.inputs]
        asked = self.outlook
        return sample(
            variates, lambda off: asked.evaluate(forms, off), boxes, rng, progress=progress
        )

    def draw_beside(
        self,
        forms: Forms,
        others: tuple[Input, ...],
        boxes: int,
        seed: int,
        progress: Progress = SILENT,
    ) -> tuple[Samples, Flags]:
        """The same boxes, and which of them are right (n,) with the means and the standard
        uncertainties of other inputs."""
        by = np.array([one.variate.mean for one in others]) - forms.means
        u, other_u = u_of(forms.inputs), u_of(others)
        wider = np.divide(other_u, u, out=np.ones_like(u), where=u > 0.0)
        spread = wider != 1.0
        changed = np.flatnonzero(spread | (by != 0.0))

        def both(offsets: Array) -> Array:
            limits = forms.limits(offsets)
            least = forms.least_of(limits)
            own = self.outlook.of_least(forms.families, least, offsets, forms.inputs)
            others = offsets + by[:, None]
            if spread.any():
                off = offsets[spread] - forms.means[spread, None]
                others[spread] += (wider[spread, None] - 1.0) * off
                limits += forms.between(offsets, others, changed)
            else:
                limits += forms.moved(offsets, by)
            flags = self._right(forms, limits, others)
            return np.concatenate([own, flags[None]])

        variates = [one.variate for one in forms.inputs]
        rng = streams_of(seed)[0]
        found = sample(variates, both, boxes, rng, chunk=AT_A_TIME, progress=progress)
        samples = Samples(found.outcomes[:-1], found.covariances[:, :-1])
        return samples, found.outcomes[-1] > 0.0

    def right_with(self, forms: Forms, u: Sequence[Array], off: Array) -> list[Flags]:
        """Which of some boxes are right with other standard uncertainties (k,).

        One (n,) for each of them; all are made of the same drawn numbers (k, n), from their means
        and in standard uncertainties.
        """
        own = u_of(forms.inputs)
        found: list[Flags] = [np.empty(off.shape[1], dtype=bool) for _ in u]
        for start in range(0, off.shape[1] if found else 0, AT_A_TIME):
            some = slice(start, start + AT_A_TIME)
            drawn = off[:, some]
            offsets = forms.offsets(own, drawn)
            limits = forms.limits(offsets)
            for flags, steps in zip(found, u, strict=True):
                others = forms.offsets(steps, drawn)
                moved = forms.between(offsets, others, np.flatnonzero(steps != own))
                moved += limits
                flags[some] = self._right(forms, moved, others)
        return found

    def _right(self, forms: Forms, limits: Array, offsets: Array) -> Flags:
        """Which boxes (n,) of some limits (p, n) are right, whose inputs are off by (k, n)."""
        least = forms.least_of(limits)
        outcomes = self.outlook.of_least(forms.families, least, offsets, forms.inputs)
        return good_flags(self, Samples(outcomes))

    def asked(self) -> tuple[Prospect, Forms]:
        """The prospect without what cannot matter, and the forms that are left to draw from."""
        return self._asked

    @property
    def may_be_high(self) -> bool:
        """Whether what stands in the base is higher in some box than something leaves room for."""
        return OVER_GRID in self.asked()[0].outlook.names

    @cached_property
    def _asked(self) -> tuple[Prospect, Forms]:
        forms = self.forms()
        outlook = trimmed(self.outlook, forms)
        return replace(self, outlook=outlook), forms.of(outlook.families)


def take_prospect(
    check: Check, humidity: Humidity | None = None, progress: Progress = SILENT
) -> Prospect:
    """Take a design's limits with their gradients; the slow step, done once.

    Raises InputError where a box that is off by one standard uncertainty cannot be folded.
    """
    inputs = inputs_of(check.assembly, humidity)
    grains = possible_grains(check.assembly)[0] if humidity else {}
    workshop = Workshop(check.assembly, inputs, grains)
    outlook = outlook_of(check)
    try:
        limits = take_limits(workshop, outlook.readers, progress=progress)
    except ModelError as error:
        design = check.design
        raise InputError(
            f"{design.path or design.name}: its odds cannot be worked out: boxes as far off as "
            f"{design.tools.name} and its papers make them cannot be folded ({error}); allowed: "
            "uncertainties that are small beside every wall and tab; measure the tools and papers, "
            "make the box larger, or check the drawing alone with --no-odds"
        ) from error
    return Prospect(check, workshop, outlook, limits, humidity)


def worst_grain(prospect: Prospect, boxes: int, seed: int) -> Prospect:
    """The prospect with the grain, where it is not given, the way that leaves the worst odds."""
    inputs = prospect.workshop.inputs
    damp = [i for i, one in enumerate(inputs) if one.source is Source.HUMIDITY]
    if not damp:
        return prospect
    worst: tuple[int, Prospect] | None = None
    for grains in possible_grains(prospect.check.assembly):
        turned = _regrained(prospect, grains, damp[0])
        asked, forms = turned.asked()
        hits = good_chance(asked, asked.draw(forms, boxes, seed)).hits
        if worst is None or hits < worst[0]:
            worst = hits, turned
    assert worst is not None, "there is a paper that moves with the weather"
    return worst[1]


def _regrained(prospect: Prospect, grains: Grains, column: int) -> Prospect:
    workshop, limits = replace(prospect.workshop, grains=grains), prospect.limits
    read, one = limits.readings, workshop.inputs[column]
    readers = [reader for reader in prospect.outlook.readers if touches(reader, one)]
    u = one.variate.u
    up, down = read_again(workshop.make_all([{one.name: u}, {one.name: -u}]), readers, read)
    by_limit = slopes(read, up, down, one)
    found = np.array([by_limit.get(key, (0.0, 0.0)) for key in limits.keys])
    gradients, kinks = limits.gradients.copy(), limits.kinks.copy()
    gradients[:, column], kinks[:, column] = found.T
    limits = replace(limits, gradients=gradients, kinks=kinks)
    return replace(prospect, workshop=workshop, limits=limits)


def good_chance(prospect: Prospect, samples: Samples) -> Chance:
    """How often everything is right in one box, by the predicate of the check itself."""
    return counted_right(prospect, good_flags(prospect, samples))


def counted_right(prospect: Prospect, good: Flags) -> Chance:
    """The chance of a right box; nothing was counted where no place is known to follow."""
    return chance_of(good, known=known_contents(prospect.check))


def good_flags(prospect: Prospect, samples: Samples) -> Flags:
    """Which boxes are right, (n,), by the predicate of the check itself."""
    return right_flags(prospect, deciding(prospect, samples), samples.boxes)


def right_flags(prospect: Prospect, box: Deciding, boxes: int) -> Flags:
    """The same of so many boxes where what decides about them is known."""
    design = prospect.check.design
    return np.broadcast_to(right(box, design.bands, design.want), (boxes,))


def deciding(prospect: Prospect, samples: Samples) -> Deciding:
    """What decides about each drawn box; lengths that no box can miss are left out."""
    outlook, check = prospect.outlook, prospect.check

    def drawn(name: str) -> Array | None:
        return samples.outcomes[outlook.row(name)] if name in outlook.names else None

    slacks: list[Array | None] = [drawn(content_slack(index)) for index in judged_lines(prospect)]
    if check.contents and not judged_contents(check):
        slacks.append(np.array(-np.inf))
    slacks.append(drawn(OVER_GRID))
    lands = [own for axis in Axis if (own := drawn(lands_name(axis))) is not None]
    steady = [*map(play_name, Axis), *steadied_plays(check.mates)]
    plays = [play for name in steady if (play := drawn(name)) is not None]
    mates = [
        np.array(-np.inf) if one.blocked else drawn(mate_play(one.mate)) for one in check.mates
    ]
    eases = [drawn(ease_name(part.recipe.part)) for part in check.assembly.parts]
    return Deciding(
        play_mm=np.array(-np.inf) if blocked(check) else drawn(LID_PLAY),
        wider_mm=reduce(np.maximum, plays) if plays else None,
        rim_mm=drawn(RIM),
        # a lid goes down inside a base only where it is smaller both ways
        lands_mm=np.maximum(*lands) if len(lands) == len(Axis) else None,
        slacks_mm=tuple(one for one in slacks if one is not None),
        ease_mm=tuple(one for one in eases if one is not None),
        mates_mm=tuple(one for one in mates if one is not None),
    )


def judged_lines(prospect: Prospect) -> Sequence[int]:
    """The lines of contents whose slack can be followed: all or none."""
    return range(len(prospect.check.contents)) if judged_contents(prospect.check) else ()
