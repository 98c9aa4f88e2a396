"""A paper of which a maker knows only the weight: the nearest ones are named, and lines to write.

Weights are what the shipped files say; thickness is weight times bulk (220 g/m2 x 1.22 cm3/g =
0.268 mm), and a rectangular spread of 20 % has a standard uncertainty of 0.2 / sqrt(3) of it
(JCGM 100, 4.3.7): 0.031 mm.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cli.commands import fitcheck

BOX = """format = 1
title = "A box for a thimble"
unit = "mm"
[base]
style = "tray"
stock = "{paper}"
floor = [40, 40]
depth = 30
"""
LINES = "caliper_mm = 0.268 and caliper_u_mm = 0.031"


@pytest.mark.parametrize("paper", ["220 g", "220g", "220 gsm", "220 g/m2"])
def test_a_weight_in_place_of_a_name(tmp_path: Path, paper: str) -> None:
    (tmp_path / "box.toml").write_text(BOX.format(paper=paper))
    ran = fitcheck("check", "box.toml", "--no-odds", cwd=tmp_path)
    assert ran.status == 2 and ran.err.count("\n") == 1
    near = re.search(r"nearest in weight: (.*?);", ran.err)
    assert near is not None, ran.err
    weights = [float(gsm) for gsm in re.findall(r"\(([\d.]+) g/m2\)", near[1])]
    assert "cover-80 (216 g/m2)" in near[1] and len(weights) == 3
    assert [abs(gsm - 220) for gsm in weights] == sorted(abs(gsm - 220) for gsm in weights)
    assert "grammage_gsm = 220" in ran.err and LINES in ran.err


def test_a_file_with_the_weight_alone_is_told_what_to_write_and_takes_it(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    stocks = tmp_path / "calibration" / "stocks"
    stocks.mkdir(parents=True)
    text = 'format = 1\nkind = "cardstock"\ngrammage_gsm = 220\nsource = "the wrapper"\n'
    (stocks / "wrapper.toml").write_text(text)
    (tmp_path / "models" / "box.toml").write_text(BOX.format(paper="wrapper"))
    ran = fitcheck("check", "box", "--no-odds", cwd=tmp_path)
    assert ran.status == 2 and LINES in ran.err and "a stack of ten sheets" in ran.err
    (stocks / "wrapper.toml").write_text(text + LINES.replace(" and ", "\n") + "\n")
    ran = fitcheck("check", "box", "--no-odds", cwd=tmp_path)
    assert ran.status == 0 and "caliper 0.268 mm" in ran.out, ran.err


@pytest.mark.parametrize("paper", ["220", "g", "2 g", "cover-220", "99999 g"])
def test_another_name_is_no_weight(tmp_path: Path, paper: str) -> None:
    (tmp_path / "box.toml").write_text(BOX.format(paper=paper))
    ran = fitcheck("check", "box.toml", "--no-odds", cwd=tmp_path)
    assert ran.status == 2 and "nearest in weight" not in ran.err
