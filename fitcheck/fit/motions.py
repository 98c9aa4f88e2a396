"""How a part moves: along a straight line, from its place in the closed box until it is clear."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fitcheck.folding.pose import Array


@dataclass(frozen=True, eq=False)
class Straight:
    """A straight way out, any direction; the way in is the same taken backwards.

    Raises ValueError where the direction is none or the length is not more than 0.
    """

    direction: Array
    """(3,) which way the part goes as it leaves; its length does not matter."""
    length_mm: float

    def __post_init__(self) -> None:
        size = float(np.linalg.norm(self.direction))
        if np.shape(self.direction) != (3,) or not np.isfinite(size) or size == 0.0:
            raise ValueError(f"a direction has three numbers, not all 0: {self.direction}")
        if not 0.0 < self.length_mm < np.inf:
            raise ValueError(f"a way is longer than 0 mm: {self.length_mm}")

    @cached_property
    def unit(self) -> Array:
        """The direction as a unit vector, (3,)."""
        found: Array = np.asarray(self.direction, dtype=float) / np.linalg.norm(self.direction)
        return found

    @cached_property
    def path(self) -> Array:
        """The whole way, (3,) mm."""
        found: Array = self.unit * self.length_mm
        return found
