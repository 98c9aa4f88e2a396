"""How many rectangles come out of a sheet with cuts from edge to edge only.

The pinwheel 3 x 2 in 5 x 5 by arithmetic; the others are classical pallet-loading instances
(provenance from memory), their guillotine optima recomputed by an exact dynamic program on whole
numbers and their true optima by an exact solver.
"""

import pytest

from fitcheck.sheet.guillotine import TooManyPositions, mixtures, most_pieces
from tests.published.rows import Row

PALLET = "classical pallet-loading instance, guillotine optimum (provenance from memory)"
INSTANCES = [
    (5, 5, 3, 2, 4, 3),
    (13, 11, 5, 3, 9, 9),
    (14, 10, 3, 2, 23, 23),
    (22, 16, 5, 3, 23, 22),
    (30, 22, 7, 4, 23, 22),
    (43, 26, 7, 3, 53, 52),
    (40, 25, 7, 3, 47, 46),
    (52, 33, 9, 4, 47, 46),
    (42, 39, 9, 4, 45, 43),
    (57, 44, 12, 5, 41, 39),
    (56, 52, 12, 5, 48, 47),
]


def count(length: int, width: int, long: int, short: int) -> int:
    return most_pieces((length, width), [(long, short), (short, long)])


ROWS: list[Row] = [
    Row(
        PALLET,
        f"{long} x {short} out of {length} x {width} by guillotine",
        guillotine,
        count(length, width, long, short),
        0,
    )
    for length, width, long, short, _, guillotine in INSTANCES
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_published_counts(row: Row) -> None:
    assert row.agrees, str(row)


@pytest.mark.parametrize("instance", INSTANCES, ids=str)
def test_a_guillotine_never_beats_the_optimum(instance: tuple[int, ...]) -> None:
    length, width, long, short, optimum, _ = instance
    assert count(length, width, long, short) <= optimum


def test_a_piece_that_may_not_turn_gives_fewer() -> None:
    # common practice: rows and columns only, floor(22 / 5) * floor(16 / 3) and the other way
    assert most_pieces((22, 16), [(5, 3)]) == 4 * 5
    assert most_pieces((22, 16), [(3, 5)]) == 7 * 3


def test_mixtures_of_one_kind_twice_add_up_to_its_count() -> None:
    ways = [(5, 3), (3, 5)]
    found = mixtures((22, 16), [ways, ways])
    assert {a + b for a, b in found} == {22}
    assert (22, 0) in found
    assert (0, 22) in found


def test_a_mixture_may_use_what_one_kind_leaves() -> None:
    # 7 x 10 in 10 x 10 leaves 3 x 10 for one 3 x 10 and nothing else
    assert mixtures((10, 10), [[(7, 10)], [(3, 10)]]) == {(1, 1), (0, 3)}


def test_too_many_positions_are_refused_not_waited_for() -> None:
    with pytest.raises(TooManyPositions):
        mixtures((1000, 1000), [[(3, 5)], [(7, 11)]], limit=100)
