"""Folding turns a pattern, papers and joints into folded parts made of plates and bends."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.folding.bends import bends_of
from fitcheck.folding.glue import folded_angles
from fitcheck.folding.kinematics import bend_poses, panel_poses, plate_outlines, swallowed
from fitcheck.folding.lines import Creases, Layout, lay_out
from fitcheck.folding.many import FoldedParts
from fitcheck.folding.parts import Angles, FoldedPart
from fitcheck.folding.pose import Array
from fitcheck.folding.tips import blunted
from fitcheck.folding.tubes import squared
from fitcheck.frozen_map import FrozenMap
from fitcheck.pattern.bonds import Face
from fitcheck.pattern.creases import CreaseKind
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.plan import level_share
from fitcheck.pattern.sheet import Line, Shifts
from fitcheck.stock.crease import Crease


class Making(NamedTuple):
    """How one box's part is made."""

    crease: Crease
    """Along every score, or along those that run along the sheet's length."""
    joint_mm: float
    shifts: Shifts = FrozenMap()
    """Cutting and scoring errors."""
    give: float = 1.0
    """The share of t + g - s by which glued corners push out."""
    level: Crease | None = None
    """Along scores that run along the sheet's width, where a paper bends otherwise along them."""


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
    if pattern.seen is not Face.INSIDE:
        raise ValueError("a pattern is folded as it is seen on its inside")
    if not makings:
        return Folded((), {})
    rules = dict.fromkeys(itertools.chain.from_iterable(one.shifts for one in makings))
    shifts: dict[Line, Array] = {
        rule: np.array([one.shifts.get(rule, 0.0) for one in makings]) for rule in rules
    }
    layout, found = lay_out(pattern, _creases(pattern, makings), shifts)
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


def _creases(pattern: Pattern, makings: Sequence[Making]) -> Creases:
    """How each box's paper bends along each score."""
    creases = Creases.of([one.crease for one in makings])
    if any(one.level is not None for one in makings):
        creases = creases.along(
            np.array([level_share(pattern, line) for line in pattern.lines]),
            Creases.of([one.level or one.crease for one in makings]),
        )
    if hems := pattern.hems:
        joints = np.array([one.joint_mm for one in makings])
        gaps = np.zeros((len(makings), len(pattern.lines)))
        for line, bond in hems.items():
            gaps[:, pattern.lines.index(line)] = bond.gap_mm(creases.caliper_mm, joints)
        creases = creases.pressed(np.array([line in hems for line in pattern.lines]), gaps)
    cut = np.array([line.kind is CreaseKind.HALF_CUT for line in pattern.lines])
    return creases.half_cut(cut) if cut.any() else creases


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
        own = [given[line.child] for line in pattern.creases]
        own += [web.angle_rad for web in pattern.webs]
        angles = np.tile(own, (len(makings), 1))
    outlines = plate_outlines(layout, angles)
    if problems := swallowed(layout, outlines):
        return problems
    poses = panel_poses(layout, angles)
    if given is None and pattern.open_tube:
        poses = squared(layout, poses)
    bends = bends_of(layout, angles, bend_poses(layout, angles, poses))
    bends = blunted(bends, layout, angles, poses)
    papers = tuple(one.crease for one in makings)
    return FoldedParts(pattern, layout, angles, joints, outlines, poses, bends, papers)


def fold(
    pattern: Pattern,
    crease: Crease,
    joint_mm: float,
    shifts: Shifts | None = None,
    angles: Angles | None = None,
    give: float = 1.0,
    level: Crease | None = None,
) -> FoldedPart:
    """Fold a pattern for one box; as `fold_all`.

    Raises ModelError when a panel vanishes in its bends or a roll cannot close.
    """
    making = Making(crease, joint_mm, shifts or {}, give, level)
    return fold_all(pattern, [making], angles).part(0)
