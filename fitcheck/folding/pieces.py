"""A folded part is made of plates and bends, and the fit tests see both as convex pieces."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fitcheck.folding.pose import Array
from fitcheck.pattern.pattern import polygon_area

FACET_ERROR_MM = 2e-4
"""How far a faceted round may stand outside the true one."""
NEAR_RAD = 1e-9
SHORT_MM = 1e-9
"""An outline's edge shorter than this is a point."""


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

    def moved(self, pose: Array) -> ConvexPiece:
        """The same piece elsewhere."""
        return moved([self], pose)[0]

    @cached_property
    def low(self) -> Array:
        """The least x, y, z, (3,) mm."""
        return np.asarray(self.vertices.min(axis=0))

    @cached_property
    def high(self) -> Array:
        """The greatest x, y, z, (3,) mm."""
        return np.asarray(self.vertices.max(axis=0))

    @cached_property
    def upright(self) -> bool:
        """True for a prism over a plan: its two halves' corners stand right above each other."""
        half = len(self.vertices) // 2
        foot, head = self.vertices[:half], self.vertices[half:]
        level = (foot[:, 2] == foot[0, 2]).all() and (head[:, 2] == head[0, 2]).all()
        return bool(level and np.array_equal(foot[:, :2], head[:, :2]))


def moved(pieces: Sequence[ConvexPiece], pose: Array) -> list[ConvexPiece]:
    """The same pieces elsewhere."""
    if not pieces:
        return []
    carried = []
    for part, shift in (("vertices", pose[:3, 3]), ("normals", 0.0), ("edges", 0.0)):
        arrays = [getattr(piece, part) for piece in pieces]
        rows = np.concatenate(arrays) @ pose[:3, :3].T + shift
        stops = list(itertools.accumulate(len(one) for one in arrays))
        carried.append([rows[a:b] for a, b in zip([0, *stops], stops, strict=False)])
    return [
        ConvexPiece(piece.name, piece.panels, *arrays)
        for piece, *arrays in zip(pieces, *carried, strict=True)
    ]


def bounds(pieces: Sequence[ConvexPiece]) -> tuple[Array, Array]:
    """The least and the greatest x, y, z of each piece, (n, 3) mm each."""
    starts = np.cumsum([0, *(len(piece.vertices) for piece in pieces[:-1])])
    corners = np.concatenate([piece.vertices for piece in pieces])
    return np.minimum.reduceat(corners, starts), np.maximum.reduceat(corners, starts)


def prism(
    name: str, panels: frozenset[str], outline: Array, low: float, high: float
) -> ConvexPiece:
    """An upright prism over a convex counter-clockwise outline (n, 2), between two heights, mm."""
    heights = np.array([[low, high]])
    return _prisms([Blank(name, panels, outline[None], heights, np.eye(4))])[0]


@dataclass(frozen=True, eq=False)
class Blank:
    """Prisms of one name before they are put in place."""

    name: str
    panels: frozenset[str]
    outlines: Array
    """(p, n, 2) convex, counter-clockwise."""
    heights: Array
    """(p, 2) from and to."""
    pose: Array


def _prisms(blanks: Sequence[Blank]) -> list[ConvexPiece]:
    """The prisms of blanks whose outlines have the same number of corners."""
    named = [blank for blank in blanks for _ in blank.outlines]
    outlines = np.concatenate([blank.outlines for blank in blanks])
    heights = np.concatenate([blank.heights for blank in blanks])
    poses = np.array([blank.pose for blank in named])
    count = outlines.shape[1]
    vertices = np.empty((len(outlines), 2 * count, 3))
    vertices[:, :count, :2] = vertices[:, count:, :2] = outlines
    vertices[:, :count, 2], vertices[:, count:, 2] = heights[:, :1], heights[:, 1:]
    along = np.concatenate([outlines[:, 1:], outlines[:, :1]], axis=1) - outlines
    length = np.hypot(along[..., 0], along[..., 1])
    proper = length > SHORT_MM
    edges = np.zeros((len(outlines), count + 1, 3))
    np.divide(along, length[..., None], out=edges[:, :count, :2], where=proper[..., None])
    edges[:, count, 2] = 1.0
    normals = np.zeros((len(outlines), count + 2, 3))
    normals[:, :count, 0], normals[:, :count, 1] = edges[:, :count, 1], -edges[:, :count, 0]
    normals[:, count, 2], normals[:, count + 1, 2] = 1.0, -1.0
    turn = poses[:, :3, :3].transpose(0, 2, 1)
    vertices = vertices @ turn + poses[:, None, :3, 3]
    normals, edges = normals @ turn, edges @ turn
    if proper.all():
        each = zip(named, vertices, normals, edges, strict=True)
        return [ConvexPiece(b.name, b.panels, v, n, e) for b, v, n, e in each]
    kept = np.concatenate([proper, np.ones((len(outlines), 2), dtype=bool)], axis=1)
    rows = zip(named, vertices, normals, edges, kept, strict=True)
    return [ConvexPiece(b.name, b.panels, v, n[k], e[k[:-1]]) for b, v, n, e, k in rows]


def pieces_of(parts: Sequence[Plate | Bend]) -> list[ConvexPiece]:
    """The convex pieces of plates and bends, one after the other."""
    blanks = [part.blank() for part in parts]
    alike: dict[int, list[Blank]] = {}
    for blank in blanks:
        alike.setdefault(blank.outlines.shape[1], []).append(blank)
    made = {corners: iter(_prisms(own)) for corners, own in alike.items()}
    return [next(made[b.outlines.shape[1]]) for b in blanks for _ in b.outlines]


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

    def blank(self) -> Blank:
        """The plate as one prism over its outline."""
        heights, panels = np.array([[0.0, self.thickness_mm]]), frozenset([self.name])
        return Blank(self.name, panels, self.outline[None], heights, self.pose)

    def pieces(self) -> list[ConvexPiece]:
        """The plate as one convex piece."""
        return pieces_of([self])

    def corners(self) -> Array:
        """Its corners in place, (2 n, 3) mm, those of the outside face first."""
        outside = self.outline @ self.pose[:3, :2].T + self.pose[:3, 3]
        return np.concatenate([outside, outside + self.thickness_mm * self.pose[:3, 2]])

    def support(self, direction: Array) -> float:
        """The furthest reach along a unit direction (3,), mm."""
        reach = self.outline @ (direction @ self.pose[:3, :2])
        lift = max(0.0, self.thickness_mm * float(direction @ self.pose[:3, 2]))
        return float(reach.max()) + float(direction @ self.pose[:3, 3]) + lift


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
        towards = math.atan2(local[0], -local[2])
        angles = [self.start_rad, self.stop_rad]
        angles += [a for a in (towards, towards + 2 * math.pi) if angles[0] <= a <= angles[1]]
        return offset + max(self._reach(angle, local) for angle in angles)

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
        """The bend as convex pieces that contain it, standing out by FACET_ERROR_MM at the most."""
        return pieces_of([self])

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
