"""What a second look at ordinary designs found: answers that arithmetic contradicts, or no help."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.findings import Severity
from fitcheck.fit.check import Check, check
from fitcheck.fit.cures import cures_of
from fitcheck.fit.remarks import lid_findings
from fitcheck.odds.odds import odds_of
from fitcheck.outputs.check_text import check_text, headline
from fitcheck.outputs.cure_text import cure_text

ITEMS = """
[caramel]
kind = "block"
size = [20, 20, 15]
size_u = [0.2, 0.2, 0.2]
source = "invented"
[ball]
kind = "sphere"
size = [40]
source = "invented"
[truffle]
kind = "sphere"
size = [28]
source = "invented"
[rod]
kind = "cylinder"
size = [6, 98]
source = "invented"
"""


def designed(tmp_path: Path, text: str, unit: str = "mm") -> Check:
    models = tmp_path / "models"
    models.mkdir(exist_ok=True)
    (models / "items.toml").write_text(ITEMS)
    path = models / "box.toml"
    path.write_text(f'format = 1\ntitle = "A box"\nunit = "{unit}"\n{text}')
    return check(read_design(path))


def tray(floor: str, depth: str, more: str = "") -> str:
    return f'[base]\nstyle = "tray"\nstock = "cover-80"\nfloor = {floor}\ndepth = {depth}\n{more}'


def lid(keys: str) -> str:
    return f'[lid]\nstyle = "tray"\nstock = "cover-80"\n{keys}\n'


def content(item: str, count: int = 1, lay: str = "any") -> str:
    return f'[[content]]\nitem = "{item}"\ncount = {count}\nlay = "{lay}"\n'


def test_four_sweets_stand_two_by_two_where_there_is_room(tmp_path: Path) -> None:
    """Three abreast would press into 60.33 mm; two by two leave 20 mm and more: no box fails."""
    found = designed(tmp_path, tray("[60.5, 100]", "20", content("caramel", 4, "flat")))
    slack = found.contents[0].slack
    assert slack is not None
    # W - 2 (t - a) less two caramels; the walls that carry the tabs run along the length
    assert slack.width_mm == pytest.approx(60.5 - 2 * 0.0872 - 40.0, abs=0.01)
    assert odds_of(found, 2_000, folded_again=0).good.share > 0.995


def test_a_lid_that_shifts_along_one_axis_is_not_right(tmp_path: Path) -> None:
    """8 mm wider than its base across the width: 7.6 mm of play, however snug the length is."""
    found = designed(tmp_path, tray("[60, 90]", "20") + lid("oversize = [8, 2]\ndepth = 15"))
    assert found.lid is not None and found.lid.verdict == "slides"
    assert found.lid.slide.travels[0].play_mm == pytest.approx(
        8 - 2 * 0.0872 - 2 * 0.1348, abs=0.01
    )
    assert not found.fits
    assert [f.code for f in found.findings if f.severity is Severity.FAULT] == ["lid-shifts"]
    (said,) = [f.message for f in found.findings if f.code == "lid-shifts"]
    # 7.56 mm less the 1.5 mm at which a lid is loose, in half millimetres and no less
    assert "make it 6.5 mm smaller there" in said
    assert "too loose one way" in headline(found)
    assert odds_of(found, 2_000, folded_again=0).good.share < 0.01
    wanted = tray("[60, 90]", "20") + lid("oversize = [8, 2]\ndepth = 15")
    assert designed(tmp_path, 'want = ["slides", "loose"]\n' + wanted).fits


def test_a_lid_with_play_that_its_size_does_not_give_is_not_told_to_be_smaller(
    tmp_path: Path,
) -> None:
    """26.8 mm of play over 1.3 mm of size, as over a wall that its rim ends above: 25.3 mm less
    size would press by 24 mm."""
    found = designed(tmp_path, tray("[60, 90]", "20") + lid("oversize = [2, 2]\ndepth = 15"))
    assert found.lid is not None
    first, last = found.lid.slide.travels
    assert last.low is not None
    far = replace(last.low, travel_mm=last.low.travel_mm + 26.8)
    slide = replace(found.lid.slide, travels=(first, replace(last, high=far)))
    shifting = replace(found.lid, slide=slide)
    (said,) = lid_findings(shifting, found.design, over_mm=(1.3, 1.3))
    assert said.code == "lid-shifts" and "smaller there" not in said.message
    assert "only 1.30 mm larger than the base there" in said.message
    assert "make it deeper, or the base's walls there higher" in said.message
    (said,) = lid_findings(shifting, found.design, over_mm=(1.3, 26.5))
    assert "make it 25.5 mm smaller there" in said.message  # 26.8 - 1.5, in half millimetres


FRAME = (
    '[base]\nstyle = "shadow-box"\nstock = "cardstock-270"\nfloor = [110, 150]\ndepth = {depth}\n'
    "frame = {frame}\ninner_wall = {inner}\nflap = {flap}\n"
)


def test_a_deeper_base_is_said_with_the_inner_wall_that_goes_with_it(tmp_path: Path) -> None:
    closed = lid("oversize = [2.5, 1.5]\ndepth = 8") + content("card-id1")
    found = designed(tmp_path, FRAME.format(depth=10, frame=30, inner=10, flap=30) + closed)
    (cure,) = cures_of(found)
    assert cure is not None and cure.depth_mm is not None and cure.least_depth_mm is not None
    told = cure_text(cure, 1, found.design.unit)
    for depth in (cure.least_depth_mm, cure.depth_mm):
        assert f"its inner wall {depth:g} mm" in told
        deeper = FRAME.format(depth=depth, frame=30, inner=depth, flap=30)
        assert designed(tmp_path, deeper + closed).contents[0].verdict == "fits"


def test_a_flap_that_holds_the_feet_in_is_the_thing_to_cut(tmp_path: Path) -> None:
    """Nobody cuts a whole flap off, nor the inner walls: the flap's own trim sets all right."""
    text = FRAME.format(depth=20, frame=12, inner=19.5, flap=16)
    found = designed(tmp_path, text)
    pressing = [f for f in found.findings if f.code == "self-press"]
    assert len(pressing) == 1 and "off the flap" in pressing[0].message
    trim = max(roll.trim_mm for roll in found.assembly.base.folded.rolls)
    cut = FRAME.format(depth=20, frame=12, inner=19.5, flap=16 - math.ceil(2 * trim) / 2)
    assert not [f for f in designed(tmp_path, cut).findings if f.code == "self-press"]


