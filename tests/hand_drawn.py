"""Patterns that tests draw by hand: strips and trays of kinds that no style draws yet."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fitcheck.pattern.bonds import Bond, Face, corner, lining
from fitcheck.pattern.creases import CreaseKind, CreaseLine
from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.sheet import Corner, Fence, Rule, Sheet

QUARTER = math.pi / 2
Edge = Rule | tuple[Rule, float]
"""A rule, or one and a cut's own offset from it."""


def strip(
    names: Sequence[str],
    widths: Sequence[float],
    angles: Sequence[float],
    bonds: Sequence[Bond] = (),
    *,
    length: float = 60.0,
    kinds: Sequence[CreaseKind] | None = None,
    upright: bool = True,
    far: bool = False,
) -> Pattern:
    """Panels side by side from the sheet's near edge, the last one the root, or the first one.

    Scores run along the length, or the width; `far` turns the strip round.
    """
    near, end = (Fence.LEFT, Fence.RIGHT) if upright else (Fence.BOTTOM, Fence.TOP)
    side, other = (Fence.BOTTOM, Fence.TOP) if upright else (Fence.LEFT, Fence.RIGHT)
    places = [0.0]
    for width in widths:
        places.append(places[-1] + width)
    total = places[-1]
    rules = [Rule(near, at) for at in places[:-1]] + [Rule(end, 0.0)]
    if far:
        rules = [Rule(end, at) for at in places[:-1]] + [Rule(near, 0.0)]
    ends = Rule(side, 0.0), Rule(other, 0.0)

    def spot(rule: Rule, across: Rule) -> Corner:
        return Corner(rule, across) if upright else Corner(across, rule)

    panels, creases = [], []
    for k, name in enumerate(names):
        low, high = rules[k : k + 2]
        round_ = (spot(low, ends[0]), spot(high, ends[0]), spot(high, ends[1]))
        corners = (*round_, spot(low, ends[1]))
        turned = upright == far
        panels.append(Panel(name, Role.WALL, corners[::-1] if turned else corners))
    for k, angle in enumerate(angles):
        at = rules[k + 1]
        kind = CreaseKind.SCORED if kinds is None else kinds[k]
        creases.append(
            CreaseLine(names[k + 1], names[k], spot(at, ends[0]), spot(at, ends[1]), angle, kind)
        )
    size = Sheet(total, length) if upright else Sheet(length, total)
    return Pattern("strip", size, tuple(panels[::-1]), tuple(creases[::-1]), tuple(bonds))


Spot = tuple[Edge, Edge]
"""An edge across the width and one across the length."""


def panel(sheet: Sheet, name: str, role: Role, *spots: Spot) -> Panel:
    """A panel through spots, put counter-clockwise."""
    corners = tuple(spot_at(spot) for spot in spots)
    places = [sheet.place(corner, {}) for corner in corners]
    pairs = zip(places, places[1:] + places[:1], strict=True)
    turn = sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairs)
    return Panel(name, role, corners if turn > 0.0 else corners[::-1])


def spot_at(spot: Spot) -> Corner:
    """The corner at two edges."""
    (x, dx), (y, dy) = ((edge, 0.0) if isinstance(edge, Rule) else edge for edge in spot)
    return Corner(x, y, dx, dy)


def crease(parent: str, child: str, one: Spot, two: Spot, angle: float = QUARTER) -> CreaseLine:
    """A crease between two spots."""
    return CreaseLine(parent, child, spot_at(one), spot_at(two), angle)


