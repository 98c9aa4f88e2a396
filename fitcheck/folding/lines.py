"""Patterns of many boxes laid out flat, with their papers' creases: outlines and fold lines."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from fitcheck.folding.cells import Cells, Split, turned, whole_panels
from fitcheck.folding.layers import with_layers
from fitcheck.folding.pose import Array, Flags, Rows
from fitcheck.folding.splitting import split_of
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.sheet import Corner, Line
from fitcheck.stock.crease import UNCUT_SHARE, Crease

Places = Mapping[Line, Array]
"""How far each line of each box was made beyond its place, (b,) mm."""


@dataclass(frozen=True, eq=False)
class Creases:
    """How the paper of each box bends along each of its scores."""

    radius_mm: Array
    """(b, c), or (b, 1) where it bends alike along all."""
    caliper_mm: Array
    """(b,)"""
    flat_mm_per_rad: Array
    """Flat length that a fold uses up for each radian, as the radii."""
    skin_mm: Array
    """How much of the thickness bends, as the radii."""

    @classmethod
    def of(cls, creases: Sequence[Crease]) -> Creases:
        """Papers that bend alike along all scores, as arrays."""
        return cls(
            np.array([[one.radius_mm] for one in creases]),
            np.array([one.caliper_mm for one in creases]),
            np.array([[one.flat_length(1.0)] for one in creases]),
            np.array([[one.skin_mm] for one in creases]),
        )

    def along(self, share: Array, other: Creases) -> Creases:
        """Bent as `other` along the scores whose share (c,) is 1, as this along those of 0.

        A score at a slant to the grain bends in between (common practice, no source).
        """
        return replace(
            self,
            radius_mm=(1.0 - share) * self.radius_mm + share * other.radius_mm,
            flat_mm_per_rad=(1.0 - share) * self.flat_mm_per_rad + share * other.flat_mm_per_rad,
        )

    def half_cut(self, cut: Flags) -> Creases:
        """Cut half through along some scores (c,), on the face that lies outside the fold.

        What is left turns about the uncut face without a radius, its neutral line in its middle;
        the cut gapes outside the fold, so nothing of it is in the way (common practice, no source).
        Board whose folds are all made so bends there as along the others, and as its coupon did.
        """
        cut = cut & (self.skin_mm == self.caliper_mm[:, None])
        skin = UNCUT_SHARE * self.caliper_mm[:, None]
        return Creases(
            np.where(cut, 0.0, self.radius_mm),
            self.caliper_mm,
            np.where(cut, 0.5 * skin, self.flat_mm_per_rad),
            np.where(cut, skin, self.skin_mm),
        )

    def pressed(self, hems: Flags, gaps_mm: Array) -> Creases:
        """Folded over along some scores (c,), their layers glued so far apart (b, c), mm.

        Half of that is the inside radius then, whatever the paper's own is.
        """
        radius = np.where(hems, 0.5 * gaps_mm, self.radius_mm)
        own = self.flat_mm_per_rad - self.radius_mm
        return replace(
            self,
            radius_mm=radius,
            flat_mm_per_rad=np.where(hems, radius + own, self.flat_mm_per_rad),
        )

    def take(self, boxes: Rows) -> Creases:
        """Those of some boxes."""
        return Creases(
            self.radius_mm[boxes],
            self.caliper_mm[boxes],
            self.flat_mm_per_rad[boxes],
            self.skin_mm[boxes],
        )


class Tree:
    """Which panels and creases of a pattern belong together, by their places in it."""

    def __init__(self, pattern: Pattern) -> None:
        self.panel = {panel.name: k for k, panel in enumerate(pattern.panels)}
        self.crease = {line.child: k for k, line in enumerate(pattern.creases)}
        """By the child panel's name."""
        self.parent: Rows = np.array([self.panel[x.parent] for x in pattern.lines], dtype=np.intp)
        self.child: Rows = np.array([self.panel[x.child] for x in pattern.lines], dtype=np.intp)
        self.carrying = len(pattern.creases)
        """How many creases carry a panel: the first ones; the others are webs."""
        around: list[list[int]] = [[] for _ in pattern.panels]
        for k, (parent, child) in enumerate(zip(self.parent, self.child, strict=True)):
            around[parent].append(k)
            around[child].append(k)
        width = max(map(len, around), default=0)
        self.around: Rows = np.array(
            [own + [-1] * (width - len(own)) for own in around], dtype=np.intp
        )
        """(p, a) the creases of each panel, its own and those that it carries; -1 for none."""

    def inward(self, panels: Rows, creases: Rows) -> Array:
        """The sign that turns a crease's outward direction into the panel."""
        return np.where(self.parent[creases] == panels, -1.0, 1.0)


