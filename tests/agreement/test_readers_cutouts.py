"""What a recipe's card says of windows, notches, rounds, mitres and hinges cut half through.

The places are worked out here from the sizes that the card itself prints, for both readers: a
window in the middle of a mat lies half of what is left from each edge, a notch in the middle of a
panel half way between that panel's two scores.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from pathlib import Path

import pytest

from fitcheck.cli.publish_options import readers_design
from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.outputs.publish.recipe import Recipe, Sheets, recipe_of
from fitcheck.sheet.job import sheet_job

MEDAL = """
format = 1
title = "A medal on a mat"
unit = "in"
tools = "score-board-inch"
[base]
style = "tray"
stock = "cover-80"
floor = ["2 5/8", "3 5/8"]
depth = "5/8"
[insert]
style = "mat"
stock = "cover-80"
cut = ["2 1/2", "3 1/2"]
window = ["1", "1 1/4"]
[lid]
style = "tray"
stock = "cover-80"
oversize = ["1/16", "3/32"]
depth = "3/8"
"""
SEEDS = """
format = 1
title = "A drawer of seeds"
unit = "mm"
tools = "score-board-metric"
[base]
style = "tray"
stock = "cover-100"
floor = [60, 80]
depth = 20
[sleeve]
style = "sleeve"
stock = "cover-100"
ease = [2, 2]
length = 82
seam = 10
notch = 12
"""
CASE = """
format = 1
title = "A case for tokens"
unit = "mm"
tools = "score-board-metric"
[base]
style = "hinged-tray"
stock = "cover-100"
floor = [90, 58]
depth = 20
lip = 12
hinge = "half cut"
"""
PUSH_IN = """
format = 1
title = "A carton for chalk"
unit = "mm"
tools = "score-board-metric"
[base]
style = "tuck-end"
stock = "cover-100"
floor = [65, 20]
depth = 95
tuck = 12
seam = 15
"""
UNCUT = """
format = 1
title = "A tray for beads, folded without a snip"
unit = "mm"
tools = "score-board-metric"
[base]
style = "tray"
corner = "folded"
stock = "cover-80"
floor = [60, 90]
depth = 15
"""
JAR = """
format = 1
title = "A jar in a carton"
unit = "mm"
tools = "score-board-metric"
[base]
style = "tuck-end"
stock = "cover-100"
floor = [48, 48]
depth = 56
lock = "none"
"""
BARS = """
format = 1
title = "Two bars on a ledge"
unit = "mm"
tools = "score-board-metric"
[base]
style = "double-wall"
stock = "cover-80"
floor = [135, 55]
depth = 20
rim = 3
lock = "glued"
[lid]
style = "double-wall"
stock = "cover-80"
oversize = 0
rim = 3
depth = 16
"""
READERS = ["score-board-inch", "score-board-metric"]
STEP = {"in": Fraction(1, 32), "mm": Fraction(1, 2)}


def recipe_for(folder: Path, text: str, tools: str) -> Recipe:
    """The recipe of a design in a workspace of its own, with the column of another reader."""
    (folder / "models").mkdir()
    path = folder / "models" / "one.toml"
    path.write_text(text)
    designs = read_design(path), readers_design(path, {}, tools)
    own, theirs = (Sheets(check(one), sheet_job(one, Paper.A4, (), 1)) for one in designs)
    return recipe_of(own, None, None, theirs)


def numbers(words: str) -> list[Fraction]:
    """The lengths of a cell but for those in brackets."""
    bare = re.sub(r" \([^)]*\)", "", words)
    found = re.findall(r"\d+ \d+/\d+|\d+/\d+|\d+(?:\.\d+)?", bare)
    return [sum((Fraction(own) for own in one.split()), Fraction(0)) for one in found]


def cells(recipe: Recipe, part: str, what: str) -> tuple[str, str]:
    (row,) = [row for row in recipe.card if (row.part, row.what) == (part, what)]
    return row.sizes, row.theirs


@pytest.mark.parametrize("tools", READERS)
def test_both_readers_are_told_where_the_window_of_a_mat_lies(tmp_path: Path, tools: str) -> None:
    """The author's: (2 1/2 - 1) / 2 = 3/4 and (3 1/2 - 1 1/4) / 2 = 1 1/8 from the edges."""
    recipe = recipe_for(tmp_path, MEDAL, tools)
    mine, theirs = cells(recipe, "insert", "window in the mat")
    assert mine == (
        "1 in (25.4 mm) wide, 1 1/4 in (31.8 mm) long, its sides at 3/4 and 1 3/4 in (19.1 and "
        "44.5 mm) from the left edge and at 1 1/8 and 2 3/8 in (28.6 and 60.3 mm) from the bottom "
        "edge"
    )
    unit = "in" if "inch" in tools else "mm"
    scale, step = Fraction(254, 10) if unit == "mm" else Fraction(1), STEP[unit]
    sheet = numbers(cells(recipe, "insert", "sheet")[1])
    wide, long, *sides = numbers(theirs)
    assert [wide, long] == [math.ceil(mm * scale / step) * step for mm in (1, Fraction(5, 4))]
    for near, far, size, across, drawn in (
        (*sides[:2], wide, sheet[0], scale),
        (*sides[2:], long, sheet[1], scale * Fraction(5, 4)),
    ):
        assert far - near == size
        assert abs(near - (across - drawn) / 2) <= step / 2


