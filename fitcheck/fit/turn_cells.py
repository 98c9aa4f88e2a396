"""What can be said of pairs of pieces over a whole interval of a turn, without stepping.

At the middle of an interval the separating-axis candidates give a direction along which two pieces
are apart, or least deep in each other. Held fixed in space, or fixed in what turns, it bounds their
separation from below over all of the interval: along it a corner goes like
n . R(theta) (p0 + p1 theta) + d theta, whose second derivative is at most |n| (|p| + 2 |p1|) across
the axis, so that it lies above the lower of its ends less that times (width)^2 / 8, and not below
the lower of its ends where it rises or falls all the way. The bound is exact for what slides along
a face or comes to lie on one, and else misses the separation by less and less as intervals shrink.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.fit.contact import by_size, directions_across, reaches
from fitcheck.fit.groups import PiecePairs
from fitcheck.fit.turn_apart import along, nearest
from fitcheck.fit.turn_slices import Bodies, slice_bodies
from fitcheck.folding.flat import Flat
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import Array, Rows
from fitcheck.folding.shapes import Shapes


@dataclass(frozen=True, eq=False)
class Scene:
    """What stays and what turns, in the hinge's frame of each box."""

    still: Shapes
    turned: Shapes
    drifts_mm: Array
    """(b,) how far the axis moves for each radian, against x."""
    radii_mm: Array
    """(b, 2) the inside and the outside radius of its bend."""


@dataclass(frozen=True, eq=False)
class Found:
    """What was found of pairs over intervals, (n,) each."""

    apart_mm: Array
    """How far they are apart in the middle of the interval; negative: how deep in each other."""
    least_mm: Array
    """They are not less apart than this anywhere in it."""
    directions: Array
    """(3, n) the unit direction across in the middle, from what stays to what turns."""


def examine(scene: Scene, a: Rows, b: Rows, start: Array, stop: Array, enough: Array) -> Found:
    """Pairs of the a-th piece that stays and the b-th that turns from angle `start` to `stop` (n,).

    Pairs that are known to be apart by `enough` (n,) mm are not looked at further.
    """
    pairs = PiecePairs(scene.still.pieces, scene.turned.pieces, a, b)

    def work(own: PiecePairs, rows: Rows) -> Array:
        return _Cells(scene, own, start[rows], stop[rows]).examined(enough[rows])

    def work_sliced(own: PiecePairs, rows: Rows) -> Array:
        return _sliced(scene, own, start[sliced[rows]], stop[sliced[rows]], enough[sliced[rows]])

    found = np.zeros((5, len(pairs)))
    slices = scene.turned.sliced[b]
    rigid, sliced = np.flatnonzero(~slices), np.flatnonzero(slices)
    if len(rigid):
        found[:, rigid] = by_size(pairs.take(rigid), lambda own, rows: work(own, rigid[rows]))
    if len(sliced):
        found[:, sliced] = by_size(pairs.take(sliced), work_sliced)
    return Found(found[0], found[1], found[2:])


def _sliced(scene: Scene, pairs: PiecePairs, start: Array, stop: Array, enough: Array) -> Array:
    """As `_Cells.examined` for slices of the bend: over an interval they are longer than within."""
    middle = 0.5 * (start + stop)
    table, radii = scene.turned.slices[pairs.b], scene.radii_mm[pairs.whose]
    whole, _ = slice_bodies(table, radii, start, stop)
    found = _Cells(scene, pairs, start, stop, whole).examined(enough)
    there, present = slice_bodies(table, radii, middle, middle)
    at = _Cells(scene, pairs, middle, middle, there).examined(np.full(len(middle), np.inf))
    found[0] = np.where(present, at[0], np.inf)
    found[2:] = np.where(present, at[2:], found[2:])
    return found


