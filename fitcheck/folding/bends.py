"""A bend of a folded part: a sector of a true round, and the convex pieces that contain it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np

from fitcheck.folding.blanks import Blanks, Drawn
from fitcheck.folding.flat import distinct
from fitcheck.folding.kinematics import Strips
from fitcheck.folding.lines import Layout
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array, Rows
from fitcheck.folding.prisms import pieces_of
from fitcheck.folding.slices import Slices
from fitcheck.folding.tables import turned

FACET_ERROR_MM = 2e-4
"""How far a faceted round may stand outside the true one."""
NEAR_RAD = 1e-6
"""Angles this near to each other are one: what a facet reaches does not change by 1e-12 mm."""


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
        return float(self._table.supports(direction)[0])

    def pieces(self) -> Sequence[ConvexPiece]:
        """The bend as convex pieces that contain it, standing out by FACET_ERROR_MM at the most.

        Along the axis a slanted end stands out by what it gains over one facet.
        """
        return pieces_of(self._table.blanks(0), [(self.name, self.panels)]).of_box(0)

    @property
    def _table(self) -> Bends:
        one = np.zeros(1, dtype=np.intp)
        return Bends(
            one,
            one,
            np.array([self.radius_mm]),
            np.array([self.thickness_mm]),
            np.array([[self.start_rad, self.stop_rad]]),
            np.array([[self.ends_start, self.ends_stop]]),
            self.pose[None],
        )


@dataclass(frozen=True, eq=False)
class Bends:
    """The bends of many boxes as arrays, box by box."""

    boxes: Rows
    """(m,) the box that each is of."""
    kinds: Rows
    """(m,) which crease it is."""
    radius_mm: Array
    thickness_mm: Array
    angles_rad: Array
    """(m, 2) where it starts and stops."""
    ends_mm: Array
    """(m, 2, 2) from where to where it reaches along its axis, at the start and at the stop."""
    poses: Array
    """(m, 4, 4)."""

    @property
    def outer_mm(self) -> Array:
        """Outside radii."""
        return self.radius_mm + self.thickness_mm

    def supports(self, direction: Array) -> Array:
        """The furthest reach of each true round along a unit direction (3,), (m,) mm.

        On a radius rho it goes like rho A cos(angle - towards) + b angle, where b is what an end
        gains by its slant. That is greatest at an end, or where rho A sin(angle - towards) = b.
        """
        x, y, z = np.einsum("mij,i->jm", self.poses[:, :3, :3], direction)
        start, stop = self.angles_rad.T
        gains = (self.ends_mm[:, 1] - self.ends_mm[:, 0]) * y[:, None] / (stop - start)[:, None]
        radii = np.stack([self.radius_mm, self.outer_mm], axis=1) * np.hypot(x, z)[:, None]
        peaks = np.abs(gains[:, None]) < radii[..., None]
        sines = np.divide(gains[:, None], radii[..., None], out=np.zeros(peaks.shape), where=peaks)
        level = (np.arctan2(x, -z)[:, None, None] + np.arcsin(sines)).reshape(len(x), -1)
        level = np.concatenate([level, level + 2.0 * math.pi], axis=1)
        there = np.tile(peaks.reshape(len(x), -1), 2)
        there &= (start[:, None] <= level) & (level <= stop[:, None])
        at = np.concatenate([self.angles_rad, np.where(there, level, start[:, None])], axis=1)
        cosine = np.sin(at) * x[:, None] - np.cos(at) * z[:, None]
        radial = np.maximum(self.radius_mm[:, None] * cosine, self.outer_mm[:, None] * cosine)
        share = ((at - start[:, None]) / (stop - start)[:, None])[..., None]
        ends = self.ends_mm[:, :1] + share * (self.ends_mm[:, 1:] - self.ends_mm[:, :1])
        along = (ends * y[:, None, None]).max(axis=2)
        found: Array = self.poses[:, :3, 3] @ direction + (radial + along).max(axis=1)
        return found

    def blanks(self, first: int) -> list[Drawn]:
        """Each bend as one prism along its axis, or as a slice for each facet.

        Their kinds and orders begin behind `first`.
        """
        facets = _Facets.of(self)
        straight = (np.abs(self.ends_mm[:, 0] - self.ends_mm[:, 1]) <= 1e-9).all(axis=1)
        whole = straight & (self.radius_mm == 0.0) & (np.ptp(self.angles_rad, axis=1) <= math.pi)
        found: list[Drawn] = [
            self.sectors(rows, facets.angles_of(rows), self.ends_mm[rows, 0], first)
            for count in distinct(facets.counts[whole]).tolist()
            for rows in (np.flatnonzero(whole & (facets.counts == count)),)
        ]
        for round_ in (False, True):
            rows = np.flatnonzero(~whole & ((self.radius_mm > 0.0) == round_))
            if len(rows):
                place = np.arange(len(rows)).repeat(facets.counts[rows])
                found.append(Slices(self.take(rows), place, facets.slices_of(rows), rows, first))
        return found

    def take(self, rows: Rows) -> Bends:
        """Some of them."""
        return Bends(*(getattr(self, one.name)[rows] for one in fields(self)))

    @cached_property
    def around(self) -> tuple[Array, Array]:
        """The least and the greatest x, y, z of boxes round each and its facets, (3, m) mm each.

        Along the bend's own axis they go from the furthest end to the furthest, and facets may
        stand out, as they do once the bend has been turned.
        """
        x, y, z, at = self.poses[:, :3].transpose(2, 1, 0)
        start, stop = self.angles_rad.T
        ends = np.sin(start) * x - np.cos(start) * z, np.sin(stop) * x - np.cos(stop) * z
        size, facing = np.hypot(x, z), np.arctan2(x, -z)
        towards, away = (
            np.mod(facing + turn - start, 2.0 * math.pi) <= stop - start for turn in (0.0, math.pi)
        )
        most = np.where(towards, size, np.maximum(*ends))
        least = np.where(away, -size, np.minimum(*ends))
        inner, outer = self.radius_mm, self.outer_mm + FACET_ERROR_MM
        from_, to = y * self.ends_mm[..., 0].min(axis=1), y * self.ends_mm[..., 1].max(axis=1)
        return (
            np.minimum(inner * least, outer * least) + np.minimum(from_, to) + at,
            np.maximum(inner * most, outer * most) + np.maximum(from_, to) + at,
        )

    def moved(self, turn: Array, shifts: Array) -> Bends:
        """The same turned (3, 3), then shifted by their own of (3, m) mm."""
        poses = self.poses.copy()
        poses[:, :3] = turned(turn, self.poses[:, :3].transpose(1, 2, 0)).transpose(2, 0, 1)
        poses[:, :3, 3] += shifts.T
        return replace(self, poses=poses)

    def sectors(self, rows: Rows, angles: Array, ends: Array, first: int) -> Blanks:
        """Prisms along the axis, each round the arc that touches it at its angles (p, n).

        Their reach along the axis is `ends` (p, 2).
        """
        outer, inner = self.outer_mm[rows, None], self.radius_mm[rows, None]
        middle = 0.5 * (angles[:, :-1] + angles[:, 1:])
        reach = outer / np.cos(0.5 * np.diff(angles, axis=1))
        at = np.concatenate([angles[:, :1], middle, angles[:, -1:]], axis=1)
        far = np.concatenate([outer, reach, outer], axis=1)
        back = angles[:, ::-1] if inner.any() else np.zeros_like(outer)
        near = np.broadcast_to(inner, back.shape)
        at, far = np.concatenate([at, back], axis=1), np.concatenate([far, near], axis=1)
        # drawn in (z, x) so that the prism's axis is y; phi turns from -z towards +x, which is
        # clockwise there
        outlines = np.stack([-np.cos(at) * far, np.sin(at) * far], axis=2)[:, ::-1]
        return Blanks(
            self.boxes[rows],
            first + rows,
            first + self.kinds[rows],
            outlines,
            ends,
            self.poses[rows][:, :, ZX_TO_XYZ],
        )


def bends_of(layout: Layout, angles: Array, placed: Array) -> Bends:
    """The bends of all boxes folded by angles (b, c); `placed` (b, c, 4, 4) says where each is."""
    strips = Strips(layout, angles)
    whose = strips.boxes, strips.creases
    return Bends(
        *whose,
        layout.creases.radius_mm[whose],
        layout.creases.skin_mm[whose],
        strips.angles,
        strips.ends,
        placed[whose],
    )


@dataclass(frozen=True, eq=False)
class _Facets:
    """Where the facets of bends touch the round: close enough, and wherever it faces along x, y, z.

    So a bend's reach along those directions, in which parts slide and are measured, is exact.
    """

    counts: Rows
    """(m,) facets of each bend."""
    angles: Array
    """All angles, one more for each bend than it has facets."""

    @classmethod
    def of(cls, bends: Bends) -> _Facets:
        start, stop = bends.angles_rad[:, :1], bends.angles_rad[:, 1:]
        step = 2.0 * np.arccos(bends.outer_mm / (bends.outer_mm + FACET_ERROR_MM))
        x, z = bends.poses[:, :3, 0], bends.poses[:, :3, 2]
        facing = np.arctan2(x, -z)[..., None] + [0.0, math.pi, 2.0 * math.pi]
        there = (start[..., None] + NEAR_RAD < facing) & (facing < stop[..., None] - NEAR_RAD)
        there &= (np.hypot(x, z) > NEAR_RAD)[..., None]
        marks = np.sort(np.where(there, facing, np.inf).reshape(len(x), -1), axis=1)
        with np.errstate(invalid="ignore"):
            marks[:, 1:][~(np.diff(marks, axis=1) > NEAR_RAD)] = np.inf
        knots = np.concatenate([start, np.minimum(np.sort(marks, axis=1), stop), stop], axis=1)
        width = np.diff(knots, axis=1)
        counts = np.ceil(width / step[:, None]).astype(np.intp)
        whole = counts.sum(axis=1)
        # within its interval, facet i of n begins at a + (b - a) / n i
        flat = counts.reshape(-1)
        at = np.arange(flat.sum()) - (np.cumsum(flat) - flat).repeat(flat)
        each = np.divide(width, counts, out=np.zeros_like(width), where=counts > 0).reshape(-1)
        begins = knots[:, :-1].reshape(-1).repeat(flat) + each.repeat(flat) * at
        angles = np.insert(begins, np.cumsum(whole), stop[:, 0])
        return cls(whole, angles)

    @property
    def _starts(self) -> Rows:
        found: Rows = np.cumsum(self.counts + 1) - (self.counts + 1)
        return found

    def angles_of(self, rows: Rows) -> Array:
        """(p, n + 1) of bends that all have n facets."""
        found: Array = self.angles[
            self._starts[rows, None] + np.arange(int(self.counts[rows[0]]) + 1)
        ]
        return found

    def slices_of(self, rows: Rows) -> Array:
        """(f, 2) from and to of each facet, the bends' behind each other."""
        counts = self.counts[rows]
        within = np.arange(counts.sum()) - (np.cumsum(counts) - counts).repeat(counts)
        at = self._starts[rows].repeat(counts) + within
        return np.stack([self.angles[at], self.angles[at + 1]], axis=1)


ZX_TO_XYZ = [2, 0, 1, 3]
"""Which columns of a bend's pose a prism drawn over (z, x) has, so that its axis is y."""
