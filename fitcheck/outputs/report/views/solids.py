"""What a view draws: convex solids with faces, and a tone for each face."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.folding.bends import Bend
from fitcheck.folding.clip import clip
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import Array, apply, translation
from fitcheck.folding.prisms import Plate
from fitcheck.pattern.pattern import Role
from fitcheck.polygons import polygon_area
from fitcheck.workspace.colours import Print

Tint = tuple[float, float, float]
"""Red, green and blue, 0 to 1."""
WHITE: Tint = (1.0, 1.0, 1.0)
SAG_MM = 0.03
"""How far a bend's flat facets may stand off the round: less than half a line on paper."""
LAP_MM = 0.02
AT_BEND_MM = 0.05
"""Corners of a plate that are no further from a bend lie at it."""


@dataclass(frozen=True, eq=False)
class Face:
    """A flat convex face."""

    corners: Array
    """(n, 3) mm, counter-clockwise seen from outside."""
    tone: float
    """How light its paper is, 0 to 1."""
    edged: tuple[bool, ...]
    """Which of the sides from one corner to the next are edges to be drawn."""
    tint: Tint = WHITE
    """Its colour at full light."""
    sheet: Array | None = None
    """(n, 2) mm: its corners on the flat sheet, where its paper is printed."""
    printed: Print | None = None
    broad: bool = False
    """True for the two faces of a panel, on which paper that rises from it casts a soft shade."""


@dataclass(frozen=True, eq=False)
class Solid:
    """A convex body."""

    faces: tuple[Face, ...]
    vertices: Array
    smooth: bool = False
    """True for a round body, whose outline is drawn."""
    content: bool = False
    """True for what goes into the box."""


@dataclass(frozen=True)
class Tones:
    """How light the two faces and the cut edge of a paper are drawn, and in which colour."""

    outside: float
    inside: float
    edge: float
    tint: Tint = WHITE
    printed: Print | None = None
    """What is printed on the outside."""


BASE = Tones(0.97, 0.88, 0.80)
LID = Tones(0.80, 0.70, 0.62)
CONTENT = Tones(0.60, 0.60, 0.60)


def part_solids(part: FoldedPart, pose: Array, tones: Tones, *, lapped: bool = True) -> list[Solid]:
    """A folded part's plates and bends as solids, carried by a pose (4, 4).

    Of a panel that another of the same level laps, only what shows is drawn; the other is lifted
    a hair with its bends, so that it is drawn over what runs on below it. Before they are folded
    (not `lapped`) they lie apart.
    """
    over = {lap.over for lap in part.pattern.laps if lapped}
    lifted = pose @ translation(np.array([0.0, 0.0, LAP_MM]))
    shown = {
        plate.name: replace(plate, cells=_shown(part, plate)) if lapped else plate
        for plate in part.plates
    }
    under = {lap.under for lap in part.pattern.laps if lapped}
    bends = []
    for bend in part.bends:
        own = _beside(bend, [shown[name] for name in sorted(bend.panels & under)])
        bends.append(own)
        for name in bend.panels - under if own is not bend else ():
            if part.pattern.panel(name).role is Role.INNER_WALL:
                shown[name] = _between(shown[name], own)
    plates = [
        solid
        for plate in (*shown.values(), *(part.layers if lapped else ()))
        for solid in _plate(plate, (lifted if plate.name in over else pose) @ plate.pose, tones)
    ]
    return plates + [
        _bend(bend, (lifted if bend.panels & over else pose) @ bend.pose, tones) for bend in bends
    ]


def _beside(bend: Bend, cut_back: Sequence[Plate]) -> Bend:
    """A bend cut back with the plates that it bounds: below what laps them nothing of it shows."""
    for plate in cut_back:
        back = np.linalg.inv(bend.pose) @ plate.pose
        corners = np.vstack([np.column_stack([cell, 0.0 * cell[:, 0]]) for cell in plate.cells])
        places = apply(back, corners)
        at_bend = np.hypot(places[:, 0], places[:, 2]) < bend.outer_mm + AT_BEND_MM
        if at_bend.any():
            low, high = places[at_bend, 1].min(), places[at_bend, 1].max()
            ends = [
                (max(float(low), min(own)), min(float(high), max(own)))
                for own in (bend.ends_start, bend.ends_stop)
            ]
            if all(a < b for a, b in ends):
                bend = replace(bend, ends_start=ends[0], ends_stop=ends[1])
    return bend


def _between(plate: Plate, bend: Bend) -> Plate:
    """A plate cut off square where a bend at its edge ends."""
    cells, way = plate.cells, np.linalg.inv(plate.pose) @ bend.pose
    along, start = way[:2, 1], way[:2, 3]
    for sign, ends in ((-1.0, min(bend.ends_start)), (1.0, max(bend.ends_start))):
        normal = sign * along
        cells = tuple(clip(cell, normal, float(normal @ start) + sign * ends) for cell in cells)
    return replace(plate, cells=tuple(cell for cell in cells if len(cell)))