@pytest.mark.parametrize("tools", READERS)
def test_both_readers_are_told_where_a_thumb_notch_lies(tmp_path: Path, tools: str) -> None:
    recipe = recipe_for(tmp_path, SEEDS, tools)
    sleeve = [row for row in recipe.card if row.part == "sleeve"]
    sheet = numbers(sleeve[0].sizes)[0], numbers(sleeve[0].theirs)[0]
    scores = next(row for row in sleeve if row.what == "scores, the right edge")
    notch = cells(recipe, "sleeve", "thumb notch in the bottom and the top")
    for which, (words, at) in enumerate(
        zip(notch, (numbers(scores.sizes), numbers(scores.theirs)), strict=True)
    ):
        step = STEP["mm" if which == 0 or "metric" in tools else "in"]
        radius, bottom, top = numbers(words)
        drawn = Fraction(12) if step == STEP["mm"] else Fraction(120, 254)
        assert abs(radius - drawn) <= step / 2
        assert "from the left edge" in words and "from the right edge" in words
        assert abs(top - (at[0] + at[1]) / 2) <= step
        assert abs(bottom - (sheet[which] - at[2]) / 2) <= step


def test_what_is_cut_half_through_is_not_told_as_a_score(tmp_path: Path) -> None:
    recipe = recipe_for(tmp_path, CASE, READERS[1])
    half = [row for row in recipe.card if "half through" in row.what]
    assert [row.what for row in half] == ["scores, the top edge, cut half through, not pressed"]
    pressed = next(row for row in recipe.card if row.what == "scores, the top edge")
    assert numbers(pressed.sizes) == [12]  # the lip, and no more
    lid = numbers(half[0].sizes)
    assert len(lid) == 1 and 12 + 58 <= lid[0] <= 12 + 60  # lip, and a lid over the floor of 58


@pytest.mark.parametrize("tools", READERS)
def test_rounds_are_told(tmp_path: Path, tools: str) -> None:
    recipe = recipe_for(tmp_path, PUSH_IN, tools)
    (row,) = [row for row in recipe.card if "round corners" in row.what]
    assert row.what == "4 round corners of the bottom tuck flap and the tuck flap"
    for words in (row.sizes, row.theirs):
        assert words.startswith("a radius of ")
        assert "from the bottom and top edge" in words


def test_slanted_scores_and_the_face_that_they_are_made_on_are_told(tmp_path: Path) -> None:
    """A corner folded in has a crease from the sheet's corner to where two scores meet."""
    recipe = recipe_for(tmp_path, UNCUT, READERS[0])
    words = cells(recipe, "base", "slanted scores, on the inside")
    assert words[0] == words[1]
    assert words[0] == (
        "at all four corners: across the corner, slanting from where the long edge meets the short "
        "edge to where the first score from the long edge meets the first score from the short edge"
    )
    assert [row.what for row in recipe.card] == [
        "sheet",
        "cut from",
        "scores, all four sides",
        "slanted scores, on the inside",
    ]


@pytest.mark.parametrize("tools", READERS)
def test_cuts_beside_the_scores_are_told_in_the_readers_own_unit(
    tmp_path: Path, tools: str
) -> None:
    """A dust flap ends 3 mm before its wall's second score, which is printed for each reader.

    3 mm is what the author's own card comes to, 96 - 93. An inch reader's second score
    lies at 97.6 mm, where the author's cut would leave 4.6 mm, two steps too much.
    """
    recipe = recipe_for(tmp_path, JAR, tools)
    walls = cells(recipe, "base", "scores, the left edge")
    # so many lines stand below the steps, those of the reader beside the author's
    cuts = ["; ".join(own.lines) for own in recipe.measures]
    assert all("step 3" in words for words in cells(recipe, "base", "measured cuts"))
    lengths = [numbers(walls[k])[1] for k in (0, 1)]
    inch = "inch" in tools
    for words, wall, unit in zip(cuts, lengths, ("mm", "in" if inch else "mm"), strict=True):
        ends = re.findall(rf"to ([\d /.]+) {unit} \([^)]*\) from the left edge", words)
        assert ends, words
        far = numbers(ends[-1])[0]
        scale = Fraction(254, 10) if unit == "in" else Fraction(1)
        assert abs((wall - far) * scale - 3) <= STEP[unit] * scale
    if inch:
        assert re.search(r"\d in \(", cuts[1]) and not re.search(r"\d mm \(", cuts[1])
        (seam,) = [row for row in recipe.card if row.what == "the seam flap"]
        assert seam.sizes == "both ends slanting in by 1.5 mm (1/16 in) at the tip"
        assert seam.theirs == "both ends slanting in by 1/16 in (1.6 mm) at the tip"


@pytest.mark.parametrize("tools", READERS)
def test_tabs_and_the_lines_that_free_them_stand_in_both_columns(
    tmp_path: Path, tools: str
) -> None:
    """A double wall's tab ends at a line that no score shows; by hand that is set with a rule."""
    recipe = recipe_for(tmp_path, BARS, tools)
    for part in ("base", "lid"):
        for words in cells(recipe, part, "measured cuts, all four corners"):
            assert words.count("along a line") == 1
        tabs = cells(recipe, part, "the 4 tabs marked x")
        assert tabs[0] == (
            "12.5 mm (1/2 in) long from the score, both ends slanting in by 3 mm (1/8 in) at the "
            "tip"
        )
        if "inch" in tools:
            assert tabs[1].startswith("1/2 in (12.7 mm) long from the score, ")
    if "inch" in tools:
        scores = cells(recipe, "base", "scores, all four sides")
        lines = cells(recipe, "base", "measured cuts, all four corners")
        # a tab is set in from its wall's end by as much for both readers, within two steps
        set_in = [
            float(numbers(line.partition("along a line ")[2])[0] - numbers(score)[2])
            for line, score in zip(lines, scores, strict=True)
        ]
        assert set_in[1] * 25.4 == pytest.approx(set_in[0], abs=2 * 25.4 / 32)
