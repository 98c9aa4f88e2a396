"""The smallest plan that a design's contents need, for a base that is sized round them."""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from functools import partial

import numpy as np

from fitcheck.design.model import Design
from fitcheck.errors import InputError
from fitcheck.fit.remembered import MEMORY
from fitcheck.folding.pose import Array
from fitcheck.kinds.kind import lays
from fitcheck.packing.arrange import WORK, arrange
from fitcheck.packing.placing import Demand, Outcome
from fitcheck.packing.room import Room
from fitcheck.workspace.progress import SILENT, Progress

Sides = tuple[float, float]

QUICK_WORK = 0.2
MOST_WORK = 0.5 * WORK
"""Of the solver in one room, and in all of them together."""
MOST_ROOMS = 400
FEWEST_ROOMS = 10
MOST_PAIRS = 40_000
"""Pairs of bodies in all rooms together."""
MOST_SINGLES = 1000
STEPS, STEP = 40, 1.04
"""Rooms that are tried beyond the smallest ones, and how their areas grow at the least."""
LONGEST_SHAPE = 2.5
"""A base is not much longer than so many times its width where that can be (common practice, no
source)."""
CARD_SHAPE = 1.6
"""Up to a card's proportions (ISO/IEC 7810: 85.60 by 53.98) no room is squarer than another."""
MORE_PAPER = 1.15
"""A room that is not so long may take so many times the paper (own rule; common practice, no
source)."""
MOST_SQUARER = 40
LONGEST_MM = 1000.0
SAME_MM = 1e-6


def contents_footprint(
    design: Design,
    heights: Iterable[tuple[float, float]],
    wall_mm: float,
    progress: Progress = SILENT,
) -> Sides:
    """Width and length of the smallest room that the contents were arranged in, mm.

    Where that is longer than 2.5 times its width, a shorter one that takes up to 15 % more paper
    is taken, the nearest to a card's proportions; paper is the sheet of a tray with such walls.

    `heights` are tried in turn, each with where the rim is over which nothing is piled, and only
    made when those before hold nothing.
    Candidate sides are sums of the contents' own sizes; rooms are tried from the smallest area
    up, a wider-than-long room after its like turned, then in growing steps. Raises InputError
    when none of the rooms tried holds the contents.
    """
    demands, left, highest = _demands(design), MOST_WORK, 0.0
    tried: set[tuple[float, float]] = set()
    for height, rim in heights:
        if (height, rim) in tried:
            continue
        tried.add((height, rim))
        known = contents_footprint, demands, height, rim, wall_mm, left
        found, left = MEMORY.of(
            known, partial(_smallest_holding, demands, (height, rim), wall_mm, left, progress)
        )
        if found is not None:
            return found
        if math.isfinite(height):
            highest = max(highest, height)
    raise InputError(
        f"{design.path or design.name}: base.slack: the contents could not be arranged in a room "
        f"{highest:.2f} mm high; give floor, inside or opening instead, or a deeper base"
    )


def _demands(design: Design) -> tuple[Demand, ...]:
    return tuple(Demand(c.item.name, lays(c.item, c.lay), c.count) for c in design.contents)


def largest_sides(design: Design) -> Sides:
    """Width and length that each of the contents goes into by itself, in its smallest lay, mm."""
    smallest = [min(own.poses, key=lambda pose: pose.area_mm2) for own in _demands(design)]
    sides = [sorted((pose.width_mm, pose.length_mm)) for pose in smallest]
    return max(width for width, _ in sides), max(length for _, length in sides)


def _smallest_holding(
    demands: Sequence[Demand],
    height_and_rim: tuple[float, float],
    wall_mm: float,
    work: float,
    progress: Progress,
) -> tuple[Sides | None, float]:
    """The smallest room tried that holds all, if one does, and the work that is left."""
    height, rim = height_and_rim
    rooms = _rooms(demands, height)
    number, left = _first_holding(rooms, demands, height, rim, work, progress)
    if number is None:
        return None, left
    squarer = _squarer(rooms[number], rooms[number + 1 :], wall_mm)[:MOST_SQUARER]
    better, _ = _first_holding(squarer, demands, height, rim, left)
    return rooms[number] if better is None else squarer[better], left


def _first_holding(
    rooms: Sequence[Sides],
    demands: Sequence[Demand],
    height: float,
    rim: float,
    work: float,
    progress: Progress = SILENT,
) -> tuple[int | None, float]:
    """The place of the first of some rooms that holds all, and the work that is left."""
    for number, (width, length) in enumerate(rooms):
        progress.step(number, len(rooms), "arranging the contents to size the base")
        found = arrange(Room(width, length, height, rim), demands, min(QUICK_WORK, work))
        work = max(0.0, work - found.work)
        if found.outcome is Outcome.FOUND:
            return number, work
    return None, work


