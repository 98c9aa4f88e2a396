"""What shapes of a base do to its limits beyond their gradients, all of them folded at once.

How a roll closes is anything but linear in its lengths: an inner wall that is longer tilts the
frame, and a flap that meets the outer wall's foot moves the inner wall. Floors and lids only shift.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from fitcheck.fit.assembly import making_of
from fitcheck.folding.fold import fold_all
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import Array
from fitcheck.odds.found_inputs import inputs_of
from fitcheck.odds.prospect import Prospect
from fitcheck.odds.readings import Readings
from fitcheck.odds.resized import drawn
from fitcheck.odds.sizes import DEPTH, FLAP, FRAME, LENGTHS, Lines
from fitcheck.odds.slopes import read_again

MOST_FOLDED = 48
"""So many shapes are folded at the most, those that change least first."""

Shape = tuple[float, ...]
"""By how much depth, frame, inner wall and flap are others, mm."""


def corrections(start: Prospect, lines: Lines, changes: Array, rows: Sequence[int]) -> Array:
    """What is to be added to some limits of shapes (m, s) beside what the gradients say, (m, p).

    Shapes that cannot be folded, and those beyond `MOST_FOLDED`, are left as the gradients have
    them.
    """
    found = np.zeros((len(changes), len(rows)))
    shapes = [tuple(np.round(change[DEPTH : FLAP + 1], 9).tolist()) for change in changes]
    wanted = sorted({one for one in shapes if any(one)}, key=lambda one: (sum(map(abs, one)), one))
    read = _read(start, lines, wanted[:MOST_FOLDED], rows)
    by_length = start.limits.gradients[:, : len(lines.inputs)] @ lines.slopes[:, DEPTH : FLAP + 1]
    keys = [start.limits.keys[row] for row in rows]
    known = {
        shape: _beyond(keys, own, start.limits.values[rows] + by_length[rows] @ np.array(shape))
        for shape, own in read.items()
    }
    for index, shape in enumerate(shapes):
        if shape in known:
            found[index] = known[shape]
    return found


def _beyond(keys: Sequence[tuple[str, tuple[str, str]]], read: Readings, linear: Array) -> Array:
    """How far limits are from what the gradients say, (p,).

    Those that are not met move along with the first of their family that is.
    """
    found = np.zeros(len(keys))
    moved: dict[str, float] = {}
    for index, (family, member) in enumerate(keys):
        if member in read.get(family, {}):
            found[index] = read[family][member] - linear[index]
            moved.setdefault(family, found[index])
    for index, (family, member) in enumerate(keys):
        if member not in read.get(family, {}):
            found[index] = moved.get(family, 0.0)
    return found


def _read(
    start: Prospect, lines: Lines, shapes: Sequence[Shape], rows: Sequence[int]
) -> Mapping[Shape, Readings]:
    """The limits of shapes that can be folded, the lid and all else as they are."""
    designed = start.workshop.as_designed
    folded = {shape: base for shape, base in _folded(start, lines, shapes) if base is not None}
    made = [designed.with_base(base) for base in folded.values()]
    wanted: Readings = {}
    for row in rows:
        family, member = start.limits.keys[row]
        wanted.setdefault(family, {})[member] = float(start.limits.values[row])
    read = read_again(made, start.outlook.readers, wanted)
    return dict(zip(folded, read, strict=True))


def _folded(
    start: Prospect, lines: Lines, shapes: Sequence[Shape]
) -> Iterator[tuple[Shape, FoldedPart | None]]:
    """Bases of other shapes, those with one frame folded together as errors of one drawing."""
    base = start.check.assembly.base
    recipe = base.recipe
    for frame in sorted({shape[1] for shape in shapes}):
        own = [shape for shape in shapes if shape[1] == frame]
        wider = {LENGTHS[FRAME]: getattr(recipe, LENGTHS[FRAME]) + frame} if frame else {}
        part = drawn(base, replace(recipe, **wider))
        rules = [one.rule for one in inputs_of(start.check.assembly.with_part(part))]
        makings = []
        for depth, _, inner, flap in own:
            by = lines.slopes[:, DEPTH : FLAP + 1] @ np.array([depth, 0.0, inner, flap])
            shifts = dict(part.habits)
            for rule, mm, one in zip(rules, by, lines.inputs, strict=True):
                if rule is not None and one.parts[0] == recipe.part:
                    shifts[rule] = shifts.get(rule, 0.0) + float(mm)
            makings.append(making_of(part.recipe, shifts))
        yield from zip(own, fold_all(part.pattern, makings).parts, strict=True)
