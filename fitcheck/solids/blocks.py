"""Blocks that stand for a box's outside or inside, and a box with thick walls, from numbers.

Each stands on z = 0, centred on the z axis, the way the box is used, so that no rim or wall
that is measured lies on the printer's bed.
"""

import enum
from typing import Any

from fitcheck.errors import InputError
from fitcheck.solids.correction import IDENTITY, Correction
from fitcheck.solids.modeller import load_cadquery

LEAST_WALL_MM = 1.2
"""Three passes of the usual 0.4 mm nozzle: thinner walls flex or do not print."""


class Side(enum.StrEnum):
    """Which side of a thick-walled box is true to size."""

    OUTSIDE = "outside"
    INSIDE = "inside"


def block(
    width_mm: float, length_mm: float, height_mm: float, correction: Correction = IDENTITY
) -> Any:
    """A full block whose print measures width (x), length (y), height (z); a cadquery solid."""
    return _standing(*correction.outside(width_mm, length_mm, height_mm))


def walled_box(
    width_mm: float,
    length_mm: float,
    height_mm: float,
    *,
    wall_mm: float,
    true: Side,
    correction: Correction = IDENTITY,
) -> Any:
    """A box open at the top whose outside or inside is true to the sizes given.

    With ``true`` outside, the height is the outside height; with inside, the depth inside. The
    floor is as thick as the walls. Raises ``InputError`` for walls that do not print or leave no
    room; returns a cadquery solid.
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
    outer = correction.outside(*outside)
    depth = correction.depth(inside[2])
    # The rim is cut well clear, so that no face of the cut lies in a face of the box.
    room = _standing(*correction.inside(*inside[:2]), depth + 1.0)
    return outer_minus(_standing(*outer), room.translate((0, 0, outer[2] - depth)))


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


def outer_minus(outer: Any, room: Any) -> Any:
    """One solid with another taken out."""
    (solid,) = outer.cut(room).Solids()
    return solid


def _standing(x_mm: float, y_mm: float, z_mm: float) -> Any:
    cadquery = load_cadquery()
    corner = cadquery.Vector(-x_mm / 2, -y_mm / 2, 0)
    return cadquery.Solid.makeBox(x_mm, y_mm, z_mm, corner)
