"""What each input does, from the draws alone, against boxes that are drawn with the input moved."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.odds.effects import outcomes_of
from fitcheck.odds.odds import odds_from, prospect_of
from fitcheck.odds.prospect import Prospect
from tests.cli.designs import TOFFEES

BOXES, SEED = 20_000, 4
TIGHT_ROOM = """
[[content]]
item = "card-id1"
lay  = "flat"
"""


@pytest.fixture(scope="module")
def prospect(tmp_path_factory: pytest.TempPathFactory) -> Prospect:
    """A lid that binds now and then over a card that does not always go in."""
    path = tmp_path_factory.mktemp("effects") / "box.toml"
    box = TOFFEES[: TOFFEES.index("[[content]]")].replace("oversize = 2", "oversize = 1.1")
    box = box.replace("floor  = [70, 80]", "floor  = [54.7, 86.3]") + TIGHT_ROOM
    path.write_text(box, encoding="utf-8")
    return prospect_of(check(read_design(path)), BOXES, SEED)


def moved(prospect: Prospect, name: str, shift: float, times: float = 1.0) -> Prospect:
    """The prospect whose input of that name is off on the average, or differs more."""
    inputs = tuple(
        one
        if one.name != name
        else replace(one, variate=replace(
            one.variate, mean=one.variate.mean + shift * one.variate.u, u=times * one.variate.u))
        for one in prospect.workshop.inputs
    )  # fmt: skip
    return replace(prospect, workshop=replace(prospect.workshop, inputs=inputs))


def test_the_outcomes_are_those_that_the_odds_count(prospect: Prospect) -> None:
    odds, found = (
        odds_from(prospect, BOXES, SEED, folded_again=0),
        outcomes_of(prospect, BOXES, SEED),
    )
    assert odds.lid is not None and found.fits is not None
    assert found.right.mean() == pytest.approx(odds.good.share, abs=1e-12)
    assert found.play_mm.mean() == pytest.approx(odds.lid.smaller.mean_mm, abs=1e-12)
    assert 0.5 < found.fits.mean() < 0.99 and found.lid_right.mean() >= found.right.mean()


def test_slopes_are_those_of_boxes_drawn_with_an_input_moved(prospect: Prospect) -> None:
    """The same draws with the input half a spread up and down: central differences of means."""
    found = outcomes_of(prospect, BOXES, SEED)
    assert found.fits is not None
    largest = sorted(found.effects, key=lambda one: -abs(one.play_mm))[:3]
    largest += sorted(found.effects, key=lambda one: -abs(one.fits))[:2]
    error = 4.0 / np.sqrt(BOXES)  # of a mean product of two things of spread 1
    for one in largest:
        up, down = (
            outcomes_of(moved(prospect, one.cause.name, s), BOXES, SEED) for s in (0.5, -0.5)
        )
        assert up.fits is not None and down.fits is not None
        by_play = float(up.play_mm.mean() - down.play_mm.mean())
        assert one.play_mm == pytest.approx(by_play, abs=error * found.play_mm.std()), (
            one.cause.name
        )
        by_fits = float(up.fits.mean() - down.fits.mean())
        assert one.fits == pytest.approx(by_fits, abs=error * found.fits.std()), one.cause.name


def test_the_slope_by_a_spread(prospect: Prospect) -> None:
    """Over eight seeds: of one, a product of a square and a rare event is no surer than 0.006."""
    name = max(outcomes_of(prospect, BOXES, SEED).effects, key=lambda one: abs(one.fits)).cause.name
    narrow, wide = (moved(prospect, name, 0.0, float(np.exp(by))) for by in (-0.1, 0.1))
    said, drawn = [], []
    for seed in range(8):
        found = outcomes_of(prospect, BOXES, seed)
        said += [one.fits_spread for one in found.effects if one.cause.name == name]
        more, less = (outcomes_of(each, BOXES, seed).fits for each in (wide, narrow))
        assert more is not None and less is not None
        drawn.append(float(more.mean() - less.mean()) / 0.2)
    assert np.mean(said) == pytest.approx(np.mean(drawn), abs=4.0 * 0.006 / np.sqrt(8))


def test_contents_without_doubt_have_no_slopes(tmp_path: Path) -> None:
    path = tmp_path / "box.toml"
    path.write_text(TOFFEES, encoding="utf-8")
    found = outcomes_of(prospect_of(check(read_design(path)), 2000, 1), 2000, 1)
    assert found.fits is not None and found.fits.all()
    assert max(abs(one.fits) for one in found.effects) < 1e-12
    assert max(abs(one.fits_spread) for one in found.effects) < 1e-12
