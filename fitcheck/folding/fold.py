"""Folding turns a pattern, papers and joints into folded parts made of plates and bends."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.folding.bends import Bend, Bends
from fitcheck.folding.clip import Polygons
from fitcheck.folding.corners import folded_angles
from fitcheck.folding.kinematics import Strips, bend_poses, panel_poses, plate_outlines
from fitcheck.folding.lines import Creases, Layout, lay_out
from fitcheck.folding.pieces import Blanks, ConvexPiece, Pieces, Plate, pieces_of
from fitcheck.folding.pose import Array
from fitcheck.folding.rolls import RollSection, sections_of
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.sheet import Rule, Shifts
from fitcheck.stock.crease import Crease

Angles = dict[str, float]
"""Fold angle in radians by the name of the panel that the crease carries."""


@dataclass(frozen=True, eq=False)
class FoldedParts:
    """One part as it stands in many boxes, folded and glued, its floor's outside face at z = 0.

    x runs along the width, y along the length; the middle of the floor is above the origin.
    """

    pattern: Pattern
    layout: Layout
    angles: Array
    """(b, c) rad."""
    joint_mm: Array
    """(b,)."""
    outlines: Polygons
    """(b p, n, 2) what stays flat of each panel."""
    poses: Array
    """(b, p, 4, 4)."""
    bends: Bends
    """Box by box, in the order of the creases."""
    papers: tuple[Crease, ...]

    @property
    def boxes(self) -> int:
        """How many there are."""
        return self.layout.boxes

    @cached_property
    def pieces(self) -> Pieces:
        """All plates and bends as convex pieces, those of a box as plates first."""
        panels, creases = self.pattern.panels, self.pattern.creases
        names = [(panel.name, frozenset([panel.name])) for panel in panels]
        names += [(line.name, frozenset([line.parent, line.child])) for line in creases]
        boxes, kinds = np.divmod(np.arange(self.boxes * len(panels)), len(panels))
        heights = np.zeros((len(boxes), 2))
        heights[:, 1] = self.layout.creases.caliper_mm[boxes]
        poses = self.poses.reshape(-1, 4, 4)
        plates = [
            Blanks(
                boxes[rows],
                kinds[rows],
                kinds[rows],
                self.outlines.points[rows, :count],
                heights[rows],
                poses[rows],
            )
            for count in np.unique(self.outlines.counts).tolist()
            for rows in (np.flatnonzero(self.outlines.counts == count),)
        ]
        return pieces_of([*plates, *self.bends.blanks(len(panels))], names)

    def part(self, box: int) -> FoldedPart:
        """The part of one box."""
        return FoldedPart(self, box)


@dataclass(frozen=True, eq=False)
class FoldedPart:
    """A part of one box; the numbers stand in the arrays of all that were folded with it."""

    among: FoldedParts
    box: int

    @property
    def name(self) -> str:
        """Which part it is."""
        return self.pattern.part

    @property
    def pattern(self) -> Pattern:
        """What it was folded from."""
        return self.among.pattern

    @property
    def crease(self) -> Crease:
        """How its paper bends."""
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
        own = self.among.angles[self.box].tolist()
        return {line.child: at for line, at in zip(self.pattern.creases, own, strict=True)}

    @cached_property
    def plates(self) -> tuple[Plate, ...]:
        """The flat rest of each panel."""
        among, count = self.among, len(self.pattern.panels)
        first = self.box * count
        return tuple(
            Plate(
                panel.name,
                among.outlines.points[k, : among.outlines.counts[k]],
                among.poses[self.box, k - first],
                self.caliper_mm,
            )
            for k, panel in enumerate(self.pattern.panels, start=first)
        )

    @cached_property
    def bends(self) -> tuple[Bend, ...]:
        """The stretches of its bends."""
        own = self.among.bends
        first, last = np.searchsorted(own.boxes, [self.box, self.box + 1]).tolist()
        creases = [self.pattern.creases[kind] for kind in own.kinds[first:last].tolist()]
        spans, ends = own.angles_rad[first:last].tolist(), own.ends_mm[first:last].tolist()
        return tuple(
            Bend(
                name=line.name,
                panels=frozenset([line.parent, line.child]),
                radius_mm=self.crease.radius_mm,
                thickness_mm=self.caliper_mm,
                start_rad=span[0],
                stop_rad=span[1],
                ends_start=(reach[0][0], reach[0][1]),
                ends_stop=(reach[1][0], reach[1][1]),
                pose=own.poses[first + k],
            )
            for k, (line, span, reach) in enumerate(zip(creases, spans, ends, strict=True))
        )

    @cached_property
    def pieces(self) -> tuple[ConvexPiece, ...]:
        """All plates and bends as convex pieces."""
        return self.among.pieces.of_box(self.box)

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

    @property
    def lap_rise_mm(self) -> float:
        """How much higher it is where one panel laps another, mm."""
        return self.caliper_mm + self.joint_mm if self.pattern.laps else 0.0


class Making(NamedTuple):
    """How one box's part is made."""

    crease: Crease
    joint_mm: float
    shifts: Shifts = MappingProxyType({})
    """Cutting and scoring errors."""
    give: float = 1.0
    """The share of t + g - s by which glued corners push out."""


