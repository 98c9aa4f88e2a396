"""Drawn boxes against the same boxes folded anew and fitted by the whole model."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.odds.forms import Forms
from fitcheck.odds.landing import play_name
from fitcheck.odds.odds import odds_of
from fitcheck.odds.proof import fold_again
from fitcheck.odds.prospect import Prospect, take_prospect
from fitcheck.odds.quantities import slack_name
from fitcheck.pattern.sheet import Axis
from tests.agreement.test_odds_closed_forms import design, stock
from tests.boxes import paper
from tests.unit.test_odds_parts import with_content

FOLDED = 20
LANTERN = Path(__file__).resolve().parents[2] / "models" / "lantern.toml"


def unmeasured() -> Prospect:
    """A tray under a tray, both of a paper that was never measured: round or sharp by chance."""
    one = design("tray", 2.2)
    guessed = replace(
        paper(0.25), name="guessed", caliper_u_mm=0.02, crease_allowance_u_mm=0.15 * 0.25
    )
    assert one.lid is not None
    both = one.with_parts(replace(one.base, stock=guessed), replace(one.lid, stock=guessed))
    return take_prospect(check(both))


def rms(prospect: Prospect, forms: Forms) -> dict[str, float]:
    """Departures of the quantities by name, and how many verdicts were alike."""
    samples = prospect.draw(forms, 1_000, 0)
    rng = np.random.default_rng(7)
    found = fold_again(
        prospect.check, prospect.workshop, prospect.outlook, forms, samples.spreads, FOLDED, rng
    )
    assert (found.boxes, found.unfoldable) == (FOLDED, 0)
    return {one.name: one.rms_mm for one in found.refolded} | {"alike": found.verdicts_alike}


def straight(forms: Forms) -> Forms:
    """The same limits with the middle slope of both sides, as if nothing turned."""
    turned = np.zeros((len(forms.values), len(forms.turns)))
    return replace(forms, gradients=np.hstack([forms.slopes, turned]))


def lantern() -> Prospect:
    """The shipped tray under a tray, full of sweets; its paper was never measured."""
    return take_prospect(check(read_design(LANTERN)))


@pytest.mark.parametrize("taken", [unmeasured, lantern])
def test_boxes_of_a_paper_that_may_be_round_are_confirmed(taken: Callable[[], Prospect]) -> None:
    prospect = taken()
    found = rms(prospect, prospect.forms())
    assert found["alike"] >= FOLDED - 1
    for axis in Axis:
        assert found[play_name(axis)] < 0.05


def test_a_lid_of_a_paper_that_is_surely_round_is_confirmed() -> None:
    """Its floor's round creases lift it and take no play; measured at 0.8 of the caliper."""
    lid_stock = replace(stock("round", 0.25, 0.8 * 0.25), crease_allowance_u_mm=0.01)
    found = odds_of(check(design("tray", 2.2, lid_stock)), 5_000, 0, folded_again=FOLDED)
    assert found.agreement.trusted
    assert found.agreement.verdicts_alike == FOLDED
    plays = [one for one in found.agreement.refolded if one.name in map(play_name, Axis)]
    assert len(plays) == 2
    assert all(one.rms_mm < 0.05 for one in plays)


def test_what_stands_on_the_floor_needs_the_turn() -> None:
    """Round creases reach the foot of a block in boxes on one side of the turn only."""
    prospect = take_prospect(with_content())
    forms = prospect.forms()
    assert forms.turns
    with_turns, without = rms(prospect, forms), rms(prospect, straight(forms))
    for axis in Axis:
        assert with_turns[slack_name(0, axis)] < 0.01
        assert without[slack_name(0, axis)] > 0.05


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
