"""Rigid poses are 4 x 4 matrices that carry a panel's own place to the folded part's place."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Rows: TypeAlias = NDArray[np.intp]
"""Places in a list."""
Flags: TypeAlias = NDArray[np.bool_]
UP: Array = np.array([0.0, 0.0, 1.0])


def bend_shift(
    score: Array, half: Array, lift: Array, sin: Array, cos: Array
) -> tuple[Array, Array]:
    """How a crease shifts what lies beyond it, along its outward direction and upwards, mm.

    What lies beyond is turned by the fold's angle about the bend's axis, which is `lift` above the
    panel before it, half a bend before the score as seen from there and half a bend beyond it as
    seen from the panel behind.
    """
    beyond = score + half
    return score - half - cos * beyond + sin * lift, lift - sin * beyond - cos * lift


def translation(offset: Array) -> Array:
    """A shift by (3,) mm."""
    pose = np.eye(4)
    pose[:3, 3] = offset
    return pose


def apply(pose: Array, points: Array) -> Array:
    """Points (n, 3) carried by a pose."""
    moved: Array = points @ pose[:3, :3].T + pose[:3, 3]
    return moved
