"""Pictures of a part while it is folded and glued, and of the box while it is filled and closed."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.fit.check import Check
from fitcheck.folding.hinges import chosen, refolded
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import Array, translation
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
from fitcheck.sheet.actions import FoldAll, Step
from fitcheck.sheet.progress import folded_by

CREASED = 0.4
"""How far creases are drawn folded while they are sharpened, of their whole turn."""


class FoldPictures:
    """One part as it comes to be, a picture for each instruction at the table."""

    def __init__(self, part: FoldedPart, tones: Tones) -> None:
        self._part, self._tones = part, tones
        self._done: set[str] = set()

    def of(self, name: str, steps: Sequence[Step], words: str) -> Drawing | None:
        """The picture of an instruction; None where it is none of folding or gluing."""
        pattern = self._part.pattern
        if any(isinstance(step, FoldAll) for step in steps):
            shares = dict.fromkeys((line.child for line in pattern.creases), CREASED)
            return self._drawn(name, words, shares)
        for step in steps:
            panels = folded_by(pattern, step)
            if panels is None:
                return None
            self._done |= panels
        return self._drawn(name, words, dict.fromkeys(self._done, 1.0))

    def _drawn(self, name: str, words: str, shares: dict[str, float]) -> Drawing | None:
        part = self._part
        angles = {
            panel: np.array([shares.get(panel, 0.0) * angle])
            for panel, angle in part.angles.items()
            if angle >= 0.0
        }
        try:
            folded = refolded(chosen(part.among, np.array([part.box])), angles).part(0)
        except ModelError:
            return None
        lapping = {panel for lap in part.pattern.laps for panel in (lap.over, lap.under)}
        lapped = all(shares.get(panel) == 1.0 for panel in lapping)
        solids = part_solids(folded, np.eye(4), self._tones, lapped=lapped)
        return view(name, f"{part.name}: folding", words, solids)


def box_picture(
    check: Check, name: str, words: str, *, contents: bool = True, cover: float | None = OPENED
) -> Drawing:
    """The box with what is in it; what closes it lifted by a share of its size, or left out.

    With a cover lifted by nothing the box is closed.
    """
    stocks = {part.recipe.part: part.recipe.stock for part in check.assembly.parts}
    solids = []
    staying = {one.name for one in standing(check) if one.stays}
    for number, (own, part, pose) in enumerate(placed_parts(check, cover)):
        usual = BASE if number == 0 or own in staying else LID
        solids += part_solids(part, pose, tones_of(stocks[own], usual))
        if number == 0 and contents and cover != 0.0:
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
        pose = one.pose
        if not one.stays and lift:
            size = float(np.linalg.norm(one.way))
            along = one.way / size
            pose = translation(along * (lift if along[2] > 0.5 else min(lift, size))) @ one.pose
        yield one.name, one.part, pose


def _filling(check: Check) -> list[Solid]:
    return [
        body_solid(body.vertices, body.faces, body.smooth, CONTENT) for body in bodies_of(check)
    ]
