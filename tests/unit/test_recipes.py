"""Rows of lengths: where their lines lie, on what steps, what they cost, and how they are rated."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.odds.costs import cost_of, traits_of
from fitcheck.odds.grid import steps_for
from fitcheck.odds.lattice import DEPTH, Lattice, lattice_of
from fitcheck.odds.rewrite import rewritten
from fitcheck.odds.sizes import EACH, FLAP, FRAME, INNER, design_of, lines_of, on_grid, sizes_of
from fitcheck.odds.suggest import suggest
from fitcheck.pattern.plan import scored_rules
from tests.agreement.test_odds_closed_forms import design
from tests.cli.commands import ROOT
from tests.cli.designs import FRAMED, TOFFEES

INCH = 25.4
OPENING = FRAMED.replace('floor  = ["3 1/4", "4 1/2"]', 'opening = ["2 1/2", "3 3/4"]')
SET_BACK = FRAMED.replace('depth  = "7/8"', 'depth  = "7/8"\ntab_setback = "1/32"')
INSIDE = TOFFEES.replace("floor  = [70, 80]", "inside = [69, 81.3]").replace(
    "oversize = 2", "inside = [71.3, 83.1]"
)
SAME = TOFFEES.replace("oversize = 2\ndepth  = 18", "same_sheet = 0.7")
TWO_DECKS = """format = 1
title = "Two decks"
unit = "mm"
tools = "score-board-metric"

[base]
style = "shadow-box"
stock = "cardstock-270"
floor = [110, 140]
depth = 25
frame = 10
inner_wall = "level"
flap = 8

[lid]
style = "tray"
stock = "cover-80"
oversize = [3, 2]
depth = 20

[[content]]
item = "deck-poker"
count = 2
"""
SLACK = TOFFEES.replace("floor  = [70, 80]", "slack = 1.5")


def of_text(folder: Path, text: str) -> Design:
    (folder / "box.toml").write_text(text, encoding="utf-8")
    return read_design(folder / "box.toml", roots=[ROOT])


def near(one: Design, *, larger: bool = False) -> Lattice:
    start = sizes_of(check(one).assembly)
    return lattice_of(one, start, steps_for(one.tools, one.unit), start, larger=larger)


def some_of(lattice: Lattice, count: int) -> np.ndarray[tuple[int, ...], np.dtype[np.intp]]:
    rng = np.random.default_rng(2)
    return np.stack([rng.integers(0, len(kind), count) for kind in lattice.kinds], axis=1)


def model(name: str) -> str:
    return (ROOT / "models" / f"{name}.toml").read_text()


EASED_STRIPS = (
    model("ferry")
    .replace("cut     = [74, 154] ", "ease    = [0.8, 1]")
    .replace("pitch   = [25, 39] ", "")
    .replace("height  = 19", "")
)
EASED_LEGS = model("slipway").replace("cut     = [73.5, 93.5]", "ease    = [0.7, 0.9]")


@pytest.mark.parametrize(
    "text",
    [
        *(FRAMED, OPENING, SET_BACK, INSIDE, SAME, SLACK),
        *map(model, ["boathouse", "ferry", "slipway", "tea", "cards", "whist"]),
        *(EASED_STRIPS, EASED_LEGS),
    ],
)
def test_lines_lie_where_a_design_of_those_lengths_is_drawn(tmp_path: Path, text: str) -> None:
    """Each recipe settled, drawn and folded by itself: scores, sheets and lengths are the row's."""
    one = of_text(tmp_path, text)
    before = check(one).assembly
    lines, lattice = lines_of(before), near(one, larger=True)
    assert lines is not None
    steps = steps_for(one.tools, one.unit)
    for places in some_of(lattice, 3):
        row = lattice.rows(places[None])
        recipe = design_of(before, row[0])
        assert recipe.base.size_by is one.base.size_by, "the key stays what it was"
        found = check(recipe)
        np.testing.assert_allclose(sizes_of(found.assembly), row[0], atol=1e-6)
        drawn = lines.places(row)[0]
        scores = sorted(r.at_mm for p in found.assembly.parts for r in scored_rules(p.pattern))
        np.testing.assert_allclose(np.sort(drawn[lines.scores]), scores, atol=1e-6)
        sheets = [part.pattern.sheet for part in found.assembly.parts]
        sides = sorted(side for own in sheets for side in (own.width_mm, own.length_mm))
        np.testing.assert_allclose(np.sort(drawn[lines.edges]), sides, atol=1e-6)
        traits, cost = traits_of(one, lines, lattice.start, steps, row), cost_of(found, steps)
        assert traits.area_mm2[0] == pytest.approx(cost.area_mm2)
        assert traits.area_mm2[0] == pytest.approx(sum(s.width_mm * s.length_mm for s in sheets))
        whole = (bool(traits.scores[0]), bool(traits.sides[0]), bool(traits.even[0]))
        assert whole == cost.throughout
        assert sum(one.tools.on_grid(at) for at in scores) == cost.grooved