def test_beside_a_frame_that_slopes_away_a_lid_holds_on_to_the_wall_alone(tmp_path: Path) -> None:
    """The outer wall ends 25 + 2 a above the table (a frame's rim); the lid's rim at the reveal."""
    text = FRAME.format(depth=25, frame=15, inner=30, flap=10) + lid("oversize = 2\ndepth = 15")
    found = designed(tmp_path, text)
    assert found.lid is not None
    growth = found.assembly.base.recipe.stock.crease_allowance_mm
    grip = 25 + 2 * growth - found.lid.reveal_mm
    assert found.lid.overlap_mm == pytest.approx(grip, abs=0.05)


def test_what_keeps_several_contents_out_is_said_of_all_of_them(tmp_path: Path) -> None:
    text = tray("[60, 90]", "30") + lid("oversize = [1.5, 2]\ndepth = 15")
    found = designed(tmp_path, text + content("ball") + content("truffle", 2))
    (fault,) = [f for f in found.findings if f.code == "content-does-not-fit"]
    assert fault.message.startswith("ball and 2 x truffle together: ")


def test_a_ball_that_stands_out_of_an_open_tray_presses_on_nothing(tmp_path: Path) -> None:
    text = check_text(designed(tmp_path, tray("[60, 90]", "20") + content("truffle")))
    assert "stands out" in text and "presses" not in text


def test_no_place_found_is_not_called_a_misfit(tmp_path: Path) -> None:
    text = tray("[82, 62]", "50") + lid("oversize = [1.5, 2]\ndepth = 50") + content("rod")
    found = designed(tmp_path, text)
    assert found.contents[0].verdict == "none found"
    assert "no place was found" in headline(found)
