"""Parts that stand in the base, each in its place there: walls to all that goes in afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from fitcheck.fit.assembly import Assembly
from fitcheck.fit.mates import Both, Placed, parts_of, placed, straight_mates
from fitcheck.fit.walls import Filled, Walls
from fitcheck.folding.parts import FoldedPart, pieces_in
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import Array
from fitcheck.styles.mates import Into, Mate, Over

Stood = tuple[Placed, ...]


@lru_cache(maxsize=8)
def stood_in(assembly: Assembly) -> Stood:
    """What stands in an assembly's base, in place as designed."""
    base = assembly.design.base.name
    mates = [mate for mate in straight_mates(assembly.design) if isinstance(mate, Into)]
    return tuple(placed(mate, parts_of(mate, assembly)) for mate in mates if mate.holder == base)


def neck_of(assembly: Assembly) -> Placed | None:
    """What stands in the base and has the lid over it; None where the lid goes over the base."""
    over = {mate.holder for mate in assembly.design.mates if isinstance(mate, Over)}
    return next((own for own in stood_in(assembly) if own.mate.mover in over), None)


def both_of(mate: Mate, parts: Sequence[FoldedPart]) -> Both:
    """A mate's mover and holder among the parts of a box."""
    named = {part.name: part for part in parts}
    return named[mate.mover], named[mate.holder]


def stood_parts(assembly: Assembly) -> list[tuple[FoldedPart, Array]]:
    """What stands in an assembly's base, each with its pose (4, 4) there."""
    boths = [(own, parts_of(own.mate, assembly)) for own in stood_in(assembly)]
    return [(both[0], own.pose_in(both)) for own, both in boths]


def walls_of(stood: Stood, parts: Sequence[FoldedPart]) -> Walls:
    """The walls inside one box, given by its parts, the base first."""
    base = parts[0]
    if not stood:
        return base
    boths = [both_of(own.mate, parts) for own in stood]
    pieces, height = base.pieces, base.height_mm
    for own, both in zip(stood, boths, strict=True):
        pieces = pieces.beside(own.movers([both]))
        height = max(height, base.height_mm + own.stands_out([both])[0])
    return Filled(base, [mover for mover, _ in boths], pieces, height)


def walls_in(stood: Stood, boxes: Sequence[Sequence[FoldedPart]]) -> Pieces:
    """The pieces of the walls inside many boxes."""
    pieces = pieces_in([parts[0] for parts in boxes])
    for own in stood:
        pieces = pieces.beside(own.movers([both_of(own.mate, parts) for parts in boxes]))
    return pieces
