"""Board too thick to press is folded on cuts half through, and its sizes are those of such folds.

Cut half through outside the fold, the untouched inner half bends as a sharp crease of its own does,
its neutral line in its middle, and the cut half stands out whole (bend allowance of sheet-metal
handbooks, r = 0, k = 1/2, of the half that bends): a wall's outside stands
t/2 (1 - pi/8) + t/2 = t (1 - pi/16) beyond its score. All numbers are worked out here; boards and
boxes are invented.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.learn.coupon_drawing import coupon_drawing
from fitcheck.learn.how_to import how_to_drawing
from fitcheck.learn.paper_coupon import coupon_for
from fitcheck.odds.odds import odds_of
from fitcheck.outputs.check_text import check_text
from fitcheck.outputs.words import WORDS
from fitcheck.pattern.sheet import Axis
from fitcheck.stock.crease import uncalibrated_allowance
from fitcheck.workspace.paths import shipped_workspace

T = 1.5
GROWN = T / 2 * (1 - math.pi / 8) + T / 2
"""1.2055 mm."""
BOARD = """\
format = 1
kind = "board"
caliper_mm = {caliper}
caliper_u_mm = 0.01
{more}
source = "invented"
"""
HINGED = """\
format = 1
title = "Crate"
unit = "mm"
tools = "score-board-metric"
[base]
style = "hinged-tray"
stock = "stiff"
floor = [90, 120]
depth = 30
lip = 8
front = "over"
hinge = "{hinge}"
tab_setback = {setback}
"""
LIDDED = """\
format = 1
title = "Crate"
unit = "mm"
tools = "score-board-metric"
[base]
style = "tray"
stock = "stiff"
floor = [90, 120]
depth = 30
tab_setback = 1.6
[lid]
style = "tray"
stock = "soft"
oversize = [2.6, 2.6]
depth = 25
"""


def checked(folder: Path, design: str, more: str = "", caliper: float = T) -> Check:
    """A design in invented boards of 1.5 and 0.3 mm."""
    shelf = folder / "calibration" / "stocks"
    shelf.mkdir(parents=True, exist_ok=True)
    (shelf / "stiff.toml").write_text(BOARD.format(caliper=caliper, more=more))
    (shelf / "soft.toml").write_text(BOARD.format(caliper=0.3, more=""))
    path = folder / "box.toml"
    path.write_text(design)
    return check(read_design(path, roots=(folder, shipped_workspace())))


@pytest.mark.parametrize("hinge", ["scored", "half cut"])
def test_every_crease_of_thick_board_grows_as_one_cut_half_through(
    tmp_path: Path, hinge: str
) -> None:
    """Its steps cut all of them half through, the hinge of the lid among them, whatever it is
    called. A tray's outside is the floor and what both walls grow by; inside, each wall takes its
    caliper less that; its height is the wall and what the floor's crease adds."""
    size = checked(tmp_path, HINGED.format(hinge=hinge, setback=T + 0.1)).assembly.base.sizes
    assert size.floor_outside_mm[1] == pytest.approx(120 + 2 * GROWN, abs=0.002)
    assert size.inside_mm[1] == pytest.approx(120 - 2 * (T - GROWN), abs=0.002)
    assert size.depth_mm == pytest.approx(30 - (T - GROWN), abs=0.002)


def test_a_lid_over_thick_board_is_judged_by_what_such_folds_leave_it(tmp_path: Path) -> None:
    """The base is 90 + 2 (1.2055) = 92.41 mm outside, tabs set back so that no corner is pushed out
    beyond it; the lid of 0.3 mm is 92.6 - 2 (0.3) (pi/8) = 92.36 mm inside: 0.05 mm too narrow."""
    found = checked(tmp_path, LIDDED)
    assert found.lid is not None
    width = 92.6 - 2 * 0.3 * math.pi / 8 - (90 + 2 * GROWN)
    assert found.lid.slide.travel("width").play_mm == pytest.approx(width, abs=0.005)
    assert width < 0.0 and not found.fits


