"""Contents in a box: the exact way in, turning in plane, several together, what is proved."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fitcheck import kinds
from fitcheck.design.model import Content, Design, Item, Lay
from fitcheck.design.read import read_design
from fitcheck.errors import ModelError
from fitcheck.fit.assembly import make_part
from fitcheck.fit.check import check
from fitcheck.fit.contents import Cavity, ContentFit, ContentVerdict, cavity_of, fit_contents
from fitcheck.fit.outline import plan_outline
from fitcheck.kinds.kind import Kind
from fitcheck.kinds.poses import Pose, Rectangle
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.walled import WalledRecipe as Recipe
from tests.boxes import paper, shadow_box, shadow_boxes, tray, trays


def item(kind: Kind, *size: float, radius: float = 0.0, name: str = "thing") -> Item:
    return Item(
        name=name,
        kind=kind,
        size_mm=size,
        corner_radius_mm=radius,
        mesh_path=Path("thing.stl") if kind is kinds.MESH else None,
        size_u_mm=(0.0,) * len(size),
        size_range_mm=None,
        source="invented for tests",
        hazards=frozenset(),
    )


def cavity(recipe: Recipe, lid_mm: float | None = None) -> Cavity:
    part = make_part(recipe)
    return cavity_of(part.folded, part.sizes.inside_mm, part.sizes.depth_mm, lid_mm)


def alone(recipe: Recipe, thing: Item, lay: Lay, lid_mm: float | None = None) -> ContentFit:
    (found,) = fit_contents(cavity(recipe, lid_mm), [Content(thing, 1, lay)])
    return found


SHARP = paper(0.33, 0.2)
BOX = tray(80.0, 100.0, 30.0, SHARP)
INSIDE = 80.0 - 0.26, 100.0 - 0.26


def test_slack_of_a_block_is_what_the_inside_leaves() -> None:
    found = alone(BOX, item(kinds.BLOCK, 70.0, 95.0, 10.0), Lay.FLAT, lid_mm=30.0)
    assert found.verdict is ContentVerdict.FITS
    assert found.slack is not None
    assert found.slack.width_mm == pytest.approx(INSIDE[0] - 70.0, abs=1e-9)
    assert found.slack.length_mm == pytest.approx(INSIDE[1] - 95.0, abs=1e-9)
    assert found.slack.height_mm == pytest.approx(20.0)


def test_a_hair_too_wide_does_not_fit_and_says_by_how_much() -> None:
    found = alone(BOX, item(kinds.BLOCK, 90.0, 79.84, 10.0), Lay.FLAT)
    assert found.verdict is ContentVerdict.DOES_NOT_FIT
    assert found.slack is not None and found.placements == ()
    assert min(found.slack.width_mm, found.slack.length_mm) == pytest.approx(-0.10, abs=1e-9)


def test_round_corners_pass_where_square_ones_meet_a_round_crease() -> None:
    """A card turned in plane has the extent of its core plus two radii (exact)."""
    outline = plan_outline(Pose("flat", 60.0, 40.0, 1.0, Rectangle(5.0)))
    for angle in np.radians([0.0, 17.0, 45.0, 90.0]):
        along = outline @ np.array([np.cos(angle), np.sin(angle)])
        true = 10.0 + 50.0 * abs(np.cos(angle)) + 30.0 * abs(np.sin(angle))
        assert np.ptp(along) == pytest.approx(true, abs=2e-3)
        assert np.ptp(along) >= true - 1e-9


def test_a_mesh_goes_in_by_its_hull_where_its_bounding_box_would_not(tmp_path: Path) -> None:
    """A hexagonal bar turned in plane: 78 across flats, 90.07 across corners, in 79.74 x 99.74."""
    corners = 45.0333 * np.array([[np.cos(a), np.sin(a)] for a in np.arange(6) * np.pi / 3 + 0.3])
    size = np.ptp(corners, axis=0)
    trimesh.creation.extrude_polygon(shapely.Polygon(corners), 5.0).export(tmp_path / "hex.stl")
    hexagon = replace(
        item(kinds.MESH, float(size[0]), float(size[1]), 5.0), mesh_path=tmp_path / "hex.stl"
    )
    assert min(size) > 79.8
    found = alone(BOX, hexagon, Lay.FLAT)
    assert found.verdict is ContentVerdict.FITS and found.turn_deg != 0.0
    assert found.slack is not None
    assert found.slack.width_mm == pytest.approx(INSIDE[0] - 78.0, abs=2e-3)


def test_a_long_thing_goes_in_slantwise() -> None:
    """105 x 4 in 79.74 x 99.74: longer than either side, shorter than the diagonal."""
    found = alone(BOX, item(kinds.BLOCK, 105.0, 4.0, 2.0), Lay.FLAT)
    assert found.verdict is ContentVerdict.FITS
    assert 0.0 < found.turn_deg < 90.0 and found.slack is not None
    assert min(found.slack.width_mm, found.slack.length_mm) > 0.0


def test_too_high_under_the_lid_but_not_without_one() -> None:
    tall = item(kinds.BLOCK, 20.0, 30.0, 40.0)
    open_box = alone(BOX, tall, Lay.END)
    assert open_box.verdict is ContentVerdict.FITS
    rim = cavity(BOX).rim_mm
    assert open_box.protrudes_mm == pytest.approx(40.0 - rim)
    assert alone(BOX, tall, Lay.END, lid_mm=31.0).verdict is ContentVerdict.DOES_NOT_FIT
    assert alone(BOX, tall, Lay.ANY, lid_mm=31.0).verdict is ContentVerdict.FITS


def test_the_frame_narrows_the_way_in() -> None:
    box = shadow_box(80.0, 100.0, 30.0, SHARP, frame=10.0)
    opening = 100.0 - 2 * 10.0 - 2 * 0.2  # across the walls that carry the tabs
    fits = item(kinds.BLOCK, 30.0, opening - 0.1, 5.0)
    too_long = item(kinds.BLOCK, 30.0, opening + 0.1, 5.0)
    assert alone(box, fits, Lay.FLAT).verdict is ContentVerdict.FITS
    assert alone(box, too_long, Lay.FLAT).verdict is ContentVerdict.DOES_NOT_FIT


def test_round_floor_creases_take_room_from_square_contents() -> None:
    """A crease with an inside radius stands in the way of a square edge at the floor."""
    stock = paper(0.33, 0.5)
    radius = stock.crease.radius_mm
    assert radius > 1.0
    box = tray(80.0, 100.0, 30.0, stock)
    wide = cavity(box).room.width_mm
    assert wide == pytest.approx(80.0 - 2 * (0.33 - 0.5) - 2 * radius, abs=0.02)


def test_several_are_arranged_or_proved_impossible_or_neither() -> None:
    cube = item(kinds.BLOCK, 20.0, 20.0, 20.0, name="cube")
    room = cavity(BOX, lid_mm=29.0)
    (found,) = fit_contents(room, [Content(cube, 12, Lay.ANY)])
    assert found.verdict is ContentVerdict.FITS and len(found.placements) == 12
    (found,) = fit_contents(room, [Content(cube, 40, Lay.ANY)])
    assert found.verdict is ContentVerdict.DOES_NOT_FIT and found.slack is None


def test_two_kinds_share_the_room() -> None:
    ball = item(kinds.SPHERE, 25.0, name="ball")
    cube = item(kinds.BLOCK, 20.0, 20.0, 20.0, name="cube")
    found = fit_contents(cavity(BOX, 29.0), [Content(ball, 4, Lay.ANY), Content(cube, 4, Lay.ANY)])
    assert [f.verdict for f in found] == [ContentVerdict.FITS] * 2
    assert [len(f.placements) for f in found] == [4, 4]


def test_without_a_lid_it_lies_low_rather_than_standing_out() -> None:
    card = item(kinds.CARD, 85.6, 53.98, 0.76, radius=3.18)
    box = tray(95.0, 65.0, 15.0, SHARP)
    found = alone(box, card, Lay.ANY)
    assert found.orientation.startswith("flat") and found.protrudes_mm == 0.0
    brick = item(kinds.BLOCK, 30.0, 20.0, 9.0, name="brick")
    shallow = cavity(tray(30.0 + 2 * 0.13 + 0.5, 40.0 + 2 * 0.13 + 0.5, 11.0, SHARP))
    (both,) = fit_contents(shallow, [Content(brick, 2, Lay.ANY)])
    assert both.verdict is ContentVerdict.FITS and both.protrudes_mm == 0.0


def test_a_base_sized_round_its_contents_holds_them_whatever_its_crease(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    stocks = tmp_path / "calibration" / "stocks"
    stocks.mkdir(parents=True)
    (stocks / "round.toml").write_text(
        'format = 1\nkind = "cardstock"\ncaliper_mm = 0.30\ncaliper_u_mm = 0.01\n'
        'crease_allowance_mm = 0.40\ncrease_allowance_u_mm = 0.02\nsource = "for a test"\n'
    )
    path = tmp_path / "models" / "box.toml"
    path.write_text(
        'format = 1\ntitle = "t"\nunit = "mm"\n[base]\nstyle = "tray"\nstock = "round"\n'
        'slack = 1.0\ndepth = 15\n[[content]]\nitem = "card-id1"\nlay = "flat"\n'
    )
    (found,) = check(read_design(path)).contents
    assert found.verdict is ContentVerdict.FITS and found.slack is not None
    assert found.slack.width_mm == pytest.approx(1.0, abs=0.01)
    assert found.slack.length_mm == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize(
    ("item_lines", "lay", "count", "stands_out"),
    [
        ('kind = "cylinder"\nsize = [21, 60]', "end", 1, 60.0),
        ('kind = "cylinder"\nsize = [21, 60]', "end", 5, 60.0),
        ('kind = "block"\nsize = [31, 22, 12]', "flat", 4, 0.0),
        ('kind = "card"\nsize = [85.6, 53.98, 0.76]', "edge", 2, 53.98),
    ],
)
def test_slack_and_floor_take_the_same_contents(
    tmp_path: Path, item_lines: str, lay: str, count: int, stands_out: float
) -> None:
    """An open base sized round its contents, and one given that very floor, give one answer."""
    models = tmp_path / "models"
    models.mkdir()
    (models / "items.toml").write_text(f'format = 1\n[it]\n{item_lines}\nsource = "for a test"\n')

    def written(size: str) -> Design:
        path = models / "box.toml"
        path.write_text(
            'format = 1\ntitle = "t"\nunit = "mm"\ntools = "score-board-metric"\n[base]\n'
            f'style = "tray"\nstock = "cardstock-270"\n{size}\ndepth = 20\n'
            f'[[content]]\nitem = "it"\ncount = {count}\nlay = "{lay}"\n'
        )
        return read_design(path)

    sized = check(written("slack = 1.0"))
    floor = sized.assembly.base.recipe
    given_it = check(written(f"floor = [{floor.width_mm:.6f}, {floor.length_mm:.6f}]"))
    for found in (sized, given_it):
        (fit,) = found.contents
        assert fit.verdict is ContentVerdict.FITS and fit.slack is not None
        assert fit.protrudes_mm == pytest.approx(max(0.0, stands_out - found.cavity.rim_mm))
        assert min(fit.slack.width_mm, fit.slack.length_mm) == pytest.approx(1.0, abs=0.01)


TABBED = tray(80.0, 70.0, 20.0, paper(0.3, 0.18), tabs=Axis.WIDTH, setback=0.4)
"""Between its walls 80 - 2 x 0.12 = 79.76; its tabs take 2 x 0.4 of that in the corners."""
ROUND = paper(0.3, 0.5)
BETWEEN_60 = tray(60.0 - 2 * 0.2, 70.0, 50.0, ROUND, joint=0.0, setback=0.3)
"""Walls 60 apart, W - 2 (t - a), and upright: p = t + g - s = 0; its creases are round."""


@pytest.mark.parametrize(("count", "height"), [(1, 9.0), (2, 4.5), (3, 3.0)])
def test_tabs_stand_in_the_corners_only(count: int, height: float) -> None:
    """79.4 between walls 79.76 apart leaves 0.36, in one piece or in slices of it (arithmetic)."""
    block = item(kinds.BLOCK, 79.4, 40.0, height)
    (found,) = fit_contents(cavity(TABBED), [Content(block, count, Lay.FLAT)])
    assert found.verdict is ContentVerdict.FITS, found.reason
    assert found.slack is not None
    assert found.slack.width_mm == pytest.approx(79.76 - 79.4, abs=1e-6)
    assert found.slack.height_mm == pytest.approx(20.0 - 0.12 - 9.0, abs=0.02)
    assert len(found.placements) == count


def test_a_block_that_reaches_the_tabs_is_stopped_by_them() -> None:
    """69.3 by 79.4 would go between the walls (69.76), not between the tabs in all four corners."""
    block = item(kinds.BLOCK, 79.4, 69.3, 9.0)
    (one,) = fit_contents(cavity(TABBED), [Content(block, 1, Lay.FLAT)])
    assert one.verdict is ContentVerdict.NONE_FOUND and "nothing proves" in one.reason
    thin = item(kinds.BLOCK, 79.4, 69.3, 4.5)
    (two,) = fit_contents(cavity(TABBED), [Content(thin, 2, Lay.FLAT)])
    assert two.verdict is ContentVerdict.NONE_FOUND
    wide = item(kinds.BLOCK, 79.8, 69.8, 9.0)
    assert alone(TABBED, wide, Lay.FLAT).verdict is ContentVerdict.DOES_NOT_FIT


def test_a_rod_that_may_lean_is_not_refused_without_proof() -> None:
    """6 x 98 in 80 x 60 x 50: too long to lie, but its box's diagonal is 111.6 (arithmetic)."""
    box = tray(80.24, 60.24, 50.0, paper(0.3, 0.18))
    rod = item(kinds.CYLINDER, 6.0, 98.0)
    found = alone(box, rod, Lay.ANY, lid_mm=50.0)
    assert found.verdict is ContentVerdict.NONE_FOUND and "leaning was not tried" in found.reason
    assert alone(box, rod, Lay.FLAT, lid_mm=50.0).verdict is ContentVerdict.DOES_NOT_FIT
    longer = item(kinds.CYLINDER, 6.0, 112.0)
    assert alone(box, longer, Lay.ANY, lid_mm=50.0).verdict is ContentVerdict.DOES_NOT_FIT


