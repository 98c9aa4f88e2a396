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

import pytest

from fitcheck.folding.closure import close_roll
from fitcheck.folding.lines import Layout, lay_out
from fitcheck.folding.rolls import section_of
from fitcheck.pattern.pattern import RollJoint
from fitcheck.pattern.styles import draw
from tests.boxes import paper, shadow_box

Case = dict[str, str]
CASES: list[Case] = list(
    csv.DictReader((Path(__file__).parent / "rolled_frames.csv").read_text().splitlines())
)
AGREE_MM = 1e-4
JOINT = RollJoint("back flap", "floor")


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
    return lay_out(draw(recipe), recipe.stock.crease, {})


def closed(case: Case) -> tuple[Layout, dict[str, float]]:
    layout = laid_out(case)
    angles = {line.child: line.angle_rad for line in layout.pattern.creases}
    angles["back wall"] -= math.radians(float(case["phi"]))
    held = frozenset(["back wall"])
    return layout, close_roll(layout, JOINT, float(case["g"]), angles, held)


@pytest.mark.parametrize("case", CASES, ids=[case["case"] for case in CASES])
def test_the_roll_closes_as_it_is_pressed_home(case: Case) -> None:
    layout, angles = closed(case)
    joint_mm = float(case["g"])
    found = section_of(layout, JOINT, joint_mm, angles)
    assert found.top_mm == pytest.approx(float(case["x_top_P"]), abs=AGREE_MM)
    assert found.foot_mm == pytest.approx(float(case["x_foot_P"]), abs=AGREE_MM)
    assert found.edge_height_mm == pytest.approx(float(case["y_edge_P"]), abs=AGREE_MM)
    assert found.tip_gap_mm == pytest.approx(float(case["tip_gap_P"]), abs=AGREE_MM)
    assert found.trim_mm == pytest.approx(float(case["trim_upright"]), abs=AGREE_MM)
    lean = math.degrees(angles["back flap"]) - 90.0
    assert lean == pytest.approx(float(case["beta_P"]), abs=1e-4)
    assert found.lean_deg == pytest.approx(float(case["beta_P"]), abs=1e-4)


@pytest.mark.parametrize("case", CASES[:5], ids=[case["case"] for case in CASES[:5]])
def test_a_flap_cut_by_the_trim_stands_upright(case: Case) -> None:
    trimmed = case | {"f": str(float(case["f"]) - float(case["trim_upright"]))}
    layout, angles = closed(trimmed)
    assert math.degrees(angles["back flap"]) == pytest.approx(
        90.0, abs=2e-5
    )  # the digits of a in the file
    assert section_of(layout, JOINT, float(case["g"]), angles).tip_gap_mm == pytest.approx(
        0.0, abs=AGREE_MM
    )
