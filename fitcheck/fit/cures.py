"""What contents that do not go in are short of, and the smallest changes that let them in.

Sizes are on the board's grid: in its grooves where the size that is changed lies in one, else in
halves or quarters of their distance, as the design has it; of a base's depth the least that a rule
shows is found too. Every cure that is given was checked:
the changed design was folded again, its contents go in and nothing else went wrong.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache, partial

from fitcheck.design.model import Content
from fitcheck.fit.check import Check
from fitcheck.fit.contents import ContentVerdict, demand_of
from fitcheck.fit.cure_steps import (
    ON_STEP_MM,
    Steps,
    cured_by,
    first_step,
    least_spared,
    on_floor,
    own_size,
    sure_height_mm,
    tries_from,
)
from fitcheck.fit.grown import FEW, Growth, least_count, least_growth, too_tall_mm
from fitcheck.fit.inner_cures import Inner, inner_cures
from fitcheck.packing.arrange import arrange_quickly
from fitcheck.styles.part import SizeBy
from fitcheck.units import hand_step_mm

SIDES = ("width", "length")


@dataclass(frozen=True)
class Cure:
    """What a content is short of, and what helps; lengths in mm, None where nothing is known."""

    missing_mm: float | None
    """By how much it misses in the tightest direction of the lay that misses least; None too where
    it is not `known` that it does."""
    along: str | None
    """That direction: width, length or height."""
    depth_mm: float | None
    """The base's depth with which all contents go in on the same floor, on the board's grid."""
    inner_less_mm: float | None
    """By how much a given inner wall is less than the depth, which it goes with; None without."""
    floor_mm: tuple[float, float] | None
    """The base's floor, score to score, on which all contents go in."""
    floor_depth_mm: float | None
    """The base's depth to go with that floor where it has to be another; the lowest lay of each
    content needs it."""
    lid_mm: tuple[float, float] | None
    """The size of a lid that was given its own, which has to grow with that floor."""
    needs_mm: tuple[float, float] | None
    """The clear room on that floor."""
    holds: int | None
    """How many of this content go in as the box is, with all the other contents; None for one."""
    each_mm: float | None = None
    """By how much a piece by itself is too tall as it lies lowest; None where it is not."""
    floor_first: bool = False
    """Whether the box on that floor is smaller than the deeper one."""
    room: str = ""
    """What bounds it within the base: a window or a compartment; nothing where the base does."""
    inner: tuple[Inner, ...] = ()
    """What lets all contents into that."""
    misses_mm: tuple[float, float] | None = None
    """By how much a piece is too wide and too long as it misses least, where it is both."""
    least_depth_mm: float | None = None
    """The least depth that a rule shows with which they do; None where `depth_mm` is no further
    than a hand's step."""
    grooved: bool = False
    """Whether `depth_mm` lies in a groove of the board."""
    spare_mm: float | None = None
    """The least room that the larger sizes leave for errors; None where one of them leaves less."""
    known: bool = True
    """Whether it is known that something is missing; where no place was found for several and
    nothing proves that there is none, more room is only enough for sure."""