@dataclass(frozen=True, eq=False)
class Layout:
    """A pattern's outlines and fold lines in each box, cutting and scoring errors applied."""

    pattern: Pattern
    tree: Tree
    creases: Creases
    points: Array
    """(b, p, n, 2) mm, the corners of each panel on the sheet, the middle of the root at 0."""
    counts: Rows
    """(p,) how many corners each panel has."""
    origins: Array
    """(b, c, 2) mm, one end of each score."""
    outwards: Array
    """(b, c, 2) unit directions from parent to child."""
    cells: Cells
    """The convex cells of the panels, their cut-outs taken away."""

    @property
    def boxes(self) -> int:
        """How many there are."""
        return len(self.points)

    @property
    def axes(self) -> Array:
        """(b, c, 2) unit directions along the scores: z cross outward."""
        return np.stack([-self.outwards[..., 1], self.outwards[..., 0]], axis=-1)

    @cached_property
    def targets_rad(self) -> Array:
        """(c,) the angles that the pattern asks for."""
        return np.array([line.angle_rad for line in self.pattern.lines])

    @cached_property
    def signs(self) -> Array:
        """(c,) 1 for folds towards the inside face, -1 for those towards the outside face."""
        return np.array([line.sign for line in self.pattern.lines])

    @cached_property
    def lifts(self) -> Array:
        """(b, c) mm, how high above the parent's outside face the axes of its bends are."""
        radius = self.creases.radius_mm
        found: Array = np.where(
            self.signs > 0.0, radius + self.creases.caliper_mm[:, None], -radius
        )
        return found

    def outline(self, panel: str) -> Array:
        """A panel's corners in each box, (b, n, 2) mm."""
        k = self.tree.panel[panel]
        return self.points[:, k, : self.counts[k]]

    def origin(self, child: str) -> Array:
        """One end of the score that carries a panel, (b, 2) mm."""
        return self.origins[:, self.tree.crease[child]]

    def outward(self, child: str) -> Array:
        """The unit direction to a panel from its parent, (b, 2)."""
        return self.outwards[:, self.tree.crease[child]]

    def halves(self, angles: Array) -> Array:
        """Half the flat length of each bend, (b, c) mm, for fold angles (b, c)."""
        found: Array = 0.5 * np.abs(angles) * self.creases.flat_mm_per_rad
        return found

    def take(self, boxes: Rows) -> Layout:
        """The layout of some boxes."""
        points, cells = self.points[boxes], self.cells
        own = cells.points is self.points
        return replace(
            self,
            creases=self.creases.take(boxes),
            points=points,
            origins=self.origins[boxes],
            outwards=self.outwards[boxes],
            cells=cells.placed(points, points)
            if own
            else cells.placed(cells.points[boxes], cells.bent.points[boxes]),
        )


