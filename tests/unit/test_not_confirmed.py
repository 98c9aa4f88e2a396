"""A number of boxes stands in no first line where boxes folded one by one speak against it.

A departure is held against the spread that hands and papers make (arithmetic): 23.71 mm against
0.603 mm says that another box was counted, 0.177 mm against 0.507 mm that the count is rough.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.odds.agreement import Refolded
from fitcheck.odds.odds import odds_of
from fitcheck.odds.result import Odds
from fitcheck.outputs.bench_words import right_words
from fitcheck.outputs.check_text import check_text
from fitcheck.outputs.odds_text import odds_text
from tests.cli.commands import ROOT

WORDS = (
    "how many boxes made by hand come out right is not sure: folded one by one they come out "
    "otherwise than counted"
)


@pytest.fixture(scope="module")
def lantern() -> Check:
    return check(read_design(ROOT / "models" / "lantern.toml"))


@pytest.fixture(scope="module")
def odds(lantern: Check) -> Odds:
    return odds_of(lantern, 500, folded_again=10)


def departed(odds: Odds, rms_mm: float, u_mm: float, margin_mm: float = 0.0) -> Odds:
    """The odds with one length that came out so far otherwise."""
    length = Refolded("lid play, length", rms_mm, rms_mm, rms_mm, u_mm, margin_mm)
    return replace(odds, agreement=replace(odds.agreement, refolded=(length,)))


def test_what_is_far_off_is_told_instead_of_a_number(lantern: Check, odds: Odds) -> None:
    far = departed(odds, 23.71, 0.603)
    assert right_words(far) == right_words(far, give=True) == WORDS
    first = " ".join(check_text(lantern, far).split("\n\n")[0].split())
    assert f"as drawn; {WORDS}" in first
    assert " of 100 boxes" not in first
    said = " ".join(odds_text(far).split())
    assert f"were counted right, but {WORDS}" in said


@pytest.mark.parametrize(("rms_mm", "u_mm", "margin_mm"), [(0.177, 0.507, 0.0), (0.7, 0.6, 2.4)])
def test_what_is_a_little_off_or_changes_no_verdict_keeps_its_number(
    odds: Odds, rms_mm: float, u_mm: float, margin_mm: float
) -> None:
    """Of a room that even the tightest box has a third may be missing: 0.7 of 2.4 mm."""
    assert "of 100 boxes made by hand come out right" in right_words(
        departed(odds, rms_mm, u_mm, margin_mm)
    )
