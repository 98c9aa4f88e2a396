"""Every recipe near a design whose lengths its tools set easily: a sum of five kinds of change.

They are those of its shape (how deep it is and how it is rolled), of its floor, of its lid's depth
and size and of what else leaves parts room; each is a list of changes of a whole row of lengths.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fitcheck.design.model import Design
from fitcheck.fit.check import Check
from fitcheck.fit.cured import cured_depths, cured_lid_depth
from fitcheck.folding.pose import Array
from fitcheck.odds.changes import (
    FEW_CALIPERS,
    LEAST,
    MOST,
    changed,
    depths_of,
    followed,
    lower_ones,
    parts_at,
    rattles,
    rolls_of,
    sized,
)
from fitcheck.odds.grid import NEAR_STEPS, SAME_MM, Steps, around, beside, steps_of_both
from fitcheck.odds.sizes import (
    DEPTH,
    EACH,
    FRAME,
    LENGTH,
    LENGTHS,
    WIDTH,
    columns_of,
    in_rows,
    own_sizes,
)
from fitcheck.styles.part import PartSpec, SizeBy

WALLS = (SizeBy.INSIDE, SizeBy.OPENING, SizeBy.CONTENTS)
"""Sizes that a frame's width is added to."""

Places = np.ndarray[tuple[int, ...], np.dtype[np.intp]]
"""(c, 5) which change of each kind a candidate has."""


@dataclass(frozen=True, eq=False)
class Lattice:
    """Changes of a row of lengths (s,), those of each kind in a list whose first is none."""

    start: Array
    """(s,) mm."""
    shapes: Array
    """(m, s) depth, frame, inner wall and flap of the base, and what its floor has to follow."""
    floors: Array
    """(m, s) the base's floor, what goes with it along with it."""
    lid_depths: Array
    """(m, s)."""
    lid_sizes: Array
    """(m, s) the lid's floor against the base's."""
    gaps: Array
    """(m, s) a ring's ease in the base, what leaves strips or an insert room there, and the room
    that a lid in one piece closes with."""

    @property
    def kinds(self) -> tuple[Array, Array, Array, Array, Array]:
        """The five lists."""
        return self.shapes, self.floors, self.lid_depths, self.lid_sizes, self.gaps

    @property
    def count(self) -> int:
        """How many candidates there are."""
        return math.prod(len(kind) for kind in self.kinds)

    def rows(self, chosen: Places) -> Array:
        """The rows (c, s) of candidates given by the places (c, 5) of their changes."""
        changes = [kind[chosen[:, column]] for column, kind in enumerate(self.kinds)]
        found: Array = self.start + sum(changes)
        return found


def lattice_of(
    design: Design,
    start: Array,
    steps: Steps,
    goes: Array,
    *,
    larger: bool,
    flush: bool = False,
    lower: bool = False,
) -> Lattice:
    """The candidates near a design whose settled lengths are `start` (s,).

    `goes` (s,) are those of a like box that goes together: sizes beside its own are tried as well.
    `larger` also tries floors that are larger along either axis, for contents that hardly go in.
    A lid that is to be `flush` with its base has its size or none of its own. `lower`: strips, too.
    """
    none = np.zeros((1, len(start)))
    shapes = list(_shapes(design, start, steps, goes))
    floors = [*none, *(_smaller(design, start, steps) if design.contents else ())]
    floors += _floors(design, start, steps, goes) if larger else ()
    depths, sizes, gaps = none, none, [*none]
    for spec, at in parts_at(design):
        if spec == design.other:
            depths = np.array(list(_lid_depths(spec, at, design, start, steps, goes)))
            if flush:
                over = start[[WIDTH, LENGTH]] - start[[at + WIDTH, at + LENGTH]]
                alike = changed(start, *zip((at + WIDTH, at + LENGTH), over, strict=True))
                sizes = np.array([*none, alike])[: 2 if alike.any() else 1]
            else:
                sizes = np.array(list(_sizes_over(spec, at, start, steps, goes)))
        elif at and not spec.fills_base:
            gaps += list(_sizes_over(spec, at, start, steps, goes))[1:]
            if spec.own_depth:
                heights = around(spec.depth_mm, steps.size_mm)[1:]
                gaps += [changed(start, (at + DEPTH, by)) for by in heights]
        gaps += _gaps(spec, at, start, steps, goes)
    for spec in sized(design):
        if spec.fills_base:
            gaps += _standing(spec, design, start, steps, goes)
            gaps += lower_ones(spec, design, start, steps.size_mm) if lower else ()
    return Lattice(start, np.array(shapes), np.array(floors), depths, sizes, np.array(gaps))


def deep_enough(goes: Array, found: Check) -> Array:
    """The lengths (s,) of a like box, its base as deep and its lid as low as they have to be."""
    deeper = max(0.0, max(cured_depths(found), default=0.0) - float(goes[DEPTH]))
    change = followed(found.design, changed(goes, (DEPTH, deeper)))
    depth = cured_lid_depth(found)
    for spec, at in parts_at(found.design):
        if depth is not None and spec == found.design.lid:
            change[at + DEPTH] = depth - float(goes[at + DEPTH])
    return goes + change