class Folded(NamedTuple):
    """What came of folding one part for many boxes."""

    parts: tuple[FoldedPart | None, ...]
    """None where it cannot be folded."""
    problems: dict[int, str]
    """Why not, by the box."""

    def part(self, box: int) -> FoldedPart:
        """The part of one box. Raises ModelError where it cannot be folded."""
        found = self.parts[box]
        if found is None:
            raise ModelError(self.problems[box])
        return found


def fold_all(
    pattern: Pattern, makings: Sequence[Making], angles: Mapping[str, float] | None = None
) -> Folded:
    """Fold a pattern for many boxes; `angles` override those that gluing gives.

    A part cannot be folded where a panel vanishes in its bends or a roll does not close.
    """
    if not makings:
        return Folded((), {})
    rules = dict.fromkeys(itertools.chain.from_iterable(one.shifts for one in makings))
    shifts: dict[Rule, Array] = {
        rule: np.array([one.shifts.get(rule, 0.0) for one in makings]) for rule in rules
    }
    layout, found = lay_out(pattern, Creases.of([one.crease for one in makings]), shifts)
    parts: list[FoldedPart | None] = [None] * len(makings)
    problems = dict(found)
    left = np.array([box for box in range(len(makings)) if box not in found], dtype=np.intp)
    while len(left):
        own = [makings[box] for box in left.tolist()]
        among = _folded(layout.take(left), own, angles)
        if isinstance(among, FoldedParts):
            for k, box in enumerate(left.tolist()):
                parts[box] = among.part(k)
            break
        # the others are folded without those that cannot be
        problems |= {int(left[k]): problem for k, problem in among.items()}
        left = np.delete(left, list(among))
    return Folded(tuple(parts), problems)


def _folded(
    layout: Layout, makings: Sequence[Making], given: Mapping[str, float] | None
) -> FoldedParts | dict[int, str]:
    """The parts of all boxes, or which of them cannot be folded and why."""
    pattern = layout.pattern
    joints, gives = (np.array([getattr(m, key) for m in makings]) for key in ("joint_mm", "give"))
    if given is None:
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            angles, problems = folded_angles(layout, joints, gives)
        if problems:
            return problems
    else:
        angles = np.tile([given[line.child] for line in pattern.creases], (len(makings), 1))
    outlines = plate_outlines(layout, angles)
    gone = outlines.counts.reshape(len(makings), len(pattern.panels)) == 0
    if gone.any():
        return {
            box: f"the {pattern.panels[int(np.argmax(gone[box]))].name} is all taken up by its "
            "bends: make it wider"
            for box in np.flatnonzero(gone.any(axis=1)).tolist()
        }
    poses, strips = panel_poses(layout, angles), Strips(layout, angles)
    bends = Bends(
        boxes=strips.boxes,
        kinds=strips.creases,
        radius_mm=layout.creases.radius_mm[strips.boxes],
        thickness_mm=layout.creases.caliper_mm[strips.boxes],
        angles_rad=strips.angles,
        ends_mm=strips.ends,
        poses=bend_poses(layout, angles, poses)[strips.boxes, strips.creases],
    )
    papers = tuple(one.crease for one in makings)
    return FoldedParts(pattern, layout, angles, joints, outlines, poses, bends, papers)


def fold(
    pattern: Pattern,
    crease: Crease,
    joint_mm: float,
    shifts: Shifts | None = None,
    angles: Angles | None = None,
    give: float = 1.0,
) -> FoldedPart:
    """Fold a pattern for one box; as `fold_all`.

    Raises ModelError when a panel vanishes in its bends or a roll cannot close.
    """
    return fold_all(pattern, [Making(crease, joint_mm, shifts or {}, give)], angles).part(0)
