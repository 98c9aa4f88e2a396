"""Pictures of a part while it is folded and glued, and of the box while it is filled and closed."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.fit.assembly import Part, making_of
from fitcheck.fit.check import Check
from fitcheck.fit.held import half_of
from fitcheck.folding.fold import fold_all
from fitcheck.folding.hinges import chosen, refolded
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import Array, translation
from fitcheck.folding.prisms import Plate
from fitcheck.outputs.report.bodies import bodies_of
from fitcheck.outputs.report.standing import standing
from fitcheck.outputs.report.svg import Drawing
from fitcheck.outputs.report.views.scenes import OPENED, opened_base, tones_of
from fitcheck.outputs.report.views.solids import (
    BASE,
    CONTENT,
    LID,
    Solid,
    Tones,
    body_solid,
    part_solids,
)
from fitcheck.outputs.report.views.view import view
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.sheet.actions import FoldAll, Step
from fitcheck.sheet.progress import folded_by

CREASED = 0.4
"""How far creases are drawn folded while they are sharpened, of their whole turn."""


STEADY = (0.45, 0.55, 0.65, 0.75, 0.85, 0.95)
"""How far a panel has come at the places of the arrow that shows its way, before its end."""
MOST_WAYS = 4
"""More arrows would hide what they show."""
SET_DOWN = 1.2
"""From how far above, in heights of the base, the arrow comes of what is set down in it."""
LED = 0.4
"""How far apart, in sizes of the ring, its strips are drawn."""
ON_EDGE = np.array([[1, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1]], dtype=float)
"""What lay flat stands on its lower edge."""
HALF_ROUND = np.diag([-1.0, -1.0, 1.0, 1.0])
"""Turned by half a turn about what is upright."""
RIM_MM = 1.0
"""Corners that are no nearer to a crease than this beside the furthest lie at the panel's rim."""
Shares = Mapping[str, float]
"""How far each panel is folded, of its whole turn; nought for those that are not named."""


class FoldPictures:
    """One part as it comes to be, a picture for each instruction at the table.

    Arrows show which way hands move what is folded in it.
    """

    def __init__(self, part: FoldedPart, tones: Tones) -> None:
        self._part, self._tones = part, tones
        self._done: set[str] = set()

    def of(self, name: str, steps: Sequence[Step], words: str) -> Drawing | None:
        """The picture of an instruction; None where it is none of folding or gluing."""
        pattern = self._part.pattern
        before = dict.fromkeys(self._done, 1.0)
        if any(isinstance(step, FoldAll) for step in steps):
            shares = dict.fromkeys((line.child for line in pattern.creases), CREASED)
            return self._drawn(name, words, before, shares)
        for step in steps:
            panels = folded_by(pattern, step)
            if panels is None:
                return None
            self._done |= panels
        return self._drawn(name, words, before, dict.fromkeys(self._done, 1.0))

    def _drawn(self, name: str, words: str, before: Shares, after: Shares) -> Drawing | None:
        part = self._part
        try:
            folded = self._folded(after)
            ways = list(self._ways(before, after, folded))
        except ModelError:
            return None
        lapping = {panel for lap in part.pattern.laps for panel in (lap.over, lap.under)}
        lapped = all(after.get(panel) == 1.0 for panel in lapping)
        solids = part_solids(folded, np.eye(4), self._tones, lapped=lapped)
        return view(name, f"{part.name}: folding", words, solids, ways=ways)

    def _folded(self, shares: Shares) -> FoldedPart:
        """Raises ModelError where a panel vanishes in its bends."""
        part = self._part
        angles = {
            panel: np.array([shares.get(panel, 0.0) * angle])
            for panel, angle in part.angles.items()
            if angle >= 0.0
        }
        return refolded(chosen(part.among, np.array([part.box])), angles).part(0)

    def _ways(self, before: Shares, after: Shares, folded: FoldedPart) -> Iterator[Array]:
        """How the rims of what moves come there, (k, 3) mm each: of what carries all else along.
        What it has come to is folded already."""
        pattern = self._part.pattern
        moving = {panel for panel, share in after.items() if share > before.get(panel, 0.0)}
        led = [
            line
            for line in pattern.creases
            if line.child in moving
            and line.parent not in moving
            and pattern.panel(line.child).role is not Role.TAB
        ]
        if not 0 < len(led) <= MOST_WAYS:
            return
        states = [
            self._folded(
                {
                    p: before.get(p, 0.0) + at * (end - before.get(p, 0.0))
                    for p, end in after.items()
                }
            )
            for at in STEADY
        ]
        states.append(folded)
        for line in (_outermost(pattern, first) for first in led):
            ends = [np.array(pattern.sheet.place(end, {})) for end in (line.start, line.stop)]
            yield np.array([_rim(state.plate(line.child), *ends) for state in states])


def _outermost(pattern: Pattern, line: CreaseLine) -> CreaseLine:
    """The crease of the last panel that is carried along, where hands take hold."""
    while True:
        beyond = [
            own
            for own in pattern.creases
            if own.parent == line.child and pattern.panel(own.child).role is not Role.TAB
        ]
        if len(beyond) != 1:
            return line
        line = beyond[0]


