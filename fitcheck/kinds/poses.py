"""A pose is one way in which a body stands upright on a floor, with its plan and height."""

from __future__ import annotations

import enum
import math
from dataclasses import dataclass


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
    def words(self) -> str:
        """How it stands as a maker says it: a jar is no flatter for lying on its side.

        >>> Pose("on end", 80.0, 80.0, 95.0, Disc()).words
        'standing'
        >>> Pose("flat, turned 90", 95.0, 80.0, 80.0, shape=Shape.ALONG_WIDTH).words
        'on its side, turned 90'
        >>> Pose("flat", 25.0, 25.0, 4.0, Disc()).words
        'flat'
        """
        _, comma, turned = self.name.partition(", ")
        along = {Shape.ALONG_WIDTH: self.width_mm, Shape.ALONG_LENGTH: self.length_mm}
        if along.get(self.shape, 0.0) > self.height_mm:
            return f"on its side{comma}{turned}"
        tall = isinstance(self.footprint, Disc) and self.height_mm > self.width_mm
        return f"standing{comma}{turned}" if tall else self.name

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
            # reading a design's items needs no numbers library
            from fitcheck.polygons import polygon_area

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
