"""A crease is a score, or a cut half through, with the fold made on it."""

from __future__ import annotations

import enum
import math
from dataclasses import dataclass

from fitcheck.pattern.bonds import Face
from fitcheck.pattern.sheet import Corner

RIGHT_ANGLE = math.pi / 2
HALF_TURN = math.pi


class CreaseKind(enum.StrEnum):
    """How a crease is made."""

    SCORED = "scored"
    HALF_CUT = "half cut"
    """Cut half through on the face that comes to lie outside the fold, as a hinge."""


@dataclass(frozen=True)
class CreaseLine:
    """A score and the fold made on it; the child panel turns about it, the parent stays."""

    parent: str
    child: str
    start: Corner
    stop: Corner
    angle_rad: float = RIGHT_ANGLE
    """Towards the inside face; negative towards the outside face. Half a turn at the most."""
    kind: CreaseKind = CreaseKind.SCORED

    def __post_init__(self) -> None:
        if not 0.0 < abs(self.angle_rad) <= HALF_TURN:
            raise ValueError(f"the fold {self.name} goes from 0 to half a turn either way")

    @property
    def name(self) -> str:
        """The crease in words: what it joins."""
        return f"{self.parent} / {self.child}"

    @property
    def outer(self) -> Face:
        """The face that comes to lie outside the fold."""
        return Face.OUTSIDE if self.angle_rad > 0.0 else Face.INSIDE

    @property
    def cut_face(self) -> Face | None:
        """The face that is cut half through: the one outside the fold; None where it is pressed."""
        return self.outer if self.kind is CreaseKind.HALF_CUT else None

    @property
    def sign(self) -> float:
        """1 for a fold towards the inside face, -1 for one towards the outside face."""
        return 1.0 if self.angle_rad > 0.0 else -1.0
