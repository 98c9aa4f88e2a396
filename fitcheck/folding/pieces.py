"""A folded part is made of plates and bends, and the fit tests see both as convex pieces."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fitcheck.folding.pose import Array, apply, rotate
from fitcheck.pattern.pattern import polygon_area

FACET_ERROR_MM = 2e-4
"""How far a faceted round may stand outside the true one."""
NEAR_RAD = 1e-9


@dataclass(frozen=True, eq=False)
class ConvexPiece:
    """A convex polyhedron in place."""

    name: str
    panels: frozenset[str]
    """The panel it is, or the two panels that it joins."""
    vertices: Array
    """(n, 3) mm."""
    normals: Array
    """(f, 3) unit outward face normals."""
    edges: Array
    """(e, 3) unit edge directions."""

    def moved(self, pose: Array, name: str | None = None) -> ConvexPiece:
        """The same piece elsewhere."""
        return ConvexPiece(
            name or self.name,
            self.panels,
            apply(pose, self.vertices),
            rotate(pose, self.normals),
            rotate(pose, self.edges),
        )

    @cached_property
    def low(self) -> Array:
        """The least x, y, z, (3,) mm."""
        least: Array = self.vertices.min(axis=0)
        return least

    @cached_property
    def high(self) -> Array:
        """The greatest x, y, z, (3,) mm."""
        greatest: Array = self.vertices.max(axis=0)
        return greatest


def prism(
    name: str, panels: frozenset[str], outline: Array, low: float, high: float
) -> ConvexPiece:
    """An upright prism over a convex counter-clockwise outline (n, 2), between two heights, mm."""
    count = len(outline)
    vertices = np.empty((2 * count, 3))
    vertices[:count, :2] = vertices[count:, :2] = outline
    vertices[:count, 2], vertices[count:, 2] = low, high
    along = np.roll(outline, -1, axis=0) - outline
    along = along[np.hypot(along[:, 0], along[:, 1]) > 1e-9]
    along = along / np.hypot(along[:, 0], along[:, 1])[:, None]
    sides = np.column_stack([along[:, 1], -along[:, 0], np.zeros(len(along))])
    ends = np.array([[0.0, 0.0, 1.0], [0.0, 0.0, -1.0]])
    edges = np.vstack([np.column_stack([along, np.zeros(len(along))]), ends[:1]])
    return ConvexPiece(name, panels, vertices, np.vstack([sides, ends]), edges)


@dataclass(frozen=True, eq=False)
class Plate:
    """The flat rest of a panel between its bends."""

    name: str
    outline: Array
    """(n, 2) mm, convex, counter-clockwise, in the panel's own place on the sheet."""
    pose: Array
    """(4, 4); local z = 0 is the outside face, z = thickness the inside face."""
    thickness_mm: float

    @property
    def volume_mm3(self) -> float:
        """Exact volume."""
        return polygon_area(self.outline) * self.thickness_mm

    def pieces(self) -> list[ConvexPiece]:
        """The plate as one convex piece."""
        flat = prism(self.name, frozenset([self.name]), self.outline, 0.0, self.thickness_mm)
        return [flat.moved(self.pose)]

    def corners(self) -> Array:
        """Its corners in place, (2 n, 3) mm."""
        return self.pieces()[0].vertices

    def support(self, direction: Array) -> float:
        """The furthest reach along a unit direction (3,), mm."""
        return float(np.max(self.corners() @ direction))


