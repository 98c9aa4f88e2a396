"""Blocks that stand for a box's outside or inside, and a box with thick walls, from numbers.

Each stands on z = 0, centred on the z axis, the way the box is used, so that no rim or wall
that is measured lies on the printer's bed.
"""

import enum

from fitcheck.errors import InputError
from fitcheck.solids.body import Body, Room, rectangle
from fitcheck.solids.correction import IDENTITY, Correction

LEAST_WALL_MM = 1.2
"""Three passes of the usual 0.4 mm nozzle: thinner walls flex or do not print."""
CLEAR_MM = 1.0
"""How far a room is cut beyond the rim, so that none of its faces lies in a face of the box."""


class Side(enum.StrEnum):
    """Which side of a thick-walled box is true to size."""

    OUTSIDE = "outside"
    INSIDE = "inside"


def block(
    width_mm: float, length_mm: float, height_mm: float, correction: Correction = IDENTITY
) -> Body:
    """A full block whose print measures width (x), length (y), height (z)."""
    x, y, z = correction.outside(width_mm, length_mm, height_mm)
    return Body(rectangle(x, y), z)


def walled_box(
    width_mm: float,
    length_mm: float,
    height_mm: float,
    *,
    wall_mm: float,
    true: Side,
    correction: Correction = IDENTITY,
) -> Body:
    """A box open at the top whose outside or inside is true to the sizes given.

    With ``true`` outside, the height is the outside height; with inside, the depth inside. The
    floor is as thick as the walls. Raises ``InputError`` for walls that do not print or leave no
    room.
    """
    if not wall_mm >= LEAST_WALL_MM:
        raise InputError(
            f"a printed wall of {wall_mm:g} mm is too thin: allowed is {LEAST_WALL_MM:g} mm or more"
        )
    outside, inside = walled_sizes(width_mm, length_mm, height_mm, wall_mm, true)
    if min(inside) <= 0:
        raise InputError(
            f"walls of {wall_mm:g} mm leave no room in a box of {width_mm:.2f} x {length_mm:.2f} x "
            f"{height_mm:.2f} mm outside: choose thinner walls or an inside-true box"
        )
    x, y, z = correction.outside(*outside)
    depth = correction.depth(inside[2])
    room = Room(rectangle(*correction.inside(*inside[:2])), z - depth, z + CLEAR_MM)
    return Body(rectangle(x, y), z, rooms=(room,))


def walled_sizes(
    width_mm: float, length_mm: float, height_mm: float, wall_mm: float, true: Side
) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Outside and inside sizes of a thick-walled box.

    >>> walled_sizes(50.0, 60.0, 20.0, 1.5, Side.INSIDE)
    ((53.0, 63.0, 21.5), (50.0, 60.0, 20.0))
    """
    given = (width_mm, length_mm, height_mm)
    grown = (2 * wall_mm, 2 * wall_mm, wall_mm)
    sign = 1 if true is Side.INSIDE else -1
    x, y, z = (size + sign * growth for size, growth in zip(given, grown, strict=True))
    return ((x, y, z), given) if true is Side.INSIDE else (given, (x, y, z))
