"""Free sideways travel of an inner part along one direction across its path, and what ends it."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.fit.contact import TOUCH_MM


@dataclass(frozen=True, eq=False)
class Stop:
    """The pair of pieces that ends the travel on one side."""

    travel_mm: float
    """Displacement of the inner part at which they meet; signed."""
    outer: str
    inner: str
    at_mm: tuple[float, float, float]
    """About where they meet, in the part's own frame."""


@dataclass(frozen=True, eq=False)
class Travel:
    """Free sideways travel of the inner part along one direction, over the whole path."""

    axis: str
    """The direction's name."""
    low: Stop | None
    """None when nothing stands in the way on the low side."""
    high: Stop | None

    @property
    def play_mm(self) -> float:
        """Total free travel, mm; negative when the parts press by that much; inf when unbounded."""
        if self.low is None or self.high is None:
            return float("inf")
        return self.high.travel_mm - self.low.travel_mm

    @property
    def middle_mm(self) -> float:
        """Where the inner part stands with equal room on both sides."""
        if self.low is None or self.high is None:
            return 0.0
        return 0.5 * (self.high.travel_mm + self.low.travel_mm)

    @property
    def limiting(self) -> Stop | None:
        """The stop to name: the one with the higher share of the press, the low one when equal."""
        if self.low is None or self.high is None:
            return self.low or self.high
        return self.low if -self.low.travel_mm <= self.high.travel_mm + TOUCH_MM else self.high
