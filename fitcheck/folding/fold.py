"""Folding turns a pattern, a paper and a joint into a folded part made of plates and bends."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fitcheck.folding.bends import Bend
from fitcheck.folding.corners import folded_angles
from fitcheck.folding.kinematics import Angles, bends_of, plate_of
from fitcheck.folding.lines import Layout, lay_out
from fitcheck.folding.pieces import ConvexPiece, Plate, pieces_of
from fitcheck.folding.rolls import RollSection, section_of
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.sheet import Shifts
from fitcheck.stock.crease import Crease


@dataclass(frozen=True, eq=False)
class FoldedPart:
    """A part as it stands when folded and glued, its floor's outside face at z = 0.

    x runs along the width, y along the length; the middle of the floor is above the origin.
    """

    name: str
    pattern: Pattern
    layout: Layout
    angles: Angles
    joint_mm: float
    plates: tuple[Plate, ...]
    bends: tuple[Bend, ...]

    @property
    def caliper_mm(self) -> float:
        """Thickness of its paper."""
        return self.layout.crease.caliper_mm

    @cached_property
    def pieces(self) -> tuple[ConvexPiece, ...]:
        """All plates and bends as convex pieces."""
        plates = [plate.blank() for plate in self.plates]
        return tuple(pieces_of([*plates, *(bend.blank() for bend in self.bends)]))

    @property
    def volume_mm3(self) -> float:
        """Volume of paper, plates and bends, exact."""
        return sum(p.volume_mm3 for p in self.plates) + sum(b.volume_mm3 for b in self.bends)

    def plate(self, name: str) -> Plate:
        """The plate of a panel; KeyError if there is none."""
        for plate in self.plates:
            if plate.name == name:
                return plate
        raise KeyError(name)

    @cached_property
    def height_mm(self) -> float:
        """Greatest height above the outside of the floor, laps left out."""
        up = np.array([0.0, 0.0, 1.0])
        plates = max(plate.support(up) for plate in self.plates)
        return max([plates, *(bend.support(up) for bend in self.bends)])

    @property
    def leans_deg(self) -> dict[str, float]:
        """How far the walls that are glued over tabs lean outwards, by name."""
        walls = dict.fromkeys(joint.wall for joint in self.pattern.corner_joints)
        return {wall: 90.0 - math.degrees(self.angles[wall]) for wall in walls}

    @property
    def most_lean_deg(self) -> float:
        """How far the wall that leans most does, either way; 0 without glued walls."""
        return max((abs(deg) for deg in self.leans_deg.values()), default=0.0)

    @cached_property
    def rolls(self) -> tuple[RollSection, ...]:
        """The cross sections of its rolled sides, in the order of the pattern."""
        return tuple(
            section_of(self.layout, joint, self.joint_mm, self.angles)
            for joint in self.pattern.roll_joints
        )

    @property
    def lap_rise_mm(self) -> float:
        """How much higher it is where one panel laps another, mm."""
        return self.caliper_mm + self.joint_mm if self.pattern.laps else 0.0


def fold(
    pattern: Pattern,
    crease: Crease,
    joint_mm: float,
    shifts: Shifts | None = None,
    angles: Angles | None = None,
    give: float = 1.0,
) -> FoldedPart:
    """Fold a pattern; `shifts` are cutting and scoring errors, `angles` override the glued ones,
    `give` is the share of t + g - s by which glued corners push out.

    Raises ModelError when a panel vanishes in its bends or a roll cannot close.
    """
    layout = lay_out(pattern, crease, shifts or {})
    settled = folded_angles(layout, joint_mm, give) if angles is None else angles
    return FoldedPart(
        name=pattern.part,
        pattern=pattern,
        layout=layout,
        angles=settled,
        joint_mm=joint_mm,
        plates=tuple(plate_of(layout, panel.name, settled) for panel in pattern.panels),
        bends=tuple(
            bend for line in pattern.creases for bend in bends_of(layout, line.child, settled)
        ),
    )
