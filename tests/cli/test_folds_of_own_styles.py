"""A reader who folds as steps and recipe say makes the box that is checked, whatever its angles.

A wall of height h that is folded by an angle f from flat ends h cos f outside its score; a brim b
that is folded back by as much lies level and ends b further out. What paper's bends add to that at
two creases is below 1 mm here (each takes less than the sheet's 0.33 mm).
"""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import Axis
from fitcheck.sheet.instructions import instructions_for
from fitcheck.sheet.steps import steps_for
from fitcheck.stock.tools import Tools
from fitcheck.styles import draw
from fitcheck.units import Unit
from tests.boxes import tray
from tests.other_package import fitcheck_beside
from tests.own_styles import FERNS, brims, leaning

DEPTH, BRIM = 20.0, 8.0
CONTENT = '\n[[content]]\nitem = "card-id1"\n'


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    folder = tmp_path / "bench"
    (folder / "models").mkdir(parents=True)
    card = '[card-id1]\nkind = "block"\nsize = [54, 85.6, 0.8]\nsource = "made up"\n'
    (folder / "models" / "items.toml").write_text(card)
    (folder / "models" / "ferns.toml").write_text(FERNS + CONTENT)
    return folder


def told_angle(text: str) -> float:
    """The only angle from flat that a text tells, a right one unless it says another."""
    found = set(re.findall(r"([\d.]+) degrees from flat", text))
    assert len(found) <= 1
    return float(found.pop()) if found else 90.0


@pytest.mark.parametrize("deg", [90.0, 75.0])
def test_who_folds_by_the_words_makes_the_box_that_is_checked(
    deg: float, bench: Path, tmp_path: Path
) -> None:
    beside = [brims(tmp_path / "site", *(leaning(deg) if deg != 90.0 else ()))]
    ran = fitcheck_beside(beside, "check", "ferns", "--no-odds", "--json", "o.json", cwd=bench)
    assert ran.status == 0, ran.err
    outside = json.loads((bench / "o.json").read_text())["parts"]["base"]["outside_mm"]
    assert fitcheck_beside(beside, "sheet", "ferns", "-o", "out", cwd=bench).status == 0
    assert fitcheck_beside(beside, "publish", "ferns", "-o", "post", cwd=bench).status == 0
    steps = (bench / "out" / "ferns-steps.txt").read_text()
    page = re.sub(r"<[^>]+>", " ", (bench / "post" / "ferns.html").read_text())
    table = (bench / "out" / "ferns-measurements.md").read_text()
    for text in (steps, page, table):
        made = 70.0 + 2 * (DEPTH * math.cos(math.radians(told_angle(text))) + BRIM)
        assert made == pytest.approx(outside["width"], abs=1.0)


def test_walls_stand_before_anything_goes_in(bench: Path, tmp_path: Path) -> None:
    """No flap of it is glued, so that no other step would stand its walls up."""
    beside = [brims(tmp_path / "site")]
    assert fitcheck_beside(beside, "sheet", "ferns", "-o", "out", cwd=bench).status == 0
    steps = (bench / "out" / "ferns-steps.txt").read_text()
    stand = (
        "Stand the walls up: fold every crease again, the way it went before, and leave it at a "
        "right angle. No flap holds the corners: tape them from outside, where walls meet."
    )
    assert steps.index("open it again") < steps.index(stand) < steps.index("Put the contents in")


def test_what_glue_holds_has_its_angles_told_where_it_is_creased() -> None:
    """Sheet of a tray with tabs whose two end walls are folded by 80 degrees: 100 between them and
    the floor (180 - 80)."""
    pattern = draw(tray(tabs=Axis.LENGTH))
    creases = tuple(
        replace(one, angle_rad=math.radians(80.0))
        if one.child in ("front wall", "back wall")
        else one
        for one in pattern.creases
    )
    own = replace(pattern, creases=creases)
    tools = Tools("board", 5.0, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)
    told = instructions_for(steps_for(own, plan_of(own), "card", None, tools, Unit.MM), Unit.MM)
    details = [line for one in told for line in one.details if "degrees" in line]
    assert details == [
        "in the end at 80 degrees from flat, 100 degrees between the two panels: "
        "floor / front wall and floor / back wall"
    ]
    assert not any("Stand the walls up: fold" in one.text for one in told)
