"""A folded part of one box, as a view of the arrays in which it stands among others."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fitcheck.folding.bends import Bend
from fitcheck.folding.lines import Layout
from fitcheck.folding.many import FoldedParts
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, Array, Rows
from fitcheck.folding.prisms import Plate
from fitcheck.folding.rolls import RollSection, sections_of
from fitcheck.folding.sections import LiningSection, TubeSection, lining_section, tube_section
from fitcheck.pattern.bonds import JointKind
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.stock.crease import Crease

Angles = dict[str, float]
"""Fold angle in radians by the name of the panel that the crease carries."""


@dataclass(frozen=True, eq=False)
class FoldedPart:
    """A part of one box; the numbers stand in the arrays of all that were folded with it."""

    among: FoldedParts
    box: int

    @property
    def filled(self) -> FoldedPart:
        """The part with its cut-outs filled."""
        return self.among.filled.part(self.box)

    @property
    def name(self) -> str:
        """Which part it is."""
        return self.pattern.part

    @property
    def pattern(self) -> Pattern:
        """What it was folded from."""
        return self.among.pattern

    @property
    def hollow(self) -> bool:
        """Whether its walls are rolled into a frame."""
        return bool(self.pattern.roll_joints)

    @property
    def doubled(self) -> bool:
        """Whether walls are folded over at the rim and come down again inside."""
        pattern = self.pattern
        return any(own.lined and own.bond.panel not in pattern.buried for own in pattern.joints)

    @property
    def roles(self) -> Mapping[str, Role]:
        """What each of its panels is for, those of copies by their numbers."""
        own = {panel.name: panel.role for panel in self.pattern.panels}
        if self.pattern.row is None:
            return own
        numbers = range(1, self.pattern.copies + 1)
        return {f"{name} {k}": role for name, role in own.items() for k in numbers}

    @property
    def crease(self) -> Crease:
        """How its paper bends, along the sheet's length where it does so otherwise across it."""
        return self.among.papers[self.box]

    @property
    def caliper_mm(self) -> float:
        """Thickness of its paper."""
        return self.crease.caliper_mm

    @property
    def joint_mm(self) -> float:
        """Thickness of its glue."""
        return float(self.among.joint_mm[self.box])

    @cached_property
    def layout(self) -> Layout:
        """Its outlines and fold lines, as arrays of one box."""
        return self.among.layout.take(np.array([self.box]))

    @cached_property
    def angles(self) -> Angles:
        """Its fold angles."""
        creases = self.pattern.creases
        own = self.among.angles[self.box, : len(creases)].tolist()
        return {line.child: at for line, at in zip(creases, own, strict=True)}

    @property
    def flat_mm(self) -> Mapping[str, float]:
        """What stays flat of the panels that lie between creases along each other."""
        return {name: float(mm[self.box]) for name, mm in self.among.flat_mm.items()}

    @cached_property
    def plates(self) -> tuple[Plate, ...]:
        """The flat rest of each panel."""
        cells = self.among.layout.cells
        own = np.ones(len(cells.panels), dtype=bool) if cells.layers is None else ~cells.layers
        return tuple(
            Plate(
                panel.name,
                self._outlines(np.flatnonzero(own & (cells.panels == k))),
                self.among.poses[self.box, k],
                self.caliper_mm,
            )
            for k, panel in enumerate(self.pattern.panels)
        )

    @cached_property
    def layers(self) -> tuple[Plate, ...]:
        """What of another sheet is glued flat on its panels, each called as what it lies on."""
        cells = self.among.layout.cells
        rows = [] if cells.layers is None else np.flatnonzero(cells.layers).tolist()
        return tuple(
            Plate(
                self.pattern.panels[cells.panels[row]].name,
                self._outlines(np.array([row])),
                self.among.cell_poses[self.box * len(cells.panels) + row],
                self.caliper_mm,
            )
            for row in rows
        )

    def _outlines(self, rows: Rows) -> tuple[Array, ...]:
        """What stays flat of some of its cells, (n, 2) mm each, of which anything does."""
        outlines = self.among.outlines
        every = self.box * len(self.among.layout.cells.panels) + rows
        return tuple(
            outlines.points[row, : outlines.counts[row]]
            for row in every.tolist()
            if outlines.counts[row]
        )

    @cached_property
    def _own_bends(self) -> slice:
        ends = np.searchsorted(self.among.bends.boxes, [self.box, self.box + 1]).tolist()
        return slice(*ends)

    @cached_property
    def bends(self) -> tuple[Bend, ...]:
        """The stretches of its bends."""
        own, rows = self.among.bends, self._own_bends
        first = rows.start
        lines = self.pattern.lines
        creases = [lines[kind] for kind in own.kinds[rows].tolist()]
        spans, ends = own.angles_rad[rows].tolist(), own.ends_mm[rows].tolist()
        return tuple(
            Bend(
                name=line.name,
                panels=frozenset([line.parent, line.child]),
                radius_mm=float(own.radius_mm[first + k]),
                thickness_mm=float(own.thickness_mm[first + k]),
                start_rad=span[0],
                stop_rad=span[1],
                ends_start=(reach[0][0], reach[0][1]),
                ends_stop=(reach[1][0], reach[1][1]),
                pose=own.poses[first + k],
            )
            for k, (line, span, reach) in enumerate(zip(creases, spans, ends, strict=True))
        )

    @cached_property
    def pieces(self) -> Pieces:
        """All plates and bends that can be met, as convex pieces."""
        return self.among.pieces.of_box(self.box)

    @property
    def volume_mm3(self) -> float:
        """Volume of paper, plates and bends, exact."""
        flat = (*self.plates, *self.layers)
        return sum(p.volume_mm3 for p in flat) + sum(b.volume_mm3 for b in self.bends)

    def plate(self, name: str) -> Plate:
        """The plate of a panel; KeyError if there is none."""
        for plate in self.plates:
            if plate.name == name:
                return plate
        raise KeyError(name)

    @property
    def opened(self) -> FoldedPart:
        """The same as contents meet it on their way in: `FoldedParts.opened`."""
        return self if self.among.opened is self.among else self._opened

    @cached_property
    def _opened(self) -> FoldedPart:
        return self.among.opened.part(self.box)

    @cached_property
    def floor_rise_mm(self) -> float:
        """How high over its floor's inside face contents stand: on flaps that are turned in there.

        A flap lies on the floor, whatever line it is scored on. Between flaps that do not meet
        contents might come to lie lower.
        """
        up = self.reaches(UP)[0].tolist()
        panels = zip(self.pattern.panels, up, strict=True)
        tops = [top for panel, top in panels if panel.role is Role.BOTTOM_FLAP]
        return max(self.caliper_mm, max(tops) - self.caliper_mm) if tops else 0.0

    @property
    def height_mm(self) -> float:
        """Greatest height above the outside of the floor, laps left out."""
        return float(self.among.heights_mm[self.box])

    def reaches(self, direction: Array) -> tuple[Array, Array]:
        """How far each plate (p,) and each bend (c,) reaches along a unit direction (3,), mm."""
        plates, bends = self.among.reaches(direction)
        return plates[self.box], bends[self._own_bends]

    @property
    def leans_deg(self) -> dict[str, float]:
        """How far the walls that are glued over tabs lean outwards, by name."""
        walls = dict.fromkeys(joint.onto for joint in self.pattern.corner_joints)
        return {wall: 90.0 - math.degrees(self.angles[wall]) for wall in walls}

    @property
    def most_lean_deg(self) -> float:
        """How far the wall that leans most does, either way; 0 without glued walls."""
        return max((abs(deg) for deg in self.leans_deg.values()), default=0.0)

    @cached_property
    def rolls(self) -> tuple[RollSection, ...]:
        """The cross sections of its rolled sides, in the order of the pattern.

        Raises ModelError where one could not be closed with its inner wall upright.
        """
        own = slice(self.box, self.box + 1)
        return sections_of(
            self.layout,
            self.pattern.roll_joints,
            self.among.joint_mm[own],
            self.among.angles[own],
        )

    @cached_property
    def tubes(self) -> tuple[TubeSection, ...]:
        """The cross sections of its tubes, in the order of the pattern."""
        angles = self.among.angles[self.box : self.box + 1]
        return tuple(
            tube_section(self.layout, joint, self.joint_mm, angles)
            for joint in self.pattern.joints
            if joint.kind is JointKind.TUBE
        )

    @cached_property
    def linings(self) -> tuple[LiningSection, ...]:
        """The cross sections of its double walls, in the order of the pattern."""
        angles = self.among.angles[self.box : self.box + 1]
        return tuple(
            lining_section(self.layout, joint, angles)
            for joint in self.pattern.joints
            if joint.lined and joint.bond.panel not in self.pattern.buried
        )

    @property
    def lap_rise_mm(self) -> float:
        """How much higher it is where one panel laps another, mm."""
        return self.caliper_mm + self.joint_mm if self.pattern.laps else 0.0


def pieces_in(parts: Sequence[FoldedPart]) -> Pieces:
    """The pieces of a part in many boxes, `parts[k]` being that of box k."""
    among = parts[0].among
    if all(part.among is among for part in parts):
        boxes = np.array([part.box for part in parts])
        if np.array_equal(boxes, np.arange(among.boxes)):
            return among.pieces
    return Pieces.joined([part.pieces for part in parts])
