"""Board too thick to press into a crease is named wherever it is folded.

From about 0.6 mm on board is cut half through or grooved (common practice, no source). Wanted words
are written out; papers and boxes are invented.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.drawing.shapes import LineKind
from fitcheck.fit.check import check
from fitcheck.outputs.publish.columns import card_of
from fitcheck.outputs.publish.film import cues
from fitcheck.outputs.sheet_json import sheet_json
from fitcheck.outputs.steps_text import steps_text
from fitcheck.outputs.table_text import table_markdown
from fitcheck.sheet.job import sheet_job
from fitcheck.sheet.table import measurement_tables
from fitcheck.workspace.paths import shipped_workspace

BOARD = """\
format = 1
kind = "board"
grammage_gsm = 700
caliper_mm = {caliper}
caliper_u_mm = 0.02
{more}
source = "invented"
"""
TRAY = """\
format = 1
title = "Ink tray"
unit = "mm"
tools = "score-board-metric"
[base]
style = "tray"
stock = "index-110"
floor = [90, 120]
depth = 30
"""
FOLDED = TRAY.replace("index-110", "stiff")
FLAT = """\
[dividers]
style = "dividers"
stock = "stiff"
rows = 2
columns = 2
ease = 1
slot = 0.5
"""


def told(folder: Path, design: str, caliper: float, more: str = "") -> tuple[list[str], str]:
    """The cautions of a check about thick board, and the steps."""
    shelf = folder / "calibration" / "stocks"
    shelf.mkdir(parents=True)
    (shelf / "stiff.toml").write_text(BOARD.format(caliper=caliper, more=more))
    path = folder / "tray.toml"
    path.write_text(design)
    own = read_design(path, roots=(folder, shipped_workspace()))
    found = check(own)
    assert found.fits, "a caution is no fault"
    said = [
        one.message
        for one in found.findings
        if one.severity == "caution" and "too thick to press" in one.message
    ]
    return said, steps_text(sheet_job(own, Paper.A4, (), 1))


@pytest.mark.parametrize("caliper", [0.6, 1.5])
def test_thick_board_is_cautioned_in_check_and_steps(tmp_path: Path, caliper: float) -> None:
    (said,), steps = told(tmp_path, FOLDED, caliper)
    assert said.startswith(f"stiff is {caliper} mm thick, too thick to press into a crease")
    for words in ("cut half through or groove", "outside of its fold", "coupon", "the odds"):
        assert words in said
    assert f"Caution: {said}" in steps


def test_a_measured_board_rests_on_its_coupon(tmp_path: Path) -> None:
    measured = "crease_allowance_mm = 0.40\ncrease_allowance_u_mm = 0.03"
    (said,), _ = told(tmp_path, FOLDED, 1.0, measured)
    assert "the way its coupon was" in said and "the odds" not in said


@pytest.mark.parametrize(("design", "caliper"), [(FOLDED, 0.55), (TRAY + FLAT, 1.0)])
def test_thinner_paper_and_what_is_not_folded_have_no_such_caution(
    tmp_path: Path, design: str, caliper: float
) -> None:
    """Strips that stand in slots are cut and not folded."""
    said, steps = told(tmp_path, design, caliper)
    assert said == [] and "too thick to press" not in steps


@pytest.mark.parametrize("caliper", [0.55, 0.6, 1.5])
def test_steps_of_thick_board_are_those_of_folds_cut_half_through(
    tmp_path: Path, caliper: float
) -> None:
    """A cut raises no bead and has no ridge to sharpen; scissors cut no board of 1.5 mm. It ends
    where its fold does: what is cut half through comes apart (common practice, no source)."""
    _, steps = told(tmp_path, FOLDED, caliper)
    thick = caliper >= 0.6
    for words in ("towards the bead", "sharpen", "bone folder", "with scissors", "Score "):
        assert (words in steps) != thick, words
    for words in (
        "Cut half through, in light strokes along a steel rule",
        "in several light strokes of a knife",
        "Fold all 8 creases up, away from each cut, one after the other, and open it again",
    ):
        assert (words in steps) == thick, words


def test_the_sheet_of_thick_board_shows_and_lists_cuts_half_through(tmp_path: Path) -> None:
    told(tmp_path, FOLDED, 1.5)
    design = read_design(tmp_path / "tray.toml", roots=(tmp_path, shipped_workspace()))
    job = sheet_job(design, Paper.A4, (), 1)
    table = table_markdown(design, measurement_tables(job))
    assert table.count("cut half through |") == 4 and "pressed |" not in table
    data = json.loads(sheet_json(job))["parts"]["base"]["scores"]
    assert [(line["half_cut"], line["face"]) for line in data] == [(True, "outside")] * 4
    kinds = {stroke.kind for stroke in job.sheets[0].drawing.strokes}
    assert LineKind.HALF_CUT in kinds and LineKind.SCORE not in kinds
    tools = {thing for cue in cues(job) for thing in cue.table}
    assert "knife" in tools and "scoring tool" not in tools


@pytest.mark.parametrize(("caliper", "thick"), [(0.55, False), (1.5, True)])
def test_corners_folded_in_are_cut_half_through_in_thick_board(
    tmp_path: Path, caliper: float, thick: bool
) -> None:
    """Their slanted creases fold flat the other way: board is cut for that on the inside, as the
    drawing shows, and neither scored nor told so in any text."""
    _, steps = told(tmp_path, FOLDED + 'corner = "folded"\n', caliper)
    assert (
        "so that its inside is up. Cut half through at all four corners, in light strokes along a "
        "steel rule, from point to point:" in steps
    ) == thick
    assert ("Score at all four corners, along a rule, from point to point:" in steps) != thick
    assert thick == ("core" not in steps.replace("first score from", "")), steps
    design = read_design(tmp_path / "tray.toml", roots=(tmp_path, shipped_workspace()))
    job = sheet_job(design, Paper.A4, (), 1)
    kinds = {stroke.kind for stroke in job.sheets[0].drawing.strokes}
    assert (LineKind.HALF_CUT_OVER in kinds) == thick
    (slants,) = [cue for cue in cues(job) if "from point to point" in cue.line]
    verb = "cut half through" if thick else "score"
    assert slants.line == f"Turn it over and {verb} across the corners from point to point."
    assert ("scoring tool" in slants.table) != thick and ("knife" in slants.table) == thick
    rows = [row.what for row in card_of(job, None) if row.what.startswith("slanted scores")]
    assert rows == ["slanted scores, on the inside" + ", cut half through, not pressed" * thick]
