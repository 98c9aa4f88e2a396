"""The frame of a path: exact along the part's axes, named, and the same whichever way it goes."""

from __future__ import annotations

import numpy as np
import pytest

from fitcheck.fit.frames import LEVEL, UPRIGHT, PathFrame, frame_of
from fitcheck.fit.motions import Straight
from fitcheck.pattern.sheet import Axis
from tests.mated import drawer_in_sleeve, listed, random_turn

AXES = [sign * way for way in np.eye(3) for sign in (1.0, -1.0)]


@pytest.mark.parametrize("direction", AXES, ids=str)
def test_a_path_along_an_axis_only_reorders_coordinates(direction: np.ndarray) -> None:
    frame = frame_of(direction)
    pieces = listed(drawer_in_sleeve(np.random.default_rng(3)).mover)
    carried = frame.carried(pieces)
    order = np.abs(frame.turn).argmax(axis=1)
    signs = frame.turn[np.arange(3), order]
    for own, there in (
        (pieces.vertices, carried.vertices),
        (pieces.normals, carried.normals),
        (pieces.edges, carried.edges),
    ):
        assert (there.values == signs[:, None] * own.values[order]).all()
    # both directions across run towards the positive ends of the part's axes
    assert (signs[:2] == 1.0).all() and sorted(order) == [0, 1, 2]
    assert np.linalg.det(frame.turn) == 1.0
    point = np.array([0.1, 0.2, 0.3])
    assert (frame.back(frame.into(point)) == point).all()


def test_names_of_the_directions() -> None:
    assert frame_of(np.array([0.0, 0.0, -2.0])) is UPRIGHT
    assert UPRIGHT.across == (Axis.WIDTH, Axis.LENGTH)
    along_length = frame_of(np.array([0.0, 3.0, 0.0]))
    assert along_length.across == LEVEL
    assert along_length.direction("across").tolist() == [1.0, 0.0, 0.0]
    assert along_length.direction("up").tolist() == [0.0, 0.0, 1.0]
    with pytest.raises(ValueError, match="width"):
        along_length.direction("width")


@pytest.mark.parametrize("seed", range(20))
def test_any_direction_runs_along_z_and_up_is_never_down(seed: int) -> None:
    rng = np.random.default_rng(seed)
    direction = rng.normal(size=3)
    frame, back = frame_of(direction), frame_of(-direction)
    assert (frame.turn == back.turn).all()
    along = frame.path(7.0 * direction)
    assert along[:2].tolist() == [0.0, 0.0]
    assert abs(along[2]) == pytest.approx(7.0 * np.linalg.norm(direction))
    assert frame.direction("across")[2] == 0.0 and frame.direction("up")[2] >= 0.0
    assert np.linalg.det(frame.turn) == pytest.approx(1.0)
    with pytest.raises(ValueError, match="does not run along"):
        frame.path(np.cross(direction, [0.3, 0.1, 0.9]))


def test_what_is_no_frame_or_no_motion_is_refused() -> None:
    with pytest.raises(ValueError, match="rotation"):
        PathFrame(np.diag([1.0, 1.0, -1.0]), LEVEL)
    with pytest.raises(ValueError, match="rotation"):
        PathFrame(1.001 * random_turn(np.random.default_rng(1)), LEVEL)
    for direction, length in (((0, 0, 0), 1.0), ((0, 0, 1), 0.0), ((0, 0, np.nan), 1.0)):
        with pytest.raises(ValueError, match=r"direction|longer"):
            Straight(np.array(direction, dtype=float), length)
    way = Straight(np.array([0.0, 3.0, 4.0]), 10.0)
    assert way.path.tolist() == pytest.approx([0.0, 6.0, 8.0])