@lru_cache(maxsize=8)
def cures_of(found: Check) -> tuple[Cure | None, ...]:
    """A cure for each line of contents; None for those that fit."""
    if all(fit.verdict is ContentVerdict.FITS for fit in found.contents):
        return (None,) * len(found.contents)
    misses = _misses(found)
    missing = _missing(found) if misses is None else max(zip(misses, SIDES, strict=True))
    inner = inner_cures(found)
    cured = _deeper(found)
    deeper = None if cured is None else cured.design.base.depth_mm
    low = None if cured is None else _least_depth(found, cured)
    least = None if low is None else low.design.base.depth_mm
    if found.room:  # where a larger floor alone does, it is told as that of any base
        plain = next((one.floor_mm for one in inner if one.is_floor), None)
        wider = plain and cured_by(found, on_floor(found, plain, found.design.base.depth_mm))
        inner = tuple(one for one in inner if not one.is_floor)
    else:
        wider = _wider(found)
    floor = lid = needs = None
    depth = None
    if wider is not None:
        base, spec, room = wider.design.base, wider.design.lid, wider.cavity.room
        floor = base.size_mm
        depth = base.depth_mm if base.depth_mm != found.design.base.depth_mm else None
        lid = spec.size_mm if spec is not None and own_size(spec) else None
        needs = room.width_mm, room.length_mm
        if deeper is not None and depth is not None and deeper <= depth:
            # the depth alone does it
            wider = floor = lid = needs = depth = None
    spare = None if inner else least_spared(found, cured, low, wider)
    each = [_each(found, content) for content in found.design.contents]
    known = misses is not None or any(each) or not _not_known(found)
    told = _missing_of(found, missing) if known else [(None, None)] * len(each)
    spec = found.design.base
    first = False
    if floor is not None and deeper is not None:
        recipe = found.assembly.base.recipe
        now = recipe.width_mm * recipe.length_mm * deeper
        first = math.prod(floor) * (depth or spec.depth_mm) < now
    return tuple(
        Cure(
            missing_mm=told[index][0],
            along=told[index][1],
            depth_mm=deeper,
            inner_less_mm=spec.less_than_depth_mm,
            floor_mm=floor,
            floor_depth_mm=depth,
            lid_mm=lid,
            needs_mm=needs,
            holds=_holds(found, index),
            each_mm=each[index],
            floor_first=first,
            room=found.room,
            inner=inner,
            misses_mm=misses,
            least_depth_mm=least,
            grooved=deeper is not None and Steps(spec.depth_mm, found.design).grooved(deeper),
            known=known,
            spare_mm=spare,
        )
        for index in range(len(each))
    )


def _not_known(found: Check) -> bool:
    """Whether several contents have no place that was found, and nothing proves that there is none.

    A single one is measured in the lay that comes nearest.
    """
    several = sum(content.count for content in found.design.contents) > 1
    return several and all(fit.verdict is ContentVerdict.NONE_FOUND for fit in found.contents)


def _each(found: Check, content: Content) -> float | None:
    if not found.cavity.lidded:
        return None
    least = min(pose.height_mm for pose in demand_of(content).poses)
    short = least - found.cavity.ceiling_mm
    return short if short > 0.0 else None


def _missing(found: Check) -> tuple[float, str] | None:
    """What is missing in the tightest direction, and which that is."""
    slack = found.contents[0].slack
    if len(found.contents) == 1 and slack is not None:
        short = {"width": slack.width_mm, "length": slack.length_mm}
        if found.cavity.lidded:
            short["height"] = slack.height_mm
        along = min(short, key=lambda name: short[name])
        return (-short[along], along) if short[along] < 0.0 else None
    return least_growth(found.cavity, [demand_of(c) for c in found.design.contents])


def _missing_of(
    found: Check, missing: tuple[float, str] | None
) -> list[tuple[float | None, str | None]]:
    """What each line is told to miss: what all do together, but a height those that are too tall.

    Those are the lines that are so by themselves, if any is.
    """
    contents = found.design.contents
    if missing is not None and missing[1] == "height" and len(contents) > 1:
        own = [too_tall_mm(found.cavity, demand_of(content)) for content in contents]
        if any(own):
            return [(None, None) if mm is None else (mm, "height") for mm in own]
    return [missing or (None, None)] * len(contents)


def _misses(found: Check) -> tuple[float, float] | None:
    """By how much a piece is too wide and too long where it lies as it misses least.

    None where no piece by itself misses both ways: then the tightest direction tells it.
    """
    slack = found.contents[0].slack
    if len(found.contents) == 1 and slack is not None:
        both = -slack.width_mm, -slack.length_mm
        return both if min(both) > 0.0 else None
    room, lidded = found.cavity.room, found.cavity.lidded
    worst = (0.0, 0.0)
    for demand in map(demand_of, found.design.contents):
        low = [p for p in demand.poses if not lidded or p.height_mm <= found.cavity.ceiling_mm]
        lays = [(pose.width_mm, pose.length_mm) for pose in low]
        lays += [(long, wide) for wide, long in lays]
        misses = [(max(0.0, w - room.width_mm), max(0.0, ln - room.length_mm)) for w, ln in lays]
        least = min(misses, key=sum, default=(0.0, 0.0))
        if min(least) > 0.0 and sum(least) > sum(worst):
            worst = least
    return worst if min(worst) > 0.0 else None


