"""Sizes on the tool's own grid are tried over and over, and those with the best odds come first.

The limits' gradients are taken once, from the design as it is. A lid or a floor that is cut larger
moves the limits as a larger sheet does, so thousands of sizes need no folding; other depths and the
sizes that come out first are folded anew.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.design.model import Axis, Design, PartSpec, SizeBy
from fitcheck.errors import FitcheckError
from fitcheck.fit.check import Check, check
from fitcheck.fit.right import Deciding, right
from fitcheck.odds.grid import Steps, around, grooves_near, steps_for
from fitcheck.odds.inputs import inputs_of
from fitcheck.odds.intervals import Chance
from fitcheck.odds.making import Workshop
from fitcheck.odds.odds import Prospect, good_chance, take_prospect
from fitcheck.odds.quantities import LID_PLAY, outlook_of, play_name
from fitcheck.odds.readings import Readings
from fitcheck.odds.turns import Limit, turns_of
from fitcheck.workspace.progress import SILENT, Progress

ROUGH_BOXES = 5_000
MOST_SHOWN = 5
ALIKE = 0.01
"""Odds nearer than this are as good; the sizes nearer to the original come first."""


@dataclass(frozen=True)
class Change:
    """A candidate: what is made larger, mm, and the lid's new depth."""

    floor_mm: tuple[float, float] = (0.0, 0.0)
    lid_mm: tuple[float, float] = (0.0, 0.0)
    """The lid's floor against the base's."""
    lid_depth_mm: float = 0.0

    @property
    def distance_mm(self) -> float:
        """How far it is from the original, all changes added up."""
        return sum(abs(x) for x in (*self.floor_mm, *self.lid_mm, self.lid_depth_mm))


@dataclass(frozen=True)
class Suggestion:
    """Sizes to make, with their odds."""

    design: Design
    change: Change
    good: Chance
    """The lid slides, its rim is off the table and all contents fit."""


@dataclass(frozen=True)
class Suggestions:
    """What to cut, best first, beside the original."""

    original: Suggestion
    ranked: tuple[Suggestion, ...]
    steps: Steps
    boxes: int
    seed: int


def suggest(design: Design, boxes: int, seed: int = 0, progress: Progress = SILENT) -> Suggestions:
    """Sizes with better odds than the design's own, or it alone when there are none."""
    steps = steps_for(design.tools, design.unit)
    found = check(design)
    prospect = take_prospect(found, None, progress)
    rough: list[tuple[Change, Prospect, Chance]] = []
    for change, at_depth in _at_depths(prospect, steps):
        ordered = _sizes(at_depth, steps, seed)
        for index, (floor, lid) in enumerate(ordered):
            progress.step(index, len(ordered), "trying sizes")
            sizes = replace(change, floor_mm=floor, lid_mm=lid)
            shifted = _shifted(at_depth, floor, lid)
            rough.append((sizes, at_depth, _odds(shifted, ROUGH_BOXES, seed)))
    rough.sort(key=lambda one: _rank(one[2], one[0]))
    ranked: list[Suggestion] = []
    for index, (change, _, _) in enumerate(rough[: 2 * MOST_SHOWN]):
        progress.step(index, 2 * MOST_SHOWN, "folding the best sizes")
        resized = with_change(design, change)
        again = _based_anew(prospect, resized)
        if again is not None:
            ranked.append(Suggestion(resized, change, _odds(again, boxes, seed)))
    ranked.sort(key=lambda one: _rank(one.good, one.change))
    original = Suggestion(design, Change(), _odds(prospect, boxes, seed))
    better = [one for one in ranked if one.good.share > original.good.share]
    return Suggestions(original, tuple(better[:MOST_SHOWN]), steps, boxes, seed)


def with_change(design: Design, change: Change) -> Design:
    """The design with other sizes, still written by the same keys."""
    base = _resized(design.base, change.floor_mm)
    lid = design.lid
    if lid is not None:
        follows = change.floor_mm if _stands_alone(lid) else (0.0, 0.0)
        lid = _resized(lid, (follows[0] + change.lid_mm[0], follows[1] + change.lid_mm[1]))
        lid = replace(lid, depth_mm=lid.depth_mm + change.lid_depth_mm)
    return replace(design, base=base, lid=lid)


def _stands_alone(lid: PartSpec) -> bool:
    """True when the lid's size is not given over the base's."""
    return lid.size_by is not SizeBy.OVERSIZE


def _resized(spec: PartSpec, by_mm: tuple[float, float]) -> PartSpec:
    return replace(spec, size_mm=(spec.size_mm[0] + by_mm[0], spec.size_mm[1] + by_mm[1]))


def _at_depths(prospect: Prospect, steps: Steps) -> Iterable[tuple[Change, Prospect]]:
    """The design as it is and with the lid's depth moved into the grooves beside it."""
    yield Change(), prospect
    lid = prospect.check.design.lid
    if lid is None:
        return
    for depth in grooves_near(lid.depth_mm, steps):
        change = Change(lid_depth_mm=depth - lid.depth_mm)
        again = _based_anew(prospect, with_change(prospect.check.design, change))
        if again is not None and again.check.fits:
            yield change, again