def _rim(plate: Plate, start: Array, stop: Array) -> Array:
    """The middle of a panel's rim, which lies furthest from its crease, where it stands, (3,)."""
    along = (stop - start) / np.linalg.norm(stop - start)
    away = np.abs((plate.outline - start) @ np.array([-along[1], along[0]]))
    rim = plate.outline[away > away.max() - RIM_MM]
    middle = 0.5 * (rim.min(axis=0) + rim.max(axis=0))
    found: Array = (plate.pose @ np.array([*middle, 0.5 * plate.thickness_mm, 1.0]))[:3]
    return found


def box_picture(check: Check, name: str, words: str, *, cover: float | None = OPENED) -> Drawing:
    """The box with what is in it; what closes it lifted by a share of its size, or left out.

    With a cover lifted by nothing the box is closed.
    """
    stocks = {part.recipe.part: part.recipe.stock for part in check.assembly.parts}
    solids = []
    staying = {one.name for one in standing(check) if one.stays}
    for number, (own, part, pose) in enumerate(placed_parts(check, cover)):
        usual = BASE if number == 0 or own in staying else LID
        solids += part_solids(part, pose, tones_of(stocks[own], usual))
        if number == 0 and cover != 0.0:
            solids += _filling(check)
    return view(name, check.design.title, words, solids)


def strips_picture(check: Check, name: str, words: str, so_far: Collection[str]) -> Drawing:
    """The strips of those parts as they stand, put together without the box round them."""
    stocks = {part.recipe.part: part.recipe.stock for part in check.assembly.parts}
    solids = []
    for own, part, pose in placed_parts(check, 0.0):
        if own in so_far:
            solids += part_solids(part, pose, tones_of(stocks[own], BASE))
    return view(name, check.design.title, words, solids)


def stood_picture(check: Check, name: str, words: str, part: str) -> Drawing:
    """The base with a part that is set down in it, and an arrow that shows its way."""
    stocks = {one.recipe.part: one.recipe.stock for one in check.assembly.parts}
    solids, ways = [], []
    for number, (own, folded, pose) in enumerate(placed_parts(check, None)):
        if number and own != part:
            continue
        solids += part_solids(folded, pose, tones_of(stocks[own], BASE))
        if number:
            low, high = folded.pieces.moved(pose).bounds
            middle = 0.5 * (low.min(axis=0) + high.max(axis=0))
            top = float(high[:, 2].max())
            lifts = np.linspace(SET_DOWN * float(check.assembly.base.sizes.height_mm), 0.0, 4)
            ways.append(np.array([[middle[0], middle[1], top + up] for up in lifts]))
    return view(name, check.design.title, words, solids, ways=ways)


def two_strips_picture(part: Part, name: str, words: str, tones: Tones) -> Drawing:
    """The two strips of a ring on edge, a little apart, with arrows that show how they meet.

    The second strip is the first one turned half round; its wall comes to lie on that one's flap.
    """
    half = half_of(part.recipe)
    assert half is not None, "a ring is cut as two strips"
    making = making_of(part.recipe, {})
    strip = fold_all(half, [making], {line.child: math.pi / 2 for line in half.creases}).part(0)
    low, high = strip.pieces.moved(ON_EDGE).bounds
    least, most = low.min(axis=0), high.max(axis=0)
    # the flap is at the least y: beyond it come glue and the other strip's wall
    least[1] -= strip.caliper_mm + making.joint_mm
    apart = np.array([0.0, -LED * (most - least)[1], 0.0])
    offset = np.array([*(least + most)[:2], 0.0]) + apart
    solids = [
        one
        for pose in (ON_EDGE, translation(offset) @ HALF_ROUND @ ON_EDGE)
        for one in part_solids(strip, pose, tones)
    ]
    # the first strip's flap hangs on the wall at the least x, the second one's opposite to it
    stops = least[0], least[1], most[2], most[0], most[1], most[2]
    ways = [
        stop + np.linspace(1.0, 0.0, 4)[:, None] * apart for stop in np.array(stops).reshape(2, 3)
    ]
    return view(name, f"{part.recipe.part}: folding", words, solids, ways=ways)


def placed_parts(
    check: Check, cover: float | None = OPENED
) -> Iterator[tuple[str, FoldedPart, Array]]:
    """Each part with its name and its pose, the base first, as `box_picture` shows them."""
    base, *others = standing(check)
    yield base.name, base.part if cover == 0.0 else opened_base(check), base.pose
    lift = 0.0 if cover is None else cover * max(check.assembly.base.sizes.outside_mm)
    for one in others:
        if cover is None and not one.stays:
            continue
        yield one.name, one.part, one.led(lift)


def _filling(check: Check) -> list[Solid]:
    return [
        body_solid(body.vertices, body.faces, body.smooth, CONTENT) for body in bodies_of(check)
    ]