def _shapes(design: Design, start: Array, steps: Steps, goes: Array) -> Iterator[Array]:
    """Depths with their rolls, each on the floor that follows and on the one in the grooves.

    A box without contents has its size from the maker alone: it is only brought into the grooves.
    """
    base, step = design.base, steps.score_mm
    depths = [base.depth_mm, *depths_of(base, step, other=bool(design.contents))]
    if goes[DEPTH] > start[DEPTH] + SAME_MM:
        depths += [mm for mm in beside(float(goes[DEPTH]), step, 1) if mm > max(depths) + SAME_MM]
    for depth in depths:
        for roll in rolls_of(base, design.joint_mm, start[:EACH], depth, step):
            change = changed(start, (DEPTH, depth - base.depth_mm), *roll)
            if base.size_by in WALLS:
                change[[WIDTH, LENGTH]] = 2.0 * change[FRAME]
            change = followed(design, change, steps.size_mm)
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
    return followed(design, changed(start, (WIDTH, wide), (LENGTH, long)), steps.size_mm)


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


def _lid_depths(
    lid: PartSpec, at: int, design: Design, start: Array, steps: Steps, goes: Array
) -> Iterator[Array]:
    """Other depths of a lid, and how it is rolled; its own lengths begin `at` that column."""
    depths = [0.0]
    if lid.own_depth:
        depths += [deep - lid.depth_mm for deep in depths_of(lid, steps.score_mm, other=True)]
        low = beside(float(goes[at + DEPTH]), steps.score_mm)[0]
        lower = low - lid.depth_mm
        if lower < min(depths) - SAME_MM and low > FEW_CALIPERS * lid.stock.caliper_mm:
            depths.append(lower)
    own = start[at : at + EACH]
    for by in depths:
        for roll in rolls_of(lid, design.joint_mm, own, lid.depth_mm + by, steps.score_mm):
            yield changed(start, (at + DEPTH, by), *((at + key, mm) for key, mm in roll))


def _gaps(spec: PartSpec, at: int, start: Array, steps: Steps, goes: Array) -> Iterator[Array]:
    """More and less of what leaves a part room to close, on whole steps round what goes."""
    for gap in in_rows(spec.gaps):
        column = at + LENGTHS.index(gap.attribute)
        now, there = float(start[column]), float(goes[column])
        ways = [
            *around(now, steps.size_mm),
            *(there - now + by for by in around(there, steps.size_mm)),
        ]
        for by in dict.fromkeys(round(mm, 9) for mm in ways):
            if by and (now + by > 0.0 or gap.negative):
                yield changed(start, (column, by))


def _sizes_over(
    spec: PartSpec, at: int, start: Array, steps: Steps, goes: Array
) -> Iterator[Array]:
    """Other sizes of what goes with a base, none changed first."""
    least = 0.0 if spec.size_by is SizeBy.EASE else -np.inf
    for by in dict.fromkeys(_own_sizes(spec, at, start, steps, goes)):
        if min(a + b for a, b in zip(spec.size_mm, by, strict=True)) <= least and any(by):
            continue
        yield changed(start, *columns_of(spec.grown_by(by), at))


def _standing(
    spec: PartSpec, design: Design, start: Array, steps: Steps, goes: Array
) -> Iterator[Array]:
    """Other sizes of what stands in a base, given by a table, beside its own and those that go."""
    own = [(one, at) for one, at in parts_at(design) if one.place == spec.place]
    by = (goes - start).reshape(-1, EACH)
    far = np.sum([own_sizes(one, by[at // EACH], by[0]) for one, at in own], axis=0)
    ways = [(0.0, 0.0)]
    if np.abs(far).max() > SAME_MM:
        ways.append((float(far[0]), float(far[1])))
    for there in ways:
        sizes = spec.size_mm[0] + there[0], spec.size_mm[1] + there[1]
        for wide, long in steps_of_both(sizes, steps.size_mm):
            more = there[0] + wide, there[1] + long
            least = min(a + b for a, b in zip(spec.size_mm, more, strict=True))
            if least > SAME_MM and not rattles(design, spec, more, start[: LENGTH + 1]):
                columns = [columns_of(one.grown_by(more), at) for one, at in own]
                change = changed(start, *itertools.chain(*columns))
                if change.any():
                    yield change


def _own_sizes(
    lid: PartSpec, at: int, start: Array, steps: Steps, goes: Array
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
        np.array(lid.sizes_over(*(row[at:][columns] - row[columns]).tolist()))
        for row in (start, goes)
    )
    sizes = over if lid.follows_base else start[at : at + 2]
    yield from itertools.product(*(around(size, step) for size in sizes.tolist()))
    far = there - over
    if np.abs(far).max() > step:
        ways = [
            [mm + by for by in around(size + mm, step)]
            for size, mm in zip(sizes.tolist(), far.tolist(), strict=True)
        ]
        yield from itertools.product(*ways)
