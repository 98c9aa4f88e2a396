"""What makes a box right: one predicate, asked of the drawing and of every drawn box alike."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.design.model import Bands, Design, LidVerdict
from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.findings import Severity
from fitcheck.fit.check import Check, check
from fitcheck.fit.right import Deciding, right, verdict_of_play
from fitcheck.fit.selffit import FIGHT_MM, self_fit
from fitcheck.odds.found_inputs import inputs_of
from fitcheck.odds.making import Workshop, offsets_of
from fitcheck.odds.variates import draw_values
from tests.boxes import as_tray
from tests.unit.samples import GOOD, TRAY, read

BANDS = Bands(0.15, 0.20, 1.50)
USUAL = frozenset({LidVerdict.SNUG, LidVerdict.SLIDES})


@pytest.mark.parametrize(
    ("play", "verdict"),
    [
        (-0.151, "binds"),
        (-0.15, "tight"),
        (-0.001, "tight"),
        (0.0, "snug"),
        (0.199, "snug"),
        (0.2, "slides"),
        (1.499, "slides"),
        (1.5, "loose"),
        (8.0, "loose"),
    ],
)
def test_the_bands_are_those_of_the_design_card(play: float, verdict: str) -> None:
    """Bands: common practice, no source; paper gives a little, so a lid may press by a tenth."""
    assert verdict_of_play(play, BANDS) == verdict


@given(st.lists(st.floats(-3.0, 3.0), min_size=1, max_size=20))
def test_many_boxes_are_judged_as_each_one_is(plays: list[float]) -> None:
    many = right(Deciding(play_mm=np.array(plays)), BANDS, USUAL)
    each = [bool(right(Deciding(play_mm=play), BANDS, USUAL)) for play in plays]
    assert many.tolist() == each == [verdict_of_play(p, BANDS) in USUAL for p in plays]


@pytest.mark.parametrize(
    "missing",
    [
        {"play_mm": 8.0},
        {"play_mm": -0.1},
        {"play_mm": -np.inf},
        {"rim_mm": -0.01},
        {"slacks_mm": (1.0, -0.01)},
        {"ease_mm": (0.5, -0.01)},
    ],
)
def test_one_thing_that_is_wrong_makes_a_box_wrong(missing: dict[str, object]) -> None:
    good = Deciding(play_mm=0.5, rim_mm=0.0, slacks_mm=(0.0, 1.0), ease_mm=(0.3, 0.7))
    assert right(good, BANDS, USUAL)
    assert not right(replace(good, **missing), BANDS, USUAL)  # type: ignore[arg-type]


def faults(found: Check) -> set[str]:
    return {f.code for f in found.findings if f.severity is Severity.FAULT}


def with_lid(text: str, oversize: str, want: str = "") -> str:
    text = text.replace('oversize = "1/16"', f'oversize = "{oversize}"')
    return text.replace('unit = "in"', f'unit = "in"\n{want}')


@pytest.mark.parametrize(
    ("oversize", "want", "verdict", "code"),
    [
        ("1.20 mm", "", "binds", "lid-binds"),
        ("1.35 mm", "", "tight", "lid-tight"),
        ("1.35 mm", 'want = ["tight", "snug"]', "tight", None),
        ("1.55 mm", "", "snug", None),
        ("1.55 mm", 'want = ["slides"]', "snug", "lid-snug"),
        ("3 mm", "", "loose", "lid-loose"),
        ("9 mm", "", "loose", "lid-loose"),
        ("3 mm", 'want = ["loose"]', "loose", None),
    ],
)
def test_a_lid_is_right_when_its_band_is_wanted(
    tmp_path: Path, oversize: str, want: str, verdict: str, code: str | None
) -> None:
    found = check(read(tmp_path, with_lid(GOOD, oversize, want)))
    assert found.lid is not None
    assert found.lid.verdict == verdict
    assert faults(found) == ({code} if code else set())
    assert found.fits == (code is None)


#: Sheets of 0.23 mm with tabs set back by what pushes walls out, 0.23 + 0.1 mm: walls are upright.
#: By the design card's closed forms a lid's inside is then its floor less 2 (t - a), beside its
#: tabs less twice the setback too, and a base's outside its floor and 2 a: of an oversize 2 t
#: are lost along the width and 2 (t + 0.33) along the length, whatever the floor.
LOST_MM = (2 * 0.23, 2 * 0.23 + 2 * 0.33)
FLOORS = ((33, 77.7), (76, 108), (80, 80), (41.3, 212.9), (119.0625, 152.4))


def with_plays(tmp_path: Path, floor: tuple[float, float], plays: tuple[float, float]) -> Design:
    width, length = (round(play + lost, 9) for play, lost in zip(plays, LOST_MM, strict=True))
    part = 'style = "tray"\nstock = "index-110"\ntab_setback = 0.33\n'
    return read(
        tmp_path,
        f'format = 1\ntitle = "At a bound"\nunit = "mm"\njoint = 0.1\n[base]\n{part}depth = 22\n'
        f"floor = [{floor[0]}, {floor[1]}]\n[lid]\n{part}depth = 15\n"
        f"oversize = [{width}, {length}]\n",
    )


@pytest.mark.parametrize("floor", FLOORS)
@pytest.mark.parametrize(
    ("play", "verdict"),
    [
        (-0.1501, "binds"),
        (-0.15, "tight"),
        (-0.0001, "tight"),
        (0.0, "snug"),
        (0.1999, "snug"),
        (0.2, "slides"),
        (1.4999, "slides"),
        (1.5, "loose"),
    ],
)
def test_a_play_at_a_bound_is_in_the_band_that_begins_there_on_any_floor(
    tmp_path: Path, floor: tuple[float, float], play: float, verdict: str
) -> None:
    """Bands begin *from* their bound (README); what a sum of lengths is off is no length."""
    found = check(with_plays(tmp_path, floor, (play, play)))
    assert found.lid is not None
    assert found.lid.slide.play_mm == pytest.approx(play, abs=1e-9)
    assert found.lid.verdict == verdict
    assert found.fits == (verdict in USUAL)


@pytest.mark.parametrize("floor", FLOORS)
def test_a_lid_shifts_about_from_twice_the_loose_play_on(
    tmp_path: Path, floor: tuple[float, float]
) -> None:
    """README: from twice the play that it is loose from, 3 mm; just below it is right."""
    below, at, above = (
        check(with_plays(tmp_path, floor, (0.5, wide))) for wide in (2.9999, 3.0, 3.0001)
    )
    assert [faults(one) for one in (below, at, above)] == [set(), {"lid-shifts"}, {"lid-shifts"}]
    assert [one.fits for one in (below, at, above)] == [True, False, False]


def test_what_a_sum_is_off_moves_no_box_out_of_its_band() -> None:
    """The same bounds for many boxes: sums of floats are off by parts in 10^16 (IEEE 754)."""
    dust = 1e-12
    for bound in (-0.15, 0.0, 0.20, 1.50):
        assert verdict_of_play(bound - dust, BANDS) == verdict_of_play(bound + dust, BANDS)
    wide = np.array([3.0 - 1e-6, 3.0 - dust, 3.0, 3.0 + dust])
    assert right(Deciding(wider_mm=wide), BANDS, USUAL).tolist() == [True, False, False, False]


def test_binds_cannot_be_wanted(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="never right"):
        read(tmp_path, GOOD.replace('unit = "in"', 'unit = "in"\nwant = ["binds"]'))


def test_a_fault_is_named_just_where_the_box_is_not_right(tmp_path: Path) -> None:
    """The findings and the predicate can never say different things."""
    texts = [GOOD, TRAY, *(with_lid(GOOD, f"{n} mm") for n in (-2, 0, 1, 2, 4))]
    texts += [GOOD.replace('depth = "5/8"', f'depth = "{d} mm"') for d in (22, 22.6, 23.2, 30)]
    texts += [GOOD.replace('flap = "11/32"', f'flap = "{f}"') for f in ("3/8", "7/16", "9/16")]
    for text in texts:
        found = check(read(tmp_path, text))
        assert found.fits == (not faults(found))


def test_a_lid_as_deep_as_its_base_is_right(tmp_path: Path) -> None:
    """Common practice, no source: its rim ends a caliper above the table, and may touch it."""
    design = read(tmp_path, GOOD)
    both = replace(design, contents=()).with_parts(as_tray(design.base))
    assert both.lid is not None
    deep = both.with_parts(replace(both.lid, depth_mm=both.base.depth_mm))
    assert deep.lid is not None
    found = check(deep)
    assert found.lid is not None and 0.0 <= found.lid.reveal_mm < 0.5
    assert found.fits
    touching = check(deep.with_parts(replace(deep.lid, depth_mm=both.base.depth_mm + 0.3)))
    assert touching.lid is not None and touching.lid.reveal_mm < 0.0
    assert "lid-too-deep" not in faults(touching)
    standing = check(deep.with_parts(replace(deep.lid, depth_mm=both.base.depth_mm + 1.0)))
    assert "lid-too-deep" in faults(standing)


def same_sheet(tmp_path: Path, shift: str, more: str = "") -> Design:
    path = tmp_path / "same.toml"
    path.write_text(
        'format = 1\ntitle = "A box from two like sheets"\nunit = "in"\n'
        '[base]\nstyle = "tray"\nstock = "cover-80"\nfloor = [3, "4 1/4"]\ndepth = "1 1/2"\n'
        f'[lid]\nstyle = "tray"\nstock = "cover-80"\nsame_sheet = "{shift}"\n{more}'
    )
    return read_design(path)


def test_a_lid_from_the_same_sheet_size_has_its_scores_nearer_the_edge(tmp_path: Path) -> None:
    """Arithmetic of the sheet: floor + 2 depth stays, each score moves out by so much."""
    found = check(same_sheet(tmp_path, "1/16"))
    base, lid = found.assembly.parts
    assert lid.pattern.sheet == base.pattern.sheet
    assert lid.recipe.width_mm == pytest.approx(3.125 * 25.4)
    assert lid.recipe.length_mm == pytest.approx(4.375 * 25.4)
    assert lid.recipe.depth_mm == pytest.approx(1.4375 * 25.4)


@pytest.mark.parametrize(
    ("shift", "more", "said"),
    [
        ("1 1/2", "", "leaves the lid no walls"),
        ("1/16", 'depth = "1"', "settled by same_sheet"),
        ("1/16", 'oversize = "1/8"', "given together"),
    ],
)
def test_same_sheet_says_what_it_cannot_do(
    tmp_path: Path, shift: str, more: str, said: str
) -> None:
    with pytest.raises(InputError, match=said):
        same_sheet(tmp_path, shift, more)


def test_same_sheet_needs_a_tray_below(tmp_path: Path) -> None:
    text = GOOD.replace('oversize = "1/16"\ndepth = "5/8"', 'same_sheet = "1/16"')
    with pytest.raises(InputError, match="sheet is its floor and walls alone"):
        read(tmp_path, text)


def test_a_lid_without_a_depth_is_told_so(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"lid\.depth: missing"):
        read(tmp_path, GOOD.replace('oversize = "1/16"\ndepth = "5/8"', 'oversize = "1/16"'))


def test_framed_boxes_made_by_hand_do_not_fight_themselves(tmp_path: Path) -> None:
    """Arithmetic of a hand: scores are off by a quarter of a millimetre, so ends of rolled panels
    meet by tenths in many boxes; a snip cures that. Only what no snip cures is a fault."""
    found = check(read(tmp_path, GOOD))  # its scores lie between the grooves
    inputs = inputs_of(found.assembly)
    workshop = Workshop(found.assembly, inputs, {})
    drawn = np.empty((len(inputs), 40))
    draw_values([i.variate for i in inputs], np.random.default_rng(3).spawn(len(inputs)), drawn)
    deepest = [
        max((press.press_mm for press in self_fit(made.base)), default=0.0)
        for made in (workshop.make(offsets_of(inputs, drawn[:, box].tolist())) for box in range(40))
    ]
    assert sum(depth > 0.0 for depth in deepest) > 4  # hands are not perfect
    assert sum(depth > FIGHT_MM for depth in deepest) <= 1
