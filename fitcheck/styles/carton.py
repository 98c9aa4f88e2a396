"""A carton on its sheet: a glued tube of four walls, at each end side flaps, a lid and a tuck flap.

The strip starts with the seam flap; it is glued inside onto the back wall, which carries the lid
and the floor. Flap and glue lie under the right wall, so that wall is drawn shorter by their
thickness and the flap wider. Where the lid locks, its crease to the tuck flap is slit at both ends,
and a shoulder of the flap below comes to lie in each slit.
"""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.pattern.bonds import seam
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.rounding import rounded
from fitcheck.pattern.sheet import Axis, Sheet
from fitcheck.pattern.tucks import Tuck
from fitcheck.styles.canvas import Canvas, Edge
from fitcheck.styles.part import Recipe
from fitcheck.styles.walls import SEAM_TAPER_MM, Drawn

EASE_MM = 0.8
"""What a flap has to spare beside a wall (about 1/32 in)."""
TUCK_EASE_MM = 1.2
"""What a tuck flap has to spare behind the front wall unless it is said, and before the flaps that
were turned in first (about 3/64 in; common practice, no source)."""
SHOULDER_EASE_MM = 0.4
"""What a shoulder has to spare at the front wall and in its slit (about 1/64 in)."""
ROUND_SHARE = 0.6
"""Of the tuck flap's depth, and of half its width: how far its corners are rounded off."""
MOST_ROUND_MM = 9.5
LID, TUCK = "lid", "tuck flap"
FLOOR, BOTTOM_TUCK = "floor", "bottom tuck flap"
BACK, LEFT, FRONT, RIGHT = "back wall", "left wall", "front wall", "right wall"


class LockKind(enum.StrEnum):
    """What holds a lid that is tucked in."""

    SLIT = "slit"
    NONE = "none"


@dataclass(frozen=True, kw_only=True)
class TuckEndRecipe(Recipe):
    """A carton, ready to be drawn."""

    tuck_mm: float
    dust_flap_mm: float
    lock: LockKind
    slit_mm: float
    clear_mm: float
    short_mm: float
    seam_mm: float

    @property
    def short_side_mm(self) -> float:
        """The wall over the seam flap, shorter by flap and glue."""
        return self.length_mm - self.lap_mm

    @property
    def flap_mm(self) -> float:
        """The seam flap, wider by what that wall is shorter."""
        return self.seam_mm + self.lap_mm

    @property
    def lid_mm(self) -> float:
        """The lid, from its own score to the tuck flap's: that goes down inside the front wall."""
        return self.length_mm - self.short_mm

    @property
    def beyond_mm(self) -> float:
        """Lid and tuck flap, from the sheet's edge to the lid's score."""
        return self.tuck_mm + self.lid_mm

    @property
    def back_mm(self) -> float:
        """The back wall, from lid to lid: at each end a caliper higher than the others."""
        return self.depth_mm + 2.0 * self.stock.caliper_mm

    @property
    def inset_mm(self) -> float:
        """How far a lid's ends are inside the back wall's."""
        return self.bite_mm + 0.5 * self.clear_mm

    @property
    def locks(self) -> bool:
        """Whether shoulders come to lie in slits."""
        return self.lock is LockKind.SLIT

    @property
    def shoulder_mm(self) -> float:
        """How long a side flap's shoulder is, from its score: it ends in the slit."""
        return self.inset_mm + self.slit_mm - SHOULDER_EASE_MM

    @property
    def rounding_mm(self) -> float:
        """The radius of a tuck flap's corners."""
        half = 0.5 * self.width_mm - self.inset_mm
        return min(MOST_ROUND_MM, ROUND_SHARE * self.tuck_mm, ROUND_SHARE * half)


def carton(recipe: TuckEndRecipe) -> Pattern:
    """The pattern of a carton."""
    canvas = Canvas(Axis.LENGTH)
    wide, long, flap_mm = recipe.width_mm, recipe.length_mm, recipe.flap_mm
    sheet = Sheet(
        flap_mm + recipe.short_side_mm + 2.0 * wide + long,
        2.0 * recipe.beyond_mm + recipe.back_mm,
    )
    lines = (
        Edge(0.0),
        Edge(flap_mm, hair_mm=recipe.lap_mm),
        Edge(2.0 * wide + long, far=True),
        Edge(wide + long, far=True),
        Edge(wide, far=True),
        Edge(0.0, far=True),
    )
    ends = _end(recipe, far=False), _end(recipe, far=True)
    hinges = _hinge(recipe, far=False), _hinge(recipe, far=True)
    names = ("seam flap", RIGHT, FRONT, LEFT, BACK)
    panels: dict[str, Panel] = {}
    creases: dict[str, CreaseLine] = {}
    for k, name in enumerate(names):
        near, far = lines[k], lines[k + 1]
        foot, rim = begins = hinges if name == BACK else ends
        role = Role.FLAP if name == names[0] else Role.WALL
        if name == names[0]:
            begins = (
                foot.cut("seam flap's lower end", SEAM_TAPER_MM),
                rim.cut("seam flap's upper end", SEAM_TAPER_MM),
            )
        panels[name] = canvas.panel(
            name, role, (near, begins[0]), (far, foot), (far, rim), (near, begins[1])
        )
        if k:
            creases[names[k - 1]] = canvas.crease(
                name, names[k - 1], (near, ends[0]), (near, ends[1])
            )
    lids = [_lid(canvas, recipe, sheet, lines[4:], far=far) for far in (False, True)]
    flaps = [
        _side_flap(canvas, recipe, wall, lines, far=far)
        for far in (False, True)
        for wall in (LEFT, RIGHT)
    ]
    floor, top = lids
    tube = [panels[name] for name in reversed(names)]
    return Pattern(
        part=recipe.part,
        sheet=sheet,
        panels=(*floor.panels, *tube, *top.panels, *(one for own in flaps for one in own.panels)),
        creases=(
            *floor.creases,
            *(creases[name] for name in reversed(names[:-1])),
            *top.creases,
            *(one for own in flaps for one in own.creases),
        ),
        bonds=(seam(names[0], BACK),),
        tucks=tuple(_tuck(recipe, far=far) for far in (False, True)),
    )


