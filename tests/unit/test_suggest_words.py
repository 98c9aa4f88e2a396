"""What stands below suggestions: what makes a box of the design right, and where its lines lie."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.outputs.suggest_text import right_words
from tests.cli.commands import ROOT

LID = "the lid goes on as wanted with its rim off the table and does not shift about"
FITS = "the contents go in, and no part fights itself"
SAID = {
    "lantern": f"right: {LID}, {FITS}",
    "ferry": f"right: {LID}, what stands in the base is no higher than the lid allows, the slots "
    f"go over each other, the dividers go into the base, {FITS}",
}


@pytest.mark.parametrize("name", SAID)
def test_all_that_makes_a_box_right_is_said(name: str) -> None:
    """As the README defines it: lid, shifting about, height, contents, whatever slides, parts."""
    assert right_words(read_design(ROOT / "models" / f"{name}.toml")) == SAID[name]


def test_a_drawer_is_not_to_shift_about_unless_loose_is_welcome(tmp_path: Path) -> None:
    text = (
        'format = 1\ntitle = "Drawer"\nunit = "mm"\n{}'
        '[base]\nstyle = "tray"\nstock = "cover-80"\nfloor = [50, 80]\ndepth = 20\n'
        '[sleeve]\nstyle = "sleeve"\nstock = "cover-80"\nalong = "length"\nease = [2, 2]\n'
    )
    path = tmp_path / "drawer.toml"
    drawer = "right: the drawer goes into the sleeve"
    for want, steady in (("", " and does not shift about"), ('want = ["slides", "loose"]\n', "")):
        path.write_text(text.format(want))
        assert right_words(read_design(path)) == f"{drawer}{steady}, {FITS}"
