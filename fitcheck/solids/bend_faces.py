"""A bend whose ends are slanted, as an exact B-rep: cylinders, helicoid ends and flat flanks.

Along its turn the ends move evenly along the axis, so on the cylinders they are helices (straight
lines over angle and height) and between the cylinders ruled surfaces.
"""

import math
from typing import Any

from fitcheck.errors import ModelError
from fitcheck.folding.bends import Bend
from fitcheck.solids.modeller import load_cadquery

SEW_MM = 1e-4
"""Edges of neighbouring faces nearer than this are one edge."""
SAME_MM = 1e-9


def slanted_bend(bend: Bend) -> Any:
    """The solid of a bend in its own frame; a cadquery solid. Raises ``ModelError``."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Sewing
    from OCP.BRepFill import BRepFill

    cadquery = load_cadquery()
    sewing = BRepBuilderAPI_Sewing(SEW_MM)
    outer = [_helix(bend, bend.outer_mm, side) for side in (0, 1)]
    sewing.Add(_cylinder(bend, bend.outer_mm, outer))
    if bend.radius_mm > 0:
        inner = [_helix(bend, bend.radius_mm, side) for side in (0, 1)]
        sewing.Add(_cylinder(bend, bend.radius_mm, inner))
    for side in (0, 1):
        if abs(bend.ends_start[side] - bend.ends_stop[side]) <= SAME_MM:
            sewing.Add(_sector(bend, side).wrapped)
        elif bend.radius_mm > 0:
            sewing.Add(BRepFill.Face_s(inner[side], outer[side]))
        else:
            axis = cadquery.Edge.makeLine(
                cadquery.Vector(0, bend.ends_start[side], 0),
                cadquery.Vector(0, bend.ends_stop[side], 0),
            )
            sewing.Add(BRepFill.Face_s(axis.wrapped, outer[side]))
    sewing.Add(_flank(bend, bend.start_rad, bend.ends_start).wrapped)
    sewing.Add(_flank(bend, bend.stop_rad, bend.ends_stop).wrapped)
    sewing.Perform()
    shells = cadquery.Shape.cast(sewing.SewedShape()).Shells()
    if len(shells) != 1 or sewing.NbFreeEdges():
        raise ModelError(f"{bend.name}: the faces of its bend do not close")
    return cadquery.Solid.makeSolid(shells[0]).fix()


def spot(radius_mm: float, angle_rad: float, along_mm: float) -> Any:
    """A point of a bend in its own frame."""
    return load_cadquery().Vector(
        radius_mm * math.sin(angle_rad), along_mm, -radius_mm * math.cos(angle_rad)
    )


def _surface(radius_mm: float) -> Any:
    """The cylinder; its parameters are the bend's angle and the distance along -y."""
    from OCP.Geom import Geom_CylindricalSurface
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt

    frame = gp_Ax3(gp_Pnt(0, 0, 0), gp_Dir(0, -1, 0), gp_Dir(0, 0, -1))
    return Geom_CylindricalSurface(frame, radius_mm)


def _edge_on(surface: Any, start: tuple[float, float], stop: tuple[float, float]) -> Any:
    """The straight line between two (angle, along) on a cylinder."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
    from OCP.BRepLib import BRepLib
    from OCP.GCE2d import GCE2d_MakeSegment
    from OCP.gp import gp_Pnt2d

    ends = (gp_Pnt2d(angle, -along) for angle, along in (start, stop))
    edge = BRepBuilderAPI_MakeEdge(GCE2d_MakeSegment(*ends).Value(), surface).Edge()
    BRepLib.BuildCurves3d_s(edge)
    return edge


def _helix(bend: Bend, radius_mm: float, side: int) -> Any:
    return _edge_on(
        _surface(radius_mm),
        (bend.start_rad, bend.ends_start[side]),
        (bend.stop_rad, bend.ends_stop[side]),
    )


def _cylinder(bend: Bend, radius_mm: float, helices: list[Any]) -> Any:
    """The part of a cylinder between two helices and two straight lines."""
    from OCP.BRepBuilderAPI import (
        BRepBuilderAPI_MakeFace,
        BRepBuilderAPI_MakeWire,
    )
    from OCP.BRepLib import BRepLib

    surface = _surface(radius_mm)
    corners = [
        (bend.start_rad, bend.ends_start[0]),
        (bend.stop_rad, bend.ends_stop[0]),
        (bend.stop_rad, bend.ends_stop[1]),
        (bend.start_rad, bend.ends_start[1]),
    ]
    edges = [
        _edge_on(surface, here, there)
        for here, there in zip(corners, corners[1:] + corners[:1], strict=True)
    ]
    wire = BRepBuilderAPI_MakeWire()
    for edge in edges:
        wire.Add(edge)
    face = BRepBuilderAPI_MakeFace(surface, wire.Wire(), True).Face()
    BRepLib.BuildCurves3d_s(face)
    return face


def _flank(bend: Bend, angle_rad: float, ends: tuple[float, float]) -> Any:
    """The flat face where the bend meets its neighbour.

    On a sharp axis the corners of both flanks are its corners, so that their edges match.
    """
    low, high = ends
    inner = [low, high]
    if bend.radius_mm == 0:
        every = {round(at, 9): at for at in (*bend.ends_start, *bend.ends_stop)}
        inner = sorted(at for at in every.values() if low - SAME_MM <= at <= high + SAME_MM)
    corners = [spot(bend.radius_mm, angle_rad, at) for at in inner]
    corners += [spot(bend.outer_mm, angle_rad, high), spot(bend.outer_mm, angle_rad, low)]
    cadquery = load_cadquery()
    return cadquery.Face.makeFromWires(cadquery.Wire.makePolygon(corners, close=True))


def _sector(bend: Bend, side: int) -> Any:
    """A flat end square to the axis."""
    return load_cadquery().Face.makeFromWires(sector_outline(bend, bend.ends_start[side]))


def sector_outline(bend: Bend, along_mm: float) -> Any:
    """The section of a bend square to its axis; a cadquery wire in the bend's own frame."""
    cadquery = load_cadquery()
    turns = (bend.start_rad, (bend.start_rad + bend.stop_rad) / 2, bend.stop_rad)
    inner = [spot(bend.radius_mm, turn, along_mm) for turn in turns]
    outer = [spot(bend.outer_mm, turn, along_mm) for turn in turns]
    edges = [
        cadquery.Edge.makeLine(inner[0], outer[0]),
        cadquery.Edge.makeThreePointArc(*outer),
        cadquery.Edge.makeLine(outer[-1], inner[-1]),
    ]
    if bend.radius_mm > 0:
        edges.append(cadquery.Edge.makeThreePointArc(*inner))
    return cadquery.Wire.assembleEdges(edges)
