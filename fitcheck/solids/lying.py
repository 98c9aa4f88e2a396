"""A content as it lies in a box: the mesh of its body, its plan's middle over the origin, z from 0.

Rounds are as fine as those of stand-ins. Of a mesh file it is the file's own surface.
"""

import numpy as np

from fitcheck.design.model import Item
from fitcheck.errors import ModelError
from fitcheck.kinds.mesh_content import mesh_plan, read_mesh
from fitcheck.kinds.poses import Disc, Polygon, Pose, Shape
from fitcheck.solids.body import Ball, Body, Outline, Oval, rectangle
from fitcheck.solids.body import Polygon as Straight
from fitcheck.solids.body_mesh import mesh_of
from fitcheck.solids.meshes import Mesh, make_mesh


def lying_mesh(item: Item, pose: Pose) -> Mesh:
    """The closed surface of an item in a pose, mm.

    Raises ``MissingLibraryError`` without the mesh library, ``InputError`` for a mesh file that
    cannot be read, ``ModelError`` for one that is no closed surface.
    """
    if item.mesh_path is not None:
        return _file_lying(item, pose)
    if pose.shape is Shape.BALL:
        return mesh_of(Ball(pose.width_mm, pose.width_mm, pose.width_mm), item.name)
    if pose.shape in (Shape.ALONG_WIDTH, Shape.ALONG_LENGTH):
        return _rod(item, pose)
    return mesh_of(Body(_outline(pose), pose.height_mm), item.name)


def _outline(pose: Pose) -> Outline:
    if isinstance(pose.footprint, Disc):
        return Oval(pose.width_mm, pose.width_mm)
    if isinstance(pose.footprint, Polygon):
        return Straight(pose.footprint.points)
    return rectangle(pose.width_mm, pose.length_mm, pose.footprint.corner_radius_mm)


def _rod(item: Item, pose: Pose) -> Mesh:
    """A cylinder on its side: made standing, its axis then put along the width or the length."""
    along_width = pose.shape is Shape.ALONG_WIDTH
    length = pose.width_mm if along_width else pose.length_mm
    standing = mesh_of(Body(Oval(pose.height_mm, pose.height_mm), length), item.name)
    x, y, z = standing.vertices.T
    axis, rise = z - 0.5 * length, 0.5 * pose.height_mm
    # cyclic orders of the axes, which keep the surface's winding
    turned = (axis, x, y + rise) if along_width else (y, axis, x + rise)
    return Mesh(np.column_stack(turned), standing.faces)


def _file_lying(item: Item, pose: Pose) -> Mesh:
    """A file's surface on the side that the pose has below, turned as the pose is."""
    read = read_mesh(item)
    up, quarter = _side(item, pose)
    first, second = (axis for axis in range(3) if axis != up)
    middle = 0.5 * (read.vertices.min(axis=0) + read.vertices.max(axis=0))
    x, y, z = (read.vertices - middle).T[[first, second, up]]
    # first, second and up are right-handed but for the middle axis: then it lies on its other side
    z = -z if up == 1 else z
    points = np.column_stack([-y, x, z] if quarter else [x, y, z])
    points[:, 2] -= points[:, 2].min()
    try:
        return make_mesh(points, read.faces, item.name)
    except ModelError:  # some files have their triangles wound inward
        return make_mesh(points, read.faces[:, ::-1], item.name)


def _side(item: Item, pose: Pose) -> tuple[int, bool]:
    """Which axis of its file points up in a pose, and whether it is turned by a quarter."""
    footprint = pose.footprint
    for up in range(3):
        plan = mesh_plan(item, up)
        for quarter in (False, True):
            points = tuple((-y, x) for x, y in plan) if quarter else plan
            if footprint == Polygon(points) and pose.height_mm == item.size_mm[up]:
                return up, quarter
    raise AssertionError("a mesh lies on one of its sides")
