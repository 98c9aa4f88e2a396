"""How thick a sheet is, by its stack: SciPy's laws where there is one, and counted cases."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
from scipy import stats

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.entries import Entry, entries_of
from fitcheck.learn.learning import learn_stock
from fitcheck.learn.model_stock import Before, Given
from fitcheck.learn.needs import need_of
from fitcheck.learn.stack_size import sheet_size


def stacks(*heights: Sequence[float], step_mm: float = 0.01, count: int = 10) -> tuple[Entry, ...]:
    """Stacks of other sheets each, read so often."""
    rows = [
        Reading(
            "s.csv", 2, "2026-11-20", "kh", "caliper", step_mm, Feature.STACK, None, count, height,
            None, None, f"piece {'ABCDEFGH'[number]}",
        )
        for number, own in enumerate(heights)
        for height in own
    ]  # fmt: skip
    return entries_of(rows)


def half(entries: Sequence[Entry]) -> tuple[float, float]:
    size = sheet_size(entries)
    assert size is not None
    return size.interval()


@pytest.mark.parametrize("readings", [4, 5, 8, 30])
def test_readings_of_a_fine_caliper_have_student_s_interval(readings: int) -> None:
    rng = np.random.default_rng(readings)
    heights = np.round(rng.normal(3.1, 0.02, readings), 4)
    middle, wide = half(stacks(list(heights), step_mm=0.0001))
    law = stats.ttest_1samp(heights / 10, 0.0).confidence_interval(0.95)
    assert middle == pytest.approx((law.low + law.high) / 2, abs=1e-5)
    assert wide == pytest.approx((law.high - law.low) / 2, rel=0.02)


def test_a_ruler_that_always_shows_the_same_leaves_its_step() -> None:
    """Anywhere within half a step (JCGM 100, F.2.2.1): 95 in 100 of it.

    A little less, as near the rims a hand that scatters at all would have shown the next line.
    """
    middle, wide = half(stacks([3.5] * 5, step_mm=0.5))
    assert middle == pytest.approx(0.35)
    assert 0.85 * 0.475 * 0.05 < wide <= 0.475 * 0.05


def test_a_ruler_that_shows_two_lines_tells_more_than_its_step() -> None:
    middle, wide = half(stacks([3.0, 3.5] * 5, step_mm=0.5))
    assert middle == pytest.approx(0.325, abs=1e-4)
    assert wide < 0.7 * 0.475 * 0.05


def test_two_readings_are_not_believed_to_be_the_same_because_they_are() -> None:
    """By Student's t of one degree 12.7 times nothing; by what hands scatter some hundredths."""
    _, same = half(stacks([3.10, 3.10]))
    _, apart = half(stacks([3.10, 3.16]))
    assert 0.001 < same < 0.004 < apart < 0.02


def test_stacks_that_differ_are_as_unsure_as_they_differ() -> None:
    """Each read five times to some hundredths; their means differ by ten times as much."""
    near = [[3.10, 3.11, 3.09, 3.10, 3.10], [3.11, 3.10, 3.12, 3.11, 3.11]]
    far = [near[0], [height + 0.3 for height in near[1]], [height - 0.2 for height in near[0]]]
    _, sure = half(stacks(*near))
    middle, unsure = half(stacks(*far))
    means = np.array([np.mean(own) for own in far]) / 10
    law = stats.ttest_1samp(means, 0.0).confidence_interval(0.95)
    assert middle == pytest.approx(float(means.mean()), abs=2e-3)
    # two degrees of freedom, and the belief that stacks are rather alike
    assert 0.5 < unsure / ((law.high - law.low) / 2) <= 1.0
    assert sure < unsure / 5


def test_thicker_stacks_count_for_more() -> None:
    mixed = stacks([3.1]) + stacks([1.60], count=5)
    middle, _ = half(mixed)
    assert abs(middle - 0.31) < abs(middle - 0.32)
    assert sheet_size([]) is None


def test_what_else_is_known_narrows_it() -> None:
    size = sheet_size(stacks([3.10, 3.16]))
    assert size is not None
    alone, wide = size.interval()
    middle, narrow = size.interval(0.312, 1 / 0.001**2)
    assert narrow < wide and 0.311 < middle < alone
    law = stats.norm.ppf(0.975) * 0.001
    assert narrow <= law


@pytest.mark.parametrize("readings", [1, 5, 40])
def test_a_rule_that_shows_the_same_leaves_its_step(readings: int) -> None:
    """Of ten sheets at 1/8 in by a rule of 1/64 in: 0.29 steps (JCGM 100:2008, F.2.2.1: the
    standard uncertainty of a resolution, even if all indications are identical)."""
    step = 25.4 / 64
    row = Reading(
        "taken.csv", 2, "2026-11-20", "MK", "rule", step, Feature.STACK, None, 10, 3.175,
        None, None, "piece A",
    )  # fmt: skip
    given = Given("board", 0.1, 0.05, 0.1, 0.03)
    learnt = learn_stock([row] * readings, given, Before(0.0, 1.0, None, None))
    found = learnt.get("caliper")
    assert found is not None and found.u == pytest.approx(step / math.sqrt(12) / 10, rel=0.02)
    assert need_of(learnt, "caliper", 0.003).floor_u <= found.u * (1 + 1e-9)
    assert learnt.fit.noise == 0.1  # no fold was read: that of the board, as it was given
