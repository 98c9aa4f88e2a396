"""What is seen of faces and lines, against areas and lengths worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from fitcheck.outputs.report.views.hiding import Flat, flat_face, seen_faces, seen_lines
from fitcheck.outputs.report.views.projection import camera

ABOVE = np.eye(3)
"""Looking straight down: x to the right, y upwards, z towards the eye."""


def face(corners: list[list[float]], body: int) -> Flat:
    points = np.array(corners, dtype=float)
    normal = np.cross(points[1] - points[0], points[2] - points[0])
    found = flat_face(points, normal / np.linalg.norm(normal), ABOVE, body)
    assert found is not None
    return found


def bar(turn: int, body: int) -> Flat:
    """A bar 16 x 2 that rises by 4 along itself, over one and under the other of three."""
    corners = [[-8.0, 1.0, -2.0], [8.0, 1.0, 2.0], [8.0, 3.0, 2.0], [-8.0, 3.0, -2.0]]
    angle = 2.0 * np.pi * turn / 3.0
    c, s = np.cos(angle), np.sin(angle)
    return face([[c * x - s * y, s * x + c * y, z] for x, y, z in corners], body)


def test_three_bars_in_a_ring_each_lie_over_one_and_under_another() -> None:
    """No order of whole faces paints this: each is cut by one neighbour, none by the other."""
    bars = [bar(turn, turn) for turn in range(3)]
    seen = [shapely.area(shape) for shape in seen_faces(bars)]
    # two strips of width 2 that cross at 60 degrees share a rhombus of 2 x 2 / sin 60
    assert seen == pytest.approx([16.0 * 2.0 - 4.0 / np.sin(np.pi / 3)] * 3, abs=1e-2)


def test_faces_that_pass_through_each_other_part_where_they_meet() -> None:
    """A level 10 x 6 face at z = 0 and one that rises from -3 to 7 along x: they meet at x = 3."""
    level = face([[0, 0, 0], [10, 0, 0], [10, 6, 0], [0, 6, 0]], 0)
    rising = face([[0, 0, -3], [10, 0, 7], [10, 6, 7], [0, 6, -3]], 1)
    below, above = (shapely.area(shape) for shape in seen_faces([level, rising]))
    assert below == pytest.approx(3 * 6, abs=1e-2)
    assert above == pytest.approx(7 * 6, abs=1e-2)


def test_of_two_faces_in_one_place_one_is_seen() -> None:
    square = [[0, 0, 0], [4, 0, 0], [4, 5, 0], [0, 5, 0]]
    areas = sorted(shapely.area(s) for s in seen_faces([face(square, 0), face(square, 1)]))
    assert areas == pytest.approx([0.0, 20.0])


def test_a_line_is_seen_up_to_the_face_that_hides_it_and_after() -> None:
    """A line at z = 0 from x = 0 to 20; a face at z = 2 covers 5 to 12, one at z = -2 nothing."""
    over = face([[5, -1, 2], [12, -1, 2], [12, 1, 2], [5, 1, 2]], 0)
    under = face([[13, -1, -2], [19, -1, -2], [19, 1, -2], [13, 1, -2]], 1)
    pieces = seen_lines(
        np.array([[0.0, 0.0, 0.0]]), np.array([[20.0, 0.0, 0.0]]), ABOVE, [over, under], 0.1
    )
    assert [(p[0, 0], p[1, 0]) for p in pieces] == [
        pytest.approx((0.0, 5.0), abs=5e-3),
        pytest.approx((12.0, 20.0), abs=5e-3),
    ]


def test_a_line_that_dives_under_a_face_is_seen_as_far_as_it_stands_above() -> None:
    """From z = 3 at x = 0 down to z = -1 at x = 8 through a face at z = 0: seen up to x = 6."""
    level = face([[-1, -1, 0], [9, -1, 0], [9, 1, 0], [-1, 1, 0]], 0)
    (piece,) = seen_lines(
        np.array([[0.0, 0.0, 3.0]]), np.array([[8.0, 0.0, -1.0]]), ABOVE, [level], 0.1
    )
    assert piece[:, 0] == pytest.approx([0.0, 6.0], abs=5e-3)


def test_an_edge_of_a_face_is_not_hidden_by_it() -> None:
    level = face([[0, 0, 1], [9, 0, 1], [9, 4, 1], [0, 4, 1]], 0)
    (piece,) = seen_lines(
        np.array([[0.0, 0.0, 1.0]]), np.array([[9.0, 0.0, 1.0]]), ABOVE, [level], 0.1
    )
    assert piece[:, 0] == pytest.approx([0.0, 9.0])


def test_a_box_beside_another_is_not_hidden_by_rounding() -> None:
    """Two boxes 18 x 45 x 9 that touch: from a corner above all of the right one's top is seen.

    Their corners in the picture differ by 1e-14, which made a general clipping library lose it all.
    """
    axes = camera().axes
    faces = []
    for body, (left, right) in enumerate([(-9.000000000000004, 8.999999999999996), (9.0, 27.0)]):
        low, high = (left, -22.661, 133.9053837558542), (right, 22.339, 142.9053837558542)
        for k in range(3):
            for end in (low, high):
                corners = np.array([end] * 4, dtype=float)
                corners[[1, 2], (k + 1) % 3] = high[(k + 1) % 3]
                corners[[0, 3], (k + 1) % 3] = low[(k + 1) % 3]
                corners[[2, 3], (k + 2) % 3] = high[(k + 2) % 3]
                corners[[0, 1], (k + 2) % 3] = low[(k + 2) % 3]
                normal = np.eye(3)[k] * (1.0 if end is high else -1.0)
                seen = flat_face(corners, normal, axes, body)
                faces += [] if seen is None else [seen]
    tops = [
        k for k, own in enumerate(faces) if own.body == 1 and own.nearness(own.outline).max() > 0
    ]
    areas = [shapely.area(shape) for shape in seen_faces(faces)]
    whole = [shapely.area(shapely.polygons(own.outline)) for own in faces]
    largest = max(tops, key=lambda k: whole[k])
    assert areas[largest] == pytest.approx(whole[largest], abs=1e-2)
