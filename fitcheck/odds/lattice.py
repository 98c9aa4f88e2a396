"""Every recipe near a design whose lengths its tools set easily: a sum of four kinds of change.

A box is changed in its shape (how deep it is and how it is rolled), in its floor, in its lid's
depth and in how much larger than the base its lid is. Each kind is a list of changes of a whole row
of lengths, and a candidate is the start and one of each.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.design.model import Design
from fitcheck.fit.check import Check
from fitcheck.fit.cures import cured_depths, cured_lid_depth
from fitcheck.fit.remarks import SEEN_MM
from fitcheck.folding.pose import Array
from fitcheck.odds.grid import NEAR_STEPS, SAME_MM, Steps, around, beside
from fitcheck.odds.sizes import DEPTH, FLAP, FRAME, INNER, LENGTH, LID, WIDTH
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.styles.rolled import RolledSpec

FEW_CALIPERS = 6
"""No wall is made lower than this many calipers."""
LEAST, MOST = 0.55, 1.8
"""No length becomes less or more than these shares of what it was: another box is not asked for."""
WALLS = (SizeBy.INSIDE, SizeBy.OPENING, SizeBy.CONTENTS)
"""Sizes that a frame's width is added to."""

Places = np.ndarray[tuple[int, ...], np.dtype[np.intp]]
"""(c, 4) which change of each kind a candidate has."""


@dataclass(frozen=True, eq=False)
class Lattice:
    """Changes of a row of lengths (s,), those of each kind in a list whose first is none."""

    start: Array
    """(s,) mm."""
    shapes: Array
    """(m, s) depth, frame, inner wall and flap of the base, and what its floor has to follow."""
    floors: Array
    """(m, s) the base's floor, a lid of its own size along with it."""
    lid_depths: Array
    """(m, s)."""
    lid_sizes: Array
    """(m, s) the lid's floor against the base's."""

    @property
    def kinds(self) -> tuple[Array, Array, Array, Array]:
        """The four lists."""
        return self.shapes, self.floors, self.lid_depths, self.lid_sizes

    @property
    def count(self) -> int:
        """How many candidates there are."""
        return math.prod(len(kind) for kind in self.kinds)

    def rows(self, chosen: Places) -> Array:
        """The rows (c, s) of candidates given by the places (c, 4) of their changes."""
        changes = [kind[chosen[:, column]] for column, kind in enumerate(self.kinds)]
        found: Array = self.start + sum(changes)
        return found


def lattice_of(design: Design, start: Array, steps: Steps, goes: Array, *, larger: bool) -> Lattice:
    """The candidates near a design whose settled lengths are `start` (s,).

    `goes` (s,) are those of a like box that goes together: sizes beside its own are tried as well.
    `larger` also tries floors that are larger along either axis, for contents that hardly go in.
    """
    lid = design.other
    none = np.zeros((1, len(start)))
    shapes = np.array(list(_shapes(design, start, steps, goes)))
    floors = [*none, *(_smaller(design, start, steps) if design.contents else ())]
    floors += _floors(design, start, steps, goes) if larger else ()
    if lid is None:
        return Lattice(start, shapes, np.array(floors), none, none)
    depths = [0.0]
    if lid.own_depth:
        depths += [deep - lid.depth_mm for deep in _depths(lid, steps.score_mm, other=True)]
        low = beside(float(goes[LID + DEPTH]), steps.score_mm)[0]
        lower = low - lid.depth_mm
        if lower < min(depths) - SAME_MM and low > FEW_CALIPERS * lid.stock.caliper_mm:
            depths.append(lower)
    deeper = [
        _change(start, (LID + DEPTH, by), *((LID + at, mm) for at, mm in roll))
        for by in depths
        for roll in _rolls(lid, design.joint_mm, start[LID:], lid.depth_mm + by, steps.score_mm)
    ]
    sizes = _lid_sizes(lid, start, steps, goes)
    lids = np.array([_lid_change(lid, start, by) for by in dict.fromkeys(sizes)])
    return Lattice(start, shapes, np.array(floors), np.array(deeper), lids)


