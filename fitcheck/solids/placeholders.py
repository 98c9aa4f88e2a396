"""A content becomes a solid of its true size, lying as it prints best.

Cards lie on their flat side, blocks on their largest face, cylinders on an end. A sphere stays a
sphere: flattened so that it stands on the bed it would no longer have the size it stands for.
"""

import math
from typing import Any

from fitcheck.design.model import Item, ItemKind
from fitcheck.errors import InputError
from fitcheck.solids.blocks import block
from fitcheck.solids.correction import IDENTITY, Correction
from fitcheck.solids.modeller import load_cadquery


def placeholder(item: Item, correction: Correction = IDENTITY) -> Any:
    """The cadquery solid of a content that is not a mesh; z = 0 at the bottom, centred in x, y.

    Raises ``InputError`` for a mesh, which is read by ``mesh_files`` instead.
    """
    if item.kind is ItemKind.CARD:
        return _card(item, correction)
    if item.kind is ItemKind.BLOCK:
        return block(*lying(*item.size_mm), correction)
    if item.kind is ItemKind.CYLINDER:
        diameter, height = item.size_mm
        return _cylinder(diameter, height, correction)
    if item.kind is ItemKind.SPHERE:
        return _sphere(item.size_mm[0], correction)
    raise InputError(f"{item.name} is a mesh: it is printed from its file, not modelled")


def printed_size(item: Item) -> tuple[float, float, float]:
    """Nominal extents along the printer's x, y, z, in the pose of ``placeholder``."""
    if item.kind is ItemKind.SPHERE:
        (diameter,) = item.size_mm
        return diameter, diameter, diameter
    if item.kind is ItemKind.CYLINDER:
        diameter, height = item.size_mm
        return diameter, diameter, height
    width, length, height = item.size_mm
    return lying(width, length, height) if item.kind is ItemKind.BLOCK else (width, length, height)


def lying(width_mm: float, length_mm: float, height_mm: float) -> tuple[float, float, float]:
    """The sizes of a block with its largest face down; the order is kept where it can be.

    >>> lying(10.0, 40.0, 25.0)
    (40.0, 25.0, 10.0)
    """
    if height_mm <= min(width_mm, length_mm):
        return width_mm, length_mm, height_mm
    if width_mm <= length_mm:
        return length_mm, height_mm, width_mm
    return width_mm, height_mm, length_mm


def _card(item: Item, correction: Correction) -> Any:
    nominal = printed_size(item)
    width, length, _ = correction.outside(*nominal)
    solid = block(*nominal, correction)
    # A spread outline keeps its rounded shape: the radius grows by the spread.
    radius = item.corner_radius_mm - correction.outside_offset_mm
    radius = min(radius, min(width, length) / 2 * (1 - 1e-6))
    if item.corner_radius_mm <= 0 or radius <= 0:
        return solid
    upright = [edge for edge in solid.Edges() if abs(edge.tangentAt(0).z) > 0.5]
    return solid.fillet(radius, upright)


def _cylinder(diameter_mm: float, height_mm: float, correction: Correction) -> Any:
    x, y, z = correction.outside(diameter_mm, diameter_mm, height_mm)
    cadquery = load_cadquery()
    spots = [
        cadquery.Vector(x / 2 * math.cos(turn), x / 2 * math.sin(turn), 0)
        for turn in (k * math.pi / 4 for k in range(9))
    ]
    # Four arcs: their ends lie where the cylinder is widest, so its mesh is as wide as it is.
    arcs = [cadquery.Edge.makeThreePointArc(*spots[k : k + 3]) for k in (0, 2, 4, 6)]
    # The outline is stretched, not the solid, so that the ends stay planes to engrave.
    outline = _stretched(cadquery.Wire.assembleEdges(arcs), y / x, 1.0)
    return cadquery.Solid.extrudeLinear(outline, [], cadquery.Vector(0, 0, z))


def _sphere(diameter_mm: float, correction: Correction) -> Any:
    cadquery = load_cadquery()
    x, y, z = correction.outside(diameter_mm, diameter_mm, diameter_mm)
    middle, up = cadquery.Vector(0, 0, x / 2), cadquery.Vector(0, 0, 1)
    # Eight octants: their seams lie where the sphere is widest, so its mesh is as wide as it is.
    first, *others = (
        cadquery.Solid.makeSphere(x / 2, middle, up, low, low + 90, 90).rotate(
            middle, middle + up, quarter * 90
        )
        for quarter in range(4)
        for low in (-90, 0)
    )
    (whole,) = first.fuse(*others).Solids()
    return _stretched(whole, y / x, z / x)


def _stretched(solid: Any, y_share: float, z_share: float) -> Any:
    """Scaled along y and z; untouched where the printer is the same along all axes."""
    if y_share == 1.0 and z_share == 1.0:
        return solid
    matrix = load_cadquery().Matrix([[1, 0, 0, 0], [0, y_share, 0, 0], [0, 0, z_share, 0]])
    return solid.transformGeometry(matrix)
