"""Trays with a lid hinged at the back wall's rim, drawn by hand as patterns of convex panels."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fitcheck.folding.fold import Making, fold, fold_all
from fitcheck.folding.many import FoldedParts
from fitcheck.folding.parts import FoldedPart
from fitcheck.pattern.bonds import Bond, corner
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.sheet import Corner, Fence, Rule, Sheet
from fitcheck.stock.crease import Crease

MARGIN_MM = 10.0


@dataclass(frozen=True)
class HingedTray:
    """Sizes from score to score, or to a cut edge, mm."""

    crease: Crease
    width: float = 60.0
    length: float = 40.0
    front: float = 15.0
    side: float = 15.0
    back: float = 15.0
    lid: float = 40.0
    lip: float = 10.0
    tuck: float = 0.0
    """A flap at the lip's end; 0 for none."""
    inset: float = 0.6
    """How much narrower the lid is than the floor at each side."""
    taper: float = 2.0
    """By how much lip and tuck are cut narrower towards their ends, each side."""
    tabs: float = 6.0
    """Width of glue tabs at the ends of the back and front walls; 0 for none."""
    ear: float = 0.0
    """Depth of flaps at the lid's sides; 0 for none."""
    lip_deg: float = 90.0
    tuck_deg: float = 90.0
    joint: float = 0.1

    @property
    def pattern(self) -> Pattern:
        """The floor is the root; the back lies at greater y."""
        x0, y0 = MARGIN_MM + self.side, MARGIN_MM + self.front
        x1, y1 = x0 + self.width, y0 + self.length
        up = y1 + self.back
        panels = [
            _panel("floor", Role.FLOOR, (x0, y0), (x1, y0), (x1, y1), (x0, y1)),
            _panel(
                "front", Role.WALL, (x0, y0 - self.front), (x1, y0 - self.front), (x1, y0), (x0, y0)
            ),
            _panel(
                "left", Role.WALL, (x0 - self.side, y0), (x0, y0), (x0, y1), (x0 - self.side, y1)
            ),
            _panel(
                "right", Role.WALL, (x1, y0), (x1 + self.side, y0), (x1 + self.side, y1), (x1, y1)
            ),
            _panel("back", Role.WALL, (x0, y1), (x1, y1), (x1, up), (x0, up)),
        ]
        creases = [
            _line("floor", "front", (x0, y0), (x1, y0)),
            _line("floor", "left", (x0, y0), (x0, y1)),
            _line("floor", "right", (x1, y0), (x1, y1)),
            _line("floor", "back", (x0, y1), (x1, y1)),
        ]
        joints: list[Bond] = []
        if self.tabs:
            for wall, foot, rim, sign in (
                ("front", y0, y0 - self.front, -1.0),
                ("back", y1, up, 1.0),
            ):
                for side, x, out in (("left", x0, -1.0), ("right", x1, 1.0)):
                    name = f"{wall} {side} tab"
                    slant = 1.5 * sign
                    panels.append(
                        _panel(
                            name,
                            Role.TAB,
                            (x, foot),
                            (x + out * self.tabs, foot + slant),
                            (x + out * self.tabs, rim - 2.0 * slant),
                            (x, rim - slant),
                        )
                    )
                    creases.append(_line(wall, name, (x, foot), (x, rim - slant)))
                    joints.append(corner(name, side))
        a, b = x0 + self.inset, x1 - self.inset
        top = up + self.lid
        end = top + self.lip
        t = self.taper
        panels.append(_panel("lid", Role.FLAP, (a, up), (b, up), (b, top), (a, top)))
        creases.append(_line("back", "lid", (a, up), (b, up)))
        if self.ear:
            for side, x, out in (("left ear", a, -1.0), ("right ear", b, 1.0)):
                low, high = up + 3.0, top - 2.0
                far = x + out * self.ear
                panels.append(
                    _panel(side, Role.FLAP, (x, low), (far, low + t), (far, high - t), (x, high))
                )
                creases.append(_line("lid", side, (x, low), (x, high)))
        if self.lip:
            panels.append(
                _panel(
                    "lip",
                    Role.FLAP,
                    (a + 1.0, top),
                    (b - 1.0, top),
                    (b - 1.0 - t, end),
                    (a + 1.0 + t, end),
                )
            )
            creases.append(
                _line("lid", "lip", (a + 1.0, top), (b - 1.0, top), math.radians(self.lip_deg))
            )
        if self.tuck:
            c, d = a + 1.0 + t + 0.5, b - 1.0 - t - 0.5
            far = end + self.tuck
            panels.append(_panel("tuck", Role.FLAP, (c, end), (d, end), (d - t, far), (c + t, far)))
            creases.append(_line("lip", "tuck", (c, end), (d, end), math.radians(self.tuck_deg)))
        sheet = Sheet(x1 + self.side + self.ear + MARGIN_MM, end + self.tuck + MARGIN_MM)
        return Pattern("box", sheet, tuple(panels), tuple(creases), tuple(joints))

    def folded(self) -> FoldedPart:
        """Folded and glued, the lid at a right angle to the back wall."""
        return fold(self.pattern, self.crease, self.joint)


def made(design: HingedTray, count: int, seed: int) -> FoldedParts:
    """Boxes as hands make them: each with a paper, a crease and scores of its own."""
    pattern, rng = design.pattern, np.random.default_rng(seed)
    ends = [(line.start, line.stop) for line in pattern.creases]
    rules = list(dict.fromkeys(rule for one, two in ends for rule in (one.x, one.y, two.x, two.y)))
    makings = [
        Making(
            Crease(abs(rng.normal(0.1, 0.1)), 0.5, rng.normal(0.33, 0.01)),
            design.joint,
            dict(zip(rules, rng.normal(0.0, 0.1, len(rules)).tolist(), strict=True)),
        )
        for _ in range(count)
    ]
    return fold_all(pattern, makings).part(0).among


def _corner(spot: tuple[float, float]) -> Corner:
    return Corner(Rule(Fence.LEFT, spot[0]), Rule(Fence.BOTTOM, spot[1]))


def _panel(name: str, role: Role, *spots: tuple[float, float]) -> Panel:
    points = np.array(spots)
    x, y = points.T
    turn = np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)
    ordered = spots if turn > 0 else spots[::-1]
    return Panel(name, role, tuple(_corner(spot) for spot in ordered))


def _line(
    parent: str,
    child: str,
    start: tuple[float, float],
    stop: tuple[float, float],
    angle_rad: float = math.pi / 2.0,
) -> CreaseLine:
    return CreaseLine(parent, child, _corner(start), _corner(stop), angle_rad)
