"""A ring that no sheet holds in one piece is told and drawn as the two strips that are cut.

By arithmetic: in a floor of 92 x 112 mm with 2 mm of ease the walls are 90 and 110 mm wide, so one
strip with a seam of 12 mm is 2 x (90 + 110) + 12 = 412 mm long: more than the 304.8 mm of the
largest sheet in common use; each of two is 90 + 110 + 12 = 212 mm; 25 + 10 = 35 mm high. Between a
flap and two walls there are two folds; round a whole ring there are four.
"""

from __future__ import annotations

import base64
import re
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.odds.suggest import suggest
from fitcheck.outputs.check_json import check_data
from fitcheck.outputs.check_text import check_text
from fitcheck.outputs.report.model import report_of
from fitcheck.outputs.report.render import report_page
from fitcheck.outputs.suggest_text import suggest_text

CASE = """
format = 1
title = "Sextant case"
unit = "mm"
[base]
style = "tray"
stock = "cardstock-270"
floor = [{floor}]
depth = 25
[collar]
style = "collar"
stock = "cardstock-270"
ease = 2
rise = 10
seam = 12
"""


def case(folder: Path, floor: str) -> Check:
    path = folder / "case.toml"
    path.write_text(CASE.format(floor=floor))
    return check(read_design(path))


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Check:
    return case(tmp_path_factory.mktemp("large"), "92, 112")


def test_the_check_says_what_to_cut(large: Check) -> None:
    said = check_text(large)
    assert "cut 2 of       212 x 35 mm (" in said and "412 x 35" not in said
    assert check_data(large)["parts"]["collar"]["cut_as"] == {
        "copies": 2,
        "sheet_mm": {"width": 212.0, "length": 35.0},
    }


def test_a_suggestion_says_what_to_cut(large: Check) -> None:
    """Six strips of 35 mm lie beside each other on the 210 mm of A4, 212 of its 297 mm long."""
    found = suggest(large.design, 2_000)
    said = " ".join(suggest_text(found).split())
    assert "collar 2 sheets, each 212 x 35 mm (8 11/32 x 1 3/8 in), 6 from A4" in said
    assert "412 x 35" not in said and "more than any sheet" not in said


def test_the_report_lists_and_draws_a_strip(large: Check) -> None:
    report = report_of(large)
    (shown,) = [one for one in report.sheets if one.part == "collar"]
    assert shown.words.startswith(
        "One of 2 strips of the collar from cardstock-270, 212 by 35 mm ("
    )
    assert "with 2 folds." in shown.words
    # the drawing holds the strip and its notes; the whole ring would be 412 mm by itself
    drawn = base64.b64decode(shown.image.split(",", 1)[1]).decode()
    (width,) = re.findall(r'<svg[^>]*? width="([\d.]+)mm"', drawn)
    assert 212.0 < float(width) < 300.0
    page = report_page(report)
    rows = dict(
        re.findall(r'<th scope="row">(strips to cut|each strip)</th><td>(.*?)</td>', page, re.S)
    )
    text = {what: " ".join(re.sub("<[^>]+>", "", cell).split()) for what, cell in rows.items()}
    assert text["strips to cut"] == "2"
    assert text["each strip"].startswith("212 mm") and "35 mm" in text["each strip"]
    (collar,) = [rows for name, _, rows in report.figures.parts if name == "collar"]
    assert "sheet to cut" not in {row.label for row in collar}


def test_a_ring_that_a_sheet_holds_is_one_strip(tmp_path: Path) -> None:
    """2 x (58 + 78) + 12 = 284 mm."""
    found = case(tmp_path, "60, 80")
    assert "cut the sheet  284 x 35 mm (" in check_text(found)
    assert "cut_as" not in check_data(found)["parts"]["collar"]
    (shown,) = [one for one in report_of(found).sheets if one.part == "collar"]
    assert shown.words.startswith("Flat sheet of the collar") and "with 4 folds." in shown.words