def _hinge(recipe: TuckEndRecipe, *, far: bool) -> Edge:
    """The score of the lid at one end."""
    return Edge(recipe.beyond_mm, far=far)


def _end(recipe: TuckEndRecipe, *, far: bool) -> Edge:
    """The score of the side flaps at one end, where the front wall ends, too: a caliper below the
    lid's, so that it lies on them (common practice, no source)."""
    return Edge(recipe.beyond_mm + recipe.stock.caliper_mm, far=far)


def _lid(
    canvas: Canvas,
    recipe: TuckEndRecipe,
    sheet: Sheet,
    ends: Sequence[Edge],
    *,
    far: bool,
) -> Drawn:
    """The lid at one end of the back wall, and the tuck flap beyond it."""
    name, tuck = (LID, TUCK) if far else (FLOOR, BOTTOM_TUCK)
    hinge = _hinge(recipe, far=far)
    fold, tip = Edge(recipe.tuck_mm, far=far), Edge(0.0, far=far)
    left = ends[0].cut(f"{name}'s left end", -recipe.inset_mm, outward=False)
    right = ends[1].cut(f"{name}'s right end", recipe.inset_mm)
    begin, end = left, right
    if recipe.locks:
        begin = left.cut(f"{name}'s left slit", -recipe.slit_mm, outward=False)
        end = right.cut(f"{name}'s right slit", recipe.slit_mm)
    lid = canvas.panel(
        name,
        Role.LID if far else Role.FLOOR,
        *((left, hinge), (left, fold), (right, fold), (right, hinge)),
    )
    flap = canvas.panel(tuck, Role.FLAP, (left, fold), (left, tip), (right, tip), (right, fold))
    corners = [k for k, at in enumerate(flap.corners) if at.y == tip.rule(False)]
    carried = (BACK, LID) if far else (FLOOR, BACK)
    return Drawn(
        panels=(lid, rounded(sheet, flap, dict.fromkeys(corners, recipe.rounding_mm))),
        creases=(
            canvas.crease(*carried, (left, hinge), (right, hinge)),
            canvas.crease(name, tuck, (begin, fold), (end, fold)),
        ),
    )


def _side_flap(
    canvas: Canvas, recipe: TuckEndRecipe, wall: str, lines: Sequence[Edge], *, far: bool
) -> Drawn:
    """What is turned in from a side wall's end before the lid goes over it."""
    caliper = recipe.stock.caliper_mm
    name = side_flap_name(wall, far=far)
    score = _end(recipe, far=far)
    behind, ahead = caliper + EASE_MM, 2.0 * (caliper + TUCK_EASE_MM)
    near = caliper + SHOULDER_EASE_MM

    def front(knife: str, mm: float) -> Edge:
        """So far inside the wall's edge at the front."""
        if wall == LEFT:
            return lines[3].cut(f"{name}'s {knife}", -mm, outward=False)
        return lines[2].cut(f"{name}'s {knife}", mm)

    back = lines[4 if wall == LEFT else 1].cut(f"{name}'s back edge", behind)
    tip = score.cut(f"{name}'s tip", -recipe.dust_flap_mm)
    edge = front("front edge", ahead)
    start = front("shoulder", near) if recipe.locks else edge
    spots = [(start, score), (edge, tip), (back, tip), (back, score)]
    if recipe.locks:
        step = score.cut(f"{name}'s shoulder", -recipe.shoulder_mm)
        spots[1:1] = [(start, step), (edge, step)]
    role = Role.DUST_FLAP if far else Role.BOTTOM_FLAP
    return Drawn(
        panels=(canvas.panel(name, role, *spots),),
        creases=(canvas.crease(wall, name, (start, score), (back, score)),),
    )


def side_flap_name(wall: str, *, far: bool) -> str:
    """What the flap at one end of a side wall is called."""
    return f"{wall.split(maxsplit=1)[0]} {'dust' if far else 'bottom'} flap"


def _tuck(recipe: TuckEndRecipe, *, far: bool) -> Tuck:
    return Tuck(
        lid=LID if far else FLOOR,
        flap=TUCK if far else BOTTOM_TUCK,
        behind=FRONT,
        beside=(LEFT, RIGHT),
        under=tuple(side_flap_name(wall, far=far) for wall in (LEFT, RIGHT)),
        shoulder_mm=recipe.shoulder_mm if recipe.locks else None,
    )
