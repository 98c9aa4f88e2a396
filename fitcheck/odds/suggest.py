"""Sizes on the tool's own grid are tried over and over, and those with the best odds come first.

The limits' gradients are taken once, from the design as it is. Sizes move the limits as scores and
cuts elsewhere do, so thousands of them need no folding; those that come out first are folded anew.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.design.model import Axis, Design, PartSpec, SizeBy
from fitcheck.fit.check import check
from fitcheck.fit.right import Deciding, right
from fitcheck.odds.grid import Steps, around, grooves_near, steps_for
from fitcheck.odds.intervals import Chance, chance_of
from fitcheck.odds.prospect import Prospect, good_chance, take_prospect
from fitcheck.odds.quantities import LID_PLAY, play_name
from fitcheck.odds.resized import Hands, folded_anew, tried, with_parts
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
    """All that makes a box right, in one and the same box."""


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
    hands = Hands.of(prospect, ROUGH_BOXES, seed)
    rough: list[tuple[Change, Chance]] = []
    for deeper in _depths(design, steps):
        at_depth = tried(prospect, with_change(design, Change(lid_depth_mm=deeper)))
        if at_depth is None:
            continue
        ordered = _sizes(at_depth, steps, seed)
        for index, (floor, lid) in enumerate(ordered):
            progress.step(index, len(ordered), "trying sizes")
            change = Change(floor, lid, deeper)
            sized = tried(prospect, with_change(design, change))
            if sized is not None:
                rough.append((change, chance_of(hands.right(sized))))
    rough.sort(key=lambda one: _rank(one[1], one[0]))
    ranked: list[Suggestion] = []
    for index, (change, _) in enumerate(rough[: 2 * MOST_SHOWN]):
        progress.step(index, 2 * MOST_SHOWN, "folding the best sizes")
        changed = with_change(design, change)
        again = folded_anew(prospect, changed)
        if again is not None:
            ranked.append(Suggestion(changed, change, _odds(again, boxes, seed)))
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
    return with_parts(design, base, lid)


def _stands_alone(lid: PartSpec) -> bool:
    """True when the lid's size is not given over the base's."""
    return lid.size_by not in (SizeBy.OVERSIZE, SizeBy.SAME_SHEET)


def _resized(spec: PartSpec, by_mm: tuple[float, float]) -> PartSpec:
    return replace(spec, size_mm=(spec.size_mm[0] + by_mm[0], spec.size_mm[1] + by_mm[1]))


def _depths(design: Design, steps: Steps) -> Iterable[float]:
    """What the lid is made deeper by: nothing, or what brings it into the grooves beside it."""
    yield 0.0
    if design.lid is not None and design.lid.size_by is not SizeBy.SAME_SHEET:
        for depth in grooves_near(design.lid.depth_mm, steps):
            yield depth - design.lid.depth_mm


def _sizes(
    prospect: Prospect, steps: Steps, seed: int
) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """Changes of the floor and of the lid over it that are worth trying."""
    design = prospect.check.design
    lids: list[tuple[float, float]] = [(0.0, 0.0)]
    if design.lid is not None:
        ways = [around(size, steps.size_mm) for size in design.lid.size_mm]
        same_sheet = design.lid.size_by is SizeBy.SAME_SHEET
        near = (
            [[0.0], [0.0]]
            if same_sheet
            else [
                _best_ways(prospect, axis, way, seed) for axis, way in zip(Axis, ways, strict=True)
            ]
        )
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


def _odds(prospect: Prospect, boxes: int, seed: int) -> Chance:
    asked, forms = prospect.asked()
    return good_chance(asked, asked.draw(forms, boxes, seed))


def _rank(good: Chance, change: Change) -> tuple[float, float]:
    """Better odds first, in steps that matter; the nearer sizes first among equals."""
    return -round(good.share / ALIKE), change.distance_mm
