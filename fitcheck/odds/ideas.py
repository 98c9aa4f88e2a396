"""Changes that may help: other sizes on the hand's own steps, depths, grooves, and surer hands."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from fitcheck.design.model import Design
from fitcheck.fit.assembly import Part
from fitcheck.fit.check import Check
from fitcheck.fit.cured import cured_depths, cured_lid_depth
from fitcheck.odds.changes import can_be_written, live, sized
from fitcheck.odds.grid import NEAR_STEPS, SAME_MM, beside, steps_of_both
from fitcheck.odds.remarks import Eased, eased
from fitcheck.odds.shares import Cure
from fitcheck.styles.dividers import DividersSpec
from fitcheck.styles.insert_spec import InsertSpec
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.units import hand_step_mm

FEW_STEPS = 4
"""One size of a part is tried by so many steps beside the two that help most."""
FEW_CALIPERS = 6
"""No wall is made lower than this many calipers."""


OWN_STEPS = 3
"""A lid that has to follow its base's sheet no more is tried by so many steps each way."""


@dataclass(frozen=True)
class Idea:
    """A change to try."""

    effort: tuple[int, float, bool, float]
    """The kind's place, the simplest first; how far it goes, mm; whether the two sizes of what was
    alike both ways become different ones; and how far all of it goes together, mm."""
    design: Design | None = None
    """The design of other sizes."""
    cure: Cure | None = None
    """Or what hands do better."""
    part: str = ""
    """Whose two sizes it changes; none where it changes something else."""


def sizes_beside(found: Check, before: Design) -> Iterator[Idea]:
    """Other sizes of what goes with the base, of what has more room than `before` if anything has.

    A lid whose rim is to meet the base's is only tried as large as that, and nothing along which a
    drawer goes so large that it rattles.
    """
    design = found.design
    drawers = eased(found, hand_step_mm(design.unit))
    parts = sized(design)[1:]
    wider = [one for one in parts if one != before.part(one.name)]
    for one in wider or parts:
        if found.flush and one == design.lid and one.follows_base:
            yield from _sized(design, one.name, (0.0, 0.0), before)
            continue
        for size in _sizes(design, one, -NEAR_STEPS):
            if not _rattles(size, drawers.get(one.name)):
                yield from _sized(design, one.name, size, before)


def _rattles(size_mm: tuple[float, float], drawer: Eased | None) -> bool:
    """Whether a drawer rattles in what it goes along where that has such an ease."""
    return drawer is not None and bool(drawer.rattles(np.array([size_mm]))[0])


def _sizes(design: Design, spec: PartSpec, first: int) -> Iterator[tuple[float, float]]:
    """Both sizes on whole steps and as many more of them, or one only."""
    for wide, long in steps_of_both(spec.size_mm, hand_step_mm(design.unit), first):
        if not spec.one_size or wide == long:
            yield spec.size_mm[0] + wide, spec.size_mm[1] + long


def one_way(found: Check, design: Design, part: str, before: Design) -> Iterator[Idea]:
    """A design like one that was checked, with one size of a part by some steps less or more."""
    spec, step = design.part(part), hand_step_mm(design.unit)
    if spec is None or spec.one_size:
        return
    width, length = spec.size_mm
    wide, long = (step * round(size / step) for size in spec.size_mm)
    drawer = eased(found, step).get(part)
    for count in range(-FEW_STEPS, FEW_STEPS + 1):
        for size in ((wide + count * step, length), (width, long + count * step)):
            if not _rattles(size, drawer):
                yield from _sized(design, part, size, before)


def _sized(
    design: Design, part: str, size_mm: tuple[float, float], before: Design
) -> Iterator[Idea]:
    """A part of another size than it had before, unless it is of that size."""
    spec, was = design.part(part), before.part(part)
    assert spec is not None and was is not None, "a part that is sized is in both designs"
    wide, long = (
        mm if moves else own
        for mm, own, moves in zip(size_mm, spec.size_mm, live(design, spec.place), strict=True)
    )
    size_mm = wide, long
    by = [abs(a - b) for a, b in zip(size_mm, was.size_mm, strict=True)]
    if max(by) <= SAME_MM:
        return
    if spec == design.base:
        if min(size_mm[0] - was.size_mm[0], size_mm[1] - was.size_mm[1]) > -SAME_MM:
            yield Idea((4, sum(by), False, 0.0), _larger(design, size_mm), part=part)
        return
    uneven = abs(was.size_mm[0] - was.size_mm[1]) < SAME_MM < abs(size_mm[0] - size_mm[1])
    if can_be_written(replace(spec, size_mm=size_mm)):
        changed = design.with_sizes(spec.place, size_mm)
        yield Idea((0, max(by), uneven, sum(by)), changed, part=part)


