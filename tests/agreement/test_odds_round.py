"""Odds of a ball and of a lying cylinder between round creases: what they are, not their prisms.

Arithmetic: between upright walls there is W - 2 (t - a); a ball meets them at its middle, above any
crease, so the mean of its room over many boxes is that less its diameter, and only the sheet's cut,
two scores, the caliper and the allowance spread it.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.odds.odds import odds_of

ITEMS = """
[ball]
kind = "sphere"
size = [59.5]
source = "invented"
[rod]
kind = "cylinder"
size = [30, 59.5]
source = "invented"
"""
STOCK = """
format = 1
kind = "board"
caliper_mm = 0.5
caliper_u_mm = 0.005
crease_allowance_mm = 0.7
crease_allowance_u_mm = 0.02
source = "invented: a crease with a radius of 1.85 mm"
"""


@pytest.mark.parametrize(
    ("item", "lay"), [pytest.param("ball", "any", marks=pytest.mark.long), ("rod", "flat")]
)
def test_the_room_is_that_of_the_walls_and_not_of_the_creases(
    tmp_path: Path, item: str, lay: str
) -> None:
    (tmp_path / "models").mkdir()
    (tmp_path / "calibration" / "stocks").mkdir(parents=True)
    (tmp_path / "models" / "items.toml").write_text(ITEMS)
    (tmp_path / "calibration" / "stocks" / "round.toml").write_text(STOCK)
    path = tmp_path / "models" / "round.toml"
    floor = "[60, 72]" if item == "ball" else "[72, 60]"
    path.write_text(
        f'format = 1\ntitle = "Round"\nunit = "mm"\n[base]\nstyle = "tray"\nstock = "round"\n'
        f'floor = {floor}\ndepth = 50\ntabs = "{"length" if item == "ball" else "width"}"\n'
        f'[[content]]\nitem = "{item}"\nlay = "{lay}"\n'
    )
    found = check(read_design(path))
    room = 60.0 + 2 * (0.7 - 0.5) - 59.5
    odds = odds_of(found, 5_000)
    (content,) = odds.contents
    if item == "ball":
        assert content.slack.mean_mm == pytest.approx(room, abs=0.02)
        # a cut of 0.2, two scores of 0.1 in grooves, the board's offset of 0.05 and the allowance
        # of 0.02 on both sides, the caliper of 0.005 likewise
        spread = math.sqrt(0.2**2 + 2 * 0.1**2 + 0.1**2 + 0.04**2 + 0.01**2)
        assert content.slack.u_mm == pytest.approx(spread, rel=0.05)
    assert found.fits and content.fits.share > 0.95
    assert odds.agreement.trusted and odds.agreement.contents_alike == odds.agreement.boxes
