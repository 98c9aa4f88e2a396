"""Rigid poses are 4 x 4 matrices that carry a panel's own place to the folded part's place."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]


def translation(offset: Array) -> Array:
    """A shift by (3,) mm."""
    pose = np.eye(4)
    pose[:3, 3] = offset
    return pose


def apply(pose: Array, points: Array) -> Array:
    """Points (n, 3) carried by a pose."""
    moved: Array = points @ pose[:3, :3].T + pose[:3, 3]
    return moved


def rotate(pose: Array, directions: Array) -> Array:
    """Directions (n, 3) carried by a pose's turn alone."""
    turned: Array = directions @ pose[:3, :3].T
    return turned
