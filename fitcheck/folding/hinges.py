"""Where what hangs on a crease stands when that crease is folded by another angle.

A crease of inside radius r, caliper t and flat length f for each radian is a hinge whose axis moves
as it turns. In the hinge's own frame (x from the score to the panel, y along the score, z from the
outside face to the inside face, r + t above the outside face over the score) a point that stands
at q on the flat sheet stands, folded by theta, at

    R(theta) (q - h) - h        h = (f theta / 2, 0, 0)

which is `pose.bend_shift` with its origin moved there; what bends in between is a sector of a round
about the point -h. A point whose distance from that point is rho moves by rho + f mm for each
radian at the most: rho by turning, f / 2 by each of the two shifts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.folding.bends import FACET_ERROR_MM, Bends, bends_of
from fitcheck.folding.flat import Flat
from fitcheck.folding.kinematics import bend_poses, panel_poses, plate_outlines, swallowed
from fitcheck.folding.many import FoldedParts
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import Array, Flags, Rows
from fitcheck.folding.prisms import pieces_of
from fitcheck.folding.shapes import Shapes
from fitcheck.folding.tips import blunted

LEAST_RAD = 1e-7
"""What is shortened by a bend is shortened for so much of a fold at least: at none it has other
corners."""
STRAIGHT_MM = 1e-9
"""Corners that keep to a straight way within this do so by the formulas."""
STILL_MM = 1e-12
"""Corners that differ by less than this are the same, rounding apart."""


def refolded(parts: FoldedParts, angles: Mapping[str, Array]) -> FoldedParts:
    """The same parts with the creases to some panels folded by other angles, (b,) rad each.

    All the others keep theirs: nothing is glued anew. Raises ModelError where a panel vanishes in
    its bends, ValueError for an angle below 0 or above pi.
    """
    new = parts.angles.copy()
    for panel, own in angles.items():
        new[:, parts.layout.tree.crease[panel]] = _proper(own)
    poses = panel_poses(parts.layout, new)
    return _formed(parts, new, poses, bend_poses(parts.layout, new, poses))


def chosen(parts: FoldedParts, boxes: Rows) -> FoldedParts:
    """The parts of some boxes as boxes of their own, as often as they are named, folded alike."""
    layout, angles, poses = parts.layout.take(boxes), parts.angles[boxes], parts.poses[boxes]
    papers = tuple(parts.papers[box] for box in boxes.tolist())
    own = replace(parts, layout=layout, joint_mm=parts.joint_mm[boxes], papers=papers)
    return _formed(own, angles, poses, bend_poses(layout, angles, poses))


def _proper(angles: Array) -> Array:
    if not np.all((angles >= 0.0) & (angles <= np.pi)):
        raise ValueError(f"a crease is folded by 0 to pi rad, not {angles}")
    return angles


def _formed(parts: FoldedParts, angles: Array, panels: Array, bends: Array) -> FoldedParts:
    """Formed as folded by those angles; `panels` and `bends` (b, ..., 4, 4) say where."""
    layout = parts.layout
    outlines = plate_outlines(layout, angles)
    if gone := swallowed(layout, outlines):
        raise ModelError(next(iter(gone.values())))
    made = blunted(bends_of(layout, angles, bends), layout, angles, panels)
    return replace(parts, angles=angles, outlines=outlines, poses=panels, bends=made)


@dataclass(frozen=True, eq=False)
class Hinges:
    """The crease to one panel of a part in many boxes, as a hinge."""

    parts: FoldedParts
    """As they stand now."""
    panel: str
    """What it carries turns, with all that hangs on it."""

    @cached_property
    def crease(self) -> int:
        """Which crease it is; KeyError for a panel that has none."""
        return self.parts.layout.tree.crease[self.panel]

    @property
    def angles_rad(self) -> Array:
        """(b,) the angles by which it is folded now."""
        return self.parts.angles[:, self.crease]

    @cached_property
    def drifts_mm(self) -> Array:
        """(b,) how far its axis moves for each radian: half the flat length of that."""
        found: Array = 0.5 * self.parts.layout.creases.flat_mm_per_rad[:, self.crease]
        return found

    @cached_property
    def frames(self) -> Array:
        """(b, 4, 4) its own frame: its axis at angle 0 goes through the origin, along y."""
        flat = np.zeros_like(self.parts.angles)
        found: Array = bend_poses(self.parts.layout, flat, self.parts.poses)[:, self.crease]
        return found

    @cached_property
    def homes(self) -> Array:
        """(b, 4, 4) what carries places into its frame."""
        return np.asarray(np.linalg.inv(self.frames))

    @cached_property
    def beyond(self) -> frozenset[str]:
        """The panels that turn."""
        return frozenset(self.parts.pattern.beyond(self.panel))

    def turns(self, angles: Array) -> Array:
        """What carries places on the flat sheet to folded ones, both in its frame, (b, 4, 4)."""
        sin, cos = np.sin(angles), np.cos(angles)
        found = np.zeros((len(angles), 4, 4))
        found[:, 0, 0] = found[:, 2, 2] = cos
        found[:, 0, 2], found[:, 2, 0] = -sin, sin
        found[:, 1, 1] = found[:, 3, 3] = 1.0
        found[:, 0, 3] = -self.drifts_mm * angles * (1.0 + cos)
        found[:, 2, 3] = -self.drifts_mm * angles * sin
        return found

    def poses(self, angles: Array) -> Array:
        """What carries all beyond it from where it stands now to its place at angles (b,)."""
        turned = self.frames @ self.turns(angles) @ np.linalg.inv(self.turns(self.angles_rad))
        found: Array = turned @ self.homes
        return found

    def speeds_mm(self, points: Array) -> Array:
        """The most mm that points beyond it, now at (b, n, 3), move for each radian, (b, n)."""
        home = np.linalg.inv(self.frames @ self.turns(self.angles_rad))
        x, _, z = np.einsum("bij,bnj->ibn", home[:, :3, :3], points) + home[:, :3, 3].T[..., None]
        far = np.maximum(np.abs(x), np.abs(x - np.pi * self.drifts_mm[:, None]))
        found: Array = np.hypot(far, z) + 2.0 * self.drifts_mm[:, None]
        return found

    def shapes(self, low: Array, high: Array) -> tuple[Shapes, Shapes]:
        """What stays and what turns while it is folded from angles `low` to `high`, (b,) each.

        Both in its frame, what turns as on the flat sheet. Plates beside it and bends that end at
        it become shorter as it folds, their corners on straight ways; where one loses a corner on
        the way it is taken as long as at the smallest angle. The bend itself is laid in slices that
        come into being at their own angle; they belong to what turns, but only drift.
        """
        low, high = (np.maximum(_proper(own), LEAST_RAD) for own in (low, high))
        at = [self._shaped(angle) for angle in (low, 0.5 * (low + high), high)]
        name = self.parts.pattern.creases[self.crease].name
        pieces = [one.pieces.kept(lambda own, _: own != name) for one in at]
        rates = _rates(pieces, low, high)
        boxes = pieces[0].boxes.repeat(np.diff(pieces[0].vertices.ends))
        base = pieces[0].vertices.values - rates.T * low[boxes]
        first = pieces[0].with_vertices(Flat(base, pieces[0].vertices.ends))
        turns = np.array([not panels.isdisjoint(self.beyond) for _, panels in first.names])
        moves = turns[first.kinds]
        shapes = Shapes.of(first, Flat(rates.T, first.vertices.ends))
        flat: Array = np.linalg.inv(self.turns(self.angles_rad)) @ self.homes
        still = shapes.take(np.flatnonzero(~moves)).carried(self.homes)
        turned = shapes.take(np.flatnonzero(moves)).turning().carried(flat)
        return still, turned.with_others(self._slices(at[2], high))

    def _shaped(self, angles: Array) -> FoldedParts:
        """Formed as at angles (b,), but all left in its place of now."""
        new = self.parts.angles.copy()
        new[:, self.crease] = angles
        poses = self.parts.poses
        placed = bend_poses(self.parts.layout, self.parts.angles, poses)
        return _formed(self.parts, new, poses, placed)

    @property
    def radii_mm(self) -> Array:
        """(b, 2) the inside and the outside radius of its bend."""
        creases = self.parts.layout.creases
        inside = creases.radius_mm[:, self.crease]
        return np.stack([inside, inside + creases.skin_mm[:, self.crease]], axis=1)

    def _slices(self, folded: FoldedParts, high: Array) -> Shapes:
        """The bend in slices, each stretch of it cut where others are, in its own frame.

        A slice is as long as it ever is; while the bend grows it comes to lie in the next stretch,
        where another one of the same angles takes its place.
        """
        own = np.flatnonzero(folded.bends.kinds == self.crease)
        boxes = folded.bends.boxes[own]
        ends = folded.bends.ends_mm[own]
        shares = folded.bends.angles_rad[own] / high[boxes, None]
        radius, outside = self.radii_mm.T
        fine = 2.0 * np.arccos(outside / (outside + 0.25 * FACET_ERROR_MM))
        counts = np.ceil(shares[:, 1] * (high / fine)[boxes]).astype(np.intp)
        rows = np.arange(len(own)).repeat(counts)
        at = np.arange(len(rows)) - (np.cumsum(counts) - counts)[rows]
        spans = np.stack([at, at + 1], axis=1) * fine[boxes[rows], None]
        table = np.concatenate([spans, shares[rows], ends[rows, :, 0], ends[rows, :, 1]], axis=1)
        longest = np.stack([ends[rows, :, 0].min(axis=1), ends[rows, :, 1].max(axis=1)], axis=1)
        bends = Bends(
            boxes[rows],
            np.arange(len(rows)),
            radius[boxes[rows]],
            outside[boxes[rows]] - radius[boxes[rows]],
            spans,
            np.stack([longest, longest], axis=1),
            np.broadcast_to(np.eye(4), (len(rows), 4, 4)),
        )
        line = folded.pattern.creases[self.crease]
        names = [(line.name, frozenset([line.parent, line.child]))]
        made = pieces_of(bends.blanks(0), names * len(rows))
        table = table[made.kinds]
        made = replace(made, kinds=np.zeros(len(made), dtype=np.intp), names=names)
        drift = np.zeros_like(made.vertices.values)
        drift[0] = -self.drifts_mm[made.boxes].repeat(np.diff(made.vertices.ends))
        shapes = Shapes.of(made, Flat(drift, made.vertices.ends))
        return replace(shapes, slices=table)


def _rates(at: list[Pieces], low: Array, high: Array) -> Array:
    """How fast corners (m, 3) of the first go to the last's, mm/rad, from angles `low` to `high`.

    0 for a stretch of pieces that differs in more than straight ways.
    """
    first = at[0]
    found = np.zeros(first.vertices.values.T.shape)
    runs = [one.stretches for one in at]
    ends = [one.vertices.ends[own.ends] for one, own in zip(at, runs, strict=True)]
    places, alike = [], np.ones(len(runs[0].kinds), dtype=bool)
    for own, end in zip(runs, ends, strict=True):
        place = _places(runs[0].boxes, runs[0].kinds, own.boxes, own.kinds, len(first.names))
        places.append(place)
        alike &= (place >= 0) & (np.diff(end)[place] == np.diff(ends[0]))
    rows = np.flatnonzero(alike)
    counts = np.diff(ends[0])[rows]
    start = np.cumsum(counts) - counts
    within = np.arange(counts.sum()) - start.repeat(counts)
    gathered = [
        end[place[rows]].repeat(counts) + within for end, place in zip(ends, places, strict=True)
    ]
    a, b, c = (one.vertices.values[:, own] for one, own in zip(at, gathered, strict=True))
    off = np.abs(b - 0.5 * (a + c)).max(axis=0)
    gone = np.abs(c - a).max(axis=0)
    if not len(rows):
        return found
    straight = np.maximum.reduceat(off, start) <= STRAIGHT_MM
    straight &= np.maximum.reduceat(gone, start) > STILL_MM
    moved = straight.repeat(counts)
    span = (high - low)[runs[0].boxes[rows]].repeat(counts)
    moved &= span > 0.0
    found[gathered[0][moved]] = ((c - a)[:, moved] / span[moved]).T
    return found


def _places(boxes: Rows, kinds: Rows, among: Rows, of: Rows, names: int) -> Rows:
    """Where each box and kind stands in another such list; -1 where it does not."""
    asked, there = boxes * names + kinds, among * names + of
    order = np.argsort(there)
    at = np.minimum(np.searchsorted(there[order], asked), max(len(order) - 1, 0))
    if not len(order):
        return np.full(len(asked), -1)
    found: Flags = there[order][at] == asked
    return np.where(found, order[at], -1)
