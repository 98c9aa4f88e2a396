"""Coordinates packed for the page: 16 bits each, in base64, all of a packer on one grid."""

from __future__ import annotations

import base64
from typing import Any

import numpy as np

from fitcheck.folding.pose import Array

STEPS = 65535


class Packer:
    """Collects arrays of points and packs them together."""

    def __init__(self) -> None:
        self._arrays: list[Array] = []
        self._size = 0

    def add(self, points: Array) -> list[int]:
        """Take points (n, d) in; gives [place of the first number, how many numbers]."""
        flat = np.asarray(points, dtype=float).ravel()
        place = [self._size, len(flat)]
        self._arrays.append(flat)
        self._size += len(flat)
        return place

    def packed(self) -> dict[str, Any]:
        """The grid's origin and step in mm, and the whole numbers on it, little-endian."""
        values = np.concatenate([*self._arrays, np.zeros(1)])
        low, high = float(values.min()), float(values.max())
        step = max(high - low, 1.0) / STEPS
        whole = np.round((values - low) / step).astype("<u2")
        return {"low": low, "step": step, "data": base64.b64encode(whole.tobytes()).decode("ascii")}
