"""How a content may lie: poses by lay."""

import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest
import shapely
import trimesh

from fitcheck import kinds
from fitcheck.design.model import Item, Lay
from fitcheck.errors import InputError
from fitcheck.kinds.kind import Kind, lays
from fitcheck.kinds.poses import Disc, Polygon, Pose, Rectangle, Shape
from fitcheck.packing.room import Room


def item(kind: Kind, *size: float, radius: float = 0.0) -> SimpleNamespace:
    return SimpleNamespace(kind=kind, size_mm=size, corner_radius_mm=radius)


def sizes(poses: tuple[Pose, ...]) -> list[tuple[str, float, float, float]]:
    return [(p.name, p.width_mm, p.length_mm, p.height_mm) for p in poses]


@pytest.mark.parametrize(
    ("lay", "expected"),
    [
        (Lay.FLAT, [("flat", 85.6, 53.98, 0.76), ("flat, turned 90", 53.98, 85.6, 0.76)]),
        (Lay.EDGE, [("on edge", 85.6, 0.76, 53.98), ("on edge, turned 90", 0.76, 85.6, 53.98)]),
        (Lay.END, [("on end", 53.98, 0.76, 85.6), ("on end, turned 90", 0.76, 53.98, 85.6)]),
    ],
)
def test_a_card(lay: Lay, expected: list[tuple[str, float, float, float]]) -> None:
    assert sizes(lays(item(kinds.CARD, 85.6, 53.98, 0.76, radius=3.18), lay)) == expected


def test_any_is_all_three() -> None:
    block = item(kinds.BLOCK, 30.0, 20.0, 10.0)
    each = [pose for lay in (Lay.FLAT, Lay.EDGE, Lay.END) for pose in lays(block, lay)]
    assert list(lays(block, Lay.ANY)) == each
    assert len(each) == 6


def test_a_cube_has_one_pose() -> None:
    assert sizes(lays(item(kinds.BLOCK, 20.0, 20.0, 20.0), Lay.ANY)) == [("flat", 20.0, 20.0, 20.0)]


def test_round_corners_show_in_plan_only_when_flat() -> None:
    card = item(kinds.CARD, 85.6, 53.98, 0.76, radius=3.18)
    assert {p.footprint for p in lays(card, Lay.FLAT)} == {Rectangle(3.18)}
    assert {(p.footprint, p.shape) for p in lays(card, Lay.EDGE)} == {
        (Rectangle(0.0), Shape.EDGEWISE)
    }


def test_a_coin_lies_on_its_face_and_stands_on_its_rim() -> None:
    coin = item(kinds.CYLINDER, 23.25, 2.33)
    (flat,) = lays(coin, Lay.FLAT)
    assert (flat.height_mm, flat.footprint, flat.shape) == (2.33, Disc(), Shape.PRISM)
    assert sizes(lays(coin, Lay.EDGE)) == [
        ("on edge", 23.25, 2.33, 23.25),
        ("on edge, turned 90", 2.33, 23.25, 23.25),
    ]
    assert [p.shape for p in lays(coin, Lay.EDGE)] == [Shape.ALONG_LENGTH, Shape.ALONG_WIDTH]


def test_a_rod_lies_on_its_side_and_stands_on_end() -> None:
    rod = item(kinds.CYLINDER, 14.5, 50.5)
    assert {p.height_mm for p in lays(rod, Lay.FLAT)} == {14.5}
    assert {p.height_mm for p in lays(rod, Lay.EDGE)} == {14.5}
    (end,) = lays(rod, Lay.END)
    assert (end.height_mm, end.footprint) == (50.5, Disc())
    assert len(lays(rod, Lay.ANY)) == 3


def test_a_ball_has_one_pose() -> None:
    (ball,) = lays(item(kinds.SPHERE, 20.0), Lay.ANY)
    assert (ball.shape, ball.footprint) == (Shape.BALL, Disc())
    assert ball.least_volume_mm3 == pytest.approx(math.pi / 6.0 * 8000.0)


@pytest.fixture
def wedge(tmp_path: Path) -> Item:
    """A triangular bar, 40 x 30 in plan and 10 high: half of its bounding box."""
    outline = shapely.Polygon([(0, 0), (40, 0), (0, 30)])
    trimesh.creation.extrude_polygon(outline, 10.0).export(tmp_path / "wedge.stl")
    return Item(
        name="wedge",
        kind=kinds.MESH,
        size_mm=(40.0, 30.0, 10.0),
        corner_radius_mm=0.0,
        mesh_path=tmp_path / "wedge.stl",
        size_u_mm=(0.0, 0.0, 0.0),
        size_range_mm=None,
        source="invented for tests",
        hazards=frozenset(),
    )


def test_a_mesh_lies_on_the_outline_of_its_hull(wedge: Item) -> None:
    straight, turned = lays(wedge, Lay.FLAT)
    for pose, (width, length) in ((straight, (40.0, 30.0)), (turned, (30.0, 40.0))):
        assert (pose.width_mm, pose.length_mm) == pytest.approx((width, length))
        assert pose.height_mm == 10.0 and pose.shape is Shape.HULL
        assert isinstance(pose.footprint, Polygon) and len(pose.footprint.points) == 3
        assert pose.area_mm2 == pytest.approx(600.0)
        assert pose.least_volume_mm3 == 0.0


def test_a_mesh_of_another_size_is_refused(wedge: Item) -> None:
    with pytest.raises(InputError, match="measures"):
        lays(replace(wedge, size_mm=(40.0, 30.0, 1.0)), Lay.FLAT)


def test_volumes_that_are_certain() -> None:
    flat = Pose("flat", 80.0, 50.0, 2.0, Rectangle(5.0))
    assert flat.least_volume_mm3 == pytest.approx((4000.0 - (4.0 - math.pi) * 25.0) * 2.0)
    # the roundest plate that can stand on edge: half-round ends, radius 25
    round_ends = (80.0 * 50.0 - (4.0 - math.pi) * 25.0**2) * 2.0
    assert Pose("e", 80.0, 2.0, 50.0, Rectangle(), Shape.EDGEWISE).least_volume_mm3 <= round_ends


@pytest.mark.parametrize(
    "size", [(0.0, 1.0, 1.0), (1.0, -1.0, 1.0), (1.0, 1.0, math.nan), (math.inf, 1.0, 1.0)]
)
def test_a_room_that_is_none(size: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="room"):
        Room(*size)


def test_a_lay_is_told_by_the_sizes_as_designed() -> None:
    """A 16 x 32 x 14 sweet that came out 15 x 32 x 15.2 still lies as it was meant to."""
    nominal, real = item(kinds.BLOCK, 16.0, 32.0, 14.0), item(kinds.BLOCK, 15.0, 32.0, 15.2)
    assert lays(real, Lay.FLAT, nominal)[0].height_mm == 15.2
    assert lays(real, Lay.FLAT)[0].height_mm == 15.0
