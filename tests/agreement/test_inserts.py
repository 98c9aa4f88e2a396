"""Mats and platforms against sections that are worked out by hand.

A tray with the floor F of a paper with caliper t and allowance a is F - 2 (t - a) wide between its
walls and D + a - t deep. A platform of the outside W has its scores at W - 2 a'; legs of H - a'
from score to edge stand its top H above the floor. A window of V leaves a block of B the play V - B
(the shared design's section 4; worked by hand).
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from fitcheck import kinds
from fitcheck.design.model import Content, Design, LidVerdict
from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.fit.assembly import assemble
from fitcheck.fit.check import check
from fitcheck.fit.contents import ContentVerdict
from fitcheck.fit.mates import MateFit
from fitcheck.kinds.kind import Item, Lay
from fitcheck.odds.odds import odds_of
from fitcheck.outputs.bench_words import Sizes
from fitcheck.outputs.check_json import check_data
from fitcheck.outputs.mate_text import mate_lines
from fitcheck.outputs.report.bodies import bodies_of
from fitcheck.pattern.pattern import flat_area
from fitcheck.pattern.plan import plan_of
from fitcheck.sheet.instructions import instructions_for
from fitcheck.sheet.steps import steps_for
from fitcheck.styles.insert_spec import InsertSpec
from fitcheck.styles.part import SizeBy
from fitcheck.units import Unit
from tests.agreement.test_odds_closed_forms import BASE_STOCK, design, stock

WIDE, LONG, DEEP = 80.0, 110.0, 23.0
"""The base's floor and depth."""
EASE = (0.9, 1.7)
HEIGHT = 7.0
PAPER = stock("insert paper", 0.24, 0.1)
BITE = BASE_STOCK.caliper_mm - BASE_STOCK.crease_allowance_mm
INSIDE = WIDE - 2 * BITE, LONG - 2 * BITE
BLOCK = (31.0, 44.0, 9.0)


def inserted(
    style: str = "platform",
    window: tuple[float, float] | None = None,
    height: float = HEIGHT,
    block: tuple[float, float, float] = BLOCK,
) -> Design:
    """The tray of 80 x 110 x 23 with its lid, an insert and a block that lies flat."""
    plain = design("tray", 2.0)
    base = replace(plain.base, depth_mm=DEEP)
    spec = InsertSpec(
        name="insert",
        style=style,
        stock=PAPER,
        size_by=SizeBy.EASE,
        size_mm=EASE,
        depth_mm=height if style == "platform" else PAPER.caliper_mm,
        window_mm=window,
    )
    item = Item("block", kinds.BLOCK, block, 0.0, None, (0.1, 0.1, 0.1), None, "", frozenset())
    assert plain.lid is not None
    parts = (base, replace(plain.lid, depth_mm=18.0), spec.beside(base))
    return replace(plain, parts=parts, contents=(Content(item, 1, Lay.FLAT),))


@pytest.mark.parametrize(("style", "height"), [("platform", HEIGHT), ("mat", PAPER.caliper_mm)])
def test_an_insert_has_its_ease_as_play_and_its_height(style: str, height: float) -> None:
    found = check(inserted(style))
    (fit,) = found.mates
    wide, long = (travel.play_mm for travel in fit.slide.travels)
    assert wide == pytest.approx(EASE[0], abs=1e-6)
    # glued walls lean out by some hundredths of a degree
    assert long == pytest.approx(EASE[1], abs=0.01)
    part = found.assembly.part("insert")
    assert part is not None
    assert part.sizes.outside_mm == pytest.approx(
        (INSIDE[0] - EASE[0], INSIDE[1] - EASE[1]), abs=1e-9
    )
    assert part.sizes.height_mm == pytest.approx(height, abs=1e-9)
    assert fit.stands_out_mm == pytest.approx(height - (DEEP - BITE), abs=0.02)


LAYERED = """
format = 1
title = "a mat in layers"
unit = "mm"
joint = 0.15

[base]
stock = "cardstock-270"
floor = [100, 130]
{base}

[insert]
style = "mat"
stock = "cover-65"
ease = [0.8, 1.2]
"""
DOUBLE = 'style = "double-wall"\ndepth = 25\n'
FRAMED = 'style = "shadow-box"\ndepth = 22\nframe = 10\ninner_wall = "level"\n'