def _holds(found: Check, index: int) -> int | None:
    """The largest count of one line that the quick ways arrange together with the others."""
    contents = found.design.contents
    count = contents[index].count
    if count == 1:
        return None

    def too_many(more: int) -> bool:
        lines = [c for c in _with_count(contents, index, more) if c.count]
        demands = [demand_of(content) for content in lines]
        rooms = found.cavity.rooms.tried
        return arrange_quickly(rooms, demands, found.cavity.accept, FEW) is None

    first = least_count(too_many, count)
    return None if first is None else first - 1


def _with_count(contents: tuple[Content, ...], index: int, count: int) -> Iterator[Content]:
    for number, content in enumerate(contents):
        yield replace(content, count=count) if number == index else content


def _deeper(found: Check, *, by_rule: bool = False) -> Check | None:
    """The check of the least depth of the base on the grid, or as a rule shows it, that lets all
    contents in."""
    spec = found.design.base
    up = Steps(spec.depth_mm, found.design, by_rule)
    first = first_step(found, lambda n: (0.0, 0.0, up.size(n) - spec.depth_mm))
    deeper = (found.design.with_parts(spec.with_depth(up.size(n))) for n in tries_from(first))
    return cured_by(found, *deeper)


def _least_depth(found: Check, deeper: Check) -> Check | None:
    """That of the least that a rule shows, where that on the grid is further than a hand's step."""
    least = _deeper(found, by_rule=True)
    if least is None:
        return None
    further = deeper.design.base.depth_mm - least.design.base.depth_mm
    return least if further >= hand_step_mm(found.design.unit) - ON_STEP_MM else None


def _wider(found: Check) -> Check | None:
    """The check of the least floor on the grid that lets all contents in.

    Wider, longer, or both by as many steps: the one that adds least to the floor's area.
    """
    if found.design.base.size_by is SizeBy.CONTENTS:
        return None
    recipe = found.assembly.base.recipe
    now = recipe.width_mm, recipe.length_mm
    up = [Steps(side, found.design) for side in now]

    def floor(ways: tuple[bool, bool], n: int) -> tuple[float, float]:
        width, length = (u.size(n) if way else u.now_mm for u, way in zip(up, ways, strict=True))
        return width, length

    depth = _depth_for_one_layer(found)

    def growth(ways: tuple[bool, bool], n: int) -> Growth:
        wanted = floor(ways, n)
        return wanted[0] - now[0], wanted[1] - now[1], depth - found.design.base.depth_mm

    firsts = []
    for ways in ((True, False), (False, True), (True, True)):
        first = first_step(found, partial(growth, ways))
        if first is not None:
            firsts.append((math.prod(floor(ways, first)), ways, first))
    for _, ways, first in sorted(firsts):
        larger = (on_floor(found, floor(ways, number), depth) for number in tries_from(first))
        cured = cured_by(found, *larger)
        if cured is not None:
            return cured
    return None


def _depth_for_one_layer(found: Check) -> float:
    """The base's depth, or the least on the grid that takes each content in its lowest lay."""
    spec, cavity = found.design.base, found.cavity
    poses = [demand_of(content).poses for content in found.design.contents]
    tallest = max(min(pose.height_mm for pose in lays) for lays in poses)
    short = tallest - cavity.ceiling_mm
    if not cavity.lidded or short <= 0.0:
        return spec.depth_mm
    short += found.lifted_mm + sure_height_mm(found)
    up = Steps(spec.depth_mm, found.design)
    return up.size(least_count(lambda n: up.size(n) - spec.depth_mm >= short, 1000) or 1)
