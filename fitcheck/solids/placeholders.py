"""A content becomes a solid of its true size, lying as it prints best.

Cards lie on their flat side, blocks on their largest face, cylinders on an end. A sphere stays a
sphere: flattened so that it stands on the bed it would no longer have the size it stands for. A
mesh is printed from its file, checked to be a solid.
"""

import numpy as np

from fitcheck.design.mesh_content import MEND_SIZE, read_mesh, size_difference
from fitcheck.design.model import Item, ItemKind
from fitcheck.errors import InputError, ModelError
from fitcheck.findings import Finding, Severity
from fitcheck.solids.blocks import block
from fitcheck.solids.body import Ball, Body, Oval, Printed, rectangle
from fitcheck.solids.correction import IDENTITY, Correction
from fitcheck.solids.finishing import lay_flat
from fitcheck.solids.meshes import Mesh, make_mesh


def placeholder(item: Item, correction: Correction = IDENTITY) -> Printed:
    """A content that is not a mesh; z = 0 at the bottom, centred in x, y.

    Raises ``InputError`` for a mesh, which is read by ``read_item`` instead.
    """
    if item.kind is ItemKind.CARD:
        return _card(item, correction)
    if item.kind is ItemKind.BLOCK:
        return block(*lying(*item.size_mm), correction)
    if item.kind is ItemKind.CYLINDER:
        diameter, height = item.size_mm
        x, y, z = correction.outside(diameter, diameter, height)
        return Body(Oval(x, y), z)
    if item.kind is ItemKind.SPHERE:
        return Ball(*correction.outside(*item.size_mm * 3))
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


def _card(item: Item, correction: Correction) -> Body:
    width, length, height = correction.outside(*printed_size(item))
    # A spread outline keeps its rounded shape: the radius grows by the spread.
    radius = item.corner_radius_mm - correction.outside_offset_mm
    radius = min(radius, min(width, length) / 2 * (1 - 1e-6))
    if item.corner_radius_mm <= 0 or radius <= 0:
        radius = 0.0
    return Body(rectangle(width, length, radius), height)


def read_item(
    item: Item, correction: Correction = IDENTITY
) -> tuple[Mesh, tuple[float, float, float], tuple[Finding, ...]]:
    """The printable mesh of a mesh item, its nominal extents as it lies, and what was noticed.

    Raises ``InputError`` when the file is missing, cannot be read or is not a closed solid.
    """
    read = read_mesh(item)
    vertices, faces = read.vertices, read.faces
    found = _size_findings(item, np.ptp(vertices, axis=0))
    try:
        mesh = lay_flat(_closed(vertices, faces, item.name))
    except ModelError as error:
        raise InputError(
            f"{item.mesh_path}: {error}; allowed is a closed surface: repair it in a mesh editor"
        ) from error
    nominal = mesh.size_mm
    share = np.array(correction.outside(*nominal)) / nominal
    return make_mesh(mesh.vertices * share, mesh.faces, item.name), nominal, found


def _closed(vertices: np.ndarray, faces: np.ndarray, name: str) -> Mesh:
    """Closed whichever way the whole surface is wound."""
    try:
        return make_mesh(vertices, faces, name)
    except ModelError:
        return make_mesh(vertices, faces[:, ::-1], name)


def _size_findings(item: Item, extents: np.ndarray) -> tuple[Finding, ...]:
    difference = size_difference(item, extents.tolist())
    if difference is None:
        return ()
    words = f"{item.name}: the item {difference}: the dummy is the file's; {MEND_SIZE}"
    return (Finding("mesh-size", words, Severity.CAUTION, item.name),)