class _Cells:
    """Pairs of about the same size, in the middle of their intervals."""

    def __init__(
        self,
        scene: Scene,
        pairs: PiecePairs,
        start: Array,
        stop: Array,
        bodies: Bodies | None = None,
    ) -> None:
        self.half = 0.5 * (stop - start)
        middle = 0.5 * (start + stop)
        self.spin = scene.turned.spins[pairs.b].astype(float)
        self.drift = scene.drifts_mm[pairs.whose] * self.spin
        """0 for slices of the bend, whose rates hold it already."""
        self.angle = middle * self.spin
        self.cos, self.sin = np.cos(self.angle), np.sin(self.angle)
        still, turned = scene.still, scene.turned
        faces, edges = still.pieces.normals.padded(pairs.a), still.pieces.edges.padded(pairs.a)
        self.still_rate = still.rates.padded(pairs.a)
        self.still = still.pieces.vertices.padded(pairs.a) + self.still_rate * middle
        if bodies is None:
            bodies = Bodies(*(own.padded(pairs.b) for own in _forms(turned.pieces)))
            self.sheet_rate = turned.rates.padded(pairs.b)
        else:
            self.sheet_rate = np.zeros_like(bodies.corners)
            self.sheet_rate[0] = -scene.drifts_mm[pairs.whose]
        self.sheet = bodies.corners + self.sheet_rate * middle
        """Where they are on the flat sheet."""
        self.home = self.drift * middle
        self.placed = self._turned(self._shifted(self.sheet, -self.home))
        self.placed[0] -= self.home
        across, parallel = directions_across(edges, self._turned(bodies.edges))
        self.tried = np.concatenate([faces, self._turned(bodies.faces), across], axis=1)
        self.none = np.zeros(self.tried.shape[1:], dtype=bool)
        self.none[-len(parallel) :] = parallel

    def _turned(self, values: Array) -> Array:
        """Turned with the hinge."""
        x, y, z = values
        cos, sin = self.cos, self.sin
        return np.stack([cos * x - sin * z, np.broadcast_to(y, x.shape), sin * x + cos * z])

    @staticmethod
    def _shifted(values: Array, by: Array) -> Array:
        found = values.copy()
        found[0] += by
        return found

    def examined(self, enough: Array) -> Array:
        """(5, n): how far apart they are in the middle, at least anywhere, and along what."""
        most, least = reaches(self.still, self.tried)
        far, near = reaches(self.placed, self.tried)
        ahead, behind = near - most, least - far
        room = np.maximum(ahead, behind)
        room[self.none] = -np.inf
        best = room.argmax(axis=0)
        every = np.arange(room.shape[1])
        apart = room[best, every]
        sign = np.where(ahead[best, every] >= behind[best, every], 1.0, -1.0)
        across = self.tried[:, best, every] * sign
        lower = self._lower(across, every)
        rows = np.flatnonzero((apart > 0.0) & (lower < enough))
        if len(rows):
            apart[rows], across[:, rows] = nearest(
                self.still[..., rows], self.placed[..., rows], across[:, rows]
            )
            lower[rows] = np.maximum(lower[rows], self._lower(across[:, rows], rows))
        return np.concatenate([apart[None], lower[None], across])

    def _lower(self, across: Array, rows: Rows) -> Array:
        """The least gap along one direction over the interval, held in space or in what turns."""
        half, spin, drift, home = (
            own[rows] for own in (self.half, self.spin, self.drift, self.home)
        )
        cos, sin = self.cos[rows], self.sin[rows]
        x, y, z = across
        within = np.stack([cos * x + sin * z, y, cos * z - sin * x])
        sheet, sheet_rate = self.sheet[..., rows], self.sheet_rate[..., rows]
        still, still_rate = self.still[..., rows], self.still_rate[..., rows]
        in_space = least_reach(
            within,
            x,
            self._shifted(sheet, -home),
            self._shifted(sheet_rate, -drift),
            -drift,
            half,
            spin,
        )
        in_space -= _most(across, still, still_rate, half) + x * home
        on_sheet = -_most(-within, sheet, sheet_rate, half)
        on_sheet += least_reach(
            -across,
            -within[0],
            self._shifted(still, home),
            self._shifted(still_rate, drift),
            drift,
            half,
            -spin,
        )
        found: Array = np.maximum(in_space, on_sheet - within[0] * home)
        return found


def _most(directions: Array, corners: Array, rates: Array, half: Array) -> Array:
    """The furthest that corners going straight ways reach along directions (3, n)."""
    middle, more = along(directions, corners), along(directions, rates) * half
    found: Array = (middle + np.abs(more)).max(axis=0)
    return found


def least_reach(
    within: Array,
    level: Array,
    corners: Array,
    rates: Array,
    drift: Array,
    half: Array,
    spin: Array,
) -> Array:
    """The least reach of turning corners (3, w, n) along a direction over an interval, (n,) mm.

    `within` (3, n) is the direction as seen from what turns in the middle, `level` how far it goes
    along x, where all drifts; what is drifted up to the middle is left out. `half` is half the
    interval's width, `spin` the way of turning. It is never more than the least.
    """
    x, y, z = within
    ends = []
    for way in (-1.0, 1.0):
        turn = way * half * spin
        cos, sin = np.cos(turn), np.sin(turn)
        seen = np.stack([cos * x + sin * z, y, cos * z - sin * x])
        reach = along(seen, corners) + along(seen, rates) * (way * half)
        ends.append(reach + level * drift * (way * half))
    quarter = np.stack([z, np.zeros_like(z), -x]) * spin
    slope = along(within, rates) + along(quarter, corners) + level * drift
    speed = np.hypot(rates[0], rates[2])
    bend = np.hypot(x, z) * np.abs(spin)
    bend = bend * (np.hypot(corners[0], corners[2]) + speed * (2.0 + half))
    sag = np.where(np.abs(slope) > bend * half, 0.0, 0.5 * bend * half * half)
    found: Array = (np.minimum(*ends) - sag).min(axis=0)
    return found


def _forms(pieces: Pieces) -> tuple[Flat, Flat, Flat]:
    return pieces.vertices, pieces.normals, pieces.edges
