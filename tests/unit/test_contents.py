"""Contents in a box: the exact way in, turning in plane, several together, fingers."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
import trimesh

from fitcheck.design.model import Content, Item, ItemKind, Lay
from fitcheck.design.read import read_design
from fitcheck.fit.assembly import make_part
from fitcheck.fit.check import check
from fitcheck.fit.contents import Cavity, ContentFit, ContentVerdict, cavity_of, fit_contents
from fitcheck.fit.outline import plan_outline
from fitcheck.packing.bodies import Pose, Rectangle
from fitcheck.pattern.recipe import Recipe
from tests.boxes import paper, shadow_box, tray


def item(kind: ItemKind, *size: float, radius: float = 0.0, name: str = "thing") -> Item:
    return Item(
        name=name,
        kind=kind,
        size_mm=size,
        corner_radius_mm=radius,
        mesh_path=Path("thing.stl") if kind is ItemKind.MESH else None,
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
    found = alone(BOX, item(ItemKind.BLOCK, 70.0, 95.0, 10.0), Lay.FLAT, lid_mm=30.0)
    assert found.verdict is ContentVerdict.FITS
    assert found.slack is not None
    assert found.slack.width_mm == pytest.approx(INSIDE[0] - 70.0, abs=1e-9)
    assert found.slack.length_mm == pytest.approx(INSIDE[1] - 95.0, abs=1e-9)
    assert found.slack.height_mm == pytest.approx(20.0)


def test_a_hair_too_wide_does_not_fit_and_says_by_how_much() -> None:
    found = alone(BOX, item(ItemKind.BLOCK, 90.0, 79.84, 10.0), Lay.FLAT)
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
        item(ItemKind.MESH, float(size[0]), float(size[1]), 5.0), mesh_path=tmp_path / "hex.stl"
    )
    assert min(size) > 79.8
    found = alone(BOX, hexagon, Lay.FLAT)
    assert found.verdict is ContentVerdict.FITS and found.turn_deg != 0.0
    assert found.slack is not None
    assert found.slack.width_mm == pytest.approx(INSIDE[0] - 78.0, abs=2e-3)


def test_a_long_thing_goes_in_slantwise() -> None:
    """105 x 4 in 79.74 x 99.74: longer than either side, shorter than the diagonal."""
    found = alone(BOX, item(ItemKind.BLOCK, 105.0, 4.0, 2.0), Lay.FLAT)
    assert found.verdict is ContentVerdict.FITS
    assert 0.0 < found.turn_deg < 90.0 and found.slack is not None
    assert min(found.slack.width_mm, found.slack.length_mm) > 0.0


def test_too_high_under_the_lid_but_not_without_one() -> None:
    tall = item(ItemKind.BLOCK, 20.0, 30.0, 40.0)
    open_box = alone(BOX, tall, Lay.END)
    assert open_box.verdict is ContentVerdict.FITS
    rim = cavity(BOX).rim_mm
    assert open_box.protrudes_mm == pytest.approx(40.0 - rim)
    assert alone(BOX, tall, Lay.END, lid_mm=31.0).verdict is ContentVerdict.DOES_NOT_FIT
    assert alone(BOX, tall, Lay.ANY, lid_mm=31.0).verdict is ContentVerdict.FITS


def test_the_frame_narrows_the_way_in() -> None:
    box = shadow_box(80.0, 100.0, 30.0, SHARP, frame=10.0)
    opening = 100.0 - 2 * 10.0 - 2 * 0.2  # across the walls that carry the tabs
    fits = item(ItemKind.BLOCK, 30.0, opening - 0.1, 5.0)
    too_long = item(ItemKind.BLOCK, 30.0, opening + 0.1, 5.0)
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
    cube = item(ItemKind.BLOCK, 20.0, 20.0, 20.0, name="cube")
    room = cavity(BOX, lid_mm=29.0)
    (found,) = fit_contents(room, [Content(cube, 12, Lay.ANY)])
    assert found.verdict is ContentVerdict.FITS and len(found.placements) == 12
    (found,) = fit_contents(room, [Content(cube, 40, Lay.ANY)])
    assert found.verdict is ContentVerdict.DOES_NOT_FIT and found.slack is None


def test_two_kinds_share_the_room() -> None:
    ball = item(ItemKind.SPHERE, 25.0, name="ball")
    cube = item(ItemKind.BLOCK, 20.0, 20.0, 20.0, name="cube")
    found = fit_contents(cavity(BOX, 29.0), [Content(ball, 4, Lay.ANY), Content(cube, 4, Lay.ANY)])
    assert [f.verdict for f in found] == [ContentVerdict.FITS] * 2
    assert [len(f.placements) for f in found] == [4, 4]


def test_finger_room_and_the_notch_to_add() -> None:
    tight = alone(BOX, item(ItemKind.BLOCK, 75.0, 95.0, 5.0), Lay.FLAT)
    assert tight.fingers.notch_radius_mm == 10.0
    easy = alone(BOX, item(ItemKind.BLOCK, 60.0, 95.0, 5.0), Lay.FLAT)
    assert easy.fingers.notch_radius_mm is None
    assert easy.fingers.largest_gap_mm == pytest.approx(INSIDE[0] - 60.0, abs=1e-9)


def test_without_a_lid_it_lies_low_rather_than_standing_out() -> None:
    card = item(ItemKind.CARD, 85.6, 53.98, 0.76, radius=3.18)
    box = tray(95.0, 65.0, 15.0, SHARP)
    found = alone(box, card, Lay.ANY)
    assert found.orientation.startswith("flat") and found.protrudes_mm == 0.0
    brick = item(ItemKind.BLOCK, 30.0, 20.0, 9.0, name="brick")
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