def test_what_a_coupon_measured_counts_for_thick_board(tmp_path: Path) -> None:
    """A measured fold of 1.0 mm is a fold of 1.0 mm; the hinge is cut as all others are."""
    more = "crease_allowance_mm = 1.0\ncrease_allowance_u_mm = 0.03"
    for hinge in ("scored", "half cut"):
        size = checked(
            tmp_path, HINGED.format(hinge=hinge, setback=T + 0.1), more
        ).assembly.base.sizes
        assert size.floor_outside_mm[1] == pytest.approx(122.0, abs=0.002)
        assert size.depth_mm == pytest.approx(30 - 0.5, abs=0.002)


def test_a_cut_leaves_the_inside_of_a_fold_sharp(tmp_path: Path) -> None:
    """What is left of the board turns about its uncut face: no radius is in the way of what stands
    in the corner, and the bend is as thick as the uncut half."""
    bends = checked(tmp_path, LIDDED).assembly.base.folded.bends
    assert {(b.radius_mm, b.thickness_mm) for b in bends} == {(0.0, T / 2)}


def test_board_just_below_is_pressed_and_grows_by_a_pressed_fold(tmp_path: Path) -> None:
    """The steps press 0.59 mm and cut 0.6 mm: 0.59 (1 - pi/8) and 0.6 (1 - pi/16) a wall."""
    for caliper, share in ((0.59, 1 - math.pi / 8), (0.6, 1 - math.pi / 16)):
        size = checked(
            tmp_path, HINGED.format(hinge="scored", setback=caliper + 0.1), caliper=caliper
        ).assembly.base.sizes
        assert size.floor_outside_mm[1] == pytest.approx(120 + 2 * share * caliper, abs=0.002)


def test_odds_of_thick_board_stand_about_the_sizes_that_are_told(tmp_path: Path) -> None:
    """The play's middle is that of the drawing; each wall's fold has 0.15 t of doubt, one for the
    paper, twice in the play: no less than 0.45 mm (k = 1)."""
    found = checked(tmp_path, LIDDED)
    lid = odds_of(found, 4000, 3).lid
    assert lid is not None
    play = lid.plays[Axis.WIDTH]
    assert play.mean_mm == pytest.approx(-0.05, abs=0.05)
    assert play.u_mm > 2 * 0.15 * T


def test_the_coupon_of_thick_board_is_cut_half_through_as_its_boxes_are(tmp_path: Path) -> None:
    """What a coupon measures is the fold that is made, so it is made the same way."""
    found = checked(tmp_path, LIDDED)
    stock = found.assembly.base.recipe.stock
    made = coupon_for("stiff", found.design.tools, half_cut=True)
    sheet = coupon_drawing(made, stock)
    told = how_to_drawing(
        "stiff", "score-board-metric", "stiff.csv", made.score_face, half_cut=True
    )
    for drawing in (sheet, told):
        words = " ".join(label.text for label in drawing.labels).lower()
        assert "half through" in words and "away from" in words
        assert "bead" not in words and "score on" not in words and "groove" not in words
    assert "half-cut" in {stroke.kind for stroke in sheet.strokes}
    assert "score" not in {stroke.kind for stroke in sheet.strokes}


def test_words_say_what_is_taken_for_granted(tmp_path: Path) -> None:
    """1.21 mm of 1.5 are taken; a word's meaning has both rules, and no caution calls it one that
    was made for thinner paper."""
    assert uncalibrated_allowance(T)[0] == pytest.approx(GROWN, abs=1e-9)
    text = " ".join(check_text(checked(tmp_path, LIDDED)).split())
    assert "1.21 mm of allowance is a rule of thumb" in text
    assert "the rule of thumb for a fold cut half through" in text and "thinner paper" not in text
    assert "0.61 of the caliper, 0.80 where board is cut half through" in WORDS["crease allowance"]