@pytest.mark.parametrize(
    "base",
    [
        DOUBLE + 'lock = "glued"',
        DOUBLE + 'lock = "glued"\nrim = 3',
        DOUBLE + 'lock = "foot"\nrim = 3',
        FRAMED + "flap = 8.5",
        FRAMED + "flap = 10",
        'style = "tray"\ndepth = 25\ntab_setback = 0.4',
    ],
)
def test_ease_is_what_layers_and_tabs_leave_in_a_folded_base(tmp_path: Path, base: str) -> None:
    design_file = tmp_path / "layered.toml"
    design_file.write_text(LAYERED.format(base=base))
    found = check(read_design(design_file))
    (fit,) = found.mates
    wide, long = (travel.play_mm for travel in fit.slide.travels)
    # walls that lean in their corners leave some hundredths more beside a thin mat
    assert wide == pytest.approx(0.8, abs=0.05)
    assert long == pytest.approx(1.2, abs=0.05)


def test_a_mat_in_a_glued_double_wall_leaves_two_layers_and_their_glue(tmp_path: Path) -> None:
    """Worked by hand: a wall's inside stands t - a inside its score, the second t + g further."""
    design_file = tmp_path / "layered.toml"
    design_file.write_text(LAYERED.format(base=DOUBLE + 'lock = "glued"\ntabs = "length"'))
    found = check(read_design(design_file)).assembly
    mat, paper = found.part("insert"), found.base.recipe.stock
    assert mat is not None
    bite = paper.caliper_mm - paper.crease_allowance_mm
    cut = 100.0 - 2.0 * (bite + paper.caliper_mm + 0.15) - 0.8
    # rounder creases than are drawn sharp: less than a hundredth
    assert mat.sizes.outside_mm[0] == pytest.approx(cut, abs=0.01)


@pytest.mark.parametrize("lock", ["glued", "foot"])
def test_a_mat_between_walls_that_slant_lies_looser_than_it_goes_in(
    tmp_path: Path, lock: str
) -> None:
    """A rim of 4 mm, glued: at the rim 1 mm of play is left, on the floor the outer walls hold it.

    The inner walls slant to the outer ones' feet and end about 1/16 in above the floor, so a sheet
    of 0.33 mm slips below them: from face to face F - 2 (t - a) less the mat. A foot that stands on
    the floor, upright, leaves it what it has on its way.
    """
    file = tmp_path / "t.toml"
    file.write_text(
        'format = 1\ntitle = "t"\nunit = "mm"\n[base]\nstyle = "double-wall"\nrim = 4\n'
        f'stock = "cardstock-270"\nfloor = [90, 120]\ndepth = 30\nlock = "{lock}"\n'
        '[insert]\nstyle = "mat"\nstock = "cardstock-270"\nease = 1\n'
    )
    found = check(read_design(file))
    ((fit,), mat) = found.mates, found.assembly.part("insert")
    assert isinstance(fit, MateFit) and mat is not None
    notes = [one.message for one in found.findings if one.code == "mate-freed"]
    lines = "\n".join(mate_lines(fit, Sizes(Unit.MM)))
    assert fit.slide.play_mm == pytest.approx(1.0, abs=0.02)
    (data,) = check_data(found)["mates"]
    if lock == "foot":
        assert fit.freed == () and notes == [] and "where it lies" not in lines
        return
    t, a = mat.recipe.stock.caliper_mm, mat.recipe.stock.crease_allowance_mm
    want = [
        size - 2 * (t - a) - own for size, own in zip((90, 120), mat.sizes.outside_mm, strict=True)
    ]
    assert [one.play_mm for one in fit.freed] == pytest.approx(want, abs=0.02)
    width = fit.freed[0].play_mm
    assert data["lies_play_mm"]["width"] == pytest.approx(width, abs=1e-3)
    assert f"where it lies  width {width:.1f} mm, length" in lines
    far = max(one.play_mm for one in fit.freed)
    assert notes == [
        f"the insert goes in with {fit.slide.play_mm:.2f} mm of play, but where it lies the walls "
        f"of the base leave it up to {far:.1f} mm: it slides about there unless a dab of glue "
        "holds it"
    ]
    assert found.fits and fit.verdict is LidVerdict.SLIDES


@pytest.mark.parametrize(("style", "height"), [("platform", HEIGHT), ("mat", PAPER.caliper_mm)])
def test_contents_stand_on_what_has_no_window(style: str, height: float) -> None:
    found = check(inserted(style))
    (fit,) = found.contents
    assert fit.slack is not None
    assert fit.slack.width_mm == pytest.approx(INSIDE[0] - BLOCK[0], abs=0.01)
    assert fit.slack.height_mm == pytest.approx(DEEP - BITE - height - BLOCK[2], abs=0.02)
    (body,) = bodies_of(found)
    assert body.vertices[:, 2].min() == pytest.approx(BASE_STOCK.caliper_mm + height, abs=1e-6)


