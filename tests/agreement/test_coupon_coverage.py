"""Coupons from `coupon_rows`, papers known exactly: do the 95 % intervals hold the truth so often?

The coupons come from arithmetic of their own (`tests.coupons`), not from the model that is fitted.
The default run takes few of each scene and adds them up; its bound is such that intervals that
cover 95 % fall below it once in a thousand, and those that cover 87 % nearly always.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np
import pytest
from scipy.special import bdtr

from fitcheck.errors import InputError
from fitcheck.learn.evaluate import NORMAL_FACTOR
from fitcheck.learn.learning import learn_printer, learn_stock
from fitcheck.learn.model_stock import Before, Given
from tests.coupons import (
    FENCE_U_MM,
    HANDS,
    JOINT_MM,
    JOINT_U_MM,
    SCORE_MM,
    Bench,
    coupons,
    printed_gauge,
)

GIVEN = Given("test board", SCORE_MM, FENCE_U_MM, JOINT_MM, JOINT_U_MM)
NOTHING = Before(0.0, 1.0, None, None)
KINDS = {
    "caliper": "caliper",
    "allowance along": "allowance",
    "allowance across": "allowance",
    "crease allowance": "allowance",
    "corner give": "corner give",
}
CHANCE = 0.001
COUPONS = 34
SLIP = "one slip"
WIDE = ("three days, no shift",)
"""Three days cannot say that there is no shift between them: intervals allow for one."""


@dataclass
class Tally:
    """What came of so many coupons."""

    coupons: int = 0
    hits: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    tries: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    good_aside: int = 0
    """Coupons of which a good reading was set aside."""
    refused: int = 0
    """Coupons that no paper gives."""
    found: int = 0
    """Coupons whose slip was set aside."""

    def add(self, other: Tally) -> None:
        """Take another one in."""
        self.coupons += other.coupons
        for name, tried in other.tries.items():
            self.hits[name] += other.hits[name]
            self.tries[name] += tried
        self.good_aside += other.good_aside
        self.refused += other.refused
        self.found += other.found


def tally(scene: str, count: int, seed: int) -> Tally:
    told = Tally(coupons=count)
    for bench, rows in coupons(scene, count, seed):
        try:
            learnt = learn_stock(rows, GIVEN, NOTHING)
        except InputError:
            told.refused += 1
            continue
        for name, value in bench.paper.truth.items():
            found = learnt.known(name)
            if found is not None:
                told.tries[KINDS[name]] += 1
                told.hits[KINDS[name]] += abs(found.value - value) <= NORMAL_FACTOR * found.u
        slip, other = judged(bench, learnt.set_aside)
        told.found += slip
        told.good_aside += other
    return told


def judged(bench: Bench, lines: tuple[str, ...]) -> tuple[bool, bool]:
    """Whether the slip was set aside, and whether a reading was that is none."""
    slip = None if bench.slip is None else str(bench.rows[bench.slip].row)
    named = [re.split(", ", re.search(r"rows? ([\d, ]+)", line)[1]) for line in lines]  # type: ignore[index]
    return any(slip in rows for rows in named), any(slip not in rows for rows in named)


def least(count: int, share: float) -> int:
    """Hits that a coverage of ``share`` falls short of once in a thousand."""
    return next(k for k in range(count + 1) if bdtr(k, count, share) > CHANCE)


@pytest.fixture(scope="module")
def few() -> dict[str, Tally]:
    return {scene: tally(scene, COUPONS, seed=20261126) for scene in HANDS}


def test_intervals_hold_the_truth(few: dict[str, Tally]) -> None:
    whole = Tally()
    for told in few.values():
        whole.add(told)
    for name, tried in whole.tries.items():
        bound = least(tried, 0.95)
        assert whole.hits[name] >= bound, (name, whole.hits[name], tried)
        # what this test is worth: 87 % would have been noticed
        assert bdtr(bound - 1, tried, 0.87) > 0.97, (name, tried)


def test_no_scene_is_far_below(few: dict[str, Tally]) -> None:
    """A scene of 55 % hides in the sum of all."""
    for scene, told in few.items():
        for name, tried in told.tries.items():
            assert told.hits[name] >= least(tried, 0.95) - (tried > COUPONS), (scene, name, told)


def test_good_readings_stay_and_slips_go(few: dict[str, Tally]) -> None:
    good = sum(told.good_aside for scene, told in few.items() if scene != SLIP)
    among = sum(told.coupons for scene, told in few.items() if scene != SLIP)
    assert good == 0 or bdtr(good - 1, among, 0.02) < 1 - CHANCE, (good, among)
    slips = few[SLIP]
    assert slips.found >= least(slips.coupons, 0.95), slips
    assert slips.good_aside <= 2
    refused = sum(told.refused for told in few.values())
    assert refused <= 0.01 * (among + slips.coupons), refused


@pytest.mark.long
@pytest.mark.parametrize("scene", HANDS)
def test_four_hundred_coupons_of_a_scene(scene: str) -> None:
    told = tally(scene, 400, seed=1126)
    for name, tried in told.tries.items():
        few = next(k for k in range(tried + 1) if bdtr(k, tried, 0.93) > 0.02)
        many = next(k for k in range(tried + 1) if bdtr(k, tried, 0.97) >= 0.98)
        assert few <= told.hits[name], (name, told.hits[name], tried)
        assert told.hits[name] <= many or scene in WIDE, (name, told.hits[name], tried)
    if scene == SLIP:
        assert told.found >= 0.95 * told.coupons, told
    assert told.good_aside <= 0.02 * told.coupons, told
    assert told.refused <= 0.01 * told.coupons, told


def gauges(count: int, seed: int) -> tuple[dict[str, int], int]:
    """How often each property of a printer is held, and how many lost a good reading."""
    rng, hits, aside = np.random.default_rng(seed), defaultdict[str, int](int), 0
    for _ in range(count):
        rows, truth = printed_gauge(rng)
        learnt = learn_printer(rows, None)
        aside += bool(learnt.set_aside)
        for name, value in truth.items():
            found = learnt.known(name)
            assert found is not None
            hits[name] += abs(found.value - value) <= NORMAL_FACTOR * found.u
    return hits, aside


def test_eighty_printed_gauges() -> None:
    hits, aside = gauges(80, seed=1126)
    assert all(0.88 * 80 <= found <= 0.98 * 80 for found in hits.values()), hits
    assert 0.93 <= sum(hits.values()) / (80 * len(hits)) <= 0.97, hits
    assert aside <= 3


@pytest.mark.long
def test_a_thousand_printed_gauges() -> None:
    hits, aside = gauges(1000, seed=1127)
    assert all(930 <= found <= 970 for found in hits.values()), hits
    assert aside <= 20
