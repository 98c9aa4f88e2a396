"""Walls and tabs are drawn alike in every style; these are the pieces that styles share."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.pattern.bonds import Bond, corner
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.pattern import Panel, Role
from fitcheck.styles.canvas import Canvas, Edge

TAB_TRIM_MM = 3.175
"""What each end of a tab is trimmed by at its tip, an eighth of an inch: so much clears the floor
and what covers the corner (common practice, no source)."""
TRIM_SHARE = 0.2
"""Of a low wall's height: the tip keeps three fifths of it."""
LONGEST_TAB_MM = 12.7
"""Half an inch holds a corner (common practice, no source)."""
NEIGHBOUR_SHARE = 0.45
"""The tabs of both ends have room beside each other on the wall that they are glued to."""
USUAL_SEAM_MM = 12.7
"""Half an inch holds a tube (common practice, no source)."""
SEAM_SHARE = 0.4
"""Of the panel that it is glued to, so that a narrow tube keeps some of it bare."""
SEAM_TAPER_MM = 1.6
"""What a seam flap's ends are cut back by, so that they do not peep out (about 1/16 in)."""


def usual_tab_mm(room_mm: float, beside_mm: float) -> float:
    """How long a tab is that has so much room to its tip and is glued to a wall that long."""
    return min(LONGEST_TAB_MM, room_mm, NEIGHBOUR_SHARE * beside_mm)


def usual_seam_mm(onto_mm: float) -> float:
    """How wide a tube's glued flap is, for the panel that it is glued to."""
    return min(USUAL_SEAM_MM, SEAM_SHARE * onto_mm)


SAME_MM = 1e-6


@dataclass(frozen=True)
class Drawn:
    """Panels with what folds and glues them, still without a sheet."""

    panels: tuple[Panel, ...] = ()
    creases: tuple[CreaseLine, ...] = ()
    bonds: tuple[Bond, ...] = ()
    webs: tuple[CreaseLine, ...] = ()

    def __add__(self, other: Drawn) -> Drawn:
        return Drawn(
            self.panels + other.panels,
            self.creases + other.creases,
            self.bonds + other.bonds,
            self.webs + other.webs,
        )

    def role(self, name: str) -> Role:
        """The role of the panel of that name."""
        return next(panel.role for panel in self.panels if panel.name == name)


def floor(canvas: Canvas, low_p: Edge, high_p: Edge, low_q: Edge, high_q: Edge) -> Drawn:
    """The floor between its four scores."""
    spots = ((low_p, low_q), (high_p, low_q), (high_p, high_q), (low_p, high_q))
    return Drawn(panels=(canvas.panel("floor", Role.FLOOR, *spots),))


def wall_name(canvas: Canvas, first: bool, far: bool) -> str:
    """The name of the outer wall on one side."""
    return f"{canvas.side_name(first, far)} wall"


def tabbed_wall(
    canvas: Canvas, foot: Edge, rim: Edge, ends: tuple[Edge, Edge], tab_mm: float
) -> Drawn:
    """A wall from its foot score to its rim, with a tab at either end.

    The ends are the tabs' scores. A tab is as high as the wall at its score and a little less at
    its tip, so that it clears the floor below and whatever covers the corner above; one that
    reaches the sheet's edge needs no cut there.
    """
    wall = wall_name(canvas, True, foot.far)
    low, high = ends
    drawn = Drawn(
        panels=(canvas.panel(wall, Role.WALL, (foot, low), (rim, low), (rim, high), (foot, high)),),
        creases=(canvas.crease("floor", wall, (foot, low), (foot, high)),),
    )
    for end in ends:
        tab = f"{canvas.side_name(True, foot.far)} wall's tab, {canvas.side_name(False, end.far)}"
        at_edge = end.at_mm - tab_mm < SAME_MM
        tip = Edge(0.0, end.far) if at_edge else end.cut(f"{tab}, its tip", -tab_mm)
        trim = min(TAB_TRIM_MM, TRIM_SHARE * (foot.at_mm - rim.at_mm))
        near_floor = foot.cut(f"{tab}, its end at the floor", -trim, outward=False)
        near_rim = rim.cut(f"{tab}, its end at the rim", trim)
        drawn += Drawn(
            panels=(
                canvas.panel(
                    tab, Role.TAB, (foot, end), (near_floor, tip), (near_rim, tip), (rim, end)
                ),
            ),
            creases=(canvas.crease(wall, tab, (foot, end), (rim, end)),),
            bonds=(corner(tab, wall_name(canvas, False, end.far)),),
        )
    return drawn


def plain_wall(canvas: Canvas, foot: Edge, rim: Edge, ends: tuple[Edge, Edge]) -> Drawn:
    """A wall without tabs, from its foot score to its rim; its neighbours' tabs are glued to it."""
    wall = wall_name(canvas, False, foot.far)
    low, high = ends
    return Drawn(
        panels=(canvas.panel(wall, Role.WALL, (low, foot), (high, foot), (high, rim), (low, rim)),),
        creases=(canvas.crease("floor", wall, (low, foot), (high, foot)),),
    )
