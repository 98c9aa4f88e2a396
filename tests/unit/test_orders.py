"""Chains of bodies pushed to one side and to the other, by adding up sizes along every path."""

from __future__ import annotations

import numpy as np
import pytest

from fitcheck.odds.orders import Order, room_left

# 0 stands before 2 and 3, 1 before 3, 2 and 3 before 4; 5 is by itself
ORDER = Order(
    (0, 1, 5, 2, 3, 4),
    ((), (), (0,), (0, 1), (2, 3), ()),
    ((2, 3), (3,), (4,), (4,), (), ()),
)
PATHS = [(0, 2, 4), (0, 3, 4), (1, 3, 4), (5,)]


@pytest.fixture
def extents() -> np.ndarray:
    return np.random.default_rng(3).uniform(1.0, 9.0, (6, 50))


def before(path: tuple[int, ...], body: int, extents: np.ndarray) -> np.ndarray:
    """The sizes of those before a body on a path."""
    return extents[list(path[: path.index(body)])].sum(axis=0)


def test_bodies_begin_where_the_longest_chain_before_them_ends(extents: np.ndarray) -> None:
    low = np.full((6, 50), 2.5)
    found = ORDER.begins(low, extents)
    for body in range(6):
        chains = [before(path, body, extents) for path in PATHS if body in path]
        assert found[body] == pytest.approx(2.5 + np.max(chains, axis=0))


def test_seen_from_the_other_side_they_are_pushed_there(extents: np.ndarray) -> None:
    turned = ORDER.turned()
    found = turned.begins(np.zeros((6, 50)), extents)
    for body in range(6):
        chains = [before(path[::-1], body, extents) for path in PATHS if body in path]
        assert found[body] == pytest.approx(np.max(chains, axis=0))
    assert set(turned.last) == {0, 1, 5} and set(ORDER.last) == {4, 5}
    assert [ORDER.reached[4], ORDER.reached[3], ORDER.reached[5]] == [{0, 1, 2, 3}, {0, 1}, set()]
    assert [turned.reached[0], turned.reached[1]] == [{2, 3, 4}, {3, 4}]
    assert turned.turned().sequence == ORDER.sequence


def test_the_room_left_is_what_the_fullest_chain_leaves(extents: np.ndarray) -> None:
    high = np.full((6, 50), 30.0)
    begins = ORDER.begins(np.full((6, 50), 2.5), extents)
    fullest = np.max([extents[list(path)].sum(axis=0) for path in PATHS], axis=0)
    assert room_left(ORDER, begins, extents, high) == pytest.approx(27.5 - fullest)