def test_a_frame_is_tried_in_its_grooves_and_never_seen_to_tilt(tmp_path: Path) -> None:
    """Eighths of an inch: 7/8 less caliper and joint (0.43 mm) is level, a sound wall is 7/8."""
    one = of_text(tmp_path, FRAMED.replace('frame  = "3/8"', 'frame  = "13/32"'))
    lattice = near(one)
    rows = lattice.start + lattice.shapes
    eighth = INCH / 8
    levels = rows[:, DEPTH] - one.base.stock.caliper_mm - one.joint_mm
    assert np.abs(rows[:, INNER] - levels).max() <= 1.0
    grooved = on_grid(np.cumsum(rows[:, [FLAP, INNER, FRAME, DEPTH]], axis=1), eighth).all(axis=1)
    lengths = {tuple(np.round(row / eighth, 6)) for row in rows[grooved][:, [FLAP, INNER, FRAME]]}
    assert {(2.0, 7.0, 3.0), (3.0, 7.0, 4.0), (3.0, 6.0, 3.0), (2.0, 8.0, 4.0)} <= lengths
    assert {6.0, 7.0, 8.0} == {round(mm / eighth, 6) for mm in rows[:, DEPTH]}
    assert (rows[:, DEPTH] > 0.55 * one.base.depth_mm).all()
    assert not lattice.shapes[0].any() and not lattice.lid_sizes[0].any()


def test_an_opening_is_kept_where_the_frame_changes(tmp_path: Path) -> None:
    """The floor grows by twice what the frame does; then it may be brought onto the grid, too."""
    one = of_text(tmp_path, OPENING.replace('frame  = "3/8"', 'frame  = "13/32"'))
    lattice = near(one)
    wide = lattice.shapes[:, 0] - 2.0 * lattice.shapes[:, FRAME]
    floors = lattice.start[0] + lattice.shapes[:, 0]
    follows = np.abs(wide) < 1e-6
    assert follows.any() and on_grid(floors[~follows], INCH / 8).all()
    np.testing.assert_allclose(lattice.shapes[:, EACH], lattice.shapes[:, 0], atol=1e-9)


def test_a_square_box_keeps_its_tabs(tmp_path: Path) -> None:
    """An opening of 60 x 60 mm: the pushed-out walls make its floor a hair off square."""
    square = """\
format = 1
title = "Square"
unit = "mm"
[base]
style = "shadow-box"
stock = "cover-80"
opening = [60, 60]
depth = 20
frame = 10
flap = 9
"""
    one = of_text(tmp_path, square)
    before = check(one).assembly
    start = sizes_of(before)
    assert start[0] != pytest.approx(start[1], abs=1e-3)
    wide, long = start.copy(), start.copy()
    wide[0] += 1.0
    long[1] += 1.0
    for row, tabs in ((wide, before.base.recipe.tabs), (long, None)):
        changed = design_of(before, row)
        assert changed.base.tabs is tabs
        found = check(changed).assembly
        np.testing.assert_allclose(sizes_of(found), row, atol=1e-6)
        assert found.base.recipe.tabs is before.base.recipe.tabs
        # written into the file and read again it is the same box
        again = of_text(tmp_path, rewritten(square, one, changed, None))
        np.testing.assert_allclose(sizes_of(check(again).assembly), row, atol=1e-4)