def test_a_ball_touches_no_crease() -> None:
    """59.5 between walls 60 apart leaves 0.5, whatever the creases at the floor (arithmetic)."""
    found = alone(BETWEEN_60, item(kinds.SPHERE, 59.5), Lay.ANY)
    assert found.verdict is ContentVerdict.FITS and found.slack is not None
    assert found.slack.width_mm == pytest.approx(0.5, abs=1e-6)
    assert found.slack.length_mm == pytest.approx(70.0 + 2 * 0.2 - 59.5, abs=1e-6)
    larger = alone(BETWEEN_60, item(kinds.SPHERE, 60.1), Lay.ANY)
    assert larger.verdict is ContentVerdict.DOES_NOT_FIT
    # a block of that size stands on the creases instead of the floor
    block = alone(BETWEEN_60, item(kinds.BLOCK, 59.5, 69.5, 40.0), Lay.FLAT)
    assert block.verdict is ContentVerdict.DOES_NOT_FIT


def test_a_coin_on_its_rim_touches_no_crease_beside_it() -> None:
    """A coin of 59.5 x 12 on its rim fills the width; its flat faces meet the creases' feet."""
    found = alone(BETWEEN_60, item(kinds.CYLINDER, 59.5, 12.0), Lay.EDGE)
    assert found.verdict is ContentVerdict.FITS and found.slack is not None
    across = sorted([found.slack.width_mm, found.slack.length_mm])
    # it may also stand across the length: 70.4 - 59.5
    assert across[0] == pytest.approx(70.0 + 2 * 0.2 - 59.5, abs=2e-3)


