"""A recipe of which most boxes do not come out right says so before all else.

Shares by arithmetic: of 20 000 boxes 2200 are 11 of 100, 9800 are 49 and 10 200 are 51. Words
are literal.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.odds.intervals import Chance
from fitcheck.odds.odds import odds_of
from fitcheck.odds.result import Odds
from fitcheck.outputs.publish.recipe import Recipe, Sheets, recipe_of
from fitcheck.sheet.job import sheet_job

DESIGN = read_design(Path(__file__).resolve().parents[2] / "models" / "lantern.toml")
OWN = Sheets(check(DESIGN), sheet_job(DESIGN, Paper.A4, (), 1, paged=False))
COUNTED = odds_of(OWN.check, 100, folded_again=0)
ONLY = "of 100 boxes made by hand to the sizes of this card come out right: "
FOLD_ONE = "fold one box before you cut good paper"


def odds(right: int, rounded: int | None = None) -> Odds:
    """Counted over 20 000 boxes."""
    made = None if rounded is None else Chance(rounded, 20_000)
    return replace(COUNTED, good=Chance(right, 20_000), rounded=made)


def made(own: Odds | None, theirs: Odds | None = None) -> Recipe:
    return recipe_of(OWN, own, None, None if theirs is None else OWN, theirs)


def test_it_stands_before_all_other_cautions() -> None:
    recipe = made(odds(2_200))
    assert recipe.cautions[0] == recipe.doubt == f"only 11 {ONLY}{FOLD_ONE}"


def test_what_counts_is_what_the_card_says_to_cut() -> None:
    """Exact sizes are on no card."""
    assert made(odds(15_000, rounded=9_800)).doubt == f"only 49 {ONLY}{FOLD_ONE}"
    assert made(odds(9_800, rounded=10_200)).doubt == ""


def test_half_of_the_boxes_and_uncounted_ones_are_no_such_case() -> None:
    for own in (odds(10_000), odds(10_200), None):
        recipe = made(own)
        assert recipe.doubt == "" and not any("come out right" in x for x in recipe.cautions)


def test_a_reader_of_a_poor_recipe_hears_it_of_the_own_column_too() -> None:
    recipe = made(odds(2_200), odds(1_400))
    assert recipe.cautions[0] == recipe.doubt
    assert recipe.reader is not None and recipe.cautions[1] == recipe.reader.caution
    said = "only 7 of 100 boxes made by hand come out right, of its own 11: it wants other sizes"
    assert said in recipe.reader.caution
    same = made(odds(10_200), odds(9_800)).reader
    assert same is not None and "only 49 of 100 boxes" in same.caution
    well = made(odds(12_200), odds(10_200)).reader
    assert well is not None and well.caution == ""
