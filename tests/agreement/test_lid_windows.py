"""A window in a tray's lid takes paper away and nothing of how the lid goes on."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

import fitcheck
from fitcheck.cli.main import app
from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.feel.weights import paper_g
from fitcheck.fit.check import Check, check
from fitcheck.outputs.check_text import check_text
from tests.face_designs import lidded_tray

BOX = """
format = 1
title = "Six macarons"
unit = "mm"
tools = "score-board-metric"
[base]
style = "tray"
stock = "cover-100"
floor = [56, 150]
depth = {depth}
[lid]
style = "tray"
stock = "cover-80"
oversize = [1.5, 2]
depth = 10
corner = "{corner}"
{window}
[[content]]
item = "toffee-wrapped"
count = 6
lay = "flat"
"""
WINDOW = "window = [36, 121]"


def made(folder: Path, window: str = WINDOW, depth: float = 50, corner: str = "cut") -> Check:
    file = folder / "box.toml"
    file.write_text(BOX.format(window=window, depth=depth, corner=corner))
    return check(read_design(file))


@pytest.mark.parametrize("corner", ["cut", "folded"])
def test_it_takes_nothing_of_the_fit(tmp_path: Path, corner: str) -> None:
    """By hand: what is cut out of the middle of a floor meets no wall of the base."""
    plain, cut = (made(tmp_path, window, corner=corner) for window in ("", WINDOW))
    assert plain.lid is not None
    assert cut.lid is not None
    assert cut.lid.slide.play_mm == pytest.approx(plain.lid.slide.play_mm, abs=1e-9)
    assert cut.lid.closed_height_mm == pytest.approx(plain.lid.closed_height_mm, abs=1e-9)


def test_it_weighs_what_is_left(tmp_path: Path) -> None:
    """By hand: 36 x 121 mm of card of 216 g/m2 are 0.941 g."""
    plain, cut = (made(tmp_path, window).assembly.lid for window in ("", WINDOW))
    assert plain is not None
    assert cut is not None
    grams = cut.recipe.stock.mass_gsm * 36 * 121 * 1e-6
    assert paper_g(plain) - paper_g(cut) == pytest.approx(grams, abs=1e-9)


def test_its_solid_has_a_hole(tmp_path: Path) -> None:
    """By hand: the volume falls by area times caliper, and the hole is in the middle."""
    part = {"inside": [56, 150], "depth": 30}
    with_it = lidded_tray(part, 12, {"item": "toffee-wrapped", "count": 2})
    with_it["lid"]["window"] = [36, 121]
    without = {**with_it, "lid": {k: v for k, v in with_it["lid"].items() if k != "window"}}
    cut, plain = (
        fitcheck.check(fitcheck.build(box)).parts["lid"].mesh() for box in (with_it, without)
    )
    assert cut.is_watertight
    lost = plain.volume - cut.volume
    caliper = 0.222
    assert lost == pytest.approx(36 * 121 * caliper, rel=0.005)
    assert np.abs((plain.center_mass * plain.volume - cut.center_mass * cut.volume)[:2]).max() < (
        0.05 * lost
    )


def test_the_clear_sheet_is_told(tmp_path: Path) -> None:
    """Four millimetres beyond the window on each side, common practice, no source."""
    said = check_text(made(tmp_path))
    assert "window         36 x 121 mm" in said
    assert "a clear sheet of 44 x 129 mm" in said
    run = CliRunner().invoke(app, ["sheet", str(tmp_path / "box.toml"), "-o", str(tmp_path / "s")])
    assert run.exit_code == 0, run.output
    steps = (tmp_path / "s" / "box-steps.txt").read_text()
    assert "glue a clear sheet of 44 x 129 mm" in steps
    assert "mat for the lid's top" not in steps
    assert "mats for the lid's sides" in steps
    told = tmp_path / "told.json"
    CliRunner().invoke(app, ["check", str(tmp_path / "box.toml"), "--no-odds", "--json", str(told)])
    lid = json.loads(told.read_text())["parts"]["lid"]
    assert lid["window_mm"] == {"width": 36.0, "length": 121.0}
    assert lid["pane_mm"] == {"width": 44.0, "length": 129.0}


@pytest.mark.parametrize(("depth", "warned"), [(14.3, True), (16, False)])
def test_contents_just_under_it_are_warned_of(tmp_path: Path, depth: float, warned: bool) -> None:
    """By hand: a toffee is 14 mm high, a clear sheet with its tape some 0.3 mm."""
    assert ("clear sheet behind its" in check_text(made(tmp_path, depth=depth))) is warned


def test_a_frame_is_left_round_it(tmp_path: Path) -> None:
    """5 mm on each side of 57.5 mm, common practice, no source."""
    with pytest.raises(InputError, match=r"lid\.window: leaves no frame along the width"):
        made(tmp_path, "window = [50, 120]")
    made(tmp_path, "window = [47, 120]")


def test_only_a_lid_has_one(tmp_path: Path) -> None:
    file = tmp_path / "base.toml"
    text = BOX.format(window="", depth=50, corner="cut")
    file.write_text(text.replace("[base]", "[base]\nwindow = [20, 20]"))
    with pytest.raises(InputError, match=r"base\.window: belongs to a lid"):
        read_design(file)
