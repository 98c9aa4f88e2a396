"""The first lines of a check: what no sheet holds is said there, and one change is named, not two.

Sheets by arithmetic: a tray of floor W x L and depth H is cut from (W + 2 H) x (L + 2 H), and the
largest sheet in common use is 304.8 mm square. Wanted words are written out.
"""

from __future__ import annotations

import re
from pathlib import Path

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.odds.odds import odds_of
from fitcheck.odds.staged import staged
from fitcheck.outputs.check_json import check_data
from fitcheck.outputs.check_text import check_text, headline
from fitcheck.outputs.report.model import verdict_sentence

TRAY = """
format = 1
title = "Chart case"
unit = "mm"
[base]
style = "tray"
stock = "cardstock-270"
floor = [{floor}]
depth = 31
"""
CONTENT = """
[[content]]
item = "badge-button"
lay = "flat"
"""
LID = """
[lid]
style = "tray"
stock = "cardstock-270"
oversize = 2
depth = 12
"""
COLLAR = """
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
ease = 1.5
rise = 10
[lid]
style = "tray"
stock = "cardstock-270"
oversize = 0
depth = 25
"""
LIGHT = """
format = 1
title = "Lamp oil"
unit = "in"
[base]
style = "tuck-end"
stock = "cardstock-270"
floor = ["2 1/8", "2 1/8"]
depth = "{depth}"
short = "1/16"
tuck = "7/16"
seam = "1/2"
[[content]]
item = "tall"
lay = "end"
"""
ITEMS = """
[tall]
kind = "cylinder"
size = [46, 151]
size_u = [0.3, 0.3]
source = "invented for tests"
"""


def read(folder: Path, text: str) -> Check:
    (folder / "models").mkdir(exist_ok=True)
    (folder / "models" / "items.toml").write_text(ITEMS)
    path = folder / "models" / "case.toml"
    path.write_text(text)
    return check(read_design(path))


def test_a_base_that_no_sheet_holds_is_named_in_the_first_line(tmp_path: Path) -> None:
    """300 + 62 = 362 mm is more than 304.8 mm."""
    found = read(tmp_path, TRAY.format(floor="300, 300") + CONTENT)
    assert found.fits, "whether it fits is another question"
    assert headline(found) == "Chart case: everything fits, but no sheet here holds the base"
    odds = odds_of(found, 500)
    assert headline(found, odds).endswith("come out right, but no sheet here holds the base")
    assert verdict_sentence(found).endswith(
        ": the contents go in. But no sheet here holds the base."
    )
    assert verdict_sentence(found, "there").endswith(" But no sheet there holds the base.")


def test_several_parts_are_named_together(tmp_path: Path) -> None:
    """The lid's 302 + 24 = 326 mm is too much as well."""
    found = read(tmp_path, TRAY.format(floor="300, 300") + LID)
    assert "but no sheet here holds the base or the lid" in headline(found)


def test_what_a_sheet_holds_is_not_spoken_of(tmp_path: Path) -> None:
    """242 + 62 = 304 mm."""
    assert "sheet" not in headline(read(tmp_path, TRAY.format(floor="242, 242") + CONTENT))


def test_a_ring_of_two_strips_is_no_such_case(tmp_path: Path) -> None:
    """Round 90 x 110 mm a strip of over 400 mm goes; its half, some 200 mm and a flap, is held."""
    found = read(tmp_path, COLLAR.format(floor="92, 112"))
    assert [one.piece for one in found.findings if one.code == "sheet-too-large"] == ["collar"]
    assert "sheet" not in headline(found)


def test_the_line_of_a_content_names_no_other_change_than_better_does(tmp_path: Path) -> None:
    found = read(tmp_path, LIGHT.format(depth="5 7/8"))
    assert not found.fits
    *_, odds = staged(found, 4_000)
    assert odds.advice is not None and odds.advice.after.share > 0.9
    said = check_text(found, odds)
    assert re.search(r"\d mm too tall\n", said), said
    assert said.count("make the base") == 1, "only the change that helps most"
    assert "make the base" in check_text(found), "alone it is what there is to say"
    assert check_data(found)["contents"][0]["cure"]["base_depth_mm"] is not None


def test_a_ring_of_which_no_sheet_holds_half_has_to_be_smaller(tmp_path: Path) -> None:
    """Half of a ring in 300 x 300 mm is some 600 mm long."""
    found = read(tmp_path, COLLAR.format(floor="300, 300"))
    (said,) = [
        one.message
        for one in found.findings
        if one.code == "sheet-too-large" and one.piece == "collar"
    ]
    assert "nor from two strips" in said and "make it smaller" in said
    assert "how two strips make it" not in said
    assert headline(found).endswith("no sheet here holds the base or the lid or the collar")
