"""Long things side by side that go in turned as a whole: closed forms, and angles tried by shapely.

A pack of p x q turned by an angle takes p cos + q sin by p sin + q cos; in a square, where both are
the same at 45 degrees, (p + q) / sqrt 2.
"""

from __future__ import annotations

import math
from itertools import combinations
from pathlib import Path

import pytest
import shapely

import fitcheck
from fitcheck.kinds.poses import Pose
from fitcheck.packing.arrange import arrange
from fitcheck.packing.placing import Demand, Outcome, verify
from fitcheck.packing.room import Room
from tests.face_designs import lidded_tray
from tests.unit.packed import flat

SPLINT = '[splint]\nkind = "cylinder"\nsize = [8, 100]\nsource = "invented for tests"\n'


def tray_of(folder: Path, side: float, count: int) -> fitcheck.Content:
    """So many rods of 8 x 100 in a tray of that inside, too low for one on another."""
    (folder / "models").mkdir()
    (folder / "models" / "items.toml").write_text(SPLINT)
    content = {"item": "splint", "count": count}
    box = lidded_tray({"inside": [side, side], "depth": 15}, 10, content)
    (content,) = fitcheck.check(fitcheck.build(box, workspace=folder)).contents
    return content


def footprints(content: fitcheck.Content) -> list[shapely.Polygon]:
    """The rods in plan, from their poses and sizes."""
    found = []
    for pose, (wide, long, _) in zip(content.poses, content.extents_mm, strict=True):
        corners = [(-wide, -long), (wide, -long), (wide, long), (-wide, long)]
        found.append(
            shapely.Polygon([pose[:2, :2] @ [0.5 * x, 0.5 * y] + pose[:2, 3] for x, y in corners])
        )
    return found


@pytest.mark.parametrize(("count", "side"), [(2, 83.0), (2, 95.0), (3, 89.0), (5, 99.5)])
def test_rods_side_by_side_go_in_turned(tmp_path: Path, count: int, side: float) -> None:
    """They need (100 + 8 n) / sqrt 2 mm each way; walls are off their tabs by 0.65 mm at most,
    which is twice the caliper and the glue."""
    rods = tray_of(tmp_path, side, count)
    assert rods.verdict == "fits"
    assert rods.slack_mm is not None
    least = side - (100.0 + 8.0 * count) / math.sqrt(2.0)
    for slack in rods.slack_mm[:2]:
        assert least - 0.01 <= slack <= least + 0.7
    plans = footprints(rods)
    assert len(plans) == count
    assert max(a.intersection(b).area for a, b in combinations(plans, 2)) < 1e-3
    x0, y0, x1, y1 = shapely.MultiPolygon(plans).bounds
    assert max(-x0, -y0, x1, y1) <= 0.5 * side + 0.4


def test_what_is_too_long_turned_is_not_placed(tmp_path: Path) -> None:
    """Two of them need 82.02 mm; the walls are 0.65 mm further apart than the tabs at most."""
    assert tray_of(tmp_path, 81.0, 2).verdict == "none found"


@pytest.mark.parametrize("room", [(70.0, 88.0), (88.0, 70.0), (60.0, 91.0), (95.0, 64.0)])
@pytest.mark.parametrize("number", [2, 3, 4])
def test_a_pack_goes_in_where_an_angle_lets_it(room: tuple[float, float], number: int) -> None:
    """Slips of 96 x 7, lying one beside the other: every 0.05 degrees are tried beside it."""
    pack = shapely.box(-48.0, -3.5 * number, 48.0, 3.5 * number)
    spare = max(
        min(room[0] - (x1 - x0), room[1] - (y1 - y0))
        for k in range(3601)
        for x0, y0, x1, y1 in [shapely.affinity.rotate(pack, 0.05 * k).bounds]
    )
    slips = [Demand("slip", flat(96.0, 7.0, 2.0), number)]
    found = arrange(Room(*room, 3.0), slips)
    assert abs(spare) > 0.2  # none of these is so tight that the steps decide
    assert (found.outcome is Outcome.FOUND) == (spare > 0.0)
    assert verify(Room(*room, 3.0), found.placements) == ()


def test_what_lies_straight_is_not_turned() -> None:
    found = arrange(Room(60.0, 101.0, 10.0), [Demand("slip", flat(100.0, 8.0, 8.0), 4)])
    assert {body.turn_deg for body in found.placements} == {0.0}


def test_a_pack_may_be_of_two_kinds() -> None:
    """A slip of 96 x 7 and one of 70 x 9 side by side are 96 x 16: 79.2 mm at 45 degrees."""
    demands = [
        Demand("long", (Pose("flat", 96.0, 7.0, 2.0),), 1),
        Demand("short", (Pose("flat", 70.0, 9.0, 2.0),), 1),
    ]
    found = arrange(Room(80.0, 80.0, 3.0), demands)
    assert found.outcome is Outcome.FOUND
    assert verify(Room(80.0, 80.0, 3.0), found.placements) == ()