@pytest.mark.parametrize("side", [60.1, 60.3])
def test_the_turn_is_chosen_in_the_true_room(side: float) -> None:
    """At 45 degrees 62.2 x 22 takes 84.2 / sqrt(2) = 59.54 each way; the tabs are not in its way,
    though they take 2 x 0.6 from one axis in the corners."""
    box = tray(side, side, 33.0, paper(0.5, 0.3), setback=0.6)
    found = alone(box, item(kinds.BLOCK, 62.2, 22.0, 10.0), Lay.FLAT)
    assert found.verdict is ContentVerdict.FITS and found.slack is not None
    assert found.turn_deg % 90.0 == pytest.approx(45.0, abs=0.05)
    between = side - 2 * (0.5 - 0.3)
    left = between - 84.2 / math.sqrt(2.0)
    assert min(found.slack.width_mm, found.slack.length_mm) == pytest.approx(left, abs=0.01)
    (pile,) = fit_contents(cavity(box), [Content(item(kinds.BLOCK, 62.2, 22.0, 5.0), 2, Lay.FLAT)])
    assert pile.verdict is ContentVerdict.FITS and pile.slack is not None
    assert min(pile.slack.width_mm, pile.slack.length_mm) == pytest.approx(left, abs=0.01)


def test_nothing_is_turned_for_a_gain_that_cannot_be_felt(tmp_path: Path) -> None:
    """A six-sided bar that goes straight in with 10 mm to spare lies straight, though turned by
    15 degrees the smaller of its two slacks would be larger."""
    corners = 39.6 * np.array([[np.cos(a), np.sin(a)] for a in np.arange(6) * np.pi / 3 + 0.02])
    trimesh.creation.extrude_polygon(shapely.Polygon(corners), 5.0).export(tmp_path / "hex.stl")
    size = np.ptp(corners, axis=0)
    bar = replace(
        item(kinds.MESH, float(size[0]), float(size[1]), 5.0), mesh_path=tmp_path / "hex.stl"
    )
    found = alone(BOX, bar, Lay.FLAT)
    assert found.verdict is ContentVerdict.FITS and found.turn_deg == 0.0
    slack = found.slack
    assert slack is not None and min(slack.width_mm, slack.length_mm) > 0.5