def lay_out(pattern: Pattern, creases: Creases, shifts: Places) -> tuple[Layout, dict[int, str]]:
    """Place every outline and score on the sheet, and say which boxes have no such layout, why.

    That is where errors have turned a panel inside out or left nothing of it. Raises ModelError
    where a cut-out lies as it must not.
    """
    tree, boxes = Tree(pattern), len(creases.caliper_mm)

    def placed(corner: Corner) -> Array:
        x, y = pattern.sheet.place(corner, shifts)  # type: ignore[arg-type]
        return np.stack([np.broadcast_to(x, boxes), np.broadcast_to(y, boxes)], axis=-1)

    known: dict[Corner, Array] = {}
    for panel in pattern.panels:
        for corner in panel.corners:
            if corner not in known:
                known[corner] = placed(corner)
    for line in pattern.lines:
        for corner in (line.start, line.stop):
            if corner not in known:
                known[corner] = placed(corner)
    counts = np.array([len(panel.corners) for panel in pattern.panels], dtype=np.intp)
    points = np.zeros((boxes, len(counts), int(counts.max()), 2))
    for k, panel in enumerate(pattern.panels):
        points[:, k, : counts[k]] = np.stack([known[corner] for corner in panel.corners], axis=1)
    root = points[:, 0, : counts[0]]
    middle = 0.5 * (root.min(axis=1) + root.max(axis=1))
    points -= middle[:, None, None]
    ends = np.empty((2, boxes, len(pattern.lines), 2))
    for k, line in enumerate(pattern.lines):
        ends[0, :, k], ends[1, :, k] = known[line.start] - middle, known[line.stop] - middle
    starts, stops = ends
    along = stops - starts
    length = np.hypot(along[..., 0], along[..., 1])
    gone = length <= 0.0
    along /= np.where(gone, 1.0, length)[..., None]
    outwards = np.stack([along[..., 1], -along[..., 0]], axis=-1)
    own = points[:, tree.child]
    there = np.arange(points.shape[2]) < counts[tree.child, None]
    middles = (own * there[..., None]).sum(axis=2) / counts[tree.child, None]
    outwards[((middles - starts) * outwards).sum(axis=-1) < 0.0] *= -1.0
    each = (boxes, len(pattern.lines))
    bent = replace(
        creases,
        radius_mm=np.broadcast_to(creases.radius_mm, each),
        flat_mm_per_rad=np.broadcast_to(creases.flat_mm_per_rad, each),
        skin_mm=np.broadcast_to(creases.skin_mm, each),
    )
    cells = whole_panels(points, counts, tree.parent, tree.child)
    problems: dict[int, str] = {}
    inside_out = turned(cells)
    if inside_out.any() or not all(panel.plain for panel in pattern.panels):
        split = split_of(pattern)
        if split is not None:
            cells = _placed(split, placed, middle)
            inside_out = turned(cells)
        problems = _inside_out(pattern, cells, inside_out)
    if pattern.layers:
        cells = with_layers(cells, pattern, placed, middle)
    layout = Layout(pattern, tree, bent, points, counts, starts, outwards, cells)
    for box in np.flatnonzero(gone.any(axis=1)).tolist():
        lost = pattern.lines[int(np.argmax(gone[box]))].child
        problems[box] = f"the {lost} has no width left where it is scored: make it wider"
    return layout, problems


def _placed(split: Split, placed: Callable[[Corner], Array], middle: Array) -> Cells:
    """The cells of a split pattern, the middle of the root at 0."""
    corners = np.stack([placed(corner) for corner in split.corners], axis=1)
    return split.placed(corners - middle[:, None])


def _inside_out(pattern: Pattern, cells: Cells, inside_out: Flags) -> dict[int, str]:
    """The boxes in which errors turned a cell inside out, and what to say of it."""
    problems = {}
    for box in np.flatnonzero(inside_out.any(axis=1)).tolist():
        own = int(cells.panels[np.argmax(inside_out[box])])
        name = pattern.panels[own].name
        problems[box] = (
            f"the {name} is turned inside out by the errors of its cuts: make it wider"
            if len(cells.of([own])) == 1
            else f"the {name} has hardly any paper left beside a cut-out: make the cut-out smaller "
            "or move it away from the edge"
        )
    return problems
