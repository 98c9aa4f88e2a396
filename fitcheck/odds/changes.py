"""Changes of a row of lengths that a maker can set, with what they change in all that follows."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from fitcheck.design.model import Design
from fitcheck.fit.remarks import SEEN_MM
from fitcheck.folding.pose import Array
from fitcheck.odds.grid import SAME_MM, around, beside
from fitcheck.odds.remarks import Eased
from fitcheck.odds.sizes import DEPTH, EACH, FLAP, FRAME, INNER, LENGTH, WIDTH, columns_of
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.styles.rolled import RolledSpec

FEW_CALIPERS = 6
"""No wall is made lower than this many calipers."""
LEAST, MOST = 0.55, 1.8
"""No length becomes less or more than these shares of what it was: another box is not asked for."""


def sized(design: Design) -> list[PartSpec]:
    """A part of each table, which says the sizes of all that the table gives."""
    first: dict[str, PartSpec] = {}
    for spec in design.parts:
        first.setdefault(spec.place, spec)
    return list(first.values())


def can_be_written(spec: PartSpec) -> bool:
    """Whether a design file takes a part's sizes: only what is over a base may be less than 0."""
    return spec.size_by in (SizeBy.OVERSIZE, SizeBy.SAME_SHEET) or min(spec.size_mm) > 0.0


def has_ring(design: Design) -> bool:
    """Whether a lid goes over what stands out of its base."""
    return sum(not spec.fills_base for spec in design.parts) > 2


def rattles(design: Design, spec: PartSpec, more: tuple[float, float], floor: Array) -> bool:
    """Whether sizes changed by so much make loose what stands in a base on a floor (2,) mm.

    What is loose already may stay so.
    """
    sign = -1.0 if spec.size_by is SizeBy.CUT else 1.0
    eases = spec.ease_in(*floor.tolist())
    return any(
        ease + sign * mm > max(design.bands.loose_mm, ease) + SAME_MM
        for ease, mm in zip(eases, more, strict=True)
    )


def live(design: Design, place: str) -> list[bool]:
    """Which of a table's two sizes change anything: strips may all run one way."""
    own = [spec for spec in design.parts if spec.place == place]
    return [
        any(mm for spec in own for mm in spec.grown_by(sizes).values())
        for sizes in ((1.0, 0.0), (0.0, 1.0))
    ]


def not_rattling(design: Design, start: Array, rows: Array, drawers: Mapping[str, Eased]) -> Array:
    """Those changes (m, s) of a row with which no drawer rattles in what it goes along."""
    columns = [WIDTH, LENGTH, DEPTH]
    good = np.ones(len(rows), dtype=bool)
    for spec, at in parts_at(design):
        if spec.name in drawers and len(rows):
            beyond = (rows + start)[:, at:][:, columns] - (rows + start)[:, columns]
            eases = np.array([spec.sizes_over(*own) for own in beyond.tolist()])
            good &= ~drawers[spec.name].rattles(eases)
    return rows[good]


def parts_at(design: Design) -> Iterator[tuple[PartSpec, int]]:
    """Each part, and where its lengths begin in a row."""
    return zip(design.parts, itertools.count(0, EACH), strict=False)


def changed(start: Array, *by: tuple[int, float]) -> Array:
    """A change of a row like `start` (s,): some of its columns by so many mm each."""
    found = np.zeros(len(start))
    for column, mm in by:
        found[column] += mm
    return found


def followed(design: Design, change: Array, step_mm: float = 0.0) -> Array:
    """A change of a base (s,) with what it changes in all that goes with it.

    What has a size of its own, as a lid's or that of strips that are cut to size, follows by whole
    steps.
    """
    wide, long, deep, frame = change[[WIDTH, LENGTH, DEPTH, FRAME]].tolist()
    found = change.copy()
    for spec, at in parts_at(design):
        if not at:
            continue
        less = 2.0 * frame if spec.fills_base else 0.0
        by = [spec.follows(wide - less, long - less, deep)]
        if not spec.follows_base or spec.size_by is SizeBy.CUT:
            more = [mm - less for mm in (wide, long)]
            more = [round(mm / step_mm) * step_mm for mm in more] if step_mm else more
            by.append(spec.grown_by((more[0], more[1])))
        for column, mm in itertools.chain(*(columns_of(one, at) for one in by)):
            found[column] += mm
    return found


def depths_of(spec: PartSpec, step_mm: float, *, other: bool) -> Iterator[float]:
    """Depths in the grooves on both sides, no lower than is sensible.

    For one that lies in a groove these are the next ones where `other` depths are wanted.
    """
    low = FEW_CALIPERS * spec.stock.caliper_mm
    for depth in steps_beside(spec.depth_mm, step_mm, 1 if other else 0):
        if depth > low and SAME_MM < abs(depth - spec.depth_mm) < step_mm + SAME_MM:
            yield depth


def lower_ones(spec: PartSpec, design: Design, start: Array, step_mm: float) -> Iterator[Array]:
    """Changes of a row that make what a table puts into the base lower, on whole steps."""
    for by in around(spec.depth_mm, step_mm):
        if spec.own_height and by < 0.0 and spec.depth_mm + by > LEAST * spec.depth_mm:
            own = (at for one, at in parts_at(design) if one.place == spec.place)
            yield changed(start, *((at + DEPTH, by) for at in own))


def steps_beside(size_mm: float, step_mm: float, beyond: int = 0) -> list[float]:
    """The steps beside a length that leave it about as long as it was."""
    near = beside(size_mm, step_mm, beyond)
    return [mm for mm in near if LEAST * size_mm < mm < MOST * size_mm]


def rolls_of(
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
    stepped = {at: steps_beside(mm, step_mm) for at, mm in as_is.items()}
    stepped[INNER] = [mm for mm in stepped[INNER] if abs(mm - level) < tilts + SAME_MM]
    seen: set[tuple[float, ...]] = set()
    for count in range(len(order) + 1):
        ways = [stepped[at] for at in order[:count]] + [[as_is[at]] for at in order[count:]]
        for chosen in itertools.product(*ways):
            if chosen not in seen:
                seen.add(chosen)
                yield tuple((at, mm - now[at]) for at, mm in zip(order, chosen, strict=True))
