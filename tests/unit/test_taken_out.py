"""How a content is taken out, said alike by the text, the JSON and the report.

Thicknesses are by hand: a ribbon of 0.3 mm (common practice, no source) over a rim takes as much of
a lid's play on its way, and leaves it as much to slide from 0.6 mm on.
"""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.outputs.check_json import check_data
from fitcheck.outputs.check_text import check_text
from fitcheck.outputs.report.model import report_of
from fitcheck.outputs.report.render import report_page
from tests.cli.commands import ROOT

CARTON = """format = 1
title = "Whist carton, lying"
unit = "in"
[base]
style = "tuck-end"
stock = "index-140"
floor = ["2 5/8", "3 5/8"]
depth = "7/8"
[[content]]
item = "deck-poker"
lay = "flat"
"""
FRAMED = """format = 1
title = "Whist deck, framed"
unit = "mm"
[base]
style = "shadow-box"
stock = "index-170"
floor = [90, 116]
depth = 25
frame = 10
flap = 8
[lid]
style = "tray"
stock = "index-110"
oversize = {over}
depth = 15
[[content]]
item = "deck-poker"
lay = "flat"
"""


def read(folder: Path, text: str) -> Check:
    (folder / "box.toml").write_text(text, encoding="utf-8")
    return check(read_design(folder / "box.toml", roots=[ROOT]))


def told(found: Check) -> tuple[str, str]:
    """The text and the report, each in one line without marks."""
    page = re.sub(r"<script.*?</script>|<[^>]+>", " ", report_page(report_of(found)), flags=re.S)
    return " ".join(check_text(found).split()), " ".join(html.unescape(page).split())


def without_lid(other: str = "") -> str:
    """The framed box with something else in its lid's place."""
    base, _, rest = FRAMED.partition("[lid]")
    return base + other + "[[content]]" + rest.partition("[[content]]")[2]


def test_what_is_in_a_carton_is_tipped_out(tmp_path: Path) -> None:
    """A notch in the rim that a lid is tucked in behind would let it gape."""
    found = read(tmp_path, CARTON)
    assert found.fits
    (content,) = check_data(found)["contents"]
    assert (content["way_out"], content["notch_radius_mm"]) == ("tip", None)
    assert not any("half-round" in said or "cut a notch" in said for said in told(found))


def test_nothing_is_made_to_take_out_what_does_not_go_in(tmp_path: Path) -> None:
    text = CARTON.replace("tuck-end", "tray").replace("2 5/8", "2 3/8")
    found = read(tmp_path, text)
    (content,) = check_data(found)["contents"]
    assert content["verdict"] == "does not fit"
    assert (content["way_out"], content["notch_radius_mm"]) == (None, None)
    assert not any("half-round" in said or "cut a notch" in said for said in told(found))


def test_a_notch_is_told_alike_in_the_units_of_the_design(tmp_path: Path) -> None:
    """A depth of 7/8 in and a deck of 15.75 mm: its top is about 6.3 mm below the rim, 5 mm to hold
    are at 11.5 mm in half millimetres, and the next thirty-second above is the fifteenth."""
    found = read(tmp_path, CARTON.replace("tuck-end", "tray"))
    (content,) = check_data(found)["contents"]
    assert (content["way_out"], content["notch_radius_mm"]) == ("notch", 11.5)
    assert all("a half-round notch of radius 15/32 in (11.9 mm)" in said for said in told(found))


DOUBLE = """format = 1
title = "Whist deck, double-walled"
unit = "in"
[base]
style = "{style}"
stock = "index-140"
inside = ["2 5/8", "3 5/8"]
depth = "7/8"
{more}
[[content]]
item = "deck-poker"
lay = "flat"
"""


@pytest.mark.parametrize("more", ["", 'rim = "1/4"', 'rim = "1/4"\nlock = "foot"'])
def test_no_notch_is_cut_through_a_double_wall(tmp_path: Path, more: str) -> None:
    """It would go through two walls and open the folds of the rim between them; what lies as deep
    in a plain tray takes one, and so does a tray whose corners alone are folded double."""
    found = read(tmp_path, DOUBLE.format(style="double-wall", more=more))
    (content,) = check_data(found)["contents"]
    assert (content["way_out"], content["notch_radius_mm"]) == ("ribbon", None)
    for said in told(found):
        assert "half-round" not in said and "lay a ribbon under it along the box's" in said
    for plain in ("", 'corner = "folded"'):
        (content,) = check_data(read(tmp_path, DOUBLE.format(style="tray", more=plain)))["contents"]
        assert content["way_out"] == "notch"


@pytest.mark.parametrize(
    ("over", "words"),
    [
        # corners push the lid out across its width by as much as they push out the base
        ("[0.5, 2.0]", "along the box's length, with an end over the rim"),
        ("[2.4, 0.8]", "along the box's width, with an end over the rim"),
        ("[0.8, 0.8]", "with its end tucked in inside the rim"),
        ("[3.0, 3.0]", "with an end over the rim"),
    ],
)
def test_a_ribbon_comes_over_the_rim_where_the_lid_has_room_for_it(
    tmp_path: Path, over: str, words: str
) -> None:
    found = read(tmp_path, FRAMED.format(over=over))
    assert found.lid is not None
    roomy = [axis for axis, travel in zip(("width", "length"), found.lid.slide.travels, strict=True)
             if travel.play_mm > 0.6]  # fmt: skip
    for said in told(found):
        assert words in said
        assert ("with an end over the rim" in said) is bool(roomy)
        assert not roomy or any(f"along the box's {axis}, with an end" in said for axis in roomy)


def test_a_ribbon_stays_inside_where_something_slides_over_the_box(tmp_path: Path) -> None:
    """Its end would lie between drawer and sleeve, which is where the drawer has its play."""
    sleeve = '[sleeve]\nstyle = "sleeve"\nstock = "cover-100"\nease = [2, 2]\n'
    text = (
        FRAMED.partition("[lid]")[0] + sleeve + "[[content]]" + FRAMED.partition("[[content]]")[2]
    )
    text = text.replace('"shadow-box"', '"tray"').replace("frame = 10\nflap = 8\n", "")
    found = read(
        tmp_path, text.replace("[90, 116]", "[70, 96]").replace("depth = 25", "depth = 45")
    )
    assert all("with its end tucked in inside the rim" in said for said in told(found))


def test_a_ribbon_of_an_open_box_comes_over_its_rim(tmp_path: Path) -> None:
    found = read(tmp_path, without_lid())
    assert all("with an end over the rim" in said for said in told(found))