def gusset_tray(width: float, length: float, depth: float, *, outside: bool = False) -> Pattern:
    """A tray from an uncut rectangle: at each corner a square is folded in along its diagonal.

    One triangle lies on the inside, or outside, of the front or back wall, the other one on that
    and hangs on the left or right wall.
    """
    way = -1.0 if outside else 1.0
    face, side = (Face.INSIDE, Face.OUTSIDE) if outside else (Face.OUTSIDE, Face.INSIDE)
    xs = {
        "left": (Rule(Fence.LEFT, 0.0), Rule(Fence.LEFT, depth)),
        "right": (Rule(Fence.RIGHT, 0.0), Rule(Fence.RIGHT, depth)),
    }
    ys = {
        "front": (Rule(Fence.BOTTOM, 0.0), Rule(Fence.BOTTOM, depth)),
        "back": (Rule(Fence.TOP, 0.0), Rule(Fence.TOP, depth)),
    }
    sheet = Sheet(width + 2.0 * depth, length + 2.0 * depth)

    (_, left), (_, right) = xs.values()
    (_, front), (_, back) = ys.values()
    panels = [
        panel(
            sheet, "floor", Role.FLOOR, (left, front), (right, front), (right, back), (left, back)
        )
    ]
    creases, webs, bonds = [], [], []
    for name, (rim, foot) in xs.items():
        spots = (foot, front), (rim, front), (rim, back), (foot, back)
        panels.append(panel(sheet, f"{name} wall", Role.WALL, *spots))
        creases.append(crease("floor", f"{name} wall", (foot, front), (foot, back), QUARTER))
    for name, (rim, foot) in ys.items():
        spots = (left, foot), (left, rim), (right, rim), (right, foot)
        panels.append(panel(sheet, f"{name} wall", Role.WALL, *spots))
        creases.append(crease("floor", f"{name} wall", (left, foot), (right, foot), QUARTER))
    for x, (rim_x, foot_x) in xs.items():
        for y, (rim_y, foot_y) in ys.items():
            under, over = f"{y} wall's {x} web", f"{x} wall's {y} web"
            foot, tip = (foot_x, foot_y), (rim_x, rim_y)
            panels.append(panel(sheet, under, Role.TAB, foot, (foot_x, rim_y), tip))
            panels.append(panel(sheet, over, Role.TAB, foot, (rim_x, foot_y), tip))
            creases.append(crease(f"{y} wall", under, foot, (foot_x, rim_y), way * math.pi))
            creases.append(crease(f"{x} wall", over, foot, (rim_x, foot_y), QUARTER))
            webs.append(crease(under, over, foot, tip, -way * math.pi))
            bonds.append(Bond(under, f"{y} wall", side, side))
            bonds.append(Bond(over, f"{y} wall", face, side, between=1))
    return Pattern("tray", sheet, tuple(panels), tuple(creases), tuple(bonds), webs=tuple(webs))


def double_tray(
    width: float,
    length: float,
    depth: float,
    *,
    lining_mm: float,
    rims: tuple[float, float],
    tab: float,
    ends: tuple[float, float],
) -> Pattern:
    """A tray whose walls are folded down inside themselves, its tabs between front and back walls.

    The rims are those of left and right, then of front and back; so are the ends, by which the
    linings are cut back from the floor's scores on either side.
    """
    across, along = (lining_mm + rim + depth for rim in rims)
    sheet = Sheet(width + 2.0 * across, length + 2.0 * along)
    feet = {
        "left": Rule(Fence.LEFT, across),
        "right": Rule(Fence.RIGHT, across),
        "front": Rule(Fence.BOTTOM, along),
        "back": Rule(Fence.TOP, along),
    }
    corners = [(feet[x], feet[y]) for x, y in (("left", "front"), ("right", "front"))]
    corners += [(feet["right"], feet["back"]), (feet["left"], feet["back"])]
    panels, creases = [panel(sheet, "floor", Role.FLOOR, *corners)], []
    bonds: list[Bond] = []
    for side, foot in feet.items():
        beside = foot.fence.upright
        rim_mm = rims[0] if beside else rims[1]
        one, two = (feet[x] for x in (("front", "back") if beside else ("left", "right")))
        out = [Rule(foot.fence, at) for at in (lining_mm + rim_mm, lining_mm, 0.0)]
        cut = ends[0] if beside else ends[1]

        def at(edge: Rule, end: Edge, beside: bool = beside) -> Spot:
            return (edge, end) if beside else (end, edge)

        wall, rim, inner = (f"{side} {word}" for word in ("wall", "rim", "lining"))
        near, far = (one, cut), (two, -cut)
        places = [foot, *out]
        for name, role, low, high, low_end, high_end in (
            (wall, Role.WALL, *places[0:2], one, two),
            (rim, Role.FRAME, *places[1:3], near, far),
            (inner, Role.INNER_WALL, *places[2:4], near, far),
        ):
            spots = at(low, low_end), at(high, low_end), at(high, high_end), at(low, high_end)
            panels.append(panel(sheet, name, role, *spots))
        creases.append(crease("floor", wall, at(foot, one), at(foot, two)))
        creases.append(crease(wall, rim, at(out[0], near), at(out[0], far)))
        creases.append(crease(rim, inner, at(out[1], near), at(out[1], far)))
        bonds.append(lining(inner, wall, between=0 if beside else 1))
        if not beside:
            continue
        for end, neighbour in ((one, "front"), (two, "back")):
            name, way = f"{side} wall's {neighbour} tab", -1.0 if end is one else 1.0
            low, high = (foot, _outwards(foot, tab)), (out[0], -_outwards(foot, tab))
            tip = (end, way * tab)
            spots = (foot, end), (low, tip), (high, tip), (out[0], end)
            panels.append(panel(sheet, name, Role.TAB, *spots))
            creases.append(crease(wall, name, (foot, end), (out[0], end)))
            bonds.append(corner(name, f"{neighbour} wall"))
    order = sorted(bonds, key=lambda bond: bond.face is Face.INSIDE)
    return Pattern("tray", sheet, tuple(panels), tuple(creases), tuple(order))


def _outwards(foot: Rule, mm: float) -> float:
    """So far towards the fence that a rule is measured from, along the sheet's own axis."""
    return mm if foot.fence.far else -mm
