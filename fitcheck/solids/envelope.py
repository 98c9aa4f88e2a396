"""How wide a folded part is anywhere over its height, and where: what a stand-in has to measure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.folding.bends import Bend
from fitcheck.folding.measure import PartSizes
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.prisms import Plate
from fitcheck.pattern.pattern import Role

NAMES = ("width", "length")
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

    why_rim: str = "which glued corners push out"
    """Why it may be wider at its rim than at its foot."""

    @property
    def words(self) -> str:
        """Where the part is as wide as that, and where it is narrower."""
        less = list(zip(NAMES, self.foot_less_mm, self.rim_less_mm, strict=True))
        at_rim = [(name, foot) for name, foot, rim in less if foot > TOLD_MM >= rim]
        at_foot = [(name, rim) for name, foot, rim in less if rim > TOLD_MM >= foot]
        between = [name for name, foot, rim in less if min(foot, rim) > TOLD_MM]
        said = []
        if at_rim:
            said.append(
                f"as wide as the base is at its rim, {self.why_rim}; at its foot the base is "
                f"{_narrower(at_rim)}"
            )
        if at_foot:
            said.append(
                "as wide as the base is at its foot, since its walls lean in; at its rim, where a "
                f"lid starts, the base is {_narrower(at_foot)}"
            )
        if between:
            said.append("as wide as the base is between its foot and its rim, where it stands out")
        own = [[name for name, _ in at_rim], [name for name, _ in at_foot], between]
        if len(said) > 1:
            every = zip(filter(None, own), said, strict=True)
            said = [f"across its {' and '.join(names)} {text}" for names, text in every]
        return "; ".join(said) or "as wide as the base is from its foot to its rim"


def _narrower(less: list[tuple[str, float]]) -> str:
    return " and ".join(f"{mm:.2f} mm narrower across its {name}" for name, mm in less)


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
        why_rim=_why_rim(part, outside),
    )


def _why_rim(part: FoldedPart, outside: tuple[float, float]) -> str:
    """Why a part is wider at its rim than at its foot: its walls, or what they carry outwards."""
    walls = [k for k, panel in enumerate(part.pattern.panels) if panel.role is Role.WALL]
    if not walls or part.pattern.hung:
        return Envelope.why_rim
    for direction, wide in zip(np.eye(3), outside, strict=False):
        own = sum(float(part.reaches(way)[0][walls].max()) for way in (direction, -direction))
        if wide - own > part.caliper_mm:
            return "where it is turned outwards"
    return Envelope.why_rim if part.pattern.corner_joints else "as its walls lean out"


def _less(wide: tuple[float, float], narrow: tuple[float, float]) -> tuple[float, float]:
    return (wide[0] - narrow[0], wide[1] - narrow[1])