def others(found: Check) -> Iterator[Idea]:
    """Other lengths of what was checked, and other sizes of its base.

    What stands in a base follows it, so that its sizes move lines that no gradient was taken for:
    there only a lid is changed, and strips are made lower that something closes over.
    """
    design = found.design
    lid, step = design.lid, hand_step_mm(design.unit)
    low = cured_lid_depth(found)
    if low is not None and lid is not None:
        depth = beside(low, step)[0]
        changed = design.with_parts(design.base, replace(lid, depth_mm=depth))
        yield Idea((1, lid.depth_mm - depth, False, 0.0), changed)
    for one in design.parts[1:]:
        if one.own_depth and not one.fills_base:
            for by, depth in _depths(one, step, design.tools.grid_mm):
                changed = design.with_parts(design.base, replace(one, depth_mm=depth))
                yield Idea((1, by, False, 0.0), changed)
    if found.over_grid_mm is not None:
        yield from _lower(design, step)
    yield from _slots(design, step)
    for part in found.assembly.parts:
        yield from _gaps(design, part)
    if design.contents:
        yield from _windows(design, step)
    yield from _off_the_sheet(design, step)
    if not any(one.fills_base for one in design.parts):
        yield from _of_base(found)


def _lower(design: Design, step_mm: float) -> Iterator[Idea]:
    """What stands in the base by some steps lower, all that one table gives alike."""
    for spec in sized(design):
        if not spec.own_height:
            continue
        for by, depth in _depths(spec, step_mm, None):
            if depth < spec.depth_mm:
                own = [one.with_depth(depth) for one in design.parts if one.place == spec.place]
                yield Idea((1, by, False, 0.0), design.with_parts(*own))


def _slots(design: Design, step_mm: float) -> Iterator[Idea]:
    """Wider slots of all strips, by some steps."""
    strips = [spec for spec in design.parts if isinstance(spec, DividersSpec)]
    for count in range(1, NEAR_STEPS + 1 if len(strips) > 1 else 0):
        slot = step_mm * (math.floor(strips[0].slot_mm / step_mm + SAME_MM) + count)
        own = [replace(one, slot_mm=slot) for one in strips]
        yield Idea((1, slot - strips[0].slot_mm, False, 0.0), design.with_parts(*own))


def _windows(design: Design, step_mm: float) -> Iterator[Idea]:
    """Larger windows for what stands in them, along either side or both."""
    for spec in design.parts:
        if not isinstance(spec, InsertSpec) or spec.window_mm is None:
            continue
        for more in steps_of_both(spec.window_or_play_mm, step_mm, 0):
            one = spec.with_window(more)
            if min(more) > -SAME_MM and one.window_mm != spec.window_mm:
                yield Idea((1, max(more), False, sum(more)), design.with_parts(one))


def _off_the_sheet(design: Design, step_mm: float) -> Iterator[Idea]:
    """A lid that is cut from the base's sheet size given sizes of its own, each by some steps."""
    lid = design.lid
    if lid is None or lid.size_by is not SizeBy.SAME_SHEET:
        return
    # what the sheet shares out goes to both sides of a floor
    over = 2.0 * lid.size_mm[0]
    even = step_mm * round(over / step_mm)
    steps = range(-OWN_STEPS, OWN_STEPS + 1)
    for wide, long in itertools.product([even + count * step_mm for count in steps], repeat=2):
        by = abs(wide - over) + abs(long - over)
        if wide != long:  # else the sheet's own way does as well
            own = replace(lid, size_by=SizeBy.OVERSIZE, size_mm=(wide, long))
            yield Idea((3, by, True, by), design.with_parts(own))


def roomier(found: Check, before: Design) -> Iterator[Idea]:
    """What was checked, which has more room than the design `before`, and more room beyond it."""
    design, base = found.design, found.design.base
    if base.size_mm == before.base.size_mm:
        yield from _deeper(found, before)
        return
    for size in (base.size_mm, *_sizes(design, base, 1)):
        yield from _sized(design, base.name, size, before)