def test_what_is_tight_straight_is_turned_when_that_gains_something() -> None:
    """A square card leaves 0.24 mm and no turn more; a strip of 79.5 x 12 leaves as little
    straight in a square of 79.74, and millimetres turned."""
    card = item(kinds.CARD, 79.5, 79.5, 2.0, radius=2.0)
    assert alone(BOX, card, Lay.FLAT).turn_deg == 0.0
    strip = alone(tray(80.0, 80.0, 30.0, SHARP), item(kinds.BLOCK, 79.5, 12.0, 2.0), Lay.FLAT)
    assert strip.turn_deg != 0.0 and strip.slack is not None
    assert min(strip.slack.width_mm, strip.slack.length_mm) > 0.24 + 0.5


COIN = item(kinds.CYLINDER, 24.26, 1.75, name="coin")


def test_an_open_tray_piles_nothing_beyond_its_rim() -> None:
    """Eleven coins of 1.75 reach 19.25 of 19.88 mm; the twelfth ends 1.1 mm above the rim, more
    than half of it; six piles stand on 90 x 60."""
    box = cavity(tray(90.0, 60.0, 20.0, paper(0.3, 0.18)))
    (low,) = fit_contents(box, [Content(COIN, 66, Lay.FLAT)])
    assert low.verdict is ContentVerdict.FITS and low.protrudes_mm == 0.0
    (tower,) = fit_contents(box, [Content(COIN, 200, Lay.ANY)])
    assert tower.verdict is not ContentVerdict.FITS
    assert "rim" in tower.reason


