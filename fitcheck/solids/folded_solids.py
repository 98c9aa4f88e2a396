"""A folded part as exact solids for other programs: plates extruded, bends as cylinder sectors.

A bend whose ends are slanted has cylinders, helicoid ends and flat flanks: along its turn the ends
move evenly along the axis, so on the cylinders they are helices (straight lines over angle and
height) and between the cylinders ruled surfaces. Every solid is built in its place.
"""

from typing import Any

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.folding.bends import Bend
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.prisms import Plate
from fitcheck.polygons import polygon_area
from fitcheck.solids.body_solid import wire_of
from fitcheck.solids.folded import distinct, named, placed
from fitcheck.solids.libraries import load_modeller
from fitcheck.workspace.progress import SILENT, Progress

SEW_MM = 1e-4
"""Edges of neighbouring faces nearer than this are one edge."""
SAME_MM = 1e-9
VOLUME_SHARE = 1e-4
"""Greatest share by which a bend's solid and its closed form may differ in volume."""

Spots = list[tuple[float, float, float]]
"""Radius, angle in radians and distance along the axis, in a bend's own frame."""


def folded_solids(part: FoldedPart, progress: Progress = SILENT) -> dict[str, Any]:
    """The modeller's solid for each plate and bend, by distinct name, all in their places.

    Raises ``ModelError`` when one does not close, ``MissingLibraryError`` without the modeller.
    """
    load_modeller()
    pieces = named(part)
    solids = {}
    for number, (name, piece) in enumerate(pieces.items()):
        progress.step(number, len(pieces), f"solid of {name}")
        solids[name] = plate_solid(piece) if isinstance(piece, Plate) else bend_solid(piece)
    return solids


def plate_solid(plate: Plate) -> Any:
    """The exact extrusion of a plate, in place; its arcs are facets.

    Where it lies in several pieces they are one compound.
    """
    rise = plate.thickness_mm * plate.pose[:3, 2]
    first, *others = sorted(plate.rings, key=polygon_area, reverse=True)
    solid = _over(plate, first, rise)
    for ring in others:
        own = _over(plate, ring, rise)
        solid = solid + own if polygon_area(ring) > 0.0 else solid - own
    return solid


def _over(plate: Plate, ring: np.ndarray, rise: np.ndarray) -> Any:
    outline = distinct(ring)
    flat = np.column_stack([outline, np.zeros(len(outline))])
    return _extruded(wire_of(placed(plate.pose, flat)), rise)


def bend_solid(bend: Bend) -> Any:
    """A bend in place, exact. Raises ``ModelError`` if its faces stay open."""
    if bend.straight:
        low, high = bend.ends_start
        return _extruded(_sector_outline(bend, low), (high - low) * bend.pose[:3, 1])
    try:
        solid = _sewn(bend)
    except RuntimeError as error:
        raise ModelError(f"{bend.name}: the faces of its bend do not close ({error})") from error
    if abs(solid.mass - bend.volume_mm3) > VOLUME_SHARE * bend.volume_mm3:
        raise ModelError(f"{bend.name}: the faces of its bend do not close")
    return solid


def _extruded(wire: Any, along: np.ndarray) -> Any:
    occ = load_modeller()
    (solid,) = occ.Prism(occ.Face(wire), occ.Vec(*along.tolist())).solids
    return solid


def _sewn(bend: Bend) -> Any:
    """The solid of a bend with slanted ends."""
    occ = load_modeller()
    radii = [radius for radius in (bend.outer_mm, bend.radius_mm) if radius > 0]
    mantles = [_mantle(bend, radius) for radius in radii]
    faces = [_between(bend, mantle) for mantle in mantles]
    for side in (0, 1):
        start, stop = bend.ends_start[side], bend.ends_stop[side]
        if abs(start - stop) <= SAME_MM:
            faces.append(occ.Face(_sector_outline(bend, start)))
            continue
        helices = [_on(mantle, *_turn(bend, side)) for mantle in mantles]
        if len(helices) == 1:
            helices.append(occ.Segment(*_points(bend, [(0.0, 0.0, start), (0.0, 0.0, stop)])))
        faces += occ.ThruSections([occ.Wire(edge) for edge in helices], solid=False).faces
    faces.append(_flank(bend, bend.start_rad, bend.ends_start))
    faces.append(_flank(bend, bend.stop_rad, bend.ends_stop))
    (shell,) = occ.Sew(faces, SEW_MM).shells
    solid = occ.Solid(shell)
    return occ.Solid(shell.Reversed()) if solid.mass < 0 else solid


