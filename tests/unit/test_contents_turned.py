"""Contents turned in plane: chosen in the true room, for a gain that can be felt."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
import trimesh

from fitcheck import kinds
from fitcheck.design.model import Content, Lay
from fitcheck.fit.contents import ContentVerdict, fit_contents
from tests.boxes import paper, tray
from tests.unit.test_contents import BOX, INSIDE, SHARP, alone, cavity, item


def test_a_long_thing_goes_in_slantwise() -> None:
    """105 x 4 in 79.74 x 99.74: longer than either side, shorter than the diagonal."""
    found = alone(BOX, item(kinds.BLOCK, 105.0, 4.0, 2.0), Lay.FLAT)
    assert found.verdict is ContentVerdict.FITS
    assert 0.0 < found.turn_deg < 90.0 and found.slack is not None
    assert min(found.slack.width_mm, found.slack.length_mm) > 0.0


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
