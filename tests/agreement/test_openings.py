"""How wide a frame is open, at its face and at the floor, against sections computed elsewhere.

`rolled_frames.csv`, whose header and rule stand in `test_rolled_frames.py`, and the design rules'
closed form of a level frame.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from fitcheck.fit.assembly import make_part
from fitcheck.folding.openings import opening_of
from tests.agreement.test_rolled_frames import CASES
from tests.boxes import paper, shadow_box
from tests.cli.commands import fitcheck

HELD = [case for case in CASES if float(case["p"]) == 0.0]
"""Their outer walls stand upright, as those do that carry the tabs."""


@pytest.mark.parametrize("case", HELD, ids=[case["case"] for case in HELD])
def test_an_opening_is_as_wide_as_two_sections_leave_it(case: dict[str, str]) -> None:
    number = {key: float(own) for key, own in case.items() if key in ("t", "a", "h", "w", "g")}
    recipe = shadow_box(
        120.0,
        140.0,
        number["h"],
        paper(number["t"], number["a"]),
        frame=number["w"],
        inner_wall=float(case["h2"]),
        flap=float(case["f"]),
        joint=number["g"],
    )
    part = make_part(recipe)
    found = opening_of(part.folded, part.sizes.inside_mm)
    assert found is not None
    top, foot = (140.0 - 2.0 * float(case[key]) for key in ("x_top_P", "x_foot_P"))
    assert found.frame_mm[1] == pytest.approx(top, abs=1e-3)
    # the file has the foot under the flap, a caliper lower than where it is seen to end
    assert found.floor_mm[1] == pytest.approx(foot, abs=0.1 * number["t"])


def test_a_frame_is_told_as_wide_as_a_rule_shows_it_and_as_its_floor_is(tmp_path: Path) -> None:
    """W - 2w - 2a + 2p across the walls that are pushed out and W - 2w - 2a along them (design
    rules), with a = 0.6073 t, p = t + g: 63.96 x 94.85 mm, less what tilting takes (hundredths)."""
    ran = fitcheck("check", "harbour", "--no-odds", "--json", "out.json", cwd=tmp_path)
    width = 3.25 * 25.4 - 2.0 * 9.525 - 2.0 * 0.20 + 2.0 * (0.33 + 0.1)
    length = 4.5 * 25.4 - 2.0 * 9.525 - 2.0 * 0.20
    base = json.loads((tmp_path / "out.json").read_text())["parts"]["base"]
    assert base["opening_mm"]["frame"]["width"] == pytest.approx(width, abs=0.05)
    assert base["opening_mm"]["frame"]["length"] == pytest.approx(length, abs=0.05)
    told = re.sub(r" +", " ", ran.out)
    assert " opening 2 1/2 x 3 23/32 in (63.9 x 94.8 mm) in the frame\n" in told
    assert " 2 15/32 x 3 23/32 in (62.8 x 94.5 mm) at the floor\n" in told
    fitcheck("publish", "harbour", "-o", "post", "--no-odds", cwd=tmp_path)
    page = (tmp_path / "post" / "harbour.html").read_text()
    assert "(63.9 x 94.8 mm) in the frame, 2 15/32 x 3 23/32 in (62.8 x 94.5 mm) at the f" in page
