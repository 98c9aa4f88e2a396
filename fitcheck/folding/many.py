"""One part as it stands in many boxes, whose numbers stand in the same arrays."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from fitcheck.folding.bends import Bends
from fitcheck.folding.blanks import Blanks
from fitcheck.folding.cells import turned, whole_panels
from fitcheck.folding.clip import Polygons
from fitcheck.folding.flat import distinct
from fitcheck.folding.flats import flat_widths
from fitcheck.folding.kinematics import plate_outlines
from fitcheck.folding.lines import Layout
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, Array
from fitcheck.folding.prisms import pieces_of
from fitcheck.folding.rolls import RollStates, states_of
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.stock.crease import Crease

if TYPE_CHECKING:
    from fitcheck.folding.parts import FoldedPart


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
    def flat_mm(self) -> Mapping[str, Array]:
        """What stays flat of the panels that lie between creases along each other, (b,) each."""
        return flat_widths(self.layout, self.angles)

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
        poses = self.cell_poses
        plates = [
            Blanks(
                boxes[rows],
                cells[rows] - len(own),  # before the bends
                own[cells[rows]],
                self.outlines.points[rows, :count],
                heights[rows],
                poses[rows],
            )
            for count in distinct(self.outlines.counts).tolist()
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
        wall takes its room there; flaps that are turned in below it are open like the lid. Without
        such a lid it is the same.
        """
        roles = (Role.LID, Role.DUST_FLAP)
        lids = {panel.name for panel in self.pattern.panels if panel.role in roles}
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

    @cached_property
    def unlocked(self) -> FoldedParts:
        """The same parts without the shoulders that hold a tuck flap when it is in."""
        layout, cells = self.layout, self.layout.cells
        left_out = []
        for tuck in self.pattern.tucks:
            for name in () if tuck.shoulder_mm is None else tuck.under:
                line = layout.tree.crease[name]
                rows = cells.of([layout.tree.panel[name]])
                ends = [
                    float(((points - layout.origins[0, line]) @ layout.outwards[0, line]).max())
                    for row in rows.tolist()
                    for points in (cells.points[0, row, : cells.counts[row]],)
                ]
                # a shoulder ends well before its panel does
                most = 0.5 * ((tuck.shoulder_mm or 0.0) + max(ends))
                left_out += [
                    row for row, end in zip(rows.tolist(), ends, strict=True) if end < most
                ]
        if not left_out:
            return self
        layout = replace(layout, cells=cells.without(np.array(left_out)))
        return replace(self, layout=layout, outlines=plate_outlines(layout, self.angles))

    @property
    def cell_poses(self) -> Array:
        """(b q, 4, 4); a layer lies a sheet and its glue further in than its panel."""
        cells = self.layout.cells
        poses: Array = self.poses[:, cells.panels]
        if cells.layers is not None:
            lifts = (self.layout.creases.caliper_mm + self.joint_mm)[:, None] * cells.layers
            poses[..., :3, 3] += lifts[..., None] * poses[..., :3, 2]
        return poses.reshape(-1, 4, 4)

    def reaches(self, direction: Array) -> tuple[Array, Array]:
        """How far each plate (b, p) and each bend (m,) reaches along a unit direction (3,), mm."""
        key = direction.tobytes()
        if key not in self._reaches:
            poses, cells = self.cell_poses, self.layout.cells
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
        from fitcheck.folding.parts import FoldedPart

        return FoldedPart(self, box)