def _shown(part: FoldedPart, plate: Plate) -> tuple[Array, ...]:
    """A plate's cells, cut back to the edge of each panel that laps it; the larger rest stays."""
    cells = plate.cells
    for lap in part.pattern.laps:
        if lap.under != plate.name:
            continue
        over = part.plate(lap.over)
        flat = np.column_stack([over.outline, np.zeros(len(over.outline))])
        corners = apply(np.linalg.inv(plate.pose) @ over.pose, flat)[:, :2]
        along = np.roll(corners, -1, axis=0) - corners
        outward = np.column_stack([along[:, 1], -along[:, 0]])
        outward /= np.linalg.norm(outward, axis=1)[:, None]
        rests = [
            tuple(clip(cell, -n, -float(n @ at)) for cell in cells)
            for n, at in zip(outward, corners, strict=True)
        ]
        cells = max(rests, key=lambda rest: sum(polygon_area(own) for own in rest if len(own)))
    return tuple(cell for cell in cells if len(cell))


def body_solid(
    vertices: Array, faces: Sequence[tuple[int, ...]], smooth: bool, tones: Tones
) -> Solid:
    """A content as one solid; a smooth one shows the edges of its flat ends only."""
    made = []
    for face in faces:
        edged = not smooth or len(face) >= 12
        edges = (edged,) * len(face)
        made.append(Face(vertices[list(face)], tones.outside, edges, tones.tint))
    return Solid(tuple(made), vertices, smooth, content=True)


def _plate(plate: Plate, pose: Array, tones: Tones) -> list[Solid]:
    """A plate, or each of its cells, the sides between them left out."""
    inner = plate.inner_sides() if len(plate.cells) > 1 else set()
    solids = []
    for k, cell in enumerate(plate.cells):
        bounding = [(k, i) not in inner for i in range(len(cell))]
        solids.append(_cell(cell, bounding, plate.thickness_mm, pose, tones))
    return solids


def _cell(
    outline: Array, bounding: Sequence[bool], thickness_mm: float, pose: Array, tones: Tones
) -> Solid:
    count = len(outline)
    flat = np.zeros((2 * count, 3))
    flat[:count, :2] = flat[count:, :2] = outline
    flat[count:, 2] = thickness_mm
    points = apply(pose, flat)
    # walked backwards, the side from one corner to the next is the one before
    below = tuple(bounding[(count - 2 - i) % count] for i in range(count))
    faces = [
        Face(
            points[:count][::-1],
            tones.outside,
            below,
            tones.tint,
            None if tones.printed is None else outline[::-1],
            tones.printed,
            broad=True,
        ),
        Face(points[count:], tones.inside, tuple(bounding), tones.tint, broad=True),
    ]
    for i in range(count):
        if bounding[i]:
            k = (i + 1) % count
            ring = [i, k, k + count, i + count]
            faces.append(Face(points[ring], tones.edge, (True, False, True, False), tones.tint))
    return Solid(tuple(faces), points)


def _bend(bend: Bend, pose: Array, tones: Tones) -> Solid:
    step = 2.0 * np.arccos(1.0 - min(SAG_MM / bend.outer_mm, 0.29))
    steps = max(2, int(np.ceil((bend.stop_rad - bend.start_rad) / step)))
    shares = np.linspace(0.0, 1.0, steps + 1)
    rows = np.array([_bend_row(bend, share) for share in shares])
    rows = apply(pose, rows.reshape(-1, 3)).reshape(-1, 4, 3)
    faces = []
    for a, b in itertools.pairwise(rows):
        sides = (
            ([a[3], b[3], b[2], a[2]], tones.outside, (True, False, True, False)),
            ([a[2], b[2], b[0], a[0]], tones.edge, (True, False, False, False)),
            ([a[1], b[1], b[3], a[3]], tones.edge, (False, False, True, False)),
            ([a[0], b[0], b[1], a[1]], tones.inside, (False,) * 4),
        )
        # a bend without a radius has no inside
        shown = sides if bend.radius_mm > 0.0 else sides[:3]
        faces += [Face(np.array(ring), tone, edged, tones.tint) for ring, tone, edged in shown]
    return Solid(tuple(faces), rows.reshape(-1, 3))


def _bend_row(bend: Bend, share: float) -> list[list[float]]:
    phi = bend.start_rad + share * (bend.stop_rad - bend.start_rad)
    ends = [a + share * (b - a) for a, b in zip(bend.ends_start, bend.ends_stop, strict=True)]
    return [
        [r * np.sin(phi), y, -r * np.cos(phi)]
        for r in (bend.radius_mm, bend.outer_mm)
        for y in ends
    ]
