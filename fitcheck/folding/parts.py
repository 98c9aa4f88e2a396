"""A folded part of one box, and of many boxes whose numbers stand in the same arrays."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from fitcheck.folding.bends import Bend, Bends
from fitcheck.folding.cells import turned, whole_panels
from fitcheck.folding.clip import Polygons
from fitcheck.folding.kinematics import plate_outlines
from fitcheck.folding.lines import Layout
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, Array
from fitcheck.folding.prisms import Blanks, Plate, pieces_of
from fitcheck.folding.rolls import RollSection, RollStates, sections_of, states_of
from fitcheck.folding.sections import LiningSection, TubeSection, lining_section, tube_section
from fitcheck.pattern.bonds import JointKind
from fitcheck.pattern.pattern import Pattern, Role
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
    """(b, c) rad, of all that is scored."""
    joint_mm: Array
    """(b,)."""
    outlines: Polygons
    """(b q, n, 2) what stays flat of each cell of the panels."""
    poses: Array
    """(b, p, 4, 4)."""
    bends: Bends
    """Box by box, in the order of the creases."""
    papers: tuple[Crease, ...]
    left_out: frozenset[str] = frozenset()
    """Panels that are not among the pieces, and no crease to them."""

    @property
    def boxes(self) -> int:
        """How many there are."""
        return self.layout.boxes

    @cached_property
    def pieces(self) -> Pieces:
        """All plates and bends that can be met, as convex pieces, those of a box as plates first.

        What lies glued between a tab and its wall cannot.
        """
        panels, creases = self.pattern.panels, self.pattern.lines
        names = [(panel.name, frozenset([panel.name])) for panel in panels]
        names += [(line.name, frozenset([line.parent, line.child])) for line in creases]
        own = self.layout.cells.panels
        boxes, cells = np.divmod(np.arange(self.boxes * len(own)), len(own))
        heights = np.zeros((len(boxes), 2))
        heights[:, 1] = self.layout.creases.caliper_mm[boxes]
        poses = self._cell_poses
        plates = [
            Blanks(
                boxes[rows],
                cells[rows] - len(own),  # before the bends
                own[cells[rows]],
                self.outlines.points[rows, :count],
                heights[rows],
                poses[rows],
            )
            for count in np.unique(self.outlines.counts).tolist()
            if count
            for rows in (np.flatnonzero(self.outlines.counts == count),)
        ]
        bends = self.bends.blanks(len(panels)) if len(self.bends.boxes) else []
        made = pieces_of([*plates, *bends], names)
        buried, left_out = self.pattern.buried, self.left_out
        return made.kept(lambda name, panels: name not in buried and panels.isdisjoint(left_out))

    @cached_property
    def opened(self) -> FoldedParts:
        """The same as contents meet it on their way in: without the lid that it brings.

        What hangs on that lid stays where it is when the box is closed, as a lip behind the front
        wall takes its room there. Without such a lid it is the same.
        """
        lids = {panel.name for panel in self.pattern.panels if panel.role is Role.LID}
        if self.left_out or not lids:
            return self
        return replace(self, left_out=frozenset(lids))

    @cached_property
    def filled(self) -> FoldedParts:
        """The same parts with their cut-outs filled, where each panel is convex without them.

        What passes such a part from beyond one end to beyond the other meets no less of it: what a
        cut-out lets by at one place is met at another.
        """
        panels, layout = self.pattern.panels, self.layout
        if all(panel.plain for panel in panels) or any(panel.bulges for panel in panels):
            return self
        tree = layout.tree
        whole = whole_panels(layout.points, layout.counts, tree.parent, tree.child)
        if turned(whole).any():
            return self
        layout = replace(layout, cells=whole)
        return replace(self, layout=layout, outlines=plate_outlines(layout, self.angles))

    @property
    def _cell_poses(self) -> Array:
        """(b q, 4, 4)."""
        return self.poses[:, self.layout.cells.panels].reshape(-1, 4, 4)

    def reaches(self, direction: Array) -> tuple[Array, Array]:
        """How far each plate (b, p) and each bend (m,) reaches along a unit direction (3,), mm."""
        key = direction.tobytes()
        if key not in self._reaches:
            poses, cells = self._cell_poses, self.layout.cells
            x, y, z = np.einsum("mij,i->jm", poses[:, :3, :3], direction)
            along = self.outlines.points @ np.stack([x, y], axis=1)[..., None]
            flat = np.where(self.outlines.valid, along[..., 0], -np.inf).max(axis=1)
            flat += poses[:, :3, 3] @ direction
            calipers = self.layout.creases.caliper_mm.repeat(len(cells.panels))
            flat += np.maximum(0.0, calipers * z)
            plates = cells.by_panel(flat.reshape(self.boxes, -1))
            bends = self.bends.supports(direction) if len(self.bends.boxes) else np.zeros(0)
            self._reaches[key] = plates, bends
        return self._reaches[key]

    @cached_property
    def _reaches(self) -> dict[bytes, tuple[Array, Array]]:
        return {}

    @cached_property
    def rolls(self) -> RollStates:
        """How its rolled sides came to stand, in the order of the pattern; it has some."""
        return states_of(self.layout, self.pattern.roll_joints, self.joint_mm, self.angles)

    @cached_property
    def heights_mm(self) -> Array:
        """(b,) greatest height above the outside of the floor, laps left out."""
        plates, bends = self.reaches(UP)
        found: Array = plates.max(axis=1)
        np.maximum.at(found, self.bends.boxes, bends)
        return found

    def part(self, box: int) -> FoldedPart:
        """The part of one box."""
        return FoldedPart(self, box)


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

    @cached_property
    def plates(self) -> tuple[Plate, ...]:
        """The flat rest of each panel."""
        outlines, cells = self.among.outlines, self.among.layout.cells
        first = self.box * len(cells.panels)
        return tuple(
            Plate(
                panel.name,
                tuple(
                    outlines.points[row, : outlines.counts[row]]
                    for row in (first + cells.of([k])).tolist()
                    if outlines.counts[row]
                ),
                self.among.poses[self.box, k],
                self.caliper_mm,
            )
            for k, panel in enumerate(self.pattern.panels)
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
        return sum(p.volume_mm3 for p in self.plates) + sum(b.volume_mm3 for b in self.bends)

    def plate(self, name: str) -> Plate:
        """The plate of a panel; KeyError if there is none."""
        for plate in self.plates:
            if plate.name == name:
                return plate
        raise KeyError(name)

    @property
    def opened(self) -> FoldedPart:
        """The same as contents meet it on their way in: `FoldedParts.opened`."""
        opened = self.among.opened
        return self if opened is self.among else opened.part(self.box)

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
