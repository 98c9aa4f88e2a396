"""A content becomes a solid of its true size, lying as its kind is printed best.

A mesh is printed from its file, checked to be a solid.
"""

import math

import numpy as np

from fitcheck.design.model import Item
from fitcheck.errors import InputError, ModelError
from fitcheck.findings import Finding, Severity
from fitcheck.kinds.mesh_content import MEND_SIZE, read_mesh, size_difference
from fitcheck.kinds.poses import Disc, Polygon, Pose, Shape
from fitcheck.solids.body import Ball, Body, Oval, Printed, rectangle
from fitcheck.solids.body import Polygon as Straight
from fitcheck.solids.correction import IDENTITY, Correction
from fitcheck.solids.finishing import lay_flat
from fitcheck.solids.meshes import Mesh, make_mesh


def placeholder(pose: Pose, correction: Correction = IDENTITY) -> Printed:
    """A body in the pose in which it is printed; z = 0 at the bottom, centred in x, y.

    Raises ``ModelError`` for a pose that is neither a prism over its plan nor a ball.
    """
    x, y, z = correction.outside(pose.width_mm, pose.length_mm, pose.height_mm)
    if pose.shape is Shape.BALL:
        return Ball(x, y, z)
    if pose.shape is not Shape.PRISM:
        raise ModelError(f"what is printed is a prism or a ball, and this pose is a {pose.shape}")
    if isinstance(pose.footprint, Disc):
        return Body(Oval(x, y), z)
    if isinstance(pose.footprint, Polygon):
        share = np.array([x / pose.width_mm, y / pose.length_mm])
        corners = (np.array(pose.footprint.points) * share).tolist()
        return Body(Straight(tuple((along, across) for along, across in corners)), z)
    corner = pose.footprint.corner_radius_mm
    # A spread outline keeps its rounded shape: the radius grows by the spread.
    radius = min(corner - correction.outside_offset_mm, min(x, y) / 2 * (1 - 1e-6))
    return Body(rectangle(x, y, radius if min(corner, radius) > 0 else 0.0), z)


def square_share(pose: Pose) -> float:
    """How much of its plan's width and length a rectangle about its middle takes, 0 to 1."""
    if isinstance(pose.footprint, Disc):
        return math.sqrt(0.5)
    if not isinstance(pose.footprint, Polygon):
        return 1.0
    corners = np.array(pose.footprint.points)
    along = np.roll(corners, -1, axis=0) - corners
    outward = np.column_stack([along[:, 1], -along[:, 0]])
    reach = np.abs(outward) @ np.array([0.5 * pose.width_mm, 0.5 * pose.length_mm])
    room = np.einsum("ij,ij->i", outward, corners)
    return min(max(float(np.min(room / reach)), 0.0), 1.0)


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
