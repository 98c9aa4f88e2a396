"""Walls that lie on their tabs, as paper does, against the rigid walls that lean through them.

The second wall is built here from two plates of arithmetic: a low strip that leaves the crease
as far as the tabs push, and an upright one along the tabs from there to the rim. What the program
says with its own rigid walls has to be what it says with these.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitcheck.design.model import Bands
from fitcheck.fit.assembly import Part, make_part
from fitcheck.fit.lid import fit_lid
from fitcheck.fit.selffit import glued_overlap
from fitcheck.folding.corners import outward_of
from fitcheck.folding.fold import fold
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.prisms import prism
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.walled import WalledRecipe as Recipe
from tests.boxes import across, crosswise, paper, tray

STRIP_MM = 3.0
"""The height over which paper bends out to its tab."""


def bent(part: Part) -> tuple[ConvexPiece, ...]:
    """The part's pieces with each leaning wall in two strips: out to the tabs, then upright."""
    folded = part.folded
    pieces = [p for p in folded.pieces if p.name not in folded.leans_deg]
    upright = folded.angles | dict.fromkeys(folded.leans_deg, np.pi / 2)
    standing = fold(folded.pattern, folded.crease, folded.joint_mm, angles=upright)
    for wall in folded.leans_deg:
        outward = outward_of(folded.layout, wall)
        straight = standing.plate(wall).pieces()[0]
        push = part.sizes.outside_mm[int(np.argmax(np.abs(outward)))] / 2.0 - float(
            np.max(straight.vertices @ outward)
        )
        low, high = straight.low, straight.high
        foot, bend, rim = low[2], low[2] + STRIP_MM, high[2]
        along = np.array([-outward[1], outward[0], 0.0])
        ends = np.sort([low @ along, high @ along])
        face = float(np.max(straight.vertices @ outward))
        pieces.append(_strip(wall, outward, along, ends, (face, foot), (face + push, bend), folded))
        pieces.append(
            _strip(wall, outward, along, ends, (face + push, bend), (face + push, rim), folded)
        )
    return tuple(pieces)


def _strip(
    wall: str,
    outward: np.ndarray,
    along: np.ndarray,
    ends: np.ndarray,
    start: tuple[float, float],
    stop: tuple[float, float],
    folded: FoldedPart,
) -> ConvexPiece:
    """A plate between two heights, its outside face through both points (out, up)."""
    t = folded.caliper_mm
    outline = np.array(
        [[start[0] - t, start[1]], [start[0], start[1]], [stop[0], stop[1]], [stop[0] - t, stop[1]]]
    )
    flat = prism(wall, frozenset([wall]), outline, float(ends[0]), float(ends[1]))
    pose = np.eye(4)
    pose[:3, 0], pose[:3, 1], pose[:3, 2] = outward, np.array([0.0, 0.0, 1.0]), along
    if np.linalg.det(pose[:3, :3]) < 0.0:
        pose[:3, 2] = -along
        pose[:3, 3] = along * float(ends[0] + ends[1])
    return flat.moved(pose)


def pair(setback: float) -> tuple[Recipe, Recipe]:
    base = tray(82.0, 114.0, 22.0, paper(0.33, 0.2), setback=setback)
    lid = tray(84.6, 116.4, 16.0, paper(0.30, 0.18), tabs=Axis.WIDTH, setback=setback, part="lid")
    return base, lid


@pytest.mark.parametrize("setback", [0.0, 0.2, 0.4])
def test_no_play_or_outside_hangs_on_how_a_wall_lies_on_its_tab(setback: float) -> None:
    base, lid = (make_part(recipe) for recipe in pair(setback))
    rigid = fit_lid(base, lid, Bands(0.15, 0.2, 1.5))
    bases, lids = (replace(part, folded=replace(part.folded)) for part in (base, lid))
    for part in (bases, lids):
        part.folded.__dict__["pieces"] = bent(part)  # in the place of the cached pieces
    paper_like = fit_lid(bases, lids, Bands(0.15, 0.2, 1.5))
    for axis in Axis:
        assert paper_like.slide.travel(axis).play_mm == pytest.approx(
            rigid.slide.travel(axis).play_mm, abs=1e-6
        )
    assert paper_like.verdict is rigid.verdict
    # a wall that lies on its tab is as high as it is, one that leans tips by hundredths
    assert paper_like.reveal_mm == pytest.approx(rigid.reveal_mm, abs=0.05)
    over = across(crosswise(base.recipe.tabs), base.sizes.outside_mm)
    assert over == pytest.approx(82.0 + 0.4, abs=1e-6)


def test_the_overlap_is_what_arithmetic_says_and_is_reported() -> None:
    """Base 82 x 114 x 22, t 0.33: the wall leans by p = t + g at its rim, so nowhere by more."""
    recipe = tray(82.0, 114.0, 22.0, paper(0.33, 0.2))
    push = 0.33 + 0.1
    found = glued_overlap(make_part(recipe).folded)
    assert 0.0 < found <= push - 0.1  # nowhere more than the push less the joint
    upright = replace(recipe, tab_setback_mm=0.43)
    assert glued_overlap(make_part(upright).folded) == 0.0
