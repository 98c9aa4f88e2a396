"""Looking from coarse to fine finds what rating every recipe finds, and tries far fewer."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.model import Design
from fitcheck.fit.check import check
from fitcheck.odds import candidates
from fitcheck.odds.candidates import Search
from fitcheck.odds.costs import traits_of
from fitcheck.odds.grid import steps_for
from fitcheck.odds.hands import Hands
from fitcheck.odds.lattice import lattice_of
from fitcheck.odds.options import NEARLY, Kind, orders_of, picks_of
from fitcheck.odds.prospect import take_prospect
from fitcheck.odds.rating import Rating
from fitcheck.odds.sizes import lines_of, sizes_of
from tests.agreement.test_odds_closed_forms import design
from tests.cli.designs import FRAMED, TOFFEES
from tests.unit.test_recipes import of_text

BOXES = 2_000
ALIKE = 0.015
"""Rates of 2 000 boxes, of which those in front were chosen by 250 and 400."""


def search_of(one: Design, *, larger: bool) -> Search:
    prospect = take_prospect(check(one))
    lines = lines_of(prospect.check.assembly)
    assert lines is not None
    start, steps = sizes_of(prospect.check.assembly), steps_for(one.tools, one.unit)
    lattice = lattice_of(one, start, steps, start, larger=larger)
    off = Hands.of(prospect, BOXES, 1).off
    rating = Rating.of(prospect, lines, one.tools, lattice, off)
    traits = partial(traits_of, one, lines, start, steps)
    return Search(rating, lattice, traits, partial(orders_of, steps=steps))


def picked(search: Search, one: Design) -> tuple[dict[Kind, tuple[float, float, int]], int]:
    """Rate, area and changed numbers of each kind of option, and how many were tried."""
    found, tried = search.run()
    picks = picks_of(found, steps_for(one.tools, one.unit))
    traits = found.traits
    return {
        kind: (float(found.rates[k]), float(traits.area_mm2[k]), int(traits.changed[k]))
        for kind, k in picks.items()
    }, tried


def hold_together(search: Search, one: Design, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(candidates, "WHOLE", 400)
    monkeypatch.setattr(candidates, "MOST_BOXES", 300)
    coarse, tried = picked(search, one)
    monkeypatch.setattr(candidates, "WHOLE", 1_000_000)
    whole, every = picked(search, one)
    assert every == search.lattice.count > tried
    assert coarse.keys() == whole.keys()
    for kind, (rate, area, changed) in whole.items():
        found = coarse[kind]
        if kind is Kind.PAPER:
            assert found[1] < 1.04 * area
            assert found[0] > whole[Kind.BEST][0] - NEARLY - ALIKE
        else:
            assert found[0] > rate - ALIKE
            assert found[2] <= changed + 1


def test_a_tray_under_a_tray(monkeypatch: pytest.MonkeyPatch) -> None:
    one = design("tray", 0.9)
    hold_together(search_of(one, larger=False), one, monkeypatch)


@pytest.mark.long
@pytest.mark.parametrize("text", [FRAMED, TOFFEES.replace("floor  = [70, 80]", "slack = 1.2")])
def test_recipes_with_contents(tmp_path: Path, text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    one = of_text(tmp_path, text)
    search = search_of(one, larger="slack" in text)
    assert search.lattice.count > 10_000
    hold_together(search, one, monkeypatch)


def test_the_design_as_it_is_comes_first() -> None:
    one = design("tray", 1.2)
    search = search_of(one, larger=False)
    found, _ = search.run()
    np.testing.assert_allclose(found.rows[0], search.lattice.start)
    assert found.traits.changed[0] == 0 and not found.known.any()
