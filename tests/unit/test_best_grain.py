"""Which way the grain runs best is told where it matters and nobody said it.

Common practice, no source: a hinge and a ring's folds want the grain parallel to them, long walls
stand straighter with the grain along them.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from fitcheck.drawing.page_sizes import Paper
from fitcheck.outputs.new_text import new_text
from fitcheck.outputs.steps_text import steps_text
from fitcheck.proposals.proposal import proposed
from fitcheck.proposals.wish import Sits, Wish
from fitcheck.sheet.job import sheet_job
from fitcheck.units import Unit
from fitcheck.workspace.paths import search_roots
from tests.agreement.test_suggest_parts import read, text_of

TOLD = "the grain is best along the sheet's "


def told(folder: Path, text: str) -> dict[str, list[str]]:
    """What each part's first step says of the grain."""
    job = sheet_job(read(folder, text), Paper.A4, (), 1)
    said = {
        sheet.name: [detail for detail in sheet.instructions[0].details if "grain" in detail]
        for sheet in job.sheets
    }
    assert steps_text(job).count(TOLD) == sum(len(lines) for lines in said.values())
    return said


@pytest.mark.parametrize(
    ("name", "part", "words"),
    [
        # the lid hangs on the back wall, which runs along the width
        ("cards", "base", "width: a hinge opens smoothest and lasts longest along the grain"),
        # a carton's lids hang on its front and back, folds that run along the width too
        ("whist", "base", "width: a hinge opens smoothest and lasts longest along the grain"),
        # a ring is a strip along the width, folded across it
        ("boathouse", "collar", "length: its folds are smoothest along the grain"),
        ("tea", "sleeve", "length: its folds are smoothest along the grain"),
        # 75 x 155 mm
        ("ferry", "base", "length: long walls stand straighter with the grain along them"),
    ],
)
def test_each_part_that_it_matters_for_says_it_once(
    tmp_path: Path, name: str, part: str, words: str
) -> None:
    assert told(tmp_path, text_of(name))[part] == [TOLD + words]


def test_a_box_on_its_side_wants_the_grain_along_its_width(tmp_path: Path) -> None:
    said = told(tmp_path, text_of("lantern", floor="[165, 80]"))
    assert said["base"] == [f"{TOLD}width: long walls stand straighter with the grain along them"]


def test_nothing_is_told_where_it_hardly_matters_or_is_given(tmp_path: Path) -> None:
    """70 x 80 mm; and a design that says which way it runs."""
    assert told(tmp_path, text_of("lantern")) == {"base": [], "lid": []}
    text = text_of("cards").replace("[base]", '[base]\ngrain = "length"', 1)
    assert told(tmp_path, text)["base"] == []


def test_a_new_design_has_a_line_for_it_that_can_be_taken() -> None:
    wish = Wish(
        "box",
        "tray",
        Unit.MM,
        "score-board-metric",
        {"base": "index-110"},
        (("card-id1", 1),),
        Sits.SLIDES,
    )
    text = new_text(wish, proposed(wish, search_roots()).data)
    (line,) = [line for line in text.splitlines() if "grain" in line]
    assert line.startswith('# grain = "length" ') and "the paper's fibres run along" in line
    assert len(line) <= 100
    told = tomllib.loads(text.replace("# grain", "grain"))
    assert told["base"]["grain"] == "length" and "grain" not in told["lid"]
