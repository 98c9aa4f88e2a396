"""A bend of a folded part: a sector of a true round, and the convex pieces that contain it."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np

from fitcheck.folding.pieces import Blank, ConvexPiece, pieces_of
from fitcheck.folding.pose import Array

FACET_ERROR_MM = 2e-4
"""How far a faceted round may stand outside the true one."""
NEAR_RAD = 1e-9


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
        ends = zip(self.ends_start, self.ends_stop, strict=True)
        return all(abs(start - stop) <= 1e-9 for start, stop in ends)

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
        return pieces_of([self.blank()])

    def blank(self) -> Blank:
        """The bend as one prism along its axis, or as a slice for each facet."""
        angles = np.array(self._facet_angles())
        if self.straight and self.radius_mm == 0.0 and self.stop_rad - self.start_rad <= math.pi:
            return self._sectors(angles[None], np.array([self.ends_start]))
        start, stop = np.array(self.ends_start), np.array(self.ends_stop)
        share = (angles - self.start_rad) / (self.stop_rad - self.start_rad)
        ends = start + share[:, None] * (stop - start)
        widest = [np.minimum(ends[:-1, 0], ends[1:, 0]), np.maximum(ends[:-1, 1], ends[1:, 1])]
        slices = np.column_stack([angles[:-1], angles[1:]])
        return self._sectors(slices, np.column_stack(widest))

    def _facet_angles(self) -> list[float]:
        """Where the facets touch the round: close enough, and wherever it faces along x, y or z.

        So its reach along those directions, in which parts slide and are measured, is exact.
        """
        step = 2.0 * math.acos(self.outer_mm / (self.outer_mm + FACET_ERROR_MM))
        across, up = self.pose[:3, 0].tolist(), self.pose[:3, 2].tolist()
        marks = sorted(
            facing + turn
            for x, z in zip(across, up, strict=True)
            if math.hypot(x, z) > NEAR_RAD
            for facing in (math.atan2(x, -z),)
            for turn in (0.0, math.pi, 2.0 * math.pi)
            if self.start_rad + NEAR_RAD < facing + turn < self.stop_rad - NEAR_RAD
        )
        apart = [b for a, b in itertools.pairwise([-math.inf, *marks]) if b - a > NEAR_RAD]
        angles: list[float] = []
        for a, b in itertools.pairwise([self.start_rad, *apart, self.stop_rad]):
            count = max(1, math.ceil((b - a) / step))
            angles += [a + (b - a) / count * index for index in range(count)]
        return [*angles, self.stop_rad]

    def _sectors(self, angles: Array, ends: Array) -> Blank:
        """Prisms along the axis, each round the arc that touches it at its angles (p, n).

        Their reach along the axis is `ends` (p, 2).
        """
        middle = 0.5 * (angles[:, :-1] + angles[:, 1:])
        reach = self.outer_mm / np.cos(0.5 * np.diff(angles, axis=1))
        at = np.concatenate([angles[:, :1], middle, angles[:, -1:]], axis=1)
        rim = np.full((len(angles), 1), self.outer_mm)
        far = np.concatenate([rim, reach, rim], axis=1)
        back = angles[:, ::-1] if self.radius_mm else np.zeros_like(rim)
        near = np.full_like(back, self.radius_mm)
        at, far = np.concatenate([at, back], axis=1), np.concatenate([far, near], axis=1)
        # drawn in (z, x) so that the prism's axis is y; phi turns from -z towards +x, which is
        # clockwise there
        outlines = np.stack([-np.cos(at) * far, np.sin(at) * far], axis=2)[:, ::-1]
        return Blank(self.name, self.panels, outlines, ends, self.pose @ _ZX_TO_XYZ)


_ZX_TO_XYZ: Array = np.array(
    [[0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0], [1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]]
)
"""Carries a prism drawn over (z, x) with its axis up to a prism whose axis is y."""