def _squarer(found: Sides, rooms: Sequence[Sides], wall_mm: float) -> list[Sides]:
    """Rooms that are shorter than a long one and take little more paper, those that are nearest to
    a card's proportions and then take least first."""
    if _shape(found) <= LONGEST_SHAPE:
        return []

    def paper(room: Sides) -> float:
        return (room[0] + 2.0 * wall_mm) * (room[1] + 2.0 * wall_mm)

    near = [
        room
        for room in rooms
        if max(room) < max(found) - SAME_MM and paper(room) <= MORE_PAPER * paper(found)
    ]
    return sorted(near, key=lambda room: (max(_shape(room), CARD_SHAPE), paper(room)))


def _shape(room: Sides) -> float:
    """How many times as long as wide it is."""
    return max(room) / min(room)


def _rooms(demands: Sequence[Demand], height_mm: float) -> list[Sides]:
    """Candidate rooms, smallest area first; none where a content is too high in every lay."""
    low = [[p for p in demand.poses if p.height_mm <= height_mm] for demand in demands]
    if not all(low):
        return []
    sides = _sums(demands)
    least_area = _least_area(demands, height_mm) * (1.0 - 1e-9)
    widest = min(min(p.width_mm, p.length_mm) for poses in low for p in poses)
    widths = sides[sides >= widest]
    rooms = _smallest(widths, sides, least_area, most_rooms(demands))
    return rooms + _grown(widths, sides, rooms[-1]) if rooms else []


def _smallest(widths: Array, lengths: Array, least_mm2: float, most: int) -> list[Sides]:
    """The smallest rooms of at least an area, by their area, then the squarest first."""
    first = np.searchsorted(lengths, least_mm2 / widths)
    started = np.flatnonzero(first < len(lengths))
    areas = widths[started] * lengths[first[started]]
    if not len(areas):
        return []
    # of each width only the lengths that may be among the smallest rooms are looked at
    last = np.sort(areas)[:most][-1]
    pairs = heapq.merge(
        *(_of_width(float(widths[i]), lengths[first[i] :]) for i in started[areas <= last])
    )
    return [(width, length) for _, _, _, width, length in itertools.islice(pairs, most)]


def _grown(widths: Array, lengths: Array, last: Sides) -> list[Sides]:
    """Rooms beyond the last one in steps of area, of each step the squarest.

    The smallest rooms of many bodies hardly differ and are all too small, as no arrangement is
    without gaps.
    """
    grown: list[Sides] = []
    area = last[0] * last[1]
    for _ in range(STEPS):
        first = np.searchsorted(lengths, area * STEP / widths)
        there = np.flatnonzero(first < len(lengths))
        if not len(there):
            break
        pairs = np.column_stack([widths[there], lengths[first[there]]])
        areas = pairs.prod(axis=1)
        near = areas <= max(areas.min(), area * STEP**2)
        squarest = np.argmin(np.where(near, pairs.max(axis=1), math.inf))
        width, length = pairs[squarest].tolist()
        grown.append((width, length))
        area = width * length
    return grown


def _of_width(width: float, lengths: Array) -> Iterator[tuple[float, float, float, float, float]]:
    """Rooms of one width, the shortest first, each after what it is put in order by."""
    for length in lengths.tolist():
        yield round(width * length, 6), max(width, length), -length, width, length


def most_rooms(demands: Sequence[Demand]) -> int:
    """How many rooms are tried: the fewer the more bodies there are to arrange in each."""
    bodies = sum(demand.count for demand in demands)
    return max(FEWEST_ROOMS, min(MOST_ROOMS, MOST_PAIRS // bodies**2))


def _sums(demands: Sequence[Demand]) -> Array:
    """Sides made of up to `count` equal sizes of each demand, and of one size of each, sorted.

    Of very many, those made of the fewest bodies.
    """
    sizes = {(s, d.count) for d in demands for p in d.poses for s in (p.width_mm, p.length_mm)}
    most = {size: max(count for other, count in sizes if other == size) for size, _ in sizes}
    multiples = sorted(
        (n, n * size)
        for size, count in most.items()
        for n in range(1, min(count, int(LONGEST_MM / size)) + 1)
    )
    singles = np.array([side for _, side in multiples[:MOST_SINGLES]])
    sums = np.concatenate([singles, (singles[:, None] + singles).ravel()])
    sums = np.sort(sums[sums <= LONGEST_MM])
    apart = np.diff(sums, prepend=-math.inf) > SAME_MM
    different: Array = sums[apart]
    return different


def _least_area(demands: Sequence[Demand], height_mm: float) -> float:
    """No room is smaller than the contents' volume over its height, nor than any one content."""
    volume = sum((min(p.least_volume_mm3 for p in d.poses) * d.count for d in demands), 0.0)
    single = max(min(p.area_mm2 for p in d.poses) for d in demands)
    return max(single, volume / height_mm if math.isfinite(height_mm) else 0.0)
