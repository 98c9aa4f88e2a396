"""The limits of repeated looks against every way that a few boxes could come out, one by one."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.stats import poisson_binom

from fitcheck.learn.looks import (
    Limits,
    Steps,
    alarm_chance,
    laid_out,
    looks,
    yes_steps,
)

SAID = [0.9, 0.75, 0.6, 0.82, 0.97, 0.7, 0.55, 0.8, 0.88, 0.65]
TRUE = [0.7, 0.5, 0.6, 0.6, 0.8, 0.5, 0.4, 0.62, 0.7, 0.5]


def limits_of(said: list[float], alpha: float) -> list[Limits]:
    n = len(said)
    laid = [alpha * (laid_out((k + 1) / n) - laid_out(k / n)) for k in range(n)]
    return list(looks(zip(map(yes_steps, said), laid, strict=True)))


def by_all_ways(limits: list[Limits], chances: list[float]) -> float:
    """2^n ways, each with its chance: how often one of its looks lies outside."""
    found = []
    for way in itertools.product((0, 1), repeat=len(chances)):
        sums = itertools.accumulate(way)
        if any(limit.alarm(total) for limit, total in zip(limits, sums, strict=True)):
            found.append(math.prod(c if y else 1 - c for c, y in zip(chances, way, strict=True)))
    return math.fsum(found)


@pytest.mark.parametrize("alpha", [0.05, 0.1, 0.4])
def test_false_alarms_and_power_over_all_looks_are_exact(alpha: float) -> None:
    limits = limits_of(SAID, alpha)
    false = by_all_ways(limits, SAID)
    assert false <= alpha, "never more than was laid out"
    assert alarm_chance(limits, map(yes_steps, SAID)) == pytest.approx(false, abs=1e-12)
    power = by_all_ways(limits, TRUE)
    assert power > 2 * false
    assert alarm_chance(limits, map(yes_steps, TRUE)) == pytest.approx(power, abs=1e-12)


def test_at_each_look_no_more_is_spent_than_was_laid_out_by_then() -> None:
    limits = limits_of(SAID, 0.3)
    for n in range(1, len(SAID) + 1):
        spent = by_all_ways(limits[:n], SAID[:n])
        assert spent <= 0.3 * (n / len(SAID)) ** 3 + 1e-12
        wider = [*limits[: n - 1], Limits(limits[n - 1].low + 1, limits[n - 1].high - 1)]
        assert by_all_ways(wider, SAID[:n]) > 0.5 * 0.3 * (n / len(SAID)) ** 3, "nor idly less"


def test_the_law_of_a_count_is_that_of_another_library() -> None:
    """Hong's Poisson-binomial law as scipy has it (scipy.stats.poisson_binom)."""
    count = len(SAID)
    for most in range(count):
        limits = [Limits(-1, count)] * (count - 1) + [Limits(-1, most)]
        ours = alarm_chance(limits, map(yes_steps, SAID))
        assert ours == pytest.approx(poisson_binom(SAID).sf(most), abs=1e-12)


def test_steps_that_are_no_counts() -> None:
    """A coin of +2 and -1 with three looks, by hand: the sums 6, 3, 0, -3 with 1, 3, 3, 1 of 8."""
    coin = Steps(-1, np.array([0.5, 0.0, 0.0, 0.5]))
    limits = list(looks([(coin, 0.0), (coin, 0.0), (coin, 0.25)]))
    assert limits[0] == Limits(-1, 2) and limits[1] == Limits(-2, 4)
    assert not limits[2].alarm(3) and not limits[2].alarm(0)
    assert limits[2].alarm(6) and limits[2].alarm(-3)
    assert alarm_chance(limits, [coin] * 3) == pytest.approx(0.25)


def test_nothing_is_left_once_every_way_is_an_alarm() -> None:
    sure = Steps(0, np.array([0.5, 0.5]))
    limits = list(looks([(sure, 1.0), (sure, 1.0)]))
    assert len(limits) == 1 and limits[0].alarm(0) and limits[0].alarm(1)
    assert alarm_chance(limits, [sure, sure]) == pytest.approx(1.0)
