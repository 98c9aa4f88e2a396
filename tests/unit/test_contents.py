"""Contents in a box: the exact way in, turning in plane, several together, what is proved."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
import trimesh

from fitcheck import kinds
from fitcheck.design.model import Content, Design, Item, Lay
from fitcheck.design.read import read_design
from fitcheck.fit.assembly import make_part
from fitcheck.fit.check import check
from fitcheck.fit.contents import Cavity, ContentFit, ContentVerdict, cavity_of, fit_contents
from fitcheck.fit.outline import plan_outline
from fitcheck.kinds.kind import Kind
from fitcheck.kinds.poses import Pose, Rectangle
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.walled import WalledRecipe as Recipe
from tests.boxes import paper, shadow_box, tray


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
