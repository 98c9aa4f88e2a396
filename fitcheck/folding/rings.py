"""The room inside a ring of walls that do not all stand square to the sides of their box."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import Array

SQUARE = 0.9998
"""The cosine of the angle, about a degree, up to which a wall is one of a box's four sides: a score
that a hand lays askew is off by less."""
SIDES = 4
WITHIN_MM = 1e-9
"""A corner of the room lies behind no wall by more."""


def square(direction: Array) -> bool:
    """Whether a level direction (3,) runs along the width or along the length.

    >>> square(np.array([0.0, -1.0, 0.0])), square(np.array([0.6, 0.8, 0.0]))
    (True, False)
    """
    return bool(np.abs(direction[:2]).max() >= SQUARE)


def four_square(ways: Iterable[Array]) -> bool:
    """Whether ways out (3,) are those of a box's four sides: each is, and none is missing."""
    found = list(ways)
    sides = {tuple(np.rint(way[:2]).tolist()) for way in found}
    return len(sides) == SIDES and all(map(square, found))


def room_between(part: FoldedPart, bounds: Mapping[int, Array]) -> tuple[float, float]:
    """How wide and how long the room is, mm, that lies within what bounds it on every side.

    `bounds` names plates and bends by their place, each with its wall's way out (3,). The room is
    where all their inside faces are further out, so it is convex; where nothing bounds it, the
    part's own end does.
    """
    ways, faces = [], []
    for k, outward in bounds.items():
        ways.append(outward[:2])
        faces.append(-float(np.concatenate(part.reaches(-outward))[k]))
    for outward in np.eye(3)[[0, 0, 1, 1]] * [[1.0], [-1.0], [1.0], [-1.0]]:
        ways.append(outward[:2])
        faces.append(float(np.concatenate(part.reaches(outward)).max()))
    corners = _corners(np.array(ways), np.array(faces))
    width, length = corners.max(axis=0) - corners.min(axis=0)
    return float(width), float(length)


def _corners(ways: Array, faces: Array) -> Array:
    """The corners (n, 2) of the region in which no point lies further along any way than its face.

    >>> ways, faces = np.array([[1.0, 0.0], [0.0, 1.0], [-0.6, -0.8]]), np.array([3.0, 2.0, 0.0])
    >>> float(_corners(ways, faces).max())
    3.0
    """
    first, second = np.triu_indices(len(faces), 1)
    crossed = ways[first, 0] * ways[second, 1] - ways[first, 1] * ways[second, 0]
    meets = np.abs(crossed) > WITHIN_MM
    first, second = first[meets], second[meets]
    pairs = np.stack([ways[first], ways[second]], axis=1)
    found = np.linalg.solve(pairs, np.stack([faces[first], faces[second]], axis=1)[..., None])
    points: Array = found[..., 0]
    inside = (points @ ways.T <= faces + 1e3 * WITHIN_MM).all(axis=1)
    return points[inside]
