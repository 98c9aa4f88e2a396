"""A pattern laid out flat with a paper's crease on it: fold lines, plates and bend strips."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.folding.clip import clip, is_convex, span_at
from fitcheck.folding.pose import Array
from fitcheck.pattern.pattern import CreaseLine, Pattern
from fitcheck.pattern.sheet import Shifts
from fitcheck.stock.crease import Crease

FLAT_RAD = 1e-9


class Turn(NamedTuple):
    """How one crease at an angle carries what lies beyond it: turned, then shifted, mm."""

    sin: float
    cos: float
    level: float
    """Shift along the outward direction."""
    height: float
    """Shift upwards."""
    level_slope: float
    """How the shifts change with the angle, mm for each radian."""
    height_slope: float


@dataclass(frozen=True, eq=False)
class FoldLine:
    """A crease with its place on the sheet."""

    line: CreaseLine
    origin: Array
    """One end of the score, (2,) mm."""
    outward: Array
    """Unit direction from parent to child, (2,)."""

    @property
    def name(self) -> str:
        """The crease in words."""
        return self.line.name

    @property
    def axis(self) -> Array:
        """Unit direction along the score, (2,): z cross outward."""
        return np.array([-self.outward[1], self.outward[0]])

    def bend_pose(self, crease: Crease, angle: float) -> Array:
        """The bend axis in the parent's place: local x outward, y along the score, z up."""
        pose = np.eye(4)
        pose[:2, 0], pose[:2, 1] = self.outward, self.axis
        pose[:2, 3] = self.origin - self.outward * (0.5 * crease.flat_length(angle))
        pose[2, 3] = crease.radius_mm + crease.caliper_mm
        return pose

    def turn(self, crease: Crease, angle: float) -> Turn:
        """What carries the child's place on the sheet to its folded place beside the parent.

        It is turned about the axis, which lies half a bend before the score as seen from the parent
        and half a bend beyond it as seen from the child.
        """
        half, grow = 0.5 * crease.flat_length(angle), 0.5 * crease.flat_length(1.0)
        along = float(self.outward @ self.origin)
        lift = crease.radius_mm + crease.caliper_mm
        sin, cos = math.sin(angle), math.cos(angle)
        return Turn(
            sin,
            cos,
            level=along - half - cos * (along + half) + sin * lift,
            height=lift - sin * (along + half) - cos * lift,
            level_slope=sin * (along + half) - grow - cos * grow + cos * lift,
            height_slope=sin * lift - sin * grow - cos * (along + half),
        )

    def child_pose(self, crease: Crease, angle: float) -> Array:
        """The same as a pose (4, 4)."""
        sin, cos, level, height, *_ = self.turn(crease, angle)
        x, y = self.outward.tolist()
        return np.array(
            [
                [1.0 + (cos - 1.0) * x * x, (cos - 1.0) * x * y, -sin * x, level * x],
                [(cos - 1.0) * x * y, 1.0 + (cos - 1.0) * y * y, -sin * y, level * y],
                [sin * x, sin * y, cos, height],
                [0.0, 0.0, 0.0, 1.0],
            ]
        )


@dataclass(frozen=True, eq=False)
class Layout:
    """A pattern's outlines and fold lines with a set of cutting and scoring errors applied."""

    pattern: Pattern
    crease: Crease
    outlines: dict[str, Array]
    folds: dict[str, FoldLine]
    """By the child panel's name."""

    def around(self, panel: str) -> list[FoldLine]:
        """The fold lines of a panel, its own and those that it carries."""
        return self._around.get(panel, [])

    @cached_property
    def _around(self) -> dict[str, list[FoldLine]]:
        found: dict[str, list[FoldLine]] = {}
        for fold in self.folds.values():
            found.setdefault(fold.line.parent, []).append(fold)
            found.setdefault(fold.line.child, []).append(fold)
        return found

    def child_pose(self, child: str, angle: float) -> Array:
        """The pose that one crease at an angle gives to what lies beyond it, (4, 4).

        While a part is closed, one crease is moved at a time: the others' poses are known.
        """
        known = self._child_poses.get((child, angle))
        if known is None:
            known = self.folds[child].child_pose(self.crease, angle)
            known.flags.writeable = False
            self._child_poses[child, angle] = known
        return known

    @cached_property
    def _child_poses(self) -> dict[tuple[str, float], Array]:
        return {}

    def plate_outline(self, panel: str, angles: dict[str, float]) -> Array:
        """What stays flat of a panel when its creases are folded to those angles."""
        outline = self.outlines[panel]
        for fold in self.around(panel):
            half = 0.5 * self.crease.flat_length(angles[fold.line.child])
            if half > 0.0:
                inward, score = self._inward(panel, fold)
                outline = clip(outline, -inward, -(score + half))
        if len(outline) == 0:
            raise ModelError(f"the {panel} is all taken up by its bends: make it wider")
        return outline

    def strip_outline(self, panel: str, fold: FoldLine, angles: dict[str, float]) -> Array:
        """The part of a panel that one of its creases bends; strips share out a corner."""
        outline = self.outlines[panel]
        own_half = 0.5 * self.crease.flat_length(angles[fold.line.child])
        inward, score = self._inward(panel, fold)
        outline = clip(outline, inward, score + own_half)
        for other in self.around(panel):
            half = 0.5 * self.crease.flat_length(angles[other.line.child])
            if other is fold or half <= 0.0:
                continue
            towards, at = self._inward(panel, other)
            outline = clip(
                outline, inward * half - towards * own_half, score * half - at * own_half
            )
        return outline

    def _inward(self, panel: str, fold: FoldLine) -> tuple[Array, float]:
        """Unit direction into the panel, and the score's place along it."""
        inward = -fold.outward if fold.line.parent == panel else fold.outward
        return inward, float(inward @ fold.origin)


