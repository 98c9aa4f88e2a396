"""What was not found and is not proved impossible is told as not known, never as a lack or as odds.

Nineteen discs go into a square of area 20 of their diameters squared (OEIS A084616); rows take 18
and the search of discs ends at 14, so here the truth is that they go in, and nothing else than
`not known` is true of what the program finds.
"""

from __future__ import annotations

import json
import math
from functools import cache

import fitcheck
from fitcheck.odds.odds import odds_of
from fitcheck.odds.suggest import suggest
from fitcheck.outputs.check_text import faults_text, headline
from fitcheck.outputs.compare_text import compare_json, compare_text
from fitcheck.outputs.compared import compared
from fitcheck.outputs.odds_json import check_odds_json
from fitcheck.outputs.odds_text import odds_text
from fitcheck.outputs.suggest_text import suggest_text

ACROSS = 25.75
"""Of the two-euro coin, mm (Regulation (EC) 975/98)."""
SIDE = math.sqrt(20.0) * ACROSS + 0.3


@cache
def coins(count: int, oversize: float = 2.0) -> fitcheck.Checked:
    part = {"style": "tray", "stock": "cover-80"}
    return fitcheck.check(
        fitcheck.build(
            {
                "format": 1,
                "title": "Nineteen coins",
                "unit": "mm",
                "tools": "score-board-metric",
                "base": {**part, "inside": [SIDE, SIDE], "depth": 3.5},
                "lid": {**part, "oversize": [1.5, oversize], "depth": 3},
                "content": [{"item": "coin-euro-2", "count": count, "lay": "flat"}],
            }
        )
    )


def test_no_lack_is_told_where_none_is_known() -> None:
    (data,) = coins(19).data()["contents"]
    assert data["verdict"] == "none found"
    assert (data["missing_mm"], data["cure"]["along"], data["cure"]["misses_mm"]) == (
        None,
        None,
        None,
    )
    said = " ".join(coins(19).text().split())
    assert "whether all go in is not known" in said
    assert "19 go for sure into about" in said
    assert "18 go in for sure as it is" in said
    assert " mm too " not in said
    assert headline(coins(19)._check) == (
        "Nineteen coins: no place was found for all that goes in, though there may be one"
    )


def test_boxes_are_not_counted_where_no_place_is_known() -> None:
    found = coins(19)._check
    odds = odds_of(found, 400, folded_again=0)
    data = json.loads(check_odds_json(found, odds))["odds"]
    assert data["good"] == {"share": None, "bounds": None}
    assert data["contents"] == [] and data["gains"] == []
    said = " ".join(odds_text(odds).split())
    assert "right not counted: no place was found for all that goes in" in said
    assert "come out right" not in said
    assert "nothing proves that there is none" in said
    assert headline(found, odds).endswith(
        "though there may be one; it is not known how many boxes made by hand come out right"
    )


def test_a_comparison_says_that_one_side_is_not_known() -> None:
    checks = coins(18)._check, coins(19)._check
    odds = tuple(odds_of(one, 400, folded_again=0) for one in checks)
    found = compared(checks, (odds[0], odds[1]))
    before, after = json.loads(compare_json(found, ("a", "b")))["right"]
    assert 0.0 < before <= 1.0 and after is None
    assert "of 100 -> not known come out right" in compare_text(found, ("a", "b"))


def test_suggestions_and_what_stands_before_them_say_so_too() -> None:
    found = coins(19)._check
    assert faults_text(found).startswith(
        "before good paper is cut: no place was found for all that goes in, though there may be one"
    )
    said = suggest_text(suggest(found.design, 400), details=False)
    assert "as it is  not counted: no place was found for all that goes in" in said


def test_what_is_proved_is_still_counted_as_never() -> None:
    """Oler's inequality: no more than 22 stand in 116.2 mm square, which is more than there is, as
    2 / sqrt 3 (90.45 / 25.75)^2 + 2 * 90.45 / 25.75 + 1 = 22.3."""
    found = coins(24)._check
    assert found.contents[0].verdict == "does not fit"
    odds = odds_of(found, 400, folded_again=0)
    assert json.loads(check_odds_json(found, odds))["odds"]["good"]["share"] == 0.0
