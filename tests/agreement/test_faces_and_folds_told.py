"""Which face of a sheet is up, and which way its creases fold, in the words of the steps.

Paper that is cut half through opens at the cut and folds away from it (common practice, no source);
a crease that is pressed folds towards its bead. What has no crease has no inside and no outside.
"""

from __future__ import annotations

from pathlib import Path

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.outputs.publish.film import cues
from fitcheck.outputs.steps_text import plain_lines
from fitcheck.sheet.job import SheetJob, sheet_job
from fitcheck.stock.bought_sheets import Bought
from tests.cli.commands import ROOT

CASE = """
format = 1
title = "A case for slides"
unit = "mm"
[base]
style = "hinged-tray"
stock = "cardstock-270"
floor = [60, 88]
depth = 25
lip = 12
front = "in"
hinge = "half cut"
"""
RING = """
format = 1
title = "A long box with a shoulder"
unit = "mm"
[base]
style = "tray"
stock = "cover-80"
floor = [135, 55]
depth = 20
[collar]
style = "collar"
stock = "cover-65"
ease = [7, 7]
rise = 10
[lid]
style = "tray"
stock = "cover-80"
oversize = [2, 2]
depth = 16
"""
CELLS = """
format = 1
title = "Four cells"
unit = "in"
[base]
style = "tray"
stock = "cover-80"
floor = ["5", "7"]
depth = "1"
[dividers]
style = "dividers"
stock = "index-110"
rows = 2
columns = 2
ease = "1/16"
"""


SHEET = Bought("letter", 215.9, 279.4)


def job_of(folder: Path, text: str) -> SheetJob:
    """The sheets of a design in a workspace of its own."""
    (folder / "models").mkdir()
    path = folder / "models" / "one.toml"
    path.write_text(text)
    return sheet_job(read_design(path, roots=[ROOT]), Paper.LETTER, [SHEET], 1, paged=False)


def test_a_hinge_that_is_cut_half_through_folds_away_from_its_cut(tmp_path: Path) -> None:
    (base,) = job_of(tmp_path, CASE).sheets
    (fold,) = [told.text for told in base.instructions if "Fold all" in told.text]
    assert (
        "towards the bead that its score raised (what is cut half through: away from its cut)"
        in (fold)
    )


def test_each_of_two_strips_is_laid_with_a_face_up(tmp_path: Path) -> None:
    (collar,) = [one for one in job_of(tmp_path, RING).sheets if one.name == "collar"]
    first, *others = [told.text for told in collar.instructions]
    assert "cut 2 sheets, all alike" in first
    assert "Lay each with the face up that will be the outside of the collar, and pencil" in first
    assert any("so that its inside is up" in text for text in others)


def test_what_is_never_folded_may_lie_with_either_face_up(tmp_path: Path) -> None:
    job = job_of(tmp_path, CELLS)
    strips = [one for one in job.sheets if one.name.startswith("dividers")]
    assert len(strips) == 2
    assert {"Cut a slot into the strip across.", "Cut a slot into the strip along."} <= {
        cue.line for cue in cues(job)
    }
    for one in strips:
        first, slot, *_ = [told.text for told in one.instructions]
        assert "Lay it with either face up, and pencil its edges" in first
        assert "outside" not in first
        # a number before the width read as one of it: "slot 1 1.1 mm wide"
        assert slot.startswith("Cut a slot a hair over 1/32 in (")


def test_one_box_is_bought_for_in_words_that_go_with_any_name(tmp_path: Path) -> None:
    lines = plain_lines(job_of(tmp_path, CELLS))
    bought = [line for line in lines if line.startswith("For 1 box, ") and "index-110" in line]
    assert bought
    assert all("box, the dividers across and dividers along: " in line for line in bought)