def deep_enough(goes: Array, found: Check) -> Array:
    """The lengths (s,) of a like box, its base as deep and its lid as low as they have to be."""
    deeper = max(0.0, max(cured_depths(found), default=0.0) - float(goes[DEPTH]))
    changes, lid = [(DEPTH, deeper)], found.design.other
    if lid is not None and not lid.own_depth:
        changes.append((LID + DEPTH, deeper))
    depth = cured_lid_depth(found)
    if depth is not None:
        changes.append((LID + DEPTH, depth - float(goes[LID + DEPTH])))
    return goes + _change(goes, *changes)


def _change(start: Array, *by: tuple[int, float]) -> Array:
    found = np.zeros(len(start))
    for column, mm in by:
        found[column] += mm
    return found


def _depths(spec: PartSpec, step_mm: float, *, other: bool) -> Iterator[float]:
    """Depths in the grooves on both sides, no lower than is sensible.

    For one that lies in a groove these are the next ones where `other` depths are wanted.
    """
    low = FEW_CALIPERS * spec.stock.caliper_mm
    for depth in _beside(spec.depth_mm, step_mm, 1 if other else 0):
        if depth > low and SAME_MM < abs(depth - spec.depth_mm) < step_mm + SAME_MM:
            yield depth


def _beside(size_mm: float, step_mm: float, beyond: int = 0) -> list[float]:
    """The steps beside a length that leave it about as long as it was."""
    near = beside(size_mm, step_mm, beyond)
    return [mm for mm in near if LEAST * size_mm < mm < MOST * size_mm]


def _rolls(
    spec: PartSpec, joint_mm: float, lengths: Array, depth_mm: float, step_mm: float
) -> Iterator[tuple[tuple[int, float], ...]]:
    """Changes of frame, inner wall and flap for a depth: as they are, or in the grooves beside.

    Scores are measured from the fence, so a length is brought into a groove where all before it
    are: the flap, then the inner wall, then the frame. An inner wall follows the depth, as what is
    left for it to be level does; one that would tilt the frame for all to see is not tried.
    """
    if not isinstance(spec, RolledSpec):
        yield ()
        return
    order = (FLAP, INNER, FRAME)
    now = {at: float(lengths[at]) for at in order}
    as_is = now | {INNER: now[INNER] + depth_mm - spec.depth_mm}
    level = replace(spec, depth_mm=depth_mm).level_mm(joint_mm)
    tilts = max(SEEN_MM, abs(as_is[INNER] - level))
    stepped = {at: _beside(mm, step_mm) for at, mm in as_is.items()}
    stepped[INNER] = [mm for mm in stepped[INNER] if abs(mm - level) < tilts + SAME_MM]
    seen: set[tuple[float, ...]] = set()
    for count in range(len(order) + 1):
        ways = [stepped[at] for at in order[:count]] + [[as_is[at]] for at in order[count:]]
        for chosen in itertools.product(*ways):
            if chosen not in seen:
                seen.add(chosen)
                yield tuple((at, mm - now[at]) for at, mm in zip(order, chosen, strict=True))


def _shapes(design: Design, start: Array, steps: Steps, goes: Array) -> Iterator[Array]:
    """Depths with their rolls, each on the floor that follows and on the one in the grooves.

    A box without contents has its size from the maker alone: it is only brought into the grooves.
    """
    base, step = design.base, steps.score_mm
    depths = [base.depth_mm, *_depths(base, step, other=bool(design.contents))]
    if goes[DEPTH] > start[DEPTH] + SAME_MM:
        depths += [mm for mm in beside(float(goes[DEPTH]), step, 1) if mm > max(depths) + SAME_MM]
    for depth in depths:
        for roll in _rolls(base, design.joint_mm, start[:LID], depth, step):
            change = _change(start, (DEPTH, depth - base.depth_mm), *roll)
            if base.size_by in WALLS:
                change += _floor_change(design, start, steps, *[2.0 * change[FRAME]] * 2)
            if design.other is not None and not design.other.own_depth:
                change[LID + DEPTH] += change[DEPTH]
            yield change
            for by in _onto_steps((start + change)[[WIDTH, LENGTH]], step):
                yield change + _floor_change(design, start, steps, *by)


