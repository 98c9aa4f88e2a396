"""Parts that stand in the base, each in its place there: walls to all that goes in afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fitcheck.fit.assembly import Assembly
from fitcheck.fit.grids import Compartments, compartments_in
from fitcheck.fit.placed import Placed, both_of, parts_of, placed, straight_mates
from fitcheck.fit.walls import Filled, Walls, round_contents
from fitcheck.fit.way_in import clear_sides
from fitcheck.folding.parts import FoldedPart, pieces_in
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, Array, translation
from fitcheck.pattern.panes import window_mm
from fitcheck.styles.mates import Into, Over

Place = tuple[float, float]
MIDDLE: Place = (0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Stood:
    """What stands in a base, in place as designed."""

    mates: tuple[Placed, ...] = ()
    room_mm: Place = MIDDLE
    """The middle of the room that contents go into: of the base's floor, or of the tightest of its
    compartments."""
    compartments: Compartments | None = None
    inside_mm: tuple[float, float] | None = None
    """About how large the room is; None where it is the base's or a ring's."""
    raised: bool = False
    """Whether contents stand on top of it and not on the base's floor."""
    underlaid: bool = False
    """Whether they stand on flaps of the base itself that are turned in over its floor."""


@lru_cache(maxsize=8)
def stood_in(assembly: Assembly) -> Stood:
    """What stands in an assembly's base."""
    base = assembly.design.base.name
    mates = [mate for mate in straight_mates(assembly.design) if isinstance(mate, Into)]
    own = tuple(placed(mate, parts_of(mate, assembly)) for mate in mates if mate.holder == base)
    parts = [part.folded for part in assembly.parts]
    if assembly.base.folded.floor_rise_mm:
        return Stood(underlaid=True)
    rooms = compartments_in(assembly.base.sizes.inside_mm, parts)
    if rooms is None:
        return _on_insert(own, parts)
    return _tightest(own, rooms, parts)


def _on_insert(own: tuple[Placed, ...], parts: Sequence[FoldedPart]) -> Stood:
    """What lies under the contents has a window for them, or they stand on it."""
    named = {part.name: part for part in parts}
    movers = [named[name] for one in own for name in one.mate.movers]
    under = [part for part in movers if not part.pattern.on_end]
    if not under:
        return Stood(own)
    window = window_mm(under[0].pattern)
    return Stood(own, raised=True) if window is None else Stood(own, inside_mm=window)


def _tightest(own: tuple[Placed, ...], rooms: Compartments, parts: Sequence[FoldedPart]) -> Stood:
    """The compartment with the least room along either axis, each as a square body finds it.

    What bounds a compartment along one axis hangs on its column or its row alone, so that the
    narrowest column crosses the shortest row in the tightest compartment.
    """
    middles = [sorted({at[k] for at in rooms.middles()}) for k in range(2)]

    def clear(x: float, y: float) -> tuple[float, float]:
        return clear_sides(walls_of(Stood(own, (x, y)), parts), rooms.size_mm)

    wide = {x: clear(x, middles[1][0])[0] for x in _ends(middles[0])}
    long = {y: clear(middles[0][0], y)[1] for y in _ends(middles[1])}
    x, y = min(wide, key=lambda at: wide[at]), min(long, key=lambda at: long[at])
    return Stood(own, (x, y), rooms, rooms.size_mm)


def further_rooms(stood: Stood) -> list[Place]:
    """The middles of the compartments beside the tightest, from its own; none without a grid."""
    rooms = stood.compartments
    if rooms is None:
        return []
    x, y = stood.room_mm
    away = [(across - x, along - y) for across, along in rooms.middles()]
    return [one for one in away if one != MIDDLE]


def _ends(middles: list[float]) -> list[float]:
    """The first, the second and the last: those between strips are alike."""
    return list(dict.fromkeys([*middles[:2], middles[-1]]))


def neck_of(assembly: Assembly) -> Placed | None:
    """What stands in the base and has the lid over it; None where the lid goes over the base."""
    over = {mate.holder for mate in assembly.design.mates if isinstance(mate, Over)}
    return next((own for own in stood_in(assembly).mates if own.mate.mover in over), None)


def stood_parts(assembly: Assembly) -> list[tuple[FoldedPart, Array]]:
    """What stands in an assembly's base, as often as it does, each with its pose (4, 4) there."""
    return [
        one
        for own in stood_in(assembly).mates
        for one in own.poses_in(parts_of(own.mate, assembly))
    ]


def walls_of(stood: Stood, parts: Sequence[FoldedPart]) -> Walls:
    """The walls inside one box, given by its parts, the base first; round the room's middle."""
    return walls_each(stood, [parts])[0]


def walls_each(stood: Stood, boxes: Sequence[Sequence[FoldedPart]]) -> list[Walls]:
    """The walls inside each of many boxes, given by their parts; round the room's middle."""
    if not stood.mates:
        return [round_contents(parts[0]) for parts in boxes]
    bases = [parts[0].opened for parts in boxes]
    inner: list[list[FoldedPart]] = [[] for _ in boxes]
    heights = [base.height_mm for base in bases]
    for own in stood.mates:
        boths = [both_of(own.mate, parts) for parts in boxes]
        for k, (both, out) in enumerate(zip(boths, own.stands_out(boths), strict=True)):
            inner[k] += both[:-1]
            heights[k] = max(heights[k], bases[k].height_mm + out)
    pieces = walls_in(stood, boxes)
    return [
        Filled(base, own, pieces.of_box(k), height)
        for k, (base, own, height) in enumerate(zip(bases, inner, heights, strict=True))
    ]


def walls_in(stood: Stood, boxes: Sequence[Sequence[FoldedPart]]) -> Pieces:
    """The pieces of the walls inside many boxes, round the room's middle."""
    pieces = pieces_in([parts[0].opened for parts in boxes])
    for own in stood.mates:
        boths = [both_of(own.mate, parts) for parts in boxes]
        pieces = pieces.beside(own.movers(boths, open_=stood.inside_mm is not None))
    return _round(stood, pieces, boxes)


def rises_mm(stood: Stood, boxes: Sequence[Sequence[FoldedPart]]) -> list[float]:
    """How high over its base's floor the contents of each box stand."""
    if not stood.raised:
        return [parts[0].floor_rise_mm for parts in boxes]
    own = stood.mates[0]
    boths = [both_of(own.mate, parts) for parts in boxes]
    tops = own.tops_mm(boths)
    return [top - both[-1].caliper_mm for top, both in zip(tops, boths, strict=True)]


def _round(stood: Stood, pieces: Pieces, boxes: Sequence[Sequence[FoldedPart]]) -> Pieces:
    """The pieces with the room's middle at the origin, and what contents stand on as a floor."""
    if stood.raised or stood.underlaid:
        rises = rises_mm(stood, boxes)
        if len(rises) == 1:  # whatever box it is among others
            return pieces.moved(translation(-UP * rises[0]))
        return pieces.moved(np.eye(4), -np.array(rises))
    if stood.room_mm == MIDDLE:
        return pieces
    return pieces.moved(translation(-np.array([*stood.room_mm, 0.0])))
