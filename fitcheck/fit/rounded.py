"""What keeps a round body and a base's piece apart, exactly and without facets.

The displacements at which two convex bodies meet are a convex body; where one of them is a core
grown by a radius, so is that body. A ball is a point grown by a ball, and on its straight way up
it sweeps a capsule. A prism that stands upright sweeps all that is above its plan, so it meets a
piece just when its plan meets the plan of what the piece has above the prism's underside; a plan
is a polygon grown by a disc, so that is a question in the plane.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.contact import PARALLEL, TOUCH_MM, HalfSpaces, difference_body
from fitcheck.fit.plans import from_lowest
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array

ON_FACE_MM = 1e-9
LEVEL = 1e-12
FULL_TURN = 2.0 * math.pi
FACET_ERROR_MM = 5e-4
"""How far the facets of a lying cylinder may stand outside it."""


@dataclass(frozen=True, eq=False)
class Ball:
    """A ball in place."""

    name: str
    middle: Array
    """(3,) mm."""
    radius_mm: float

    @property
    def low(self) -> Array:
        """The least x, y, z, (3,) mm."""
        return self.middle - self.radius_mm

    @property
    def high(self) -> Array:
        """The greatest x, y, z, (3,) mm."""
        return self.middle + self.radius_mm


@dataclass(frozen=True, eq=False)
class Rod:
    """A cylinder that lies on its side, in place."""

    name: str
    middle: Array
    """(3,) mm."""
    way: Array
    """(3,) unit, level: along its axis."""
    half_mm: float
    """Half its length."""
    radius_mm: float

    @property
    def _reach(self) -> Array:
        along = np.abs(self.way)
        reach: Array = self.half_mm * along + self.radius_mm * np.sqrt(
            np.maximum(0.0, 1.0 - along**2)
        )
        return reach

    @property
    def low(self) -> Array:
        """The least x, y, z, (3,) mm."""
        return self.middle - self._reach

    @property
    def high(self) -> Array:
        """The greatest x, y, z, (3,) mm."""
        return self.middle + self._reach


@dataclass(frozen=True, eq=False)
class Upright:
    """An upright prism in place over a convex plan with round corners."""

    name: str
    core: Array
    """(n, 2) mm: the plan is all that is within the radius of the hull of these."""
    radius_mm: float
    foot_mm: float
    top_mm: float

    @property
    def low(self) -> Array:
        """The least x, y, z, (3,) mm."""
        return np.append(self.core.min(axis=0) - self.radius_mm, self.foot_mm)

    @property
    def high(self) -> Array:
        """The greatest x, y, z, (3,) mm."""
        return np.append(self.core.max(axis=0) + self.radius_mm, self.top_mm)


@dataclass(frozen=True, eq=False)
class RoundedBody:
    """All displacements within a radius of a convex body, the core.

    Its faces are the core's faces moved out by the radius, cylinders about the core's edges and
    balls about its corners. Cylinders about lines inside the core and balls about points inside
    it lie within the rounded body, so all pairs of corners may be tried and no edge has to be
    known. In the plane the same holds of edges and corners.
    """

    core: HalfSpaces
    """(m, d) normals; d = 3, or 2 where only displacements in plan count."""
    corners: Array
    """(n, d) points of the core, its corners among them."""
    radius_mm: float

    def along(self, start: Array, direction: Array) -> tuple[float, float] | None:
        """Where the line start + x direction (a unit, (3,)) is inside: (from, to) mm, None if it
        passes by."""
        start, direction = self._seen(start), self._seen(direction)
        if self.radius_mm == 0.0:
            return self.core.along(start, direction)
        places = np.concatenate(
            [
                self._at_faces(start, direction),
                self._at_corners(start, direction),
                self._at_edges(start, direction),
            ]
        )
        if len(places) == 0:
            return None
        low, high = float(places.min()), float(places.max())
        return (low, high) if high - low > TOUCH_MM else None

    def depth(self, start: Array) -> float:
        """How deep a displacement lies inside, mm (negative outside)."""
        start = self._seen(start)
        room = self.core.limits - self.core.normals @ start
        if room.min() >= 0.0:
            return float(room.min()) + self.radius_mm
        feet = start + room[:, None] * self.core.normals
        beyond = room < 0.0
        distances = [-room[beyond][self._holds(feet[beyond])], self._to_lines(start)]
        return self.radius_mm - float(np.concatenate(distances).min())

    def _seen(self, vector: Array) -> Array:
        return vector[: self.corners.shape[1]]

    def _holds(self, points: Array) -> Array:
        """Which of the points (n, d) lie in the core, (n,)."""
        inside: Array = np.all(
            points @ self.core.normals.T <= self.core.limits + ON_FACE_MM, axis=1
        )
        return inside

    def _at_faces(self, start: Array, direction: Array) -> Array:
        normals = self.core.normals
        rate = normals @ direction
        crossed = np.abs(rate) > LEVEL
        normals, rate = normals[crossed], rate[crossed]
        places = (self.core.limits[crossed] + self.radius_mm - normals @ start) / rate
        feet = start + places[:, None] * direction - self.radius_mm * normals
        found: Array = places[self._holds(feet)]
        return found

    def _at_corners(self, start: Array, direction: Array) -> Array:
        away = start - self.corners
        along = away @ direction
        return _roots(1.0, along, np.einsum("ij,ij->i", away, away) - self.radius_mm**2)[0]

    def _at_edges(self, start: Array, direction: Array) -> Array:
        tails, ways, lengths = self._lines()
        away = start - tails
        rate, along = ways @ direction, np.einsum("ij,ij->i", away, ways)
        square = 1.0 - rate**2
        crossed = square > LEVEL
        away, rate, along, square = away[crossed], rate[crossed], along[crossed], square[crossed]
        half = away @ direction - rate * along
        rest = np.einsum("ij,ij->i", away, away) - along**2 - self.radius_mm**2
        places, which = _roots(square, half, rest)
        on_line = along[which] + places * rate[which]
        found: Array = places[(on_line >= 0.0) & (on_line <= lengths[crossed][which])]
        return found

    def _to_lines(self, start: Array) -> Array:
        tails, ways, lengths = self._lines()
        away = start - tails
        along = np.clip(np.einsum("ij,ij->i", away, ways), 0.0, lengths)
        distances: Array = np.linalg.norm(away - along[:, None] * ways, axis=1)
        return distances

    def _lines(self) -> tuple[Array, Array, Array]:
        """Tails, unit ways and lengths of the lines between all pairs of corners."""
        first, second = np.triu_indices(len(self.corners), 1)
        between = self.corners[second] - self.corners[first]
        lengths = np.linalg.norm(between, axis=1)
        real = lengths > ON_FACE_MM
        return self.corners[first][real], between[real] / lengths[real, None], lengths[real]


def _roots(square: Array | float, half: Array, rest: Array) -> tuple[Array, Array]:
    """Real roots of square x^2 + 2 half x + rest = 0, and the rows they belong to."""
    under = half**2 - square * rest
    rows = np.flatnonzero(under >= 0.0)
    root = np.sqrt(under[rows])
    a = np.broadcast_to(np.asarray(square), half.shape)[rows]
    places = np.concatenate([(-half[rows] - root) / a, (-half[rows] + root) / a])
    return places, np.concatenate([rows, rows])


def ball_body(outer: ConvexPiece, ball: Ball, path: Array) -> RoundedBody:
    """Displacements of a ball that meet `outer`, when outer moves by the whole of `path` (3,)."""
    middle = ConvexPiece(
        ball.name, frozenset(), ball.middle[None], np.empty((0, 3)), np.empty((0, 3))
    )
    core = difference_body(outer, middle, path)
    reached = outer.vertices - ball.middle
    return RoundedBody(core, np.vstack([reached, reached + path]), ball.radius_mm)


def rod_body(outer: ConvexPiece, rod: Rod, path: Array) -> HalfSpaces:
    """Displacements of a lying cylinder that meet `outer`, when outer moves by the whole of `path`.

    The faces of that body are known but for those that roll over the round: they are taken so
    closely, from outside, that the body stands out by FACET_ERROR_MM at the most.
    """
    level = np.array([-rod.way[1], rod.way[0], 0.0])
    step = 2.0 * math.acos(rod.radius_mm / (rod.radius_mm + FACET_ERROR_MM))
    # both halves are alike, and one of the directions is level and one upright
    angles = np.linspace(0.0, math.pi, 2 * math.ceil(0.5 * math.pi / step) + 1)[:-1]
    cos, sin = np.cos(angles)[:, None], np.sin(angles)[:, None]
    round_about = cos * level + sin * np.array([0.0, 0.0, 1.0])
    tangents = cos * np.array([0.0, 0.0, 1.0]) - sin * level
    edges = np.vstack([outer.edges, path / np.linalg.norm(path)])
    crossed = [np.cross(a[None], b) for a in edges for b in (tangents, rod.way[None])]
    crossed.append(np.cross(edges[-1:], outer.edges))
    across = np.vstack(crossed)
    length = np.linalg.norm(across, axis=1)
    proper = length > PARALLEL
    both = np.vstack([round_about, rod.way[None], across[proper] / length[proper, None]])
    normals = np.vstack([outer.normals, both, -both])
    along = np.abs(normals @ rod.way)
    reach = rod.half_mm * along + rod.radius_mm * np.sqrt(np.maximum(0.0, 1.0 - along**2))
    limits = (outer.vertices @ normals.T).max(axis=0) - normals @ rod.middle + reach
    return HalfSpaces(normals, limits + np.maximum(0.0, normals @ path))


def upright_body(plan: Array, upright: Upright) -> RoundedBody:
    """Displacements of an upright prism, on its way straight up, that meet a piece of this plan.

    `plan` (n, 2) is what `plan_above` gives for the prism's foot.
    """
    outlines = [from_lowest(plan), from_lowest(-upright.core)]
    edges = np.vstack([np.roll(outline, -1, axis=0) - outline for outline in outlines])
    edges = edges[np.hypot(edges[:, 0], edges[:, 1]) > ON_FACE_MM]
    edges = edges[np.argsort(np.arctan2(edges[:, 1], edges[:, 0]) % FULL_TURN, kind="stable")]
    corners = outlines[0][0] + outlines[1][0] + np.cumsum(edges, axis=0) - edges
    normals = np.column_stack([edges[:, 1], -edges[:, 0]])
    normals = normals / np.hypot(normals[:, 0], normals[:, 1])[:, None]
    limits = np.einsum("ij,ij->i", normals, corners)
    return RoundedBody(HalfSpaces(normals, limits), corners, upright.radius_mm)