def _deeper(found: Check, before: Design) -> Iterator[Idea]:
    """Its depth and those beyond it."""
    design, step = found.design, hand_step_mm(found.design.unit)
    known = (depth for _, depth in _depths(design.base, step, design.tools.grid_mm))
    for depth in (design.base.depth_mm, *known):
        if depth > before.base.depth_mm + SAME_MM:
            base = design.base.with_depth(depth)
            changed = design.with_parts(base, *design.parts[1:])
            yield Idea((2, depth - before.base.depth_mm, False, 0.0), changed)


def _gaps(design: Design, part: Part) -> Iterator[Idea]:
    """More and less of what leaves a lid in one piece with its box room to close."""
    spec, step = design.part(part.recipe.part), hand_step_mm(design.unit)
    for gap in () if spec is None else spec.gaps:
        now = float(getattr(part.recipe, gap.attribute))
        for count in range(-NEAR_STEPS, NEAR_STEPS + 1):
            mm = (round(now / step) + count) * step
            there = gap.negative or mm > SAME_MM
            if spec is not None and there and abs(mm - now) > SAME_MM:
                own: dict[str, Any] = {gap.attribute: mm}
                changed = design.with_parts(design.base, replace(spec, **own))
                yield Idea((1, abs(mm - now), False, 0.0), changed)


def _of_base(found: Check) -> Iterator[Idea]:
    """Another depth of the base, other grooves of it, and larger floors for contents."""
    design, base = found.design, found.design.base
    step, lid = hand_step_mm(design.unit), design.other
    for depth in {beside(mm, step)[-1] for mm in cured_depths(found)}:
        deeper = design.with_parts(base.with_depth(depth), lid)
        yield Idea((2, depth - base.depth_mm, False, 0.0), deeper)
    for by, depth in _depths(base, step, design.tools.grid_mm):
        yield Idea((2, by, False, 0.0), design.with_parts(replace(base, depth_mm=depth), lid))
    for by, grooved in _grooved(design):
        yield Idea((3, by, False, 0.0), design.with_parts(grooved, lid))
    if design.contents:
        for size in _sizes(design, base, 1):
            yield from _sized(design, base.name, size, design)


def _depths(spec: PartSpec, step_mm: float, grid_mm: float | None) -> Iterator[tuple[float, float]]:
    """Depths on whole steps and in the grooves beside, with how far they are."""
    even = round(spec.depth_mm / step_mm)
    depths = {(even + count) * step_mm for count in range(-NEAR_STEPS, NEAR_STEPS + 1)}
    if grid_mm is not None:
        groove = math.floor(spec.depth_mm / grid_mm + SAME_MM)
        depths |= {(groove + count) * grid_mm for count in (-1, 0, 1, 2)}
    for depth in sorted(depths):
        by = abs(depth - spec.depth_mm)
        if by > SAME_MM and depth > FEW_CALIPERS * spec.stock.caliper_mm:
            yield by, depth


def _grooved(design: Design) -> Iterator[tuple[float, PartSpec]]:
    """A rolled base with all its lengths whole grooves of the board, so that every score is in one.

    An inner wall that is left to be level counts as what it comes to.
    """
    base, grid = design.base, design.tools.grid_mm
    if not base.own_lengths or grid is None:
        return
    settled = base.lengths_mm(design.joint_mm)
    lengths = {one.attribute: settled[one.key] for one in base.own_lengths}
    lengths = {"depth_mm": base.depth_mm, **lengths}
    ways = [
        sorted({grid * f(mm / grid + n) for f, n in ((math.floor, SAME_MM), (math.ceil, -SAME_MM))})
        for mm in lengths.values()
    ]
    for chosen in itertools.product(*ways):
        by = float(np.abs(np.array(chosen) - list(lengths.values())).sum())
        if by > SAME_MM and min(chosen) > 0.0:
            grooved: dict[str, Any] = dict(zip(lengths, chosen, strict=True))
            yield by, replace(base, **grooved)


def _larger(design: Design, size_mm: tuple[float, float]) -> Design:
    """The base on another size, a lid of its own size with it."""
    base, lid = design.base, design.other
    if lid is not None and lid.size_by in (SizeBy.FLOOR, SizeBy.INSIDE, SizeBy.OPENING):
        grown = (new - old for new, old in zip(size_mm, base.size_mm, strict=True))
        width, length = (size + by for size, by in zip(lid.size_mm, grown, strict=True))
        lid = replace(lid, size_mm=(width, length))
    return design.with_parts(replace(base, size_mm=size_mm), lid)
