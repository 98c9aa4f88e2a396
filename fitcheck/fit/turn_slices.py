"""A slice of a hinge's bend as it is at some time in an interval of angles, as one convex body.

A fold by theta bends from 0 to theta; where its ends slant, they do so by the share of theta that
lies before. So a slice between two fixed angles is cut short while the bend grows past it, and its
ends move along the axis.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fitcheck.folding.pose import Array, Flags


class Bodies(NamedTuple):
    """Convex bodies with the same number of corners, faces and edges; all (3, ..., n)."""

    corners: Array
    faces: Array
    edges: Array


def slice_bodies(
    slices: Array, radii_mm: Array, start: Array, stop: Array
) -> tuple[Bodies, Flags]:
    """What slices (n, 8) of `Shapes.slices` are at any angle from `start` to `stop` (n,), about 0.

    And which are there at all. `radii_mm` (n, 2) are the inside and the outside radius.
    """
    low, high, first, last, low_first, low_last, high_first, high_last = slices.T
    begin, end = np.maximum(low, first * start), np.minimum(high, last * stop)
    present = end > begin
    begin, end = np.minimum(begin, end), np.maximum(begin, end)
    with np.errstate(divide="ignore", invalid="ignore"):
        shares = [np.where(angle > 0.0, own / angle, 0.0) for own, angle in ((begin, stop), (end, start))]
    along = [
        np.clip((np.clip(share, first, last) - first) / (last - first), 0.0, 1.0)
        for share in (shares[0], np.where(start > 0.0, shares[1], last))
    ]
    near = np.minimum(*(low_first + at * (low_last - low_first) for at in along))
    far = np.maximum(*(high_first + at * (high_last - high_first) for at in along))
    return _bodies(begin, end, np.stack([near, far]), radii_mm.T), present


def _bodies(begin: Array, end: Array, reach: Array, radii: Array) -> Bodies:
    """Prisms round sectors, each of whose outside facets touches the round at an end."""
    inside, outside = radii
    middle, half = 0.5 * (begin + end), 0.5 * (end - begin)
    at = np.stack([begin, middle, end, end, begin])
    far = np.stack([outside, outside / np.cos(half), outside, inside, inside])
    x, z = np.sin(at) * far, -np.cos(at) * far
    corners = np.stack(
        [
            np.concatenate([x, x]),
            np.concatenate([np.broadcast_to(y, x.shape) for y in reach]),
            np.concatenate([z, z]),
        ]
    )
    none, one = np.zeros_like(begin), np.ones_like(begin)
    out = [np.stack([np.sin(angle), none, -np.cos(angle)]) for angle in (begin, end, middle)]
    ahead = [np.stack([np.cos(angle), none, np.sin(angle)]) for angle in (begin, end, middle)]
    axis = np.stack([none, one, none])
    faces = np.stack([out[0], out[1], -out[2], -ahead[0], ahead[1], axis, -axis], axis=1)
    edges = np.stack([*ahead, out[0], out[1], axis], axis=1)
    return Bodies(corners, faces, edges)
