"""A content as a body that can be packed: the ways it may lie, each with its plan and height.

A pose stands upright on one of the body's faces; leaning bodies are not counted. Sorted by
size, a body has a smallest, a middle and a largest dimension, and its lay says which of them
points up: flat = the smallest, edge = the middle, end = the largest, any = each of them.

A cylinder follows the same rule with its dimensions (diameter, diameter, height). So a coin
(height <= diameter) lies flat on its round face, and stands on its rim on edge or on end; a
rod (height > diameter) lies on its side when flat or on edge, and stands on its round face
when on end. A ball has one pose. A mesh counts as the upright
prism over the outline of its hull.
"""

from __future__ import annotations

import enum
import math
from dataclasses import dataclass

from fitcheck.design.mesh_content import mesh_plan
from fitcheck.design.model import Item, ItemKind, Lay
from fitcheck.polygons import polygon_area


@dataclass(frozen=True)
class Rectangle:
    """A rectangular plan of the pose's width and length."""

    corner_radius_mm: float = 0.0


@dataclass(frozen=True)
class Disc:
    """A round plan whose diameter is the pose's width and length."""


@dataclass(frozen=True)
class Polygon:
    """A convex plan, its corners counter-clockwise, mm, about the middle of its own extents."""

    points: tuple[tuple[float, float], ...]


Footprint = Rectangle | Disc | Polygon


class Shape(enum.StrEnum):
    """How the body fills the upright prism over its plan."""

    PRISM = "prism"
    """fills it"""
    EDGEWISE = "edgewise"
    """a plate with round corners that stand up: full extents, a little missing at the corners"""
    ALONG_WIDTH = "cylinder along the width"
    ALONG_LENGTH = "cylinder along the length"
    BALL = "ball"
    HULL = "hull"
    """somewhere inside it: only its extents along the axes are known"""


@dataclass(frozen=True)
class Pose:
    """One way to stand a body upright on the floor of a room."""

    name: str
    width_mm: float
    length_mm: float
    height_mm: float
    footprint: Footprint = Rectangle()
    shape: Shape = Shape.PRISM

    @property
    def core(self) -> tuple[tuple[tuple[float, float], ...], float]:
        """Corners of the plan's convex core about its middle, and the radius it is grown by, mm."""
        if isinstance(self.footprint, Disc):
            return ((0.0, 0.0),), self.width_mm / 2.0
        if isinstance(self.footprint, Polygon):
            return self.footprint.points, 0.0
        radius = self.footprint.corner_radius_mm
        w, h = self.width_mm / 2.0 - radius, self.length_mm / 2.0 - radius
        return ((-w, -h), (w, -h), (w, h), (-w, h)), radius

    @property
    def area_mm2(self) -> float:
        """Area of the plan, mm2."""
        if isinstance(self.footprint, Disc):
            return math.pi / 4.0 * self.width_mm**2
        if isinstance(self.footprint, Polygon):
            return polygon_area(self.footprint.points)
        corner = self.footprint.corner_radius_mm
        return self.width_mm * self.length_mm - (4.0 - math.pi) * corner**2

    @property
    def least_volume_mm3(self) -> float:
        """Volume that the body takes for certain, mm3 (0 for a hull: the solid is not known).

        A plate on edge may have corner radii up to half its shorter face side, so an ellipse's
        share of the box is certain.
        """
        if self.shape is Shape.HULL:
            return 0.0
        if self.shape is Shape.BALL:
            return math.pi / 6.0 * self.width_mm**3
        if self.shape is Shape.PRISM:
            return self.area_mm2 * self.height_mm
        return math.pi / 4.0 * self.width_mm * self.length_mm * self.height_mm


_LAY_RANKS = {Lay.FLAT: (0,), Lay.EDGE: (1,), Lay.END: (2,), Lay.ANY: (0, 1, 2)}
_WORDS = ("flat", "on edge", "on end")


def lays(item: Item, lay: Lay, like: Item | None = None) -> tuple[Pose, ...]:
    """Every upright pose of `item` that `lay` allows, each also turned 90 degrees in plan.

    Poses that cannot be told apart are given once, under the first name. `like` is the item whose
    sizes say which is the smallest, for one that came out a little different.

    >>> from types import SimpleNamespace
    >>> card = SimpleNamespace(kind=ItemKind.CARD, size_mm=(90.0, 50.0, 1.0), corner_radius_mm=0.0)
    >>> [(p.name, p.width_mm, p.length_mm, p.height_mm) for p in lays(card, Lay.EDGE)]
    [('on edge', 90.0, 1.0, 50.0), ('on edge, turned 90', 1.0, 90.0, 50.0)]
    """
    if item.kind is ItemKind.SPHERE:
        across = item.size_mm[0]
        return (Pose("as it is", across, across, across, Disc(), Shape.BALL),)
    size = _extents(item)
    nominal = _extents(like or item)
    by_size = sorted(range(3), key=lambda axis: (nominal[axis], -axis))
    found: dict[tuple[object, ...], Pose] = {}
    for rank in _LAY_RANKS[lay]:
        for pose in _upright(item, size, by_size[rank], _WORDS[rank]):
            key = (pose.width_mm, pose.length_mm, pose.height_mm, pose.footprint, pose.shape)
            found.setdefault(key, pose)
    return tuple(found.values())


def _extents(item: Item) -> tuple[float, float, float]:
    if item.kind is ItemKind.CYLINDER:
        across, height = item.size_mm
        return across, across, height
    width, length, height = item.size_mm
    return width, length, height


def _upright(item: Item, size: tuple[float, float, float], up: int, word: str) -> tuple[Pose, ...]:
    first, second = (size[axis] for axis in range(3) if axis != up)
    if item.kind is ItemKind.CYLINDER and up == 2:
        return (Pose(word, first, second, size[2], Disc()),)
    if item.kind is ItemKind.MESH:
        return _hull_poses(item, up, size[up], word)
    straight, turned = Shape.PRISM, Shape.PRISM
    radius = 0.0
    if item.kind is ItemKind.CYLINDER:
        # the axis is the last dimension, so it is `second` whenever it does not point up
        straight, turned = Shape.ALONG_LENGTH, Shape.ALONG_WIDTH
    elif item.corner_radius_mm > 0.0 and up == 2:
        radius = item.corner_radius_mm
    elif item.corner_radius_mm > 0.0:
        straight = turned = Shape.EDGEWISE
    plan = Rectangle(radius)
    return (
        Pose(word, first, second, size[up], plan, straight),
        Pose(f"{word}, turned 90", second, first, size[up], plan, turned),
    )


def _hull_poses(item: Item, up: int, height: float, word: str) -> tuple[Pose, ...]:
    """A mesh on one of its sides: the outline of its hull seen from above, straight and turned."""
    plan = mesh_plan(item, up)
    turned = tuple((-y, x) for x, y in plan)
    return tuple(
        Pose(name, *_spans(points), height, Polygon(points), Shape.HULL)
        for name, points in ((word, plan), (f"{word}, turned 90", turned))
    )


def _spans(points: tuple[tuple[float, float], ...]) -> tuple[float, float]:
    across, along = zip(*points, strict=True)
    return max(across) - min(across), max(along) - min(along)
