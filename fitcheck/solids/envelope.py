"""How wide a folded part is anywhere over its height, and where: what a stand-in has to measure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.folding.bends import Bend
from fitcheck.folding.measure import PartSizes
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.prisms import Plate

TOLD_MM = 0.01
"""A difference in width that is told; less is not printed."""


@dataclass(frozen=True)
class Envelope:
    """The greatest outside sizes of a folded part, mm; pairs are (width, length)."""

    outside_mm: tuple[float, float]
    """The widest at any height."""
    height_mm: float
    """Its laps counted in."""
    rim_less_mm: tuple[float, float]
    """How much narrower it is at its rim."""
    foot_less_mm: tuple[float, float]
    """How much narrower it is at its foot."""

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Width, length and height."""
        return (*self.outside_mm, self.height_mm)

    @property
    def words(self) -> str:
        """Where the part is as wide as that, and where it is narrower."""
        names = ("width", "length")
        foot, rim = (
            [f"{less:.2f} mm narrower across its {n}" for n, less in zip(names, pair, strict=True)
             if less > TOLD_MM]
            for pair in (self.foot_less_mm, self.rim_less_mm)
        )  # fmt: skip
        said = []
        if foot:
            said.append(
                "as wide as the base is at its rim, which glued corners push out; at its foot the "
                f"base is {' and '.join(foot)}"
            )
        if rim:
            said.append(
                "as wide as the base is at its foot, since its walls lean in; at its rim, where a "
                f"lid starts, the base is {' and '.join(rim)}"
            )
        return "; ".join(said) or "as wide as the base is from its foot to its rim"


def envelope_of(part: FoldedPart, sizes: PartSizes) -> Envelope:
    """The envelope of a part whose sizes at rim and foot were measured; rounds count as rounds."""
    if part.pattern.on_end:
        # nothing of a ring is glued at a corner, so that it is as wide all the way up
        return Envelope(sizes.outside_mm, sizes.height_mm, (0.0, 0.0), (0.0, 0.0))
    pieces: list[Plate | Bend] = [*part.plates, *part.bends]

    def across(axis: int) -> float:
        direction = np.eye(3)[axis]
        return sum(max(p.support(side * direction) for p in pieces) for side in (1.0, -1.0))

    outside = (across(0), across(1))
    return Envelope(
        outside_mm=outside,
        height_mm=sizes.height_mm + sizes.corner_rise_mm,
        rim_less_mm=_less(outside, sizes.outside_mm),
        foot_less_mm=_less(outside, sizes.floor_outside_mm),
    )


def _less(wide: tuple[float, float], narrow: tuple[float, float]) -> tuple[float, float]:
    return (wide[0] - narrow[0], wide[1] - narrow[1])
