"""The clear box in which contents stand, under the lid."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Room:
    """A right-angled clear space: the opening by the height under the lid, mm.

    `height_mm` may be infinite: an open box sets no limit upwards, but nothing is piled up beyond
    its rim (`rim_mm`, infinite where walls go all the way up). Raises ValueError for a measure
    that is not a positive number (the plan measures must be finite too).
    """

    width_mm: float
    length_mm: float
    height_mm: float = math.inf
    rim_mm: float = math.inf

    def __post_init__(self) -> None:
        for name in ("width_mm", "length_mm", "height_mm", "rim_mm"):
            value = getattr(self, name)
            if not value > 0.0:
                raise ValueError(f"a room's {name} must be above 0 mm; read {value:g}")
        if math.isinf(self.width_mm) or math.isinf(self.length_mm):
            raise ValueError("a room's width and length must be finite")

    @property
    def floor_mm2(self) -> float:
        """Area of the floor, mm2."""
        return self.width_mm * self.length_mm
