"""How many recipes are rated at once, held to each of them folded anew."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.model import Design
from fitcheck.fit.check import check
from fitcheck.odds.grid import steps_for
from fitcheck.odds.hands import Hands
from fitcheck.odds.lattice import DEPTH, Lattice, lattice_of
from fitcheck.odds.prospect import Prospect, take_prospect
from fitcheck.odds.rating import Rating
from fitcheck.odds.resized import folded_anew
from fitcheck.odds.sizes import FLAP, INNER, design_of, lines_of, sizes_of
from fitcheck.odds.start import felt, goes_together, made_with, start_of
from fitcheck.styles.part import SizeBy
from tests.agreement.test_odds_closed_forms import BOARD, design
from tests.cli.designs import FRAMED, TOFFEES
from tests.unit.test_recipes import near, of_text, some_of


def prospect_of(one: Design) -> tuple[Prospect, Rating, Lattice]:
    lattice = near(one, larger=True)
    prospect = take_prospect(check(one))
    lines = lines_of(prospect.check.assembly)
    assert lines is not None
    off = Hands.of(prospect, 2_000, 3).off
    return prospect, Rating.of(prospect, lines, one.tools, lattice, off), lattice


@pytest.mark.parametrize("text", [TOFFEES, FRAMED])
def test_many_are_rated_as_each_is_when_folded_anew(tmp_path: Path, text: str) -> None:
    """The same hands make a design that is folded by itself: as many of its boxes are right."""
    one = of_text(tmp_path, text)
    prospect, rating, lattice = prospect_of(one)
    places = some_of(lattice, 12)
    places[:, 3] %= 30
    places[0] = 0
    rates = rating.rates(places, 2_000)
    hands = Hands(rating.off)
    before = prospect.check.assembly
    alike = []
    for place, rate in zip(places[:4], rates[:4].tolist(), strict=True):
        again = folded_anew(prospect, design_of(before, lattice.rows(place[None])[0]))
        assert again is not None
        alike.append(abs(hands.right(again).mean() - rate))
    assert alike[0] < 1e-9 and max(alike) < 0.02
    one_by_one = [rating.rates(place[None], 2_000)[0] for place in places]
    assert rates.tolist() == pytest.approx(one_by_one, abs=1e-12)


def test_shapes_are_rated_from_a_box_of_another_shape(tmp_path: Path) -> None:
    """Toffees that are too tall: limits are of a deeper box, and rates those of each box itself."""
    tall = FRAMED.replace("card-id1", "toffee-wrapped").replace("count  = 1", "count = 2")
    tall = tall.replace('"7/8"', '"15/32"')
    one = of_text(tmp_path, tall.replace('"5/8"', '"3/8"').replace('"1/16"', '"3/32"'))
    found = check(one)
    start = start_of(one, found)
    assert start is not None and start.check.design.base.depth_mm > one.base.depth_mm
    lines = lines_of(start.check.assembly)
    assert lines is not None
    steps = steps_for(one.tools, one.unit)
    lattice = lattice_of(one, sizes_of(found.assembly), steps, lines.start, larger=False)
    hands = Hands.of(start, 2_000, 0)
    rating = Rating.of(start, lines, one.tools, lattice, hands.off)
    deep = np.flatnonzero(lattice.shapes[:, DEPTH] > 3.0)
    fits = 0
    for shape in deep.tolist():
        place = np.array([[shape, 0, 0, 0, 0]])
        again = folded_anew(start, design_of(found.assembly, lattice.rows(place)[0]))
        assert again is not None
        rate = rating.rates(place, 2_000)[0]
        # a flap that is longer stands against the inner wall's foot in more boxes, which is seen
        # when it is folded; what is chosen always is
        change = lattice.shapes[shape]
        stands = change[FLAP] > 0.5 and abs(change[INNER] - change[DEPTH]) < 1e-6
        off = 0.02 if stands else 0.005
        assert rate == pytest.approx(hands.right(again).mean(), abs=off)
        fits += again.check.fits and rate > 0.5
    assert fits >= 6


def test_a_box_that_does_not_go_together_is_rated_from_one_that_does() -> None:
    drops = design("tray", -3.0)
    found = check(drops)
    assert not goes_together(found)
    start = start_of(drops, found)
    assert start is not None and goes_together(start.check)
    assert start.check.design.lid is not None
    assert start.check.design.lid.size_by is SizeBy.OVERSIZE
    assert start.check.design.lid.size_mm[0] > 0.0


def test_exact_tools_have_errors_only_while_gradients_are_taken() -> None:
    exact = replace(BOARD, score_u_on_grid_mm=0.0, score_u_off_grid_mm=0.0, cut_u_mm=0.0)
    one = replace(design("tray", 1.0), tools=exact)
    start = start_of(one, check(one))
    assert start is not None and felt(BOARD) == BOARD
    lines = [own for own in start.workshop.inputs if own.rule is not None]
    assert len(lines) == 12 and all(own.variate.u > 0.0 for own in lines)
    made = made_with(start, exact)
    assert all(own.variate.u == 0.0 for own in made.workshop.inputs if own.rule is not None)
    others = [own for own in made.workshop.inputs if own.rule is None]
    assert others == [own for own in start.workshop.inputs if own.rule is None]