def test_a_lid_from_the_bases_sheet_follows_it(tmp_path: Path) -> None:
    """Both sheets are alike: floor and depth of the lid are settled by one number."""
    one = of_text(tmp_path, SAME)
    lattice = near(one, larger=True)
    rows = lattice.rows(some_of(lattice, 40))
    base, lid = (
        rows[:, :2] + 2 * rows[:, [DEPTH]],
        rows[:, EACH : EACH + 2] + 2 * rows[:, [EACH + DEPTH]],
    )
    np.testing.assert_allclose(base, lid, atol=1e-9)


def test_numbers_that_change_are_counted_as_a_maker_counts(tmp_path: Path) -> None:
    one = of_text(tmp_path, FRAMED)
    found = check(one).assembly
    lines = lines_of(found)
    assert lines is not None
    start, steps = sizes_of(found), steps_for(one.tools, one.unit)
    changes = np.zeros((6, len(start)))
    # a larger floor with the lid over it as before: two numbers, however the lid's own floor moves
    changes[1, [0, 1, EACH, EACH + 1]] = 2.0, 3.0, 2.0, 3.0
    # a deeper base whose inner wall is left to be level: one
    changes[2, [DEPTH, INNER]] = 3.175, 3.175
    # the same with the inner wall as it was: two
    changes[3, DEPTH] = 3.175
    # an oversize that is one number for both ways: one
    changes[4, [EACH, EACH + 1]] = 0.8, 0.8
    changes[5, [EACH, EACH + 1]] = 0.8, 0.0
    traits = traits_of(one, lines, start, steps, start + changes)
    assert traits.changed.tolist() == [0, 2, 1, 2, 1, 1]
    assert traits.height_mm.tolist() == pytest.approx([0, 0, 3.175, 3.175, 0, 0])


@pytest.mark.parametrize("grid_mm", [0.5, 40.0, 2000.0])
def test_a_board_of_any_grid_leaves_a_box_about_as_large(grid_mm: float) -> None:
    """Grooves that lie further apart than walls are high are no reason for another box."""
    one = design("shadow-box", 1.0)
    one = replace(one, tools=replace(one.tools, grid_mm=grid_mm))
    lattice = near(one, larger=True)
    rows = lattice.rows(some_of(lattice, 300))
    there = lattice.start > 0.0
    shares = rows[:, there] / lattice.start[there]
    assert shares.min() > 0.5 and shares.max() < 2.0
    assert np.abs(rows[:, ~there]).max() == 0.0


def test_contents_that_do_not_go_in_ask_for_no_more_floor_than_they_need(tmp_path: Path) -> None:
    """Two decks of 63.5 x 88.9 mm lie side by side on 127 x 88.9 mm: arithmetic.

    A frame of 10 mm takes 20 mm off the floor, whose sizes lie in grooves 5 mm apart: 110 x 150 mm
    is enough, and nothing that is called the least paper may be larger.
    """
    one = of_text(tmp_path, TWO_DECKS)
    assert not check(one).fits
    found = suggest(one, 4_000)
    least = min(found.ranked, key=lambda option: option.cost.area_mm2)
    assert least.good.share > 0.9
    width, length = least.design.base.size_mm
    assert 88.9 + 20.0 <= width <= 110.0 and 127.0 + 20.0 <= length <= 150.0
    assert all(option.design.base.size_mm <= (110.0, 150.0) for option in found.ranked)


def test_floors_are_tried_up_to_the_box_that_goes_together(tmp_path: Path) -> None:
    """No two of them alike, in grooves, and not so many that none can be rated."""
    one = of_text(tmp_path, TWO_DECKS)
    start = sizes_of(check(one).assembly)
    goes = start.copy()
    goes[:2] += 16.0
    lattice = lattice_of(one, start, steps_for(one.tools, one.unit), goes, larger=True)
    floors = {tuple(np.round(row[:2], 6)) for row in lattice.start + lattice.floors}
    assert len(floors) == len(lattice.floors) < 100
    assert {(110.0, 150.0), (120.0, 140.0), (125.0, 156.0), (126.0, 156.0)} <= floors
