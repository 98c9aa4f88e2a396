"""How many parts and kits come from bought sheets, grain honoured or ignored."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.pattern.sheet import Axis
from fitcheck.sheet.yields import Piece, fewest_sheets, in_rows, part_yield, purchase, yields_for
from fitcheck.stock.bought_sheets import Bought

SHEET = Bought("test", 200.0, 300.0)


def piece(width: float, length: float, grain: Axis | None = None, part: str = "base") -> Piece:
    return Piece(part, "card", width, length, grain)


def test_a_part_that_fills_the_sheet_exactly_counts() -> None:
    # an eighth of an inch grid in floats must not lose the last piece
    sheet = Bought("12 x 12 in", 304.8, 304.8)
    third = 304.8 / 3
    assert part_yield(piece(third, third), sheet).any_way == 9


def test_grain_halves_what_turning_would_give() -> None:
    # 2 x 3 fit as they are; turned, 1 x 3
    along = part_yield(piece(95.0, 98.0, Axis.LENGTH), SHEET)
    across = part_yield(piece(98.0, 145.0, Axis.WIDTH), SHEET)
    assert (along.with_grain, along.any_way) == (6, 6)
    assert (across.with_grain, across.any_way) == (3, 4)


def test_the_grain_runs_along_the_side_that_is_named_second() -> None:
    """Common practice, no source. Parts of 270 x 385 and 181.5 x 297.5, grain along their length.

    Their lengths along 450 lie side by side along 640; along 640 they lie side by side along 450.
    """
    base = piece(270.0, 385.0, Axis.LENGTH)
    lid = piece(181.5, 297.5, Axis.LENGTH, "lid")
    short, long = Bought("640 x 450", 640.0, 450.0), Bought("450 x 640", 450.0, 640.0)
    found = {
        (own.part, one.name): part_yield(own, one).with_grain
        for own in (base, lid)
        for one in (short, long)
    }
    assert found["base", "640 x 450"] == 640 // 270
    assert found["lid", "640 x 450"] == int(640 // 181.5)
    assert found["base", "450 x 640"] == (450 // 270) * (640 // 385)
    assert found["lid", "450 x 640"] == int(450 // 181.5) * int(640 // 297.5)
    # 270 + 2 x 181.5 is 633: 20 sheets of a base and two lids, 10 of the other 20 bases
    assert purchase([base, lid], short, 40).sheets == 20 + 10
    assert purchase([base, lid], long, 40).sheets == 40 + 40 // 4


def test_a_part_without_grain_has_no_grain_count() -> None:
    found = part_yield(piece(95.0, 98.0), SHEET)
    assert (found.with_grain, found.any_way) == (None, 6)


def test_a_part_larger_than_the_sheet_cannot_be_bought_that_way() -> None:
    found = purchase([piece(250.0, 310.0)], SHEET, 10)
    assert found.sheets is None
    assert part_yield(piece(250.0, 310.0), SHEET).any_way == 0


@pytest.mark.parametrize("kits", [1, 7, 24])
def test_one_part_takes_whole_sheets(kits: int) -> None:
    assert purchase([piece(95.0, 98.0)], SHEET, kits).sheets == math.ceil(kits / 6)


def test_parts_of_one_stock_share_a_sheet_where_that_saves_one() -> None:
    # the base fills 200 x 180 and leaves 200 x 120 for two lids
    pieces = [piece(200.0, 180.0), piece(100.0, 120.0, part="lid")]
    found = purchase(pieces, SHEET, 10)
    assert found.sheets == 10
    assert found.kits_per_sheet == 1
    assert found.mixed
    apart = 10 + math.ceil(10 / part_yield(pieces[1], SHEET).any_way)
    assert found.sheets < apart


def test_parts_of_different_stocks_are_bought_apart() -> None:
    pieces = [piece(95.0, 98.0), Piece("lid", "paper", 95.0, 98.0, None)]
    found = yields_for(pieces, [SHEET], 12)
    assert [(p.stock, p.sheets) for p in found.purchases] == [("card", 2), ("paper", 2)]


def test_the_fewest_sheets_by_hand() -> None:
    # 5 kits: (2, 0) and (0, 3) and (1, 1): 3 of the last, one of each other
    assert fewest_sheets(frozenset({(2, 0), (0, 3), (1, 1)}), 5) == 5
    assert fewest_sheets(frozenset({(2, 2)}), 5) == 3


def test_tiny_parts_are_laid_in_rows_instead_of_waited_for() -> None:
    """Ten of each cover 1/60 of the sheet: one is enough, whatever mixture is the best."""
    pieces = [piece(7.0, 9.0), piece(11.0, 13.0, part="lid")]
    found = purchase(pieces, Bought("large", 420.0, 297.0), 10)
    assert found.sheets == 1
    assert found.mixed


def test_a_count_that_is_not_exact_says_so() -> None:
    tiny = part_yield(piece(3.011, 4.107), Bought("large", 420.0, 297.0))
    assert not tiny.exact
    area = 420.0 * 297.0 / (3.011 * 4.107)
    assert 0.98 * area < tiny.any_way <= area


@given(
    st.lists(
        st.tuples(st.integers(5, 60), st.integers(5, 60), st.integers(1, 12)),
        min_size=1,
        max_size=4,
    )
)
@settings(max_examples=60, deadline=None)
def test_pieces_in_rows_need_no_fewer_sheets_than_their_area_and_no_more_than_one_each(
    pieces: list[tuple[int, int, int]],
) -> None:
    """Bounds by arithmetic: the area from below, a sheet for each from above."""
    size = (60, 60)
    ways = [[(w, h), (h, w)] for w, h, _ in pieces]
    counts = [count for _, _, count in pieces]
    found = in_rows(size, ways, counts)
    area = sum(w * h * count for w, h, count in pieces)
    assert math.ceil(area / (size[0] * size[1])) <= found <= sum(counts)


def test_strips_of_a_grid_share_a_sheet() -> None:
    """Three strips of 74 x 19.5 mm and two of 153.5 x 19.5 mm: 1/6 of an A4 sheet, so one does."""
    strips = [
        Piece("across", "cover-80", 74.0, 19.5, None, 3),
        Piece("along", "cover-80", 153.5, 19.5, None, 2),
    ]
    for bought in (Bought("a4", 210.0, 297.0), Bought("12x12", 304.8, 304.8)):
        assert purchase(strips, bought, 1).sheets == 1