@dataclass(frozen=True, eq=False)
class Bend:
    """A sector of a round between two panels.

    Its axis is local y through the origin. At angle phi the radial direction is
    (sin phi, 0, -cos phi); material lies between the inside radius and that plus the thickness.
    """

    name: str
    panels: frozenset[str]
    radius_mm: float
    thickness_mm: float
    start_rad: float
    stop_rad: float
    ends_start: tuple[float, float]
    """Its reach along the axis at the start angle, mm; it goes linearly to that at the stop."""
    ends_stop: tuple[float, float]
    pose: Array

    @property
    def outer_mm(self) -> float:
        """Outside radius."""
        return self.radius_mm + self.thickness_mm

    @property
    def straight(self) -> bool:
        """True when its ends are square to the axis."""
        return np.allclose(self.ends_start, self.ends_stop, rtol=0.0, atol=1e-9)

    @property
    def volume_mm3(self) -> float:
        """Exact volume."""
        sector = 0.5 * (self.outer_mm**2 - self.radius_mm**2) * (self.stop_rad - self.start_rad)
        start, stop = (ends[1] - ends[0] for ends in (self.ends_start, self.ends_stop))
        return sector * 0.5 * (start + stop)

    def support(self, direction: Array) -> float:
        """The furthest reach of the true round along a unit direction (3,), mm."""
        local = self.pose[:3, :3].T @ direction
        offset = float(self.pose[:3, 3] @ direction)
        angles = [self.start_rad, self.stop_rad]
        angles += [
            a
            for towards in self._level_at(local)
            for a in (towards, towards + 2 * math.pi)
            if self.start_rad <= a <= self.stop_rad
        ]
        return offset + max(self._reach(angle, local) for angle in angles)

    def _level_at(self, local: Array) -> set[float]:
        """Angles at which the reach may peak between the ends.

        On a radius rho it goes like rho A cos(angle - towards) + b angle, where b is what an end
        gains by its slant; that peaks where rho A sin(angle - towards) = b.
        """
        towards, across = math.atan2(local[0], -local[2]), math.hypot(local[0], local[2])
        gains = {
            (stop - start) * local[1] / (self.stop_rad - self.start_rad)
            for start, stop in zip(self.ends_start, self.ends_stop, strict=True)
        }
        radii = (self.radius_mm * across, self.outer_mm * across)
        return {
            towards + math.asin(gain / radius)
            for gain in gains
            for radius in radii
            if abs(gain) < radius
        }

    def _reach(self, angle: float, local: Array) -> float:
        cosine = math.sin(angle) * local[0] - math.cos(angle) * local[2]
        radial = max(self.radius_mm * cosine, self.outer_mm * cosine)
        low, high = self._ends(angle)
        return float(radial + max(low * local[1], high * local[1]))

    def _ends(self, angle: float) -> tuple[float, float]:
        share = (angle - self.start_rad) / (self.stop_rad - self.start_rad)
        low = self.ends_start[0] + share * (self.ends_stop[0] - self.ends_start[0])
        high = self.ends_start[1] + share * (self.ends_stop[1] - self.ends_start[1])
        return low, high

    def pieces(self) -> list[ConvexPiece]:
        """The bend as convex pieces that contain it, standing out by FACET_ERROR_MM at the most.

        Along the axis a slanted end stands out by what it gains over one facet.
        """
        angles = self._facet_angles()
        if self.straight and self.radius_mm == 0.0 and self.stop_rad - self.start_rad <= math.pi:
            return [self._sector(angles, self.ends_start)]
        slices = []
        for start, stop in itertools.pairwise(angles):
            a, b = self._ends(start), self._ends(stop)
            slices.append(self._sector(np.array([start, stop]), (min(a[0], b[0]), max(a[1], b[1]))))
        return slices

    def _facet_angles(self) -> Array:
        """Where the facets touch the round: close enough, and wherever it faces along x, y or z.

        So its reach along those directions, in which parts slide and are measured, is exact.
        """
        step = 2.0 * math.acos(self.outer_mm / (self.outer_mm + FACET_ERROR_MM))
        local = self.pose[:3, :3].T
        facing = np.arctan2(local[0], -local[2])
        facing = np.concatenate([facing, facing + math.pi, facing + 2.0 * math.pi])
        inside = (facing > self.start_rad + NEAR_RAD) & (facing < self.stop_rad - NEAR_RAD)
        level = np.hypot(local[0], local[2]) > NEAR_RAD
        marks = np.sort(facing[inside & np.tile(level, 3)])
        marks = marks[np.diff(marks, prepend=-math.inf) > NEAR_RAD]
        knots = [self.start_rad, *marks, self.stop_rad]
        runs = [
            np.linspace(a, b, max(1, math.ceil((b - a) / step)) + 1)[:-1]
            for a, b in itertools.pairwise(knots)
        ]
        return np.concatenate([*runs, [self.stop_rad]])

    def _sector(self, angles: Array, ends: tuple[float, float]) -> ConvexPiece:
        """A prism along the axis round the arc that touches it at the given angles."""
        middle = 0.5 * (angles[:-1] + angles[1:])
        reach = self.outer_mm / np.cos(0.5 * np.diff(angles))
        at = np.concatenate([angles[:1], middle, angles[-1:]])
        far = np.concatenate([[self.outer_mm], reach, [self.outer_mm]])
        # drawn in (z, x) so that the prism's axis is y: phi turns from -z towards +x
        outer = np.column_stack([-np.cos(at) * far, np.sin(at) * far])
        if self.radius_mm == 0.0:
            inner = np.zeros((1, 2))
        else:
            back = angles[::-1]
            inner = self.radius_mm * np.column_stack([-np.cos(back), np.sin(back)])
        outline = np.vstack([outer, inner])
        if polygon_area(outline) < 0.0:
            outline = outline[::-1]
        upright = prism(self.name, self.panels, outline, *ends)
        return upright.moved(self.pose @ _ZX_TO_XYZ)


_ZX_TO_XYZ: Array = np.array(
    [[0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0], [1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]]
)
"""Carries a prism drawn over (z, x) with its axis up to a prism whose axis is y."""
