"""The shape of a floor that is sized round several contents: no long strip where little paper more
makes it handy.

A room longer than 2.5 times its width gives way to a shorter one of up to 15 % more paper (common
practice, no source). The rule is held by arithmetic: a tray's sheet is (w + 2 h) (l + 2 h).
"""

from __future__ import annotations

from pathlib import Path

import pytest

import fitcheck
from fitcheck.proposals.proposal import proposed
from fitcheck.proposals.wish import Sits, Wish
from fitcheck.units import Unit
from fitcheck.workspace.paths import search_roots
from tests.face_designs import lidded_tray

ITEMS = """
[token]
kind = "cylinder"
size = [20, 10]
source = "invented for tests"
[stick]
kind = "cylinder"
size = [8, 100]
source = "invented for tests"
[slab]
kind = "block"
size = [60, 70, 9]
source = "invented for tests"
"""


def inside(folder: Path, item: str, count: int, depth: float) -> tuple[float, float]:
    """Width and length inside of a lidded tray with 2 mm of slack round its contents."""
    (folder / "models").mkdir()
    (folder / "models" / "items.toml").write_text(ITEMS)
    content = {"item": item, "count": count, "lay": "flat"}
    box = lidded_tray({"slack": 2, "depth": depth}, 8, content)
    checked = fitcheck.check(fitcheck.build(box, workspace=folder))
    assert checked.contents[0].verdict == "fits"
    sizes = checked.data()["parts"]["base"]["inside_mm"]
    return sizes["width"], sizes["length"]


@pytest.mark.parametrize(
    ("item", "count", "depth", "sides"),
    [
        # 12 mm high: (20 + 24) (140 + 24) = 7216, (60 + 24)^2 = 7056
        ("token", 7, 12.0, (62.0, 62.0)),
        # (40 + 24) (60 + 24) = 5376 beside (20 + 24) (100 + 24) = 5456
        ("token", 5, 12.0, (42.0, 62.0)),
        # two are no longer than twice their width
        ("token", 2, 12.0, (22.0, 42.0)),
        # one more row of sticks would not make it shorter
        ("stick", 3, 9.0, (26.0, 102.0)),
        # (180 + 22) (70 + 22) = 18584 in a row; two and one across (120 + 22) (130 + 22) = 21584
        ("slab", 3, 11.0, (72.0, 182.0)),
    ],
)
def test_slack_is_round_a_handy_arrangement(
    tmp_path: Path, item: str, count: int, depth: float, sides: tuple[float, float]
) -> None:
    assert sorted(inside(tmp_path, item, count, depth)) == pytest.approx(sides, abs=0.01)


def test_a_proposal_for_seven_coins_is_no_strip() -> None:
    """Of 25.75 mm each (Regulation (EC) 975/98): in a row 25.75 x 180.25; two rows of four are
    51.5 x 103, and 2.5 mm round them end in the grooves of a board of 5 mm at 55 x 110."""
    wish = Wish(
        "coins",
        "tray",
        Unit.MM,
        "score-board-metric",
        {"base": "cover-80"},
        (("coin-euro-2", 7),),
        Sits.SLIDES,
    )
    found = proposed(wish, search_roots())
    assert found.check.fits
    assert sorted(found.sizes.floor) == [55.0, 110.0]