def _onto_steps(floor: Array, step_mm: float) -> Iterator[tuple[float, float]]:
    """Changes that bring both sides of a floor onto the steps above and below it."""
    counts = floor / step_mm
    for whole in (np.ceil(counts - SAME_MM), np.floor(counts + SAME_MM)):
        wide, long = (whole * step_mm - floor).tolist()
        near = LEAST * floor < whole * step_mm, whole * step_mm < MOST * floor
        if max(abs(wide), abs(long)) > SAME_MM and np.all(near):
            yield wide, long


def _floor_change(design: Design, start: Array, steps: Steps, wide: float, long: float) -> Array:
    """A larger floor; a lid follows it, one of its own size by whole steps."""
    ways, other = [(WIDTH, wide), (LENGTH, long)], design.other
    if other is not None:
        step = steps.size_mm
        own = round(wide / step) * step, round(long / step) * step
        if other.follows_base:
            own = other.follows(wide, long, 0.0)[:2]
        ways += [(LID + WIDTH, own[0]), (LID + LENGTH, own[1])]
    return _change(start, *ways)


def _smaller(design: Design, start: Array, steps: Steps) -> Iterator[Array]:
    """Floors that are smaller by a groove, which saves paper where contents have room to spare."""
    less = -steps.score_mm
    for wide, long in ((less, 0.0), (0.0, less), (less, less)):
        if (start[:2] + np.array([wide, long]) > LEAST * start[:2]).all():
            yield _floor_change(design, start, steps, wide, long)


def _floors(design: Design, start: Array, steps: Steps, goes: Array) -> Iterator[Array]:
    """Floors larger by whole steps along either axis or both, and those up to the one that goes."""
    step = steps.size_mm
    ways = [[by for by in around(size, step) if by > 0.0] for size in start[:2].tolist()]
    both = list(zip(*ways, strict=False))
    for wide, long in (*((by, 0.0) for by in ways[0]), *((0.0, by) for by in ways[1]), *both):
        yield _floor_change(design, start, steps, wide, long)
    wide, long = (goes - start)[[WIDTH, LENGTH]].tolist()
    if max(wide, long) > max(both[-1]):
        # contents may be short along one axis alone: no larger than they need, to a groove
        on_the_way = [_up_to(mm, steps) for mm in (wide, long)]
        for more in itertools.product(*on_the_way):
            if max(more) > 0.0:
                yield _floor_change(design, start, steps, *more)


def _up_to(far_mm: float, steps: Steps) -> list[float]:
    """From nothing to so much more by whole grooves, or by as many steps as are tried nearby."""
    if far_mm <= 0.0:
        return [0.0]
    by_mm = max(steps.score_mm, math.ceil(far_mm / NEAR_STEPS / steps.size_mm) * steps.size_mm)
    return [*(count * by_mm for count in range(math.ceil(far_mm / by_mm - SAME_MM))), far_mm]


def _lid_sizes(
    lid: PartSpec, start: Array, steps: Steps, goes: Array
) -> Iterator[tuple[float, float]]:
    """Changes of the two sizes of what goes with a base, or of both alike where they are one.

    Those beside the sizes of the box that goes together come last.
    """
    step = steps.size_mm
    if lid.one_size:
        for by in around(lid.size_mm[0], step):
            if lid.size_mm[0] + by > 0.0:
                yield by, by
        return
    columns = [WIDTH, LENGTH, DEPTH]
    over, there = (
        np.array(lid.sizes_over(*(row[LID:][columns] - row[columns]).tolist()))
        for row in (start, goes)
    )
    sizes = over if lid.follows_base else start[LID : LID + 2]
    yield from itertools.product(*(around(size, step) for size in sizes.tolist()))
    far = there - over
    if np.abs(far).max() > step:
        ways = [
            [mm + by for by in around(size + mm, step)]
            for size, mm in zip(sizes.tolist(), far.tolist(), strict=True)
        ]
        yield from itertools.product(*ways)


def _lid_change(lid: PartSpec, start: Array, by: tuple[float, float]) -> Array:
    wide, long, deep = lid.grown_by(by)
    return _change(start, (LID + WIDTH, wide), (LID + LENGTH, long), (LID + DEPTH, deep))