def test_a_single_file_of_coins_ends_at_the_rim() -> None:
    box = cavity(tray(26.0, 26.0, 20.0, paper(0.3, 0.18)))
    rim = box.rim_mm
    # the last one's middle is below the rim while its top may stand out
    most = math.floor((rim + 0.5 * 1.75) / 1.75)
    (most_fit,) = fit_contents(box, [Content(COIN, most, Lay.FLAT)])
    assert most_fit.verdict is ContentVerdict.FITS
    (more,) = fit_contents(box, [Content(COIN, most + 1, Lay.FLAT)])
    assert more.verdict is not ContentVerdict.FITS


def test_what_stands_on_the_floor_may_stand_out_and_says_so() -> None:
    candle = item(kinds.CYLINDER, 20.0, 60.0, name="candle")
    box = cavity(tray(90.0, 60.0, 20.0, paper(0.3, 0.18)))
    (found,) = fit_contents(box, [Content(candle, 6, Lay.END)])
    assert found.verdict is ContentVerdict.FITS
    assert found.protrudes_mm == pytest.approx(60.0 - box.rim_mm)
    assert all(place.z_mm == 0.0 for place in found.placements)
    (too_many,) = fit_contents(box, [Content(candle, 30, Lay.END)])
    assert too_many.verdict is ContentVerdict.DOES_NOT_FIT


@settings(max_examples=25, deadline=None)
@given(recipe=st.one_of(trays(), shadow_boxes()))
def test_each_room_holds_the_one_before_it(recipe: Recipe) -> None:
    """And at the rim the walls stand at W - 2 (t - a) and twice the push of the glued corners."""
    try:
        room = cavity(recipe)
    except ModelError:
        assume(False)
    for side in ("width_mm", "length_mm"):
        clear, between, widest = (getattr(r, side) for r in (room.room, room.between, room.widest))
        assert clear <= between + 1e-9 and between <= widest + 1e-9
    if recipe.style == "tray":
        stock = recipe.stock
        push = recipe.joint_mm + stock.caliper_mm - recipe.tab_setback_mm
        bite = 2.0 * (stock.caliper_mm - stock.crease_allowance_mm)
        sides = recipe.width_mm, recipe.length_mm
        # the walls that carry the tabs run along `tabs`; those across it are pushed apart
        pushed = recipe.tabs
        for axis, side, widest in zip(
            Axis, sides, (room.widest.width_mm, room.widest.length_mm), strict=True
        ):
            out = max(0.0, 2.0 * push) if axis is pushed else 0.0
            assert widest == pytest.approx(side - bite + out, abs=0.06)


