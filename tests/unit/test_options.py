"""Options by hand: few recipes with known odds and costs, and which of them a maker is shown."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.odds.candidates import Candidates
from fitcheck.odds.costs import Traits
from fitcheck.odds.grid import Steps
from fitcheck.odds.options import Kind, groups_of, orders_of, picks_of
from fitcheck.odds.start import goes_together
from fitcheck.odds.suggest import Suggestions, suggest
from fitcheck.outputs.suggest_text import option_lines, suggest_text
from fitcheck.units import Unit
from tests.cli.commands import ROOT
from tests.cli.designs import FRAMED, TOFFEES

BOARD, HAND = Steps(0.5, 5.0, grooved=True), Steps(0.5, 0.5, grooved=False)
RECIPES = [
    # odds, numbers changed, mm, higher by, cm2, scores, sides and cuts on the grid
    (0.60, 0, 0.0, 0.0, 300.0, False, False, False),
    # the best: half a box of 100 ahead of one that changes less
    (0.955, 3, 9.0, 5.0, 310.0, False, False, False),
    (0.950, 2, 3.0, 5.0, 310.0, False, False, False),
    (0.940, 2, 4.0, 0.0, 300.0, True, False, True),
    (0.935, 4, 9.0, 0.0, 300.0, True, True, True),
    (0.800, 1, 1.0, 0.0, 300.0, False, False, False),
    (0.900, 1, 6.0, 0.0, 299.0, False, False, False),
    # saves a tenth for 3 of 100; the next saves as good as nothing more and loses as much again
    (0.925, 3, 9.0, -5.0, 270.0, False, False, False),
    (0.910, 3, 9.0, -5.0, 269.0, False, False, False),
    # saves most, but for one box in ten
    (0.850, 3, 9.0, -9.0, 200.0, False, False, False),
]


def candidates(rows: list[tuple[float, ...]]) -> Candidates:
    rates, changed, moved, higher, area, scores, sides, even = map(
        np.array, zip(*rows, strict=True)
    )
    traits = Traits(
        changed=changed,
        moved_mm=moved,
        height_mm=higher,
        area_mm2=100.0 * area,
        scores=scores.astype(bool),
        sides=sides.astype(bool),
        even=even.astype(bool),
    )
    return Candidates(np.zeros((len(rates), 12)), rates, traits, np.zeros(len(rates), dtype=bool))


def test_each_kind_is_the_best_of_its_own() -> None:
    assert picks_of(candidates(RECIPES), BOARD) == {
        Kind.BEST: 2,
        Kind.SAME_HEIGHT: 3,
        Kind.LEAST_CHANGE: 6,
        Kind.SCORES: 3,
        Kind.THROUGHOUT: 4,
        Kind.PAPER: 7,
    }


def test_without_grooves_no_score_is_said_to_lie_in_one() -> None:
    assert Kind.SCORES not in picks_of(candidates(RECIPES), HAND)


def test_what_helps_too_few_boxes_is_no_option() -> None:
    """Two in 100 are the least that is worth cutting otherwise."""
    near = [RECIPES[0], (0.615, *RECIPES[1][1:])]
    assert picks_of(candidates(near), BOARD) == {}
    near.append((0.63, *RECIPES[1][1:]))
    assert picks_of(candidates(near), BOARD) == {Kind.BEST: 2}


def test_what_may_be_picked_is_in_front_of_some_order() -> None:
    found = candidates(RECIPES)
    fronts = {int(order[0]) for order in orders_of(found.rates, found.traits, BOARD) if len(order)}
    assert set(picks_of(found, BOARD).values()) <= fronts
    masks = groups_of(found.traits, BOARD)
    assert masks[Kind.PAPER].tolist() == [False] * 7 + [True] * 3


@pytest.fixture(scope="module", params=[FRAMED, TOFFEES])
def found(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Suggestions:
    path = tmp_path_factory.mktemp("options") / "box.toml"
    path.write_text(request.param, encoding="utf-8")
    return suggest(read_design(path, roots=[ROOT]), 2_000)


def test_thousands_are_tried_and_few_are_shown_that_differ(found: Suggestions) -> None:
    assert found.tried >= 2_000
    assert 2 <= len(found.ranked) <= 5
    assert Kind.BEST in found.ranked[0].kinds
    said = [
        (
            round(one.good.share / 0.02),
            one.cost.height_mm,
            round(one.cost.area_mm2 / 100.0),
            one.cost.throughout,
        )
        for one in found.ranked
    ]
    assert len(set(said)) == len(said)
    for one in found.ranked:
        assert one.good.share > found.original.good.share
        assert one.changed >= 1


def test_each_option_says_what_it_costs(found: Suggestions) -> None:
    """Heights, areas and pieces per letter sheet by plain arithmetic on the sizes that are said."""
    text = suggest_text(found)
    before = found.original.cost
    for number, one in enumerate(found.ranked, start=1):
        rest = text.split(f"\n  {number} ")[1]
        block = rest.split(f"\n  {number + 1} ")[0].split("\n  right: ")[0]
        assert "of 100 come out right, give or take " in block
        called = " ".join(block.split())
        higher = one.cost.height_mm - before.height_mm
        assert all(str(own) in called for own in one.kinds if own is not Kind.SAME_HEIGHT)
        if Kind.SAME_HEIGHT in one.kinds:
            nearly = "" if abs(higher) < 0.05 else "nearly "
            assert f"best odds at {nearly}the same height" in called
        assert ("as now" in block) == (abs(higher) < 0.05)
        assert (" less than now" in block) == (higher <= -0.05)
        areas = [
            sum(sheet.width_mm * sheet.length_mm for _, sheet in cost.sheets)
            for cost in (one.cost, before)
        ]
        share = round(100.0 * (areas[0] / areas[1] - 1.0))
        if abs(share) >= 1:
            assert f"{abs(share)} % {'more' if share > 0 else 'less'} paper than now" in block
        for name, (width, length) in ((own, sheet.sides_mm) for own, sheet in one.cost.sheets):
            # rows and columns on the paper of its unit, either way round: a lower bound of what is
            # cut out; letter as in ANSI/ASME Y14.1, A4 as in ISO 216
            inches = found.original.design.unit is Unit.IN
            paper, sides = ("letter", (215.9, 279.4)) if inches else ("A4", (210.0, 297.0))
            ways = [sides, sides[::-1]]
            least = max(int(across / width) * int(along / length) for across, along in ways)
            line = next(own for own in block.split("\n") if f" {name} sheet " in own)
            assert int(line.split(", ")[1].split(f" from {paper}")[0]) >= least >= 1


def test_contents_that_have_no_place_as_drawn_get_one(tmp_path: Path) -> None:
    """Six toffees on a floor that is 2 mm too short for them: no box is right, then most are."""
    path = tmp_path / "box.toml"
    path.write_text(TOFFEES.replace("floor  = [70, 80]", "floor = [48, 62]"), encoding="utf-8")
    one = read_design(path, roots=[ROOT])
    before = check(one)
    assert not before.fits and not goes_together(before)
    found = suggest(one, 1_000)
    assert found.original.good.hits == 0
    best = found.ranked[0]
    assert best.good.share > 0.9 and check(best.design).fits
    assert max(best.design.base.size_mm) > 62.0


@pytest.mark.parametrize(("higher_mm", "called"), [(0.0, "the same"), (0.45, "nearly the same")])
def test_a_height_is_called_the_same_only_where_it_is(
    found: Suggestions, higher_mm: float, called: str
) -> None:
    height = found.original.cost.height_mm + higher_mm
    best = found.ranked[0]
    one = replace(best, kinds=(Kind.SAME_HEIGHT,), cost=replace(best.cost, height_mm=height))
    told = "\n".join(option_lines(1, one, found, details=False))
    assert f"best odds at {called} height\n" in told
    assert ("0.45 mm more than now" in told) == (higher_mm > 0.0)
