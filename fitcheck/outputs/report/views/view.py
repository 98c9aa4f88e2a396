"""A shaded parallel view of solids as an SVG drawing."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import shapely

from fitcheck.fit.frames import DIRECTIONS
from fitcheck.folding.pose import Array
from fitcheck.outputs.report import svg
from fitcheck.outputs.report.magnified import Magnified
from fitcheck.outputs.report.places import Place
from fitcheck.outputs.report.svg import Drawing
from fitcheck.outputs.report.views.hiding import Flat, flat_face, seen_faces, seen_lines
from fitcheck.outputs.report.views.light import edge_ink, lit
from fitcheck.outputs.report.views.pointing import (
    Stand,
    arrow_marks,
    ring_marks,
    room_for,
    way_marks,
)
from fitcheck.outputs.report.views.prints import onto_picture, print_ink, print_shapes
from fitcheck.outputs.report.views.projection import WIDTH, Camera, Page, camera, page_for
from fitcheck.outputs.report.views.shades import (
    GROUND,
    INNER,
    ground_mm,
    ground_shades,
    inner_shades,
)
from fitcheck.outputs.report.views.solids import Face, Solid

SHARES = (1.0, 0.95, 0.9, 0.85, 0.8, 0.75, 0.7)
"""So much of its size a picture keeps to make room for a magnifier, tried in this order."""
LEANS = tuple((x, y) for x in (0.5, 0.0, 1.0) for y in (0.5, 0.0, 1.0))
SHADOW = 6.0
"""How far the shadow on the table reaches, mm on paper: no further than the margin."""
SHORTEST_WAY = 12.0
"""A shorter arrow, mm on paper, is no more than a speck."""
SHOWN_SHARE = 0.35
"""An arrow of which less is seen would point at what is before it."""
LEAST_LINE = 0.4
"""What is left of a line is drawn from about two widths of its pen, mm on paper."""
LEAST_WIDE = 0.03
"""A thinner sliver, mm on paper, is not painted: the hair round it would be all that shows."""


def view(
    name: str,
    title: str,
    words: str,
    solids: Sequence[Solid],
    places: Sequence[Place] = (),
    shown: Magnified | None = None,
    ways: Sequence[Array] = (),
) -> Drawing:
    """The solids as seen from a corner above, 180 mm wide at the most.

    The first of the places is pointed at from a magnifier where there is something to show in it.
    ``ways`` are those that hands move something, (k, 3) mm each, shown as arrows.
    """
    seen = camera()
    every = seen.flat(np.vstack([*(solid.vertices for solid in solids), *ways]))
    fronts, faces, fills = _front(solids, seen)
    shapes = seen_faces(faces)
    spots = seen.flat(np.array([place.at_mm for place in places]).reshape(-1, 3))
    page, stand = page_for(every), None
    if shown is not None and places:
        page, stand = _page_with(shown, every, shapes, spots[0])
    marks = _ground(solids, seen, page.of, SHADOW / page.scale)
    marks += _fills(faces, shapes, fills, page.of, LEAST_WIDE / page.scale)
    marks += _prints(fronts, shapes, seen, page.of)
    marks += _shades(solids, seen, fronts, shapes, page.of)
    ahead = [face for face, s in zip(faces, shapes, strict=True) if not s.is_empty]
    marks += _lines(solids, seen, ahead, page.of, LEAST_LINE / page.scale)
    for way in ways:
        if _plain_to_see(way, seen, ahead, page):
            marks += way_marks(page.of(seen.flat(way)))
    for number, (place, (x, y)) in enumerate(zip(places, page.of(spots).tolist(), strict=True)):
        if number == 0 and shown is not None and stand is not None:
            marks += arrow_marks(stand, shown, (x, y), outward(shown, seen))
        else:
            marks += ring_marks(place.label, (x, y), WIDTH)
    return Drawing(name, title, words, WIDTH, page.tall, tuple(marks))


def _page_with(
    shown: Magnified, every: Array, shapes: Sequence[shapely.Geometry], spot: Array
) -> tuple[Page, Stand | None]:
    """The largest picture beside which a magnifier has room, and where that stands."""
    silhouette = shapely.union_all(np.array(shapes))
    for share in SHARES:
        for lean in LEANS if share < 1.0 else LEANS[:1]:
            page = page_for(every, share, lean)
            on_paper = shapely.transform(silhouette, page.of)
            x, y = page.of(spot[None])[0].tolist()
            size = np.array([WIDTH, page.tall])
            stand = room_for(shown, on_paper, (x, y), size)
            if stand is not None:
                return page, stand
    return page_for(every), None


def _plain_to_see(way: Array, seen: Camera, ahead: Sequence[Flat], page: Page) -> bool:
    """Whether a way (k, 3) is long enough on paper and hardly hidden."""
    flat = page.of(seen.flat(way))
    long = float(np.linalg.norm(np.diff(flat, axis=0), axis=1).sum())
    if long < SHORTEST_WAY:
        return False
    pieces = seen_lines(way[:-1], way[1:], seen.axes, ahead, 0.0)
    shown = sum(float(np.linalg.norm(np.diff(page.of(piece), axis=0))) for piece in pieces)
    return shown > SHOWN_SHARE * long


def outward(shown: Magnified, seen: Camera) -> float:
    """1 where outwards on the side that the magnifier shows is rightwards in the picture."""
    return 1.0 if -DIRECTIONS[shown.axis] @ seen.right > 0.0 else -1.0


def _front(solids: Sequence[Solid], seen: Camera) -> tuple[list[Face], list[Flat], list[str]]:
    """The faces that look towards the eye, as seen, and the colour that each is drawn in."""
    fronts, faces, fills = [], [], []
    for body, solid in enumerate(solids):
        for face in solid.faces:
            normal = _normal(face)
            flat = flat_face(face.corners, normal, seen.axes, body)
            if flat is not None:
                fronts.append(face)
                faces.append(flat)
                light = min(face.tone * lit(normal), 1.0)
                fills.append("#" + "".join(f"{round(255 * light * own):02x}" for own in face.tint))
    return fronts, faces, fills


def _ground(
    solids: Sequence[Solid],
    seen: Camera,
    paper: Callable[[Array], Array],
    reach_mm: float,
) -> list[str]:
    """The shadow on the table, below everything."""
    level = ground_mm(solids)
    marks = []
    for shade in ground_shades(solids, reach_mm):
        rings = []
        for ring in shapely.get_rings(shade):
            flat = shapely.get_coordinates(ring)[:-1]
            placed = np.column_stack([flat, np.full(len(flat), level)])
            rings.append(svg.closed(paper(seen.flat(placed))))
        marks.append(svg.tag("path", "shade", d=" ".join(rings), fill_opacity=GROUND))
    return marks


def _prints(
    fronts: Sequence[Face],
    shapes: Sequence[shapely.Geometry],
    seen: Camera,
    paper: Callable[[Array], Array],
) -> list[str]:
    """What is seen of prints, each layer of a face as one path."""
    marks = []
    for face, shape in zip(fronts, shapes, strict=True):
        if face.printed is None or face.sheet is None or shape.is_empty:
            continue
        ink, cover = print_ink(face.tint)
        for layer in print_shapes(face.printed, face.sheet):
            own = onto_picture(face, seen.flat(face.corners), layer)
            data = _rings(shapely.intersection(own, shape), paper)
            if data:
                marks.append(svg.tag("path", "printed", d=data, fill=ink, fill_opacity=cover))
    return marks


def _rings(shape: shapely.Geometry, paper: Callable[[Array], Array]) -> str:
    """The path data of the polygons of a shape in the picture."""
    return " ".join(
        svg.closed(paper(shapely.get_coordinates(ring)[:-1]))
        for part in shapely.get_parts(shape)
        if isinstance(part, shapely.Polygon)
        for ring in shapely.get_rings(part)
    )


def _shades(
    solids: Sequence[Solid],
    seen: Camera,
    fronts: Sequence[Face],
    shapes: Sequence[shapely.Geometry],
    paper: Callable[[Array], Array],
) -> list[str]:
    """What is seen of the soft shades inside, each on its own face."""
    number = {id(face): i for i, face in enumerate(fronts)}
    marks = []
    for face, outline in inner_shades(solids, seen.eye):
        if id(face) not in number:
            continue
        shape = shapely.intersection(shapely.Polygon(seen.flat(outline)), shapes[number[id(face)]])
        data = _rings(shape, paper)
        if data:
            marks.append(svg.tag("path", "shade", d=data, fill_opacity=INNER))
    return marks


def _fills(
    faces: Sequence[Flat],
    shapes: Sequence[shapely.Geometry],
    fills: Sequence[str],
    paper: Callable[[Array], Array],
    least_mm: float,
) -> list[str]:
    """What is seen of each face; the far ones first, since a hair of colour runs round each."""
    near = [float(face.nearness(face.outline).mean()) for face in faces]
    marks = []
    for index in sorted(range(len(faces)), key=lambda i: (near[i], i)):
        rings = []
        for polygon in shapely.get_parts(shapes[index]):
            if 2.0 * shapely.area(polygon) < least_mm * shapely.length(polygon):
                continue
            for ring in shapely.get_rings(polygon):
                rings.append(svg.closed(paper(shapely.get_coordinates(ring)[:-1])))
        if rings:
            fill, data = fills[index], " ".join(rings)
            marks.append(
                svg.tag("path", "face", d=data, fill=fill, stroke=fill, stroke_width="0.12")
            )
    return marks


def _lines(
    solids: Sequence[Solid],
    seen: Camera,
    faces: Sequence[Flat],
    paper: Callable[[Array], Array],
    least_mm: float,
) -> list[str]:
    """What is seen of all edges, as one path for each ink."""
    inks: dict[str | None, list[tuple[Array, Array]]] = {}
    for solid in solids:
        inks.setdefault(edge_ink(solid.faces[0].tint), []).extend(_edges(solid, seen.eye))
    marks = []
    for ink, own in inks.items():
        edges = np.array(own)
        pieces = seen_lines(edges[:, 0], edges[:, 1], seen.axes, faces, least_mm)
        shown = (paper(piece) for piece in pieces)
        data = " ".join(f"M {_at(a)} L {_at(b)}" for a, b in shown if np.any(a != b))
        if ink is None:
            marks.append(svg.tag("path", "edge", d=data))
        else:
            marks.append(svg.tag("path", "edge-on-dark", d=data, stroke=ink))
    return marks


def _at(point: Array) -> str:
    return f"{svg.number(point[0])},{svg.number(point[1])}"


def _edges(solid: Solid, eye: Array) -> list[tuple[Array, Array]]:
    """The edges to draw of the faces that look towards the eye, and a round body's outline."""
    sides: dict[tuple[tuple[float, ...], tuple[float, ...]], tuple[Array, Array]] = {}
    away: set[tuple[tuple[float, ...], tuple[float, ...]]] = set()
    smooth = {}
    for face in solid.faces:
        front = bool(_normal(face) @ eye > 0.0)
        corners = face.corners
        keys = [tuple(np.round(corner, 6) + 0.0) for corner in corners]
        for i, edged in enumerate(face.edged):
            k = (i + 1) % len(keys)
            if not front:
                away.add((keys[k], keys[i]))
            elif edged and (keys[k], keys[i]) not in sides:
                sides[keys[i], keys[k]] = (corners[i], corners[k])
            elif solid.smooth:
                smooth[keys[i], keys[k]] = (corners[i], corners[k])
    return [*sides.values(), *(edge for key, edge in smooth.items() if key in away)]


def _normal(face: Face) -> Array:
    """The unit normal of a face, by Newell's sum, which no doubled corner upsets."""
    x, y, z = (face.corners - face.corners[0]).T
    p, q, r = (np.concatenate([values[1:], values[:1]]) for values in (x, y, z))
    normal = np.array([y @ r - z @ q, z @ p - x @ r, x @ q - y @ p])
    unit: Array = normal / max(math.sqrt(float(normal @ normal)), 1e-12)
    return unit
