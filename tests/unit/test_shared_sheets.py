"""Parts that share a bought sheet: laid so that every cut runs from edge to edge, and never said to
need the fewest sheets where that is not known.

Layouts are proved by a search of the test's own for a cut that goes through no piece; sheets to buy
by hand and by bounds: the area, and how many of one part go on a sheet by themselves.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.outputs.sheet_json import sheet_json
from fitcheck.outputs.steps_text import yield_lines
from fitcheck.sheet.job import sheet_job
from fitcheck.sheet.shared import RULES, Laid, good_mixtures, lay
from fitcheck.sheet.yields import Piece, purchase
from fitcheck.stock.bought_sheets import Bought
from tests.cli.commands import ROOT

A4, LETTER = Bought("a4", 210.0, 297.0), Bought("letter", 215.9, 279.4)
CHEST = [
    Piece("lid", "card", 170.0, 135.0, None),
    Piece("strip across", "card", 108.5, 20.0, None),
    Piece("strip along", "card", 73.5, 20.0, None, 2),
]


@pytest.mark.parametrize(("bought", "kits", "sheets"), [
    # two lids one above the other, 170 x 270, leave 40 (45.9) mm beside them: two strips of 20 mm,
    # each long enough for 108.5 + 73.5 + 73.5 = 255.5 mm; a third lid goes on no sheet
    (A4, 2, 1), (A4, 30, 15), (A4, 31, 16), (LETTER, 2, 1), (LETTER, 30, 15),
])  # fmt: skip
def test_strips_are_cut_beside_the_lids(bought: Bought, kits: int, sheets: int) -> None:
    found = purchase(CHEST, bought, kits)
    assert (found.sheets, found.mixed, found.exact) == (sheets, True, True)
    assert found.kits_per_sheet == 2


def separable(pieces: list[Laid]) -> bool:
    """Whether cuts from edge to edge, each through no piece, part the pieces one from another."""
    if len(pieces) < 2:
        return True
    for way in (0, 1):
        for at in {one.at[way] for one in pieces}:
            before = [one for one in pieces if one.at[way] + one.size[way] <= at]
            after = [one for one in pieces if one.at[way] >= at]
            if before and after and len(before) + len(after) == len(pieces):
                return separable(before) and separable(after)
    return False


@given(
    st.lists(st.tuples(st.integers(3, 50), st.integers(3, 50), st.integers(0, 9)), min_size=1,
             max_size=4),
    st.sampled_from(RULES),
)  # fmt: skip
@settings(max_examples=150, deadline=None)
def test_what_is_laid_can_be_cut(
    kinds: list[tuple[int, int, int]], rule: tuple[object, object, object]
) -> None:
    ways = [[(w, h), (h, w)] for w, h, _ in kinds]
    counts = tuple(count for _, _, count in kinds)
    laid = lay((60, 85), ways, counts, rule)  # type: ignore[arg-type]
    assert all(sum(one.kind == n for one in laid) <= count for n, count in enumerate(counts))
    for one in laid:
        assert one.size in ways[one.kind]
        assert min(one.at) >= 0
        assert one.at[0] + one.size[0] <= 60 and one.at[1] + one.size[1] <= 85
    # pieces that cuts part do not lie on each other
    assert separable(laid)


def test_a_pinwheel_is_not_parted() -> None:
    """The search can say no: four of 3 x 2 round a hole in 5 x 5."""
    wheel = [((0, 0), (3, 2)), ((3, 0), (2, 3)), ((2, 3), (3, 2)), ((0, 2), (2, 3))]
    assert not separable([Laid(0, at, size) for at, size in wheel])


@given(st.lists(st.tuples(st.floats(15, 200), st.floats(15, 280), st.integers(1, 3)), min_size=2,
                max_size=3), st.integers(1, 30))  # fmt: skip
@settings(max_examples=40, deadline=None)
def test_fewest_is_only_said_where_a_bound_proves_it_or_all_was_counted(
    kinds: list[tuple[float, float, int]], kits: int
) -> None:
    pieces = [
        Piece(f"part {n}", "card", w, h, None, count) for n, (w, h, count) in enumerate(kinds)
    ]
    found = purchase(pieces, A4, kits)
    area = kits * sum(w * h * count for w, h, count in kinds) / (210.0 * 297.0)
    assert found.sheets is not None and found.sheets >= area - 1e-9
    alone = [purchase([one], A4, kits).sheets for one in pieces]
    assert max(own or 0 for own in alone) <= found.sheets <= sum(own or 0 for own in alone)
    if not found.exact:
        assert found.sheets > math.ceil(area - 1e-9)


def test_kinds_that_share_no_sheet_with_all_others_share_one_with_some() -> None:
    """Of 210 x 290 one piece of 150 x 210 leaves 140 mm, where neither of the others goes; those
    two lie side by side on another, 90 + 110 mm."""
    kinds = ((90, 240), (110, 230), (150, 210))
    ways = [[(w, h), (h, w)] for w, h in kinds]
    assert (1, 1, 0) in good_mixtures((210, 290), ways, (2, 2, 2), 30)


def test_what_may_be_fewer_is_told_as_at_most(tmp_path: Path) -> None:
    job = sheet_job(read_design(ROOT / "models" / "ferry.toml"), Paper.A4, (A4,), 3)
    one = replace(job.yields.purchases[-1], sheets=7, exact=False)
    told = replace(job, yields=replace(job.yields, purchases=(one,)))
    assert any(": at most 7 sheets of a4" in line for line in yield_lines(told))
    assert '"exact": false' in sheet_json(told)
    known = replace(job, yields=replace(job.yields, purchases=(replace(one, exact=True),)))
    assert not any("at most" in line for line in yield_lines(known))
