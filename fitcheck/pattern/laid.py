"""Which face of a sheet is up while it is scored and cut, and a pattern as it is seen then.

A score raises a ridge, the bead, on the far face, and paper folds towards the bead (a paperboard
maker's public guidance on creasing); so what folds up into a box is scored with its outside up.
"""

from __future__ import annotations

import functools
from dataclasses import replace

from fitcheck.pattern.bonds import Face
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.cutouts import Cutout
from fitcheck.pattern.pattern import Panel, Pattern
from fitcheck.pattern.sheet import Corner, Fence

FLIPPED = {
    Fence.LEFT: Fence.RIGHT,
    Fence.RIGHT: Fence.LEFT,
    Fence.TOP: Fence.TOP,
    Fence.BOTTOM: Fence.BOTTOM,
}
"""Where each edge lies when a sheet is turned over like the page of a book."""


@functools.lru_cache(maxsize=64)
def laid(pattern: Pattern, score_face: str) -> Pattern:
    """A pattern seen on the face that is up while it is scored, by a maker who presses that face.

    Of the two faces it is the one on which more scores are pressed; where both have as many, the
    one that the maker usually has up.
    """
    up = face_up(pattern, score_face)
    return pattern if up is pattern.seen else turned_over(pattern)


def face_up(pattern: Pattern, score_face: str) -> Face:
    """The face that is up while a part is scored."""
    usual = Face(score_face)
    pressed = [
        pressed_face(line.outer, score_face, half_cut=line.cut_face is not None)
        for line in pattern.lines
    ]
    other = usual.other
    return other if pressed.count(other) > pressed.count(usual) else usual


def pressed_face(outer: Face, score_face: str, *, half_cut: bool) -> Face:
    """The face that a crease is pressed on, or cut half through: the one outside its fold.

    A maker who presses the inside of folds still cuts half through on the outside.
    """
    return outer if half_cut or Face(score_face) is Face.OUTSIDE else outer.other


def fence_as_laid(fence: Fence, up: Face) -> Fence:
    """Where an edge lies that a pattern seen on its inside has at ``fence``, with a face up."""
    return fence if up is Face.INSIDE else FLIPPED[fence]


def is_mirrored(pattern: Pattern) -> bool:
    """Whether what is called right in the box lies to the left of what is called left there."""
    if pattern.seen is Face.INSIDE:
        return False
    middles: dict[str, list[float]] = {"left": [], "right": []}
    for panel in pattern.panels:
        side = panel.name.partition(" ")[0]
        if side in middles:
            middles[side].append(float(pattern.outline(panel, {})[:, 0].mean()))
    left, right = middles.values()
    return bool(left and right) and max(right) < min(left)


def turned_over(pattern: Pattern) -> Pattern:
    """A pattern as it is seen on its other face, turned over like the page of a book.

    Panels keep their names, which say where they stand in the box, and faces keep theirs.
    """
    return replace(
        pattern,
        seen=pattern.seen.other,
        panels=tuple(_panel(panel) for panel in pattern.panels),
        creases=tuple(_crease(crease) for crease in pattern.creases),
        webs=tuple(_crease(web) for web in pattern.webs),
    )


def _panel(panel: Panel) -> Panel:
    """Its corners the other way round, so that they go anticlockwise again."""
    corners = tuple(_corner(corner) for corner in reversed(panel.corners))
    bulges = (*panel.bulges[-2::-1], panel.bulges[-1]) if panel.bulges else ()
    return replace(
        panel,
        corners=corners,
        bulges=bulges,
        cutouts=tuple(_cutout(cutout) for cutout in panel.cutouts),
    )


def _cutout(cutout: Cutout) -> Cutout:
    return replace(cutout, corners=tuple(_corner(corner) for corner in cutout.corners))


def _crease(crease: CreaseLine) -> CreaseLine:
    return replace(crease, start=_corner(crease.start), stop=_corner(crease.stop))


def _corner(corner: Corner) -> Corner:
    rule = replace(corner.x, fence=FLIPPED[corner.x.fence])
    return replace(corner, x=rule, dx=-corner.dx, grow_x=-corner.grow_x)
