"""The K-factor of a published bend coupon comes back out of its readings.

Source: the worked coupon in the README of an open sheet-metal workbench: T 2, R 1.64, K 0.38, 90
degrees, bend line at 48.12 + BA / 2, outside flange 51.76 mm.
"""

from __future__ import annotations

import math

import pytest

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.learning import learn_stock
from fitcheck.learn.model_stock import Before, Given

T, R, K = 2.0, 1.64, 0.38
FLANGE, FLAT = 51.76, 48.12
EXACT = Given("a press brake", 1e-6, 1e-6, 0.0, 1e-6)


def rows() -> list[Reading]:
    """The coupon folded twice, as a channel: its floor runs from bend line to bend line."""
    bend_line = FLAT + math.pi / 2 * (R + K * T) / 2
    found = []
    for count in (1, 5, 10):
        found.append(reading(Feature.STACK, None, count, count * T))
    for floor in (60.0, 100.0, 140.0):
        grown = FLANGE - bend_line
        found.append(reading(Feature.CHANNEL, floor, None, floor + 2 * grown))
    return found


def reading(feature: Feature, nominal: float | None, count: int | None, value: float) -> Reading:
    return Reading(
        "c", 1, "2026-01-01", "x", "cmm", 1e-5, feature, nominal, count, value, None, None, ""
    )


def test_the_coupons_k_factor() -> None:
    learnt = learn_stock(rows(), EXACT, Before(2.0, 0.1, None, None))
    a = learnt.fit.value("crease allowance")
    allowance = 2 * (R + T - a)  # bend allowance: two setbacks less the bend deduction
    assert learnt.fit.value("caliper") == pytest.approx(T, abs=1e-9)
    assert allowance == pytest.approx(3.769911, abs=2e-4)  # the flange is printed to 0.01 mm
    assert (allowance / (math.pi / 2) - R) / T == pytest.approx(K, abs=5e-5)
