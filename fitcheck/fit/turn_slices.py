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


def slice_bodies(slices: Array, radii_mm: Array, start: Array, stop: Array) -> tuple[Bodies, Flags]:
    """What slices (n, 8) of `Shapes.slices` are at any angle from `start` to `stop` (n,), about 0.

    And which are there at all. `radii_mm` (n, 2) are the inside and the outside radius.
    """
    low, high, first, last = slices.T[:4]
    begin, end = np.maximum(low, first * start), np.minimum(high, last * stop)
    present = end > begin
    begin, end = np.minimum(begin, end), np.maximum(begin, end)
    angles = np.stack([begin, 0.5 * (begin + end), end])
    return _bodies(angles, _reach(slices, angles, start, stop), radii_mm.T), present


def _reach(slices: Array, angles: Array, start: Array, stop: Array) -> Array:
    """From where to where slices reach along the axis at angles (3, n) in them, (2, 3, n) mm."""
    first, last, low_first, low_last, high_first, high_last = slices.T[2:]
    # a bend of less than the whole interval's angle has more of it before a place in it
    whole = np.broadcast_to(stop, angles.shape), np.broadcast_to(start, angles.shape)
    shares = [
        np.divide(angles, angle, out=np.full_like(angles, other), where=angle > 0.0)
        for angle, other in zip(whole, (0.0, np.inf), strict=True)
    ]
    along = [np.clip((share - first) / (last - first), 0.0, 1.0) for share in shares]
    near = np.minimum(*(low_first + at * (low_last - low_first) for at in along))
    far = np.maximum(*(high_first + at * (high_last - high_first) for at in along))
    return np.stack([near, far])


def _bodies(angles: Array, reach: Array, radii: Array) -> Bodies:
    """Sectors from the first to the last of angles (3, n), their facets touching the round there.

    `reach` (2, 3, n) is from where to where they reach along the axis at each.
    """
    inside, outside = radii
    half = 0.5 * (angles[2] - angles[0])
    corner = outside / np.cos(half)
    at = angles[[0, 1, 2, 2, 0]]
    far = np.stack([outside, corner, outside, inside, inside])
    x, z = np.sin(at) * far, -np.cos(at) * far
    ends = [own[[0, 1, 2, 2, 0]] for own in reach]
    corners = np.stack([np.concatenate([x, x]), np.concatenate(ends), np.concatenate([z, z])])
    none = np.zeros_like(half)
    out, _, last = outward = [np.stack([np.sin(own), none, -np.cos(own)]) for own in angles]
    ahead = [np.stack([np.cos(own), none, np.sin(own)]) for own in angles]
    axis = np.stack([none, none + 1.0, none])
    facet = corner * np.sin(half)
    faces, edges = [out, last, -outward[1], -ahead[0], ahead[2]], [out, last, axis]
    for side, own in zip((-1.0, 1.0), reach, strict=True):
        # a slanted end, a half beside each facet
        for way, slant in ((ahead[0], own[1] - own[0]), (ahead[2], own[2] - own[1])):
            faces.append(side * _unit(axis - slant / facet * way))
            edges.append(_unit(facet * way + slant * axis))
        edges.append(_unit(2.0 * outside * np.sin(half) * ahead[1] + (own[2] - own[0]) * axis))
    return Bodies(corners, np.stack(faces, axis=1), np.stack(edges, axis=1))


def _unit(directions: Array) -> Array:
    found: Array = directions / np.sqrt((directions**2).sum(axis=0))
    return found
