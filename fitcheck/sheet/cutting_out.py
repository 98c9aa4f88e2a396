"""The cut-outs and round corners of a part as steps: what shape each is and where it lies.

A shape that a maker has a name for is told by it; any other by the corners of its outline.
"""

from __future__ import annotations

import enum
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.arcs import Point, arc_of
from fitcheck.pattern.cutouts import Cutout, CutoutKind
from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.sheet import Fence, Sheet

SAME_MM = 1e-3
QUARTER_BULGE = math.tan(math.pi / 8)
RIMS = {
    Role.WALL: "rim",
    Role.TAB: "tip",
    Role.FLAP: "tip",
    Role.BOTTOM_FLAP: "tip",
    Role.DUST_FLAP: "tip",
}
"""What a panel's edge opposite its own crease is called."""


class Shape(enum.StrEnum):
    """A shape that has a name at the bench."""

    HALF_ROUND = "half round"
    ROUND = "round"
    RECTANGLE = "rectangle"
    SLOT = "slot"
    SLIT = "slit"
    OUTLINE = "outline"


@dataclass(frozen=True)
class Place:
    """A place on the sheet, from the two edges nearest to it."""

    upright: Fence
    across_mm: float
    """From the left or the right edge."""
    level: Fence
    along_mm: float
    """From the top or the bottom edge."""


@dataclass(frozen=True)
class CutOut:
    """One cut-out of a panel."""

    name: str
    panel: str
    shape: Shape
    size_mm: tuple[float, ...]
    """The radius of a round; width and length on the sheet of a rectangle; width and depth of a
    slot."""
    edge: str
    """The panel's edge at which it opens, in words; empty for what lies inside."""
    centred: bool
    """Whether it lies in the middle of that edge, or of the panel."""
    places: tuple[Place, ...]
    """The middle of a round or of a slot's mouth, opposite corners of a rectangle, else all corners
    in order."""
    radii_mm: tuple[float, ...] = ()
    """Of an outline's stretches, from each corner to the next; 0 for a straight one."""


@dataclass(frozen=True)
class RoundCorners:
    """Corners of a panel that are rounded alike."""

    panel: str
    radius_mm: float
    middles: tuple[Place, ...]


@dataclass(frozen=True)
class RoundEdge:
    """An edge of a panel that is an arc."""

    panel: str
    radius_mm: float
    places: tuple[Place, Place]
    """Its two ends."""
    middle: Place


CuttingOut = CutOut | RoundCorners | RoundEdge


def cut_alike(one: CuttingOut, other: CuttingOut) -> bool:
    """Whether two are cut in one go: slots of a strip, notches and rounds of one size."""
    if isinstance(one, RoundCorners) and isinstance(other, RoundCorners):
        return abs(one.radius_mm - other.radius_mm) < SAME_MM
    if not (isinstance(one, CutOut) and isinstance(other, CutOut)) or one.shape is not other.shape:
        return False
    same = one.edge == other.edge and np.allclose(one.size_mm, other.size_mm, atol=SAME_MM)
    if one.shape is Shape.SLOT:
        return same and one.panel == other.panel
    own = one.centred and other.centred and one.name == other.name
    return same and own and one.shape is Shape.HALF_ROUND


def cut_together(steps: Iterable[object]) -> Iterator[list[CuttingOut]]:
    """What of a part's steps cuts out, those next to each other that are cut in one go together."""
    found: list[list[CuttingOut]] = []
    for step in steps:
        if isinstance(step, CuttingOut):
            if found and cut_alike(found[-1][0], step):
                found[-1].append(step)
            else:
                found.append([step])
    return iter(found)


def cutting_out(pattern: Pattern) -> tuple[CuttingOut, ...]:
    """The cut-outs and round edges of all panels, in the order of the panels."""
    found: list[CuttingOut] = []
    for panel in pattern.panels:
        if not panel.plain:
            found += _round_edges(pattern.sheet, panel)
            found += [_cut_out(pattern, panel, cutout) for cutout in panel.cutouts]
    return tuple(found)


def place_of(sheet: Sheet, point: Point, like: Point | None = None) -> Place:
    """A place from the edges nearest to it, or to one like it."""
    x, y = like or point
    right, top = 2.0 * x > sheet.width_mm, 2.0 * y > sheet.length_mm
    return Place(
        Fence.RIGHT if right else Fence.LEFT,
        sheet.width_mm - point[0] if right else point[0],
        Fence.TOP if top else Fence.BOTTOM,
        sheet.length_mm - point[1] if top else point[1],
    )


def _round_edges(sheet: Sheet, panel: Panel) -> Iterator[CuttingOut]:
    corners: dict[float, list[Place]] = {}
    for k, bulge in enumerate(panel.bulges):
        if not bulge:
            continue
        spots = [
            sheet.place(panel.corners[at % len(panel.corners)], {}) for at in range(k - 1, k + 3)
        ]
        arc = arc_of(spots[1], spots[2], bulge)
        if _rounds_a_corner(spots, bulge):
            corners.setdefault(round(arc.radius_mm, 6), []).append(place_of(sheet, arc.centre_mm))
        else:
            ends = place_of(sheet, spots[1]), place_of(sheet, spots[2])
            yield RoundEdge(panel.name, arc.radius_mm, ends, place_of(sheet, arc.centre_mm))
    for radius, middles in corners.items():
        yield RoundCorners(panel.name, radius, tuple(middles))


