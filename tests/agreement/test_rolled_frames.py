"""Rolled frames against 24 cross sections that were computed apart from this project.

`rolled_frames.csv` holds them (mm and degrees; x from the floor's score into the box, y up from the
floor's inside face), found by a constrained optimiser and by one-dimensional roots that agree to
6e-8 mm. The rule: from the least departure the maker presses the foot home until the inner wall is
upright or the flap's tip meets the outer wall, whichever comes first.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from fitcheck.folding.closure import close_rolls
from fitcheck.folding.lines import Creases, Layout, lay_out
from fitcheck.folding.linkage import chains_of
from fitcheck.folding.pose import Array
from fitcheck.folding.rolls import RollSection, sections_of
from fitcheck.pattern.bonds import roll
from fitcheck.styles import draw
from tests.boxes import paper, shadow_box

Case = dict[str, str]
CASES: list[Case] = list(
    csv.DictReader((Path(__file__).parent / "rolled_frames.csv").read_text().splitlines())
)
AGREE_MM = 1e-4
JOINT = roll("back flap", "floor")
CHAIN = ("back wall", "back frame", "back inner wall", "back flap")


def laid_out(case: Case) -> Layout:
    """A frame of the case's lengths; the floor is large enough for any of them."""
    number = {key: float(case[key]) for key in ("t", "a", "h", "w", "h2", "f", "g")}
    recipe = shadow_box(
        120.0,
        140.0,
        number["h"],
        paper(number["t"], number["a"]),
        frame=number["w"],
        inner_wall=number["h2"],
        flap=number["f"],
        joint=number["g"],
    )
    layout, problems = lay_out(draw(recipe), Creases.of([recipe.stock.crease]), {})
    assert not problems
    return layout


def closed(case: Case) -> tuple[Layout, Array]:
    """The roll at the back, its outer wall held as the case has it; fold angles (1, c)."""
    layout = laid_out(case)
    rolls = chains_of(layout, [JOINT], np.array([float(case["g"])]))
    start = rolls.targets.copy()
    start[:, 0] -= math.radians(float(case["phi"]))
    found = close_rolls(rolls, start, [0])
    assert found.ok.all()
    angles = np.tile(layout.targets_rad, (1, 1))
    angles[:, [layout.tree.crease[name] for name in CHAIN]] = found.angles
    return layout, angles


def section(case: Case, layout: Layout, angles: Array) -> RollSection:
    (found,) = sections_of(layout, [JOINT], np.array([float(case["g"])]), angles)
    return found


@pytest.mark.parametrize("case", CASES, ids=[case["case"] for case in CASES])
def test_the_roll_closes_as_it_is_pressed_home(case: Case) -> None:
    layout, angles = closed(case)
    found = section(case, layout, angles)
    assert found.top_mm == pytest.approx(float(case["x_top_P"]), abs=AGREE_MM)
    assert found.foot_mm == pytest.approx(float(case["x_foot_P"]), abs=AGREE_MM)
    assert found.edge_height_mm == pytest.approx(float(case["y_edge_P"]), abs=AGREE_MM)
    assert found.tip_gap_mm == pytest.approx(float(case["tip_gap_P"]), abs=AGREE_MM)
    assert found.trim_mm == pytest.approx(float(case["trim_upright"]), abs=AGREE_MM)
    flap = angles[0, layout.tree.crease["back flap"]]
    assert math.degrees(flap) - 90.0 == pytest.approx(float(case["beta_P"]), abs=1e-4)
    assert found.lean_deg == pytest.approx(float(case["beta_P"]), abs=1e-4)


@pytest.mark.parametrize("case", CASES[:5], ids=[case["case"] for case in CASES[:5]])
def test_a_flap_cut_by_the_trim_stands_upright(case: Case) -> None:
    trimmed = case | {"f": str(float(case["f"]) - float(case["trim_upright"]))}
    layout, angles = closed(trimmed)
    found = section(trimmed, layout, angles)
    assert found.lean_deg == pytest.approx(0.0, abs=2e-5)  # the digits of a in the file
    assert found.tip_gap_mm == pytest.approx(0.0, abs=AGREE_MM)