def _based_anew(prospect: Prospect, design: Design) -> Prospect | None:
    """The prospect of a like design: folded and read anew, its gradients as they were.

    None when it cannot be made at all. Contents that are arranged otherwise meet other walls:
    then the gradients are taken anew too.
    """
    try:
        found = check(design)
    except FitcheckError:
        return None
    return _with_gradients(prospect, found)


def _with_gradients(prospect: Prospect, found: Check) -> Prospect | None:
    inputs = inputs_of(found.assembly)
    if [one.name for one in inputs] != [one.name for one in prospect.workshop.inputs]:
        return None
    workshop = Workshop(found.assembly, inputs, prospect.workshop.grains)
    outlook = outlook_of(found)
    read: Readings = {}
    within = max(limit.value for limit in prospect.limits.linear)
    for reader in outlook.readers:
        read |= reader.read(workshop.as_designed, within, None)
    moved: dict[str, float] = {}
    limits: list[Limit] = []
    for limit in prospect.limits.linear:
        value = read.get(limit.family, {}).get(limit.member)
        if value is not None:
            moved.setdefault(limit.family, value - limit.value)
            limits.append(replace(limit, value=value))
    if not outlook.families <= {limit.family for limit in limits}:
        return take_prospect(found)
    known = {(limit.family, limit.member) for limit in limits}
    # pairs that are met beyond a turn only move along with their family
    limits += [
        replace(limit, value=limit.value + moved.get(limit.family, 0.0))
        for limit in prospect.limits.linear
        if (limit.family, limit.member) not in known
    ]
    anew = replace(prospect.limits, linear=tuple(limits), turns=turns_of(workshop))
    return Prospect(found, workshop, outlook, anew)


def _sizes(
    prospect: Prospect, steps: Steps, seed: int
) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """Changes of the floor and of the lid over it that are worth trying."""
    design = prospect.check.design
    lids: list[tuple[float, float]] = [(0.0, 0.0)]
    if design.lid is not None:
        ways = [around(size, steps.size_mm) for size in design.lid.size_mm]
        near = [_best_ways(prospect, axis, way, seed) for axis, way in zip(Axis, ways, strict=True)]
        same = design.lid.size_mm[0] == design.lid.size_mm[1]
        alike = [(way, way) for way in ways[0]] if same else []
        lids = list(
            dict.fromkeys([*lids, *alike, *((wide, long) for wide in near[0] for long in near[1])])
        )
    floors: list[tuple[float, float]] = [(0.0, 0.0)]
    if prospect.check.contents and _odds_of_contents(prospect, seed) < 1.0 - ALIKE:
        ways = [[w for w in around(s, steps.size_mm) if w > 0.0] for s in design.base.size_mm]
        floors += [(w, 0.0) for w in ways[0]] + [(0.0, w) for w in ways[1]]
        floors += list(zip(*ways, strict=False))
    return list(itertools.product(floors, lids))


def _best_ways(prospect: Prospect, axis: Axis, ways: Sequence[float], seed: int) -> list[float]:
    """The three changes of a lid along one axis whose play along it is most often in the band."""
    asked, forms = prospect.asked()
    if LID_PLAY not in asked.outlook.names:
        return [0.0]
    play = asked.draw(forms, ROUGH_BOXES, seed).outcomes[asked.outlook.row(play_name(axis))]
    design = prospect.check.design

    def outside(way: float) -> float:
        inside = right(Deciding(play_mm=play + way), design.bands, design.want)
        return -float(np.mean(inside))

    return sorted(ways, key=outside)[:3]


def _odds_of_contents(prospect: Prospect, seed: int) -> float:
    """The share of boxes in which all contents fit."""
    asked, forms = prospect.asked()
    names = [one.name for one in asked.outlook.smallest if one.name != LID_PLAY]
    drawn = asked.draw(forms, ROUGH_BOXES, seed).outcomes
    if not names:
        return 0.0
    slack = np.min([drawn[asked.outlook.row(name)] for name in names], axis=0)
    return float(np.mean(slack >= 0.0))


def _shifted(
    prospect: Prospect, floor_mm: tuple[float, float], lid_mm: tuple[float, float]
) -> Prospect:
    """The prospect with sheets cut larger: that is all that a larger floor is."""
    names = [one.name for one in prospect.workshop.inputs]
    larger = np.zeros(len(names))
    for part, by in (
        ("base", floor_mm),
        ("lid", (floor_mm[0] + lid_mm[0], floor_mm[1] + lid_mm[1])),
    ):
        for axis, change in zip(Axis, by, strict=True):
            name = f"the {axis} that the {part}'s sheet is cut to"
            if change and name in names:
                larger[names.index(name)] = change
    limits = prospect.limits.replaced(
        replace(limit, value=limit.value + float(limit.gradient @ larger))
        for limit in prospect.limits.linear
    )
    return replace(prospect, limits=limits)


def _odds(prospect: Prospect, boxes: int, seed: int) -> Chance:
    asked, forms = prospect.asked()
    return good_chance(asked, asked.draw(forms, boxes, seed))


def _rank(good: Chance, change: Change) -> tuple[float, float]:
    """Better odds first, in steps that matter; the nearer sizes first among equals."""
    return -round(good.share / ALIKE), change.distance_mm