def _rounds_a_corner(spots: Sequence[Point], bulge: float) -> bool:
    """Whether a quarter round goes smoothly on from the edge before it to that after it."""
    before, start, stop, after = (complex(*spot) for spot in spots)
    if abs(bulge - QUARTER_BULGE) > SAME_MM or before == start or stop == after:
        return False
    come, chord = (start - before) / abs(start - before), (stop - start) / abs(stop - start)
    go = (after - stop) / abs(after - stop)
    half = complex(math.sqrt(0.5), math.sqrt(0.5))
    return abs(come * half - chord) < SAME_MM and abs(chord * half - go) < SAME_MM


def _cut_out(pattern: Pattern, panel: Panel, cutout: Cutout) -> CutOut:
    sheet = pattern.sheet
    spots = [sheet.place(corner, {}) for corner in cutout.corners]
    edge, middle = _edge(pattern, panel, cutout, spots)
    bulges = cutout.bulges or (0.0,) * len(spots)
    shape, size, points = _shape(cutout.kind, spots, bulges)
    own = np.mean([spots[0], spots[-1]] if edge else points, axis=0)
    # slots of one strip are told from one end of it
    like = (0.0, 0.0) if shape is Shape.SLOT else (float(own[0]), float(own[1]))
    ends = zip(spots, [*spots[1:], spots[0]], bulges, strict=False)
    radii = [arc_of(a, b, bulge).radius_mm if bulge else 0.0 for a, b, bulge in ends]
    return CutOut(
        cutout.name,
        panel.name,
        shape,
        size,
        edge,
        bool(np.abs(own - middle).max() < SAME_MM),
        tuple(place_of(sheet, point, like) for point in points),
        tuple(radii) if shape is Shape.OUTLINE else (),
    )


def _edge(
    pattern: Pattern, panel: Panel, cutout: Cutout, spots: Sequence[Point]
) -> tuple[str, Point]:
    """What the edge is called at which a cut-out opens, and its middle; else the panel's middle."""
    sheet = pattern.sheet
    outline = pattern.outline(panel, {})
    low, high = outline.min(axis=0), outline.max(axis=0)
    middle = (float(low[0] + high[0]) / 2, float(low[1] + high[1]) / 2)
    if cutout.kind is not CutoutKind.NOTCH:
        return "", middle
    for start, stop in zip(panel.corners, (*panel.corners[1:], panel.corners[0]), strict=True):
        a, b = complex(*sheet.place(start, {})), complex(*sheet.place(stop, {}))
        along = (b - a) / abs(b - a)
        off = [abs((along.conjugate() * (complex(*p) - a)).imag) for p in (spots[0], spots[-1])]
        if max(off) < SAME_MM:
            half = 0.5 * (a + b)
            return _edge_name(pattern, panel, along * -1j), (half.real, half.imag)
    return "edge", middle


def _edge_name(pattern: Pattern, panel: Panel, outward: complex) -> str:
    """A wall's rim or a flap's tip lies opposite its own crease; others go by the sheet's edges."""
    if panel is not pattern.panels[0]:
        start, stop = (complex(*at) for at in pattern.score(pattern.crease_to(panel.name), {}))
        inner = complex(*pattern.outline(panel, {}).mean(axis=0)) - start
        along = (stop - start) / abs(stop - start)
        away = along * 1j if (along.conjugate() * inner).imag > 0.0 else along * -1j
        if abs(away - outward) < SAME_MM and panel.role in RIMS:
            return RIMS[panel.role]
    if abs(outward.real) >= abs(outward.imag):
        return "right edge" if outward.real > 0.0 else "left edge"
    return "top edge" if outward.imag > 0.0 else "bottom edge"


def _shape(
    kind: CutoutKind, spots: Sequence[Point], bulges: Sequence[float]
) -> tuple[Shape, tuple[float, ...], tuple[Point, ...]]:
    """The shape's name, its sizes, and the places that it is marked out by."""
    if kind is CutoutKind.SLIT:
        return Shape.SLIT, (), tuple(spots)
    if len(spots) == 2:
        arcs = [arc_of(spots[0], spots[1], bulges[0])]
        if kind is CutoutKind.WINDOW:
            arcs.append(arc_of(spots[1], spots[0], bulges[1]))
        shape = Shape.ROUND if kind is CutoutKind.WINDOW else Shape.HALF_ROUND
        if all(abs(bulge - 1.0) < SAME_MM for bulge in bulges[: len(arcs)]):
            return shape, (arcs[0].radius_mm,), (arcs[0].centre_mm,)
    if len(spots) == 4 and not any(bulges) and _square(spots):
        low, high = np.min(spots, axis=0), np.max(spots, axis=0)
        if kind is CutoutKind.NOTCH:
            wide, deep = math.dist(spots[0], spots[-1]), math.dist(spots[0], spots[1])
            (x, y), (u, v) = spots[0], spots[-1]
            return Shape.SLOT, (wide, deep), ((0.5 * (x + u), 0.5 * (y + v)),)
        width, length = (high - low).tolist()
        corners = tuple(low.tolist()), tuple(high.tolist())
        return Shape.RECTANGLE, (width, length), corners
    return Shape.OUTLINE, (), tuple(spots)


def _square(spots: Sequence[Point]) -> bool:
    """Whether four corners are those of a rectangle along the sheet's edges."""
    sides = np.diff([*spots, spots[0]], axis=0)
    along = np.abs(sides) < SAME_MM
    return bool((along.sum(axis=1) == 1).all() and (along[0] != along[1]).all())
