"""Drawn boxes against the same boxes folded anew and fitted by the whole model."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from fitcheck.design.model import Axis
from fitcheck.fit.check import check
from fitcheck.odds.agreement import fold_again
from fitcheck.odds.odds import Prospect, odds_of, take_prospect
from fitcheck.odds.quantities import play_name
from fitcheck.odds.responses import Forms
from fitcheck.odds.rounds import bite, radius_from
from tests.agreement.test_odds_closed_forms import design
from tests.boxes import paper

FOLDED = 20


@cache
def unmeasured() -> Prospect:
    """A tray under a tray, both of a paper that was never measured: round or sharp by chance."""
    one = design("tray", 2.2)
    guessed = replace(
        paper(0.25), name="guessed", caliper_u_mm=0.02, crease_allowance_u_mm=0.15 * 0.25
    )
    assert one.lid is not None
    both = replace(one, base=replace(one.base, stock=guessed), lid=replace(one.lid, stock=guessed))
    return take_prospect(check(both))


def rms(prospect: Prospect, forms: Forms) -> dict[str, float]:
    """Departures of the plays by name, and how many verdicts were alike."""
    samples = prospect.draw(forms, 1_000, 0)
    rng = np.random.default_rng(7)
    found, alike, boxes, unfoldable = fold_again(
        prospect.check, prospect.workshop, prospect.outlook, forms, samples, FOLDED, rng
    )
    assert (boxes, unfoldable) == (FOLDED, 0)
    return {one.name: one.rms_mm for one in found} | {"alike": alike}


def test_boxes_of_a_paper_that_may_be_round_are_confirmed() -> None:
    prospect = unmeasured()
    forms = prospect.forms()
    assert forms.rounds
    with_rounds = rms(prospect, forms)
    without = rms(prospect, replace(forms, rounds=()))
    assert with_rounds["alike"] >= FOLDED - 1
    for axis in Axis:
        assert with_rounds[play_name(axis)] < 0.05
        assert without[play_name(axis)] > 2.0 * with_rounds[play_name(axis)]


def test_measured_paper_is_followed_closely() -> None:
    found = odds_of(check(design("tray", 2.0)), 5_000, 0, folded_again=FOLDED)
    assert found.agreement.trusted
    assert found.agreement.verdicts_alike == FOLDED
    for one in found.agreement.refolded:
        assert one.rms_mm < 0.01, one.name
    assert found.lid is not None
    plays = [one for one in found.agreement.laws if one.name in map(play_name, Axis)]
    assert len(plays) == 2
    assert all(one.apart < 0.05 for one in plays), "linear law and samples"


def test_the_bite_of_a_round_and_its_inverse() -> None:
    """A point at (r - bite, r - d) from the round's middle lies on the quarter circle."""
    for radius, lower in ((0.2, 0.0), (0.2, 0.03), (1.5, 0.4)):
        off = float(bite(np.array([radius]), np.array([lower]))[0])
        assert (radius - off) ** 2 + (radius - lower) ** 2 == pytest.approx(radius**2)
        assert radius_from(off, lower) == pytest.approx(radius)
