"""The first lines of a check: one change is named there, not two. Wanted words are written out."""

from __future__ import annotations

import re
from pathlib import Path

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.odds.staged import staged
from fitcheck.outputs.check_json import check_data
from fitcheck.outputs.check_text import check_text

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
