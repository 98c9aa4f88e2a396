"""A hand-drawn part with cut-outs: a floor and four walls that stand up, none like another.

From the left: a wall 18 mm deep with a slot at its rim, a floor 70 mm wide and 50 mm long with a
window off its middle, a wall 22 mm deep with a round hole. In front a wall 25 mm deep with a thumb
notch of 9.525 mm (3/8 in) radius off the middle of its rim; at the back one 31 mm deep with its two
outer corners rounded by 6 mm.
"""

from __future__ import annotations

import math

from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.cutouts import Cutout, CutoutKind
from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.sheet import Corner, Fence, Knife, Rule, Sheet

LEFT, FLOOR, RIGHT = 18.0, 70.0, 22.0
FRONT, DEEP, BACK = 25.0, 50.0, 31.0
RADIUS = 9.525
THUMB_X = LEFT + 30.0
"""Where the thumb notch's middle is across the sheet."""
ROUND = 6.0
QUARTER = math.tan(math.pi / 8)
"""The bulge of a quarter round."""
SLOT_LOW, SLOT_HIGH, SLOT_DEEP = FRONT + 12.0, FRONT + 12.6, 9.3
HOLE_RADIUS, HOLE_X, HOLE_Y = 4.0, LEFT + FLOOR + 10.0, FRONT + 31.0
WINDOW = (LEFT + 11.0, FRONT + 9.0, LEFT + 52.0, FRONT + 31.0)
THUMB = Knife("front wall's thumb notch")


def at(x: float, y: float, *, knife: Knife | None = None, grow: float = 0.0) -> Corner:
    """A corner so far from the left and the bottom edge; a knife's error moves it along x."""
    return Corner(
        Rule(Fence.LEFT, x), Rule(Fence.BOTTOM, y), cut_x=knife, grow_x=grow if knife else 0.0
    )


def quad(left: float, bottom: float, right: float, top: float) -> tuple[Corner, ...]:
    return at(left, bottom), at(right, bottom), at(right, top), at(left, top)


def thumb_notch() -> Cutout:
    """A half round open at the rim; its two ends are on a rule of the sheet's edge."""
    ends = tuple(
        Corner(
            Rule(Fence.LEFT, THUMB_X), Rule(Fence.BOTTOM, 0.0), side * RADIUS, 0.0, THUMB,
            grow_x=side,
        )
        for side in (-1.0, 1.0)
    )  # fmt: skip
    return Cutout("thumb notch", CutoutKind.NOTCH, ends, (1.0,))


def slot() -> Cutout:
    return Cutout(
        "slot",
        CutoutKind.NOTCH,
        (at(0.0, SLOT_LOW), at(SLOT_DEEP, SLOT_LOW), at(SLOT_DEEP, SLOT_HIGH), at(0.0, SLOT_HIGH)),
    )


def window() -> Cutout:
    return Cutout("window", CutoutKind.WINDOW, quad(*WINDOW))


def hole() -> Cutout:
    ends = at(HOLE_X - HOLE_RADIUS, HOLE_Y), at(HOLE_X + HOLE_RADIUS, HOLE_Y)
    return Cutout("hole", CutoutKind.WINDOW, ends, (1.0, 1.0))


def cut_box(*, cut: bool = True) -> Pattern:
    """The part, with its cut-outs or without; the rounded corners stay."""
    x1, x2 = LEFT, LEFT + FLOOR
    y1, y2, y3 = FRONT, FRONT + DEEP, FRONT + DEEP + BACK

    def cuts(*own: Cutout) -> tuple[Cutout, ...]:
        return own if cut else ()

    back = Panel(
        "back wall",
        Role.WALL,
        (at(x1, y2), at(x2, y2), at(x2, y3 - ROUND), at(x2 - ROUND, y3), at(x1 + ROUND, y3),
         at(x1, y3 - ROUND)),
        (0.0, 0.0, QUARTER, 0.0, QUARTER, 0.0),
    )  # fmt: skip
    return Pattern(
        "tray",
        Sheet(x2 + RIGHT, y3),
        (
            Panel("floor", Role.FLOOR, quad(x1, y1, x2, y2), cutouts=cuts(window())),
            Panel("front wall", Role.WALL, quad(x1, 0.0, x2, y1), cutouts=cuts(thumb_notch())),
            back,
            Panel("left wall", Role.WALL, quad(0.0, y1, x1, y2), cutouts=cuts(slot())),
            Panel("right wall", Role.WALL, quad(x2, y1, x2 + RIGHT, y2), cutouts=cuts(hole())),
        ),
        (
            CreaseLine("floor", "front wall", at(x1, y1), at(x2, y1)),
            CreaseLine("floor", "back wall", at(x1, y2), at(x2, y2)),
            CreaseLine("floor", "left wall", at(x1, y1), at(x1, y2)),
            CreaseLine("floor", "right wall", at(x2, y1), at(x2, y2)),
        ),
    )


def area_by_hand() -> float:
    """The paper of the part with its cut-outs, mm2."""
    whole = DEEP * (LEFT + FLOOR + RIGHT) + FLOOR * (FRONT + BACK)
    window_mm2 = (WINDOW[2] - WINDOW[0]) * (WINDOW[3] - WINDOW[1])
    corners = 2.0 * (ROUND**2 - math.pi * ROUND**2 / 4)
    cuts = math.pi * RADIUS**2 / 2 + SLOT_DEEP * (SLOT_HIGH - SLOT_LOW) + math.pi * HOLE_RADIUS**2
    return whole - window_mm2 - corners - cuts