@pytest.mark.parametrize("style", ["platform", "mat"])
def test_a_window_holds_a_content_with_its_play_on_the_bases_floor(style: str) -> None:
    window = BLOCK[0] + 1.1, BLOCK[1] + 2.3
    found = check(inserted(style, window))
    (fit,) = found.contents
    assert fit.verdict is ContentVerdict.FITS
    assert fit.slack is not None
    assert fit.slack.width_mm == pytest.approx(1.1, abs=1e-6)
    assert fit.slack.length_mm == pytest.approx(2.3, abs=1e-6)
    assert fit.slack.height_mm == pytest.approx(DEEP - BITE - BLOCK[2], abs=0.02)
    part = found.assembly.part("insert")
    assert part is not None
    solid = assemble(inserted(style)).part("insert")
    assert solid is not None
    gone = flat_area(solid.pattern) - flat_area(part.pattern)
    assert gone == pytest.approx(window[0] * window[1])


def test_a_window_too_small_by_a_hair_lets_nothing_in() -> None:
    found = check(inserted(window=(BLOCK[0] - 0.2, BLOCK[1] + 2.0)))
    assert found.contents[0].verdict is not ContentVerdict.FITS
    assert not found.fits


def test_an_insert_may_not_stand_higher_than_the_lid_leaves_room_for() -> None:
    low = check(inserted(window=(40.0, 50.0)))
    assert low.over_grid_mm == pytest.approx(DEEP - BITE - HEIGHT, abs=0.02)
    assert low.fits
    high = check(inserted(window=(40.0, 50.0), height=HEIGHT + (low.over_grid_mm or 0.0) + 0.5))
    assert not high.fits
    assert "grid-too-high" in {one.code for one in high.findings}
    told = check_data(low)["parts"]["insert"]
    assert told["room_above_mm"] == pytest.approx(low.over_grid_mm)


@pytest.mark.parametrize("window", [None, (BLOCK[0] + 1.1, BLOCK[1] + 2.3)])
def test_the_odds_hold_where_boxes_are_folded_anew(window: tuple[float, float] | None) -> None:
    """A block that all but fills the height over a platform, or a window."""
    block = (*BLOCK[:2], DEEP - BITE - HEIGHT - 0.4) if window is None else BLOCK
    odds = odds_of(check(inserted(window=window, block=block)), 4_000)
    assert odds.agreement.trusted
    assert odds.agreement.verdicts_alike == odds.agreement.boxes
    (content,) = odds.contents
    assert content.fits.share > 0.5
    if window is None:
        assert content.fits.share < 0.99


def test_legs_are_told_to_be_stood_on() -> None:
    own = inserted()
    part = assemble(own).part("insert")
    assert part is not None
    steps = steps_for(part.pattern, plan_of(part.pattern), "paper", None, own.tools, own.unit)
    assert "turn it over" in instructions_for(steps, own.unit)[-1].text
    assert not check(own).presses["insert"]


TEXT = """format = 1
title = "Held"
unit = "mm"
[base]
style = "tray"
stock = "cover-100"
floor = [75, 95]
depth = 20
[[content]]
item = "badge-button"
[insert]
stock = "cover-80"
ease = 1
"""


def read(tmp_path: Path, keys: str) -> Design:
    path = tmp_path / "box.toml"
    path.write_text(TEXT + keys + "\n", encoding="utf-8")
    return read_design(path)


def test_a_window_is_cut_for_what_it_holds(tmp_path: Path) -> None:
    own = read(tmp_path, 'style = "mat"\nhold = "badge-button"\nplay = 1.5')
    (fit,) = check(own).contents
    assert fit.slack is not None
    # the badge is 25 mm across
    assert (fit.slack.width_mm, fit.slack.length_mm) == pytest.approx((1.5, 1.5), abs=1e-6)


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ('style = "platform"', ["its height is missing", "one of height, legs"]),
        ('style = "mat"\nheight = 3', ["insert.height", "belongs to a platform only"]),
        ('style = "mat"\nwindow = [90, 20]', ["insert.window", "leaves no frame along the width"]),
        ('style = "mat"\nhold = "badge-button"', ["insert.hold", "needs play beside it"]),
        ('style = "mat"\nhold = "deck-poker"\nplay = 1', ["insert.hold", "not put in"]),
        (
            'style = "mat"\nhold = "badge-button"\nplay = 1\nwindow = [20, 20]',
            ["window and hold are given together"],
        ),
        (
            'style = "mat"\nhold = "badge-button"\nplay = 60',
            ["insert.window", "leaves no frame along the width"],
        ),
        ('style = "platform"\nheight = 0.5', ["insert.height", "too low to fold"]),
    ],
)
def test_what_cannot_be_made_is_one_line(tmp_path: Path, keys: str, words: list[str]) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path, keys)
    for word in words:
        assert word in str(caught.value)
