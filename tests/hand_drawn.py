"""Patterns that tests draw by hand: strips and trays of kinds that no style draws yet."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fitcheck.pattern.bonds import Bond
from fitcheck.pattern.pattern import CreaseKind, CreaseLine, Panel, Pattern, Role
from fitcheck.pattern.sheet import Corner, Fence, Rule, Sheet

QUARTER = math.pi / 2


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

    def corner(rule: Rule, across: Rule) -> Corner:
        return Corner(rule, across) if upright else Corner(across, rule)

    panels, creases = [], []
    for k, name in enumerate(names):
        low, high = rules[k : k + 2]
        round_ = (corner(low, ends[0]), corner(high, ends[0]), corner(high, ends[1]))
        corners = (*round_, corner(low, ends[1]))
        turned = upright == far
        panels.append(Panel(name, Role.WALL, corners[::-1] if turned else corners))
    for k, angle in enumerate(angles):
        at = rules[k + 1]
        kind = CreaseKind.SCORED if kinds is None else kinds[k]
        creases.append(
            CreaseLine(
                names[k + 1], names[k], corner(at, ends[0]), corner(at, ends[1]), angle, kind
            )
        )
    size = Sheet(total, length) if upright else Sheet(length, total)
    return Pattern("strip", size, tuple(panels[::-1]), tuple(creases[::-1]), tuple(bonds))
