"""A body becomes an exact solid for other programs: flat faces, cylinders, cones; no facets."""

from typing import Any

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.solids.body import Ball, Body, Outline, Oval, Polygon, Printed, Recess
from fitcheck.solids.libraries import load_modeller

FLAT_MM = 1e-6
"""Edges this near to a plane lie in it."""


def solid_of(body: Printed, name: str) -> Any:
    """The modeller's solid of a body, exact.

    Raises ``ModelError`` when the modeller fails, ``MissingLibraryError`` when it cannot load.
    """
    load_modeller()
    try:
        made = _ball(body) if isinstance(body, Ball) else _body(body)
        (solid,) = made.solids
    except (RuntimeError, ValueError) as error:
        raise ModelError(f"{name}: the modeller could not make its solid ({error})") from error
    return solid


def _body(body: Body) -> Any:
    occ = load_modeller()
    made = _prism(body.outline, 0.0, body.height_mm)
    if body.chamfer_mm > 0.0:
        made = _chamfered(made, body.outline, body.chamfer_mm)
    for room in body.rooms:
        made -= _prism(room.outline, room.low_mm, room.high_mm)
    for recess in body.recesses:
        made -= occ.Compound(_cutters(recess))
    return made


def _chamfered(made: Any, outline: Outline, chamfer_mm: float) -> Any:
    """The prism with its lowest edges cut off at 45 degrees."""
    occ = load_modeller()
    if not isinstance(outline, Polygon) or not 0.0 < outline.radius_mm <= chamfer_mm:
        lowest = [edge for edge in made.edges if abs(edge.center.z) < FLAT_MM]
        return made.MakeChamfer(lowest, chamfer_mm)
    # A round smaller than the chamfer would vanish in it, which the modeller gets wrong.
    for start, along in zip(outline.corners, _sides(outline), strict=True):
        out = (along[1], -along[0], -1.0)
        at = occ.Pnt(start[0] + chamfer_mm * -out[0], start[1] + chamfer_mm * -out[1], 0.0)
        made *= occ.HalfSpace(at, occ.Vec(*out))
    return made


def _sides(outline: Polygon) -> list[tuple[float, float]]:
    """The direction of each side."""
    corners = np.array(outline.corners)
    along = np.roll(corners, -1, axis=0) - corners
    return [(x, y) for x, y in (along / np.linalg.norm(along, axis=1)[:, None]).tolist()]


def _ball(ball: Ball) -> Any:
    occ = load_modeller()
    x, y, z = (size / 2 for size in ball.size_mm)
    middle = occ.Pnt(0, 0, z)
    if x == y == z:
        return occ.Sphere(middle, z)
    return occ.Ellipsoid(occ.Axes(middle, occ.Dir(0, 0, 1), occ.Dir(1, 0, 0)), z, x, y)


def _prism(outline: Outline, low_mm: float, high_mm: float) -> Any:
    face = _polygon(outline, low_mm) if isinstance(outline, Polygon) else _oval(outline, low_mm)
    return load_modeller().Prism(face, load_modeller().Vec(0, 0, high_mm - low_mm))


def _polygon(outline: Polygon, z_mm: float) -> Any:
    occ = load_modeller()
    if outline.radius_mm <= 0.0:
        flat = np.array(outline.corners)
        return occ.Face(wire_of(np.column_stack([flat, np.full(len(flat), z_mm)])))
    strokes = outline.strokes()
    rounds = strokes.reshape(len(outline.corners), -1, 2)
    edges = []
    for here, there in zip(rounds, np.roll(rounds, -1, axis=0), strict=True):
        edges.append(_arc(here, outline.radius_mm, z_mm))
        if np.linalg.norm(there[0] - here[-1]) > FLAT_MM:
            edges.append(occ.Segment(occ.Pnt(*here[-1], z_mm), occ.Pnt(*there[0], z_mm)))
    return occ.Face(occ.Wire(edges))


def _arc(points: np.ndarray, radius_mm: float, z_mm: float) -> Any:
    """The exact round through the ends of its strokes."""
    occ = load_modeller()
    start, stop = points[0], points[-1]
    chord = stop - start
    out = np.array([chord[1], -chord[0]]) / np.linalg.norm(chord)
    half = float(np.linalg.norm(chord)) / 2
    rise = radius_mm - np.sqrt(max(radius_mm**2 - half**2, 0.0))
    top = (start + stop) / 2 + rise * out
    return occ.ArcOfCircle(*(occ.Pnt(*at, z_mm) for at in (start, top, stop)))


def _oval(oval: Oval, z_mm: float) -> Any:
    occ = load_modeller()
    long, short = max(oval.x_mm, oval.y_mm) / 2, min(oval.x_mm, oval.y_mm) / 2
    along = occ.Dir(1, 0, 0) if oval.x_mm >= oval.y_mm else occ.Dir(0, 1, 0)
    plane = occ.WorkPlane(occ.Axes(occ.Pnt(0, 0, z_mm), occ.Dir(0, 0, 1), along))
    return plane.Circle(long).Face() if long == short else plane.Ellipse(long, short).Face()


def _cutters(recess: Recess) -> list[Any]:
    """Every letter as a prism that reaches from its floor out of the face."""
    occ = load_modeller()
    right, up, outward, origin = recess.frame.T
    out = occ.Vec(*(2 * recess.depth_mm * outward).tolist())
    cutters = []
    for letter in recess.letters:
        placed = [
            origin - recess.depth_mm * outward + line @ np.array([right, up])
            for line in (letter.outer, *letter.holes)
        ]
        face = occ.Face(wire_of(placed[0]))
        if len(placed) > 1:
            face = occ.Face(face, [wire_of(line) for line in placed])
        cutters.append(occ.Prism(face, out))
    return cutters


def wire_of(points: np.ndarray) -> Any:
    """The closed line of straight strokes through points (n, 3)."""
    occ = load_modeller()
    corners = [occ.Vertex(occ.Pnt(*point)) for point in np.asarray(points).tolist()]
    return occ.MakePolygon([*corners, corners[0]])
