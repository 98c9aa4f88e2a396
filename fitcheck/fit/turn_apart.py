"""How far apart many pairs of convex pieces are, and the direction along which they are.

Pieces that stand in each other are as deep as their shallowest direction says (`contact`); of those
that stand apart no face may face the other, so the nearest points are found by the algorithm of
Gilbert, Johnson and Keerthi (1988), all pairs at once: the simplex of corners' differences that is
nearest to the origin, until no corner's difference lies nearer. What is given is never too much:
it is the gap along the direction that was found.
"""

from __future__ import annotations

import itertools

import numpy as np

from fitcheck.fit.contact import PARALLEL
from fitcheck.folding.pose import Array, Rows

ROUNDS = 40
NEAR_MM = 1e-8
"""A simplex is nearest when no corner's difference lies nearer by more than this."""
FLAT = 1e-14
_SUBSETS = [own for size in (1, 2, 3) for own in itertools.combinations(range(4), size)]


def gaps(directions: Array, one: Array, other: Array) -> Array:
    """How far corners (3, w, n) lie before others along one direction each (3, n); (n,) mm."""
    found: Array = along(directions, other).min(axis=0) - along(directions, one).max(axis=0)
    return found


def along(directions: Array, corners: Array) -> Array:
    """How far corners (3, w, n) reach along one direction each (3, n); (w, n) mm."""
    x, y, z = directions
    found: Array = corners[0] * x + corners[1] * y + corners[2] * z
    return found


def nearest(one: Array, other: Array, directions: Array) -> tuple[Array, Array]:
    """How far the hulls of corners (3, v, n) and (3, w, n) are apart, and the directions across.

    They stand apart; the search begins along `directions` (3, n), from the one to the other.
    """
    rows = np.arange(one.shape[2])
    found, across = gaps(directions, one, other), directions.copy()
    simplex = np.repeat(_support(one, other, directions)[:, None], 4, axis=1)
    for _ in range(ROUNDS):
        simplex, near = _nearest_on(simplex)
        square = (near * near).sum(axis=0)
        length = np.sqrt(square)
        proper = length > PARALLEL
        way = near / np.where(proper, length, 1.0)
        corner = _support(one[..., rows], other[..., rows], way)
        reach = (way * corner).sum(axis=0)
        better = proper & (reach > found[rows])
        found[rows[better]] = reach[better]
        across[:, rows[better]] = way[:, better]
        left = np.flatnonzero(proper & (length - found[rows] > NEAR_MM))
        if not len(left):
            break
        rows = rows[left]
        simplex = simplex[..., left]
        # a simplex keeps three corners at the most, so the last place is free
        simplex[:, 3] = corner[:, left]
    return found, across


def _support(one: Array, other: Array, directions: Array) -> Array:
    """The difference of corners that reaches least along each direction, (3, n)."""
    first, last = along(directions, one).argmax(axis=0), along(directions, other).argmin(axis=0)
    found: Array = _chosen(other, last) - _chosen(one, first)
    return found


def _chosen(corners: Array, places: Rows) -> Array:
    found: Array = np.take_along_axis(corners, places[None, None], axis=1)[:, 0]
    return found


def _nearest_on(simplex: Array) -> tuple[Array, Array]:
    """The part of each simplex (3, 4, n) that is nearest to the origin, and its nearest point.

    A corner, an edge or a face; its corners stand first and are repeated to fill four places.
    """
    count = simplex.shape[2]
    best = np.full(count, np.inf)
    point = np.zeros((3, count))
    chosen = np.zeros(count, dtype=np.intp)
    for k, own in enumerate(_SUBSETS):
        at, inside = _foot(*(simplex[:, j] for j in own))
        square = np.where(inside, (at * at).sum(axis=0), np.inf)
        better = square < best * (1.0 - 1e-15)
        best = np.where(better, square, best)
        point = np.where(better, at, point)
        chosen[better] = k
    places = np.array([[*own, *([own[0]] * (4 - len(own)))] for own in _SUBSETS])[chosen].T
    kept = np.take_along_axis(simplex, np.broadcast_to(places, simplex.shape), axis=1)
    return kept, point


def _foot(a: Array, b: Array | None = None, c: Array | None = None) -> tuple[Array, Array]:
    """Where the origin falls on a point, a line or a plane, and whether between its corners."""
    if b is None:
        return a, np.ones(a.shape[1], dtype=bool)
    u = b - a
    uu, ua = (u * u).sum(axis=0), (u * a).sum(axis=0)
    if c is None:
        share = -ua / np.where(uu > 0.0, uu, 1.0)
        return a + share * u, (uu > 0.0) & (share >= 0.0) & (share <= 1.0)
    v = c - a
    vv, uv, va = (v * v).sum(axis=0), (u * v).sum(axis=0), (v * a).sum(axis=0)
    area = uu * vv - uv * uv
    proper = area > FLAT * uu * vv
    whole = np.where(proper, area, 1.0)
    s, t = (uv * va - vv * ua) / whole, (uv * ua - uu * va) / whole
    return a + s * u + t * v, proper & (s >= 0.0) & (t >= 0.0) & (s + t <= 1.0)