@dataclass(frozen=True)
class StripStep:
    """A stretch of a bend strip whose two ends run straight."""

    start_rad: float
    stop_rad: float
    ends_start: tuple[float, float]
    ends_stop: tuple[float, float]


def strip_steps(layout: Layout, fold: FoldLine, angles: dict[str, float]) -> list[StripStep]:
    """A crease's strip as stretches of the fold angle, its ends measured along the axis."""
    angle = angles[fold.line.child]
    if angle <= FLAT_RAD:
        return []
    half = 0.5 * layout.crease.flat_length(angle)
    steps: list[StripStep] = []
    for panel in (fold.line.parent, fold.line.child):
        outline = layout.strip_outline(panel, fold, angles)
        if len(outline) == 0:
            continue
        offset = outline - fold.origin
        place = np.column_stack([offset @ fold.outward, offset @ fold.axis])
        levels = _distinct(np.clip(place[:, 0], -half, half))
        for low, high in itertools.pairwise(levels):
            ends = [span_at(place, level) for level in (low, high)]
            if ends[0] and ends[1]:
                phi = [0.5 * angle * (1.0 + level / half) for level in (low, high)]
                steps.append(StripStep(phi[0], phi[1], ends[0], ends[1]))
    return _joined(steps)


def _distinct(levels: Array) -> list[float]:
    kept: list[float] = []
    for level in np.sort(levels):
        if not kept or level - kept[-1] > 1e-9:
            kept.append(float(level))
    return kept


def _joined(steps: list[StripStep]) -> list[StripStep]:
    """Neighbouring straight stretches of the same width made one."""
    joined: list[StripStep] = []
    for step in steps:
        last = joined[-1] if joined else None
        ends = (*step.ends_start, *step.ends_stop)
        if last and all(
            abs(a - b) <= 1e-9 for a, b in zip(ends, last.ends_start + last.ends_stop, strict=True)
        ):
            joined[-1] = StripStep(last.start_rad, step.stop_rad, last.ends_start, step.ends_stop)
        else:
            joined.append(step)
    return joined


def lay_out(pattern: Pattern, crease: Crease, shifts: Shifts) -> Layout:
    """Place every outline and score on the sheet, the middle of the root panel at the origin.

    Raises ModelError for a panel that is not convex, or that errors have turned inside out.
    """
    root = pattern.outline(pattern.panels[0], shifts)
    middle = 0.5 * (root.min(axis=0) + root.max(axis=0))
    outlines = {p.name: pattern.outline(p, shifts) - middle for p in pattern.panels}
    for name, outline in outlines.items():
        if not is_convex(outline):
            raise ModelError(f"the {name} is not a convex panel: split it where it turns inwards")
    folds = {}
    for line in pattern.creases:
        score = pattern.score(line, shifts) - middle
        along = (score[1] - score[0]) / math.hypot(*(score[1] - score[0]))
        outward = np.array([along[1], -along[0]])
        if outward @ (outlines[line.child].mean(axis=0) - score[0]) < 0.0:
            outward = -outward
        folds[line.child] = FoldLine(line, score[0], outward)
    return Layout(pattern, crease, outlines, folds)