@pytest.mark.parametrize(
    ("width", "length", "tabs"),
    [
        (63.0, 97.0, Axis.LENGTH),
        (63.0, 97.0, Axis.WIDTH),
        (97.0, 63.0, Axis.LENGTH),
        (97.0, 63.0, Axis.WIDTH),
    ],
)
def test_the_widest_room_is_that_of_the_rim(width: float, length: float, tabs: Axis) -> None:
    """Each wall stands in by t - a; the glued corners push a pair out at the rim by t + g each,
    those that the walls with tabs run into."""
    found = cavity(tray(width, length, 18.0, paper(0.31, 0.17), tabs=tabs))
    foot = {Axis.WIDTH: width - 2 * 0.14, Axis.LENGTH: length - 2 * 0.14}
    widest = {**foot, tabs: foot[tabs] + 2 * (0.31 + 0.1)}
    assert found.widest.width_mm == pytest.approx(widest[Axis.WIDTH], abs=2e-3)
    assert found.widest.length_mm == pytest.approx(widest[Axis.LENGTH], abs=2e-3)
    # half a millimetre over the floor, where the probe stands
    lean = {**foot, tabs: foot[tabs] + 2 * (0.31 + 0.1) * 0.5 / 18.0}
    assert found.between.width_mm == pytest.approx(lean[Axis.WIDTH], abs=2e-2)
    assert found.between.length_mm == pytest.approx(lean[Axis.LENGTH], abs=2e-2)


def most_play(outline: np.ndarray, width: float, length: float) -> float:
    """The most that a plan leaves of a rectangle at any angle, by looking every 1/500 degree."""
    angles = np.radians(np.arange(0.0, 360.0, 0.002))
    across = outline @ np.array([np.cos(angles), -np.sin(angles)])
    along = outline @ np.array([np.sin(angles), np.cos(angles)])
    left = np.minimum(width - np.ptp(across, axis=0), length - np.ptp(along, axis=0))
    return float(left.max())


def test_of_several_lays_the_one_that_goes_in_turned_is_taken() -> None:
    """105 long is more than both sides: it leaves most on its narrow side, on end it stands out."""
    found = alone(BOX, item(kinds.BLOCK, 105.0, 20.0, 4.0), Lay.ANY, lid_mm=25.0)
    assert found.verdict is ContentVerdict.FITS and found.slack is not None
    (place,) = found.placements
    assert sorted((place.pose.width_mm, place.pose.length_mm)) == [4.0, 105.0]
    plan = np.array([[0.0, 0.0], [105.0, 0.0], [105.0, 4.0], [0.0, 4.0]])
    most = most_play(plan, *INSIDE)
    # tabs stand in the corners, a caliper and a joint thick
    assert most - 2 * 0.43 <= min(found.slack.width_mm, found.slack.length_mm) <= most + 2e-3


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_lopsided_plan_is_turned_the_way_that_leaves_most(tmp_path: Path, mirrored: bool) -> None:
    """A triangle whose mirror image would lie otherwise, against every 1/500 degree."""
    corners = np.array([[0.0, 0.0], [101.0, 0.0], [23.0, 37.0]])
    if mirrored:
        corners = (np.array([101.0, 0.0]) + corners * [-1.0, 1.0])[::-1]
    trimesh.creation.extrude_polygon(shapely.Polygon(corners), 5.0).export(tmp_path / "t.stl")
    thing = replace(item(kinds.MESH, 101.0, 37.0, 5.0), mesh_path=tmp_path / "t.stl")
    found = alone(BOX, thing, Lay.FLAT)
    assert found.verdict is ContentVerdict.FITS and found.slack is not None
    most = most_play(corners, *INSIDE)
    assert most - 2 * 0.43 <= min(found.slack.width_mm, found.slack.length_mm) <= most + 2e-3