def _points(bend: Bend, spots: Spots) -> list[Any]:
    """The modeller's points of spots, in place."""
    pnt = load_modeller().Pnt
    return [pnt(*point) for point in _corners(bend, spots).tolist()]


def _corners(bend: Bend, spots: Spots) -> np.ndarray:
    """Spots as points (n, 3), in place."""
    radius, angle, along = np.array(spots).T
    local = np.column_stack([radius * np.sin(angle), along, -radius * np.cos(angle)])
    return placed(bend.pose, local)


def _mantle(bend: Bend, radius_mm: float) -> Any:
    """A face on the cylinder; its parameters are the bend's angle and the distance along -y."""
    occ = load_modeller()
    origin, across, up = (bend.pose[:3, k].tolist() for k in (3, 1, 2))
    axes = occ.Axes(occ.Pnt(*origin), occ.Dir(*(-x for x in across)), occ.Dir(*(-x for x in up)))
    cylinder = occ.Cylinder(occ.gp_Ax2(axes), radius_mm, 1.0)
    middle = np.array(origin) - 0.5 * np.array(across)
    return min(
        cylinder.faces,
        key=lambda face: float(np.linalg.norm(np.array(tuple(face.center)) - middle)),
    )


def _turn(bend: Bend, side: int) -> tuple[tuple[float, float], tuple[float, float]]:
    """Angle and distance at both ends of a slanted edge."""
    return (bend.start_rad, bend.ends_start[side]), (bend.stop_rad, bend.ends_stop[side])


def _on(mantle: Any, start: tuple[float, float], stop: tuple[float, float]) -> Any:
    """The edge that runs evenly between two (angle, along) on a cylinder."""
    occ = load_modeller()
    return occ.Edge(
        occ.Segment(*(occ.gp_Pnt2d(turn, -along) for turn, along in (start, stop))), mantle
    )


def _between(bend: Bend, mantle: Any) -> Any:
    """The part of a cylinder between two helices and two straight lines."""
    occ = load_modeller()
    low, high = _turn(bend, 0), _turn(bend, 1)
    corners = [*low, *high[::-1]]
    edges = [
        _on(mantle, here, there)
        for here, there in zip(corners, corners[1:] + corners[:1], strict=True)
    ]
    return occ.Face(mantle, occ.Wire(edges))


def _flank(bend: Bend, angle_rad: float, ends: tuple[float, float]) -> Any:
    """The flat face where the bend meets its neighbour.

    On a sharp axis the corners of both flanks are its corners, so that their edges match.
    """
    low, high = ends
    inner = [low, high]
    if bend.radius_mm == 0:
        every = {round(at, 9): at for at in (*bend.ends_start, *bend.ends_stop)}
        inner = sorted(at for at in every.values() if low - SAME_MM <= at <= high + SAME_MM)
    spots = [(bend.radius_mm, angle_rad, at) for at in inner]
    spots += [(bend.outer_mm, angle_rad, high), (bend.outer_mm, angle_rad, low)]
    return load_modeller().Face(wire_of(_corners(bend, spots)))


def _sector_outline(bend: Bend, along_mm: float) -> Any:
    """The section of a bend square to its axis."""
    occ = load_modeller()
    turns = (bend.start_rad, (bend.start_rad + bend.stop_rad) / 2, bend.stop_rad)
    inner, outer = (
        _points(bend, [(radius, turn, along_mm) for turn in turns])
        for radius in (bend.radius_mm, bend.outer_mm)
    )
    edges = [
        occ.Segment(inner[0], outer[0]),
        occ.ArcOfCircle(*outer),
        occ.Segment(outer[-1], inner[-1]),
    ]
    if bend.radius_mm > 0:
        edges.append(occ.ArcOfCircle(*inner[::-1]))
    return occ.Wire(edges)
