"""Readings that cannot belong to the others, judged by a fit without them."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from fitcheck.learn.bench_readings import Feature
from fitcheck.learn.fit import most_likely
from fitcheck.learn.nested import Rows
from fitcheck.learn.outliers import Odd, all_odd, most_to_set_aside, rivals_of
from fitcheck.learn.repeats import odd_repeats
from fitcheck.learn.scatter import Spread, spread_of
from tests.unit.test_learn_parts import entry


def test_a_repeat_far_from_its_likes_is_odd_and_small_steps_are_not() -> None:
    good = entry(Feature.CHANNEL, "p", 60.40, 60.42, 60.41, resolution_mm=0.01)
    bad = entry(Feature.CHANNEL, "q", 61.10, 61.11, 62.11, resolution_mm=0.01)
    assert [r.reading_mm for r in odd_repeats([good, bad])] == [62.11]
    # 0.03 away is three steps of the instrument: rounding alone
    near = entry(Feature.CHANNEL, "q", 61.10, 61.10, 61.13, resolution_mm=0.01)
    same = entry(Feature.CHANNEL, "p", 60.40, 60.40, 60.40, resolution_mm=0.01)
    assert odd_repeats([same, near]) == ()
    # alone it is judged by itself and by what hands usually scatter
    assert [r.reading_mm for r in odd_repeats([bad])] == [62.11]


def line(rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    x = np.array([1.0, 2.0, 3.5, 4.0, 6.0, 7.0, 9.0, 10.0])
    sd = np.array([0.1, 0.2, 0.1, 0.15, 0.1, 0.2, 0.1, 0.1])
    return np.column_stack([np.ones(8), x]), 3.0 - 0.4 * x + sd * rng.normal(size=8), sd


def judged(
    design: np.ndarray, y: np.ndarray, sd: np.ndarray, *, known: bool = True, **more: np.ndarray
) -> tuple[Spread, np.ndarray]:
    """What all others say of each of these, and the share of each in its own fitted value."""
    count, p = design.shape
    none = np.zeros(count)
    rows = Rows(
        slopes=design,
        found=y,
        fixed=sd**2 if known else none,
        spread=none if known else sd**2,
        piece=more.get("piece", np.full(count, -1)),
        day=np.zeros(count, dtype=int),
        shifted=none,
        prior=np.zeros(p),
        prior_weight=np.zeros(p),
    )
    weighted = design / sd[:, None]
    leverage = np.diag(weighted @ np.linalg.pinv(weighted))
    noise = 1.0 if known else most_likely(rows, 1.0, 1.0)
    return spread_of(rows, noise, None if known else float(count - p)), leverage


def the_odd_one(told: Spread, leverage: np.ndarray, checked: np.ndarray) -> Odd | None:
    """The entry that goes first, each of a piece of its own."""
    found = all_odd(told, leverage, checked, np.full(len(leverage), -1), most=1)
    return found[0] if found else None


@pytest.mark.parametrize("known", [True, False])
def test_an_odd_entry_is_judged_by_a_fit_without_it(known: bool) -> None:
    """Fitted again with the suspect left out: its distance, over what both are known by."""
    design, y, sd = line(np.random.default_rng(5))
    y[5] -= 2.5
    found = the_odd_one(*judged(design, y, sd, known=known), np.ones(8, dtype=bool))
    assert found is not None and found.entry == 5
    rest = np.arange(8) != 5
    weighted = design[rest] / sd[rest, None]
    values = np.linalg.lstsq(weighted, y[rest] / sd[rest], rcond=None)[0]
    off = y[5] - design[5] @ values
    assert found.residual_mm == pytest.approx(off)
    scatter = y[rest] / sd[rest] - weighted @ values
    scale = 1.0 if known else float(scatter @ scatter) / 5.0
    u = math.sqrt(
        scale * (sd[5] ** 2 + design[5] @ np.linalg.inv(weighted.T @ weighted) @ design[5])
    )
    law = stats.norm if known else stats.t(5.0)
    # the second by a sum over guesses of the scatter, which stops far out
    assert found.chance == pytest.approx(8 * 2 * law.sf(abs(off) / u), rel=1e-6 if known else 0.02)


def test_what_no_other_checks_or_nobody_asked_about_is_never_odd() -> None:
    design, y, sd = line(np.random.default_rng(5))
    y[5] -= 2.5
    told, leverage = judged(design, y, sd)
    checked = np.arange(8) != 5
    assert the_odd_one(told, leverage, checked) is None
    alone = np.where(checked, leverage, 0.995)
    everyone = np.ones(8, dtype=bool)
    assert the_odd_one(told, alone, everyone) is None
    assert the_odd_one(told, leverage, ~everyone) is None
    good = judged(*line(np.random.default_rng(5)), known=False)
    assert the_odd_one(*good, everyone) is None
    assert [most_to_set_aside(n) for n in (4, 5, 9, 10)] == [0, 1, 1, 2]


def test_many_odd_entries_go_together_as_they_would_one_by_one() -> None:
    """Three hundred on a line, eleven of them slipped by 1.5 to 3 mm; NumPy fits what is left."""
    rng = np.random.default_rng(12)
    x, sd = rng.uniform(1.0, 90.0, 300), rng.uniform(0.08, 0.2, 300)
    design = np.column_stack([np.ones(300), x])
    y = 3.0 - 0.4 * x + sd * rng.normal(size=300)
    slipped = rng.choice(300, 11, replace=False)
    y[slipped] += rng.uniform(1.5, 3.0, 11) * rng.choice([-1.0, 1.0], 11)

    def left_after(together: int) -> tuple[set[int], int]:
        rest, rounds = np.arange(300), 0
        while True:
            told, leverage = judged(design[rest], y[rest], sd[rest], known=False)
            alone, everyone = np.full(len(rest), -1), np.ones(len(rest), dtype=bool)
            odd = all_odd(told, leverage, everyone, alone, most=together)
            if not odd:
                return set(rest.tolist()), rounds
            rest, rounds = np.delete(rest, [one.entry for one in odd]), rounds + 1

    (one_by_one, many), (together, few) = left_after(1), left_after(300)
    assert together == one_by_one == set(range(300)) - set(slipped.tolist())
    assert many == 11 and few < 6


def test_of_one_piece_only_one_entry_goes_at_a_time() -> None:
    """Three of 300 are 7, 6.5 and 6 off, two of them of one piece."""
    y = np.zeros(300)
    y[[7, 8, 9]] = 7.0, 6.5, 6.0
    piece = np.full(300, -1)
    piece[[7, 8]] = 0
    ones = np.ones(300)
    told, leverage = judged(ones[:, None], y, ones)
    found = all_odd(told, leverage, ones > 0, piece, most=60)
    assert [one.entry for one in found] == [7, 9]
    assert all_odd(told, leverage, ones > 0, piece, most=0) == ()


def hat(design: np.ndarray, sd: np.ndarray) -> np.ndarray:
    """The share of each (column) in the fitted value of each (row), by NumPy's pseudo-inverse."""
    found: np.ndarray = design @ np.linalg.pinv(design / sd[:, None]) / sd
    return found


@pytest.mark.parametrize("wrong", [6, 7])
def test_of_two_that_nothing_else_checks_nobody_knows_which_is_wrong(wrong: int) -> None:
    """The last two alone bear on a third parameter; whichever slipped, both are in doubt."""
    design, y, sd = line(np.random.default_rng(5))
    design = np.column_stack([design, [0.0] * 6 + [1.0] * 2])
    y[wrong] += 3.0
    told, leverage = judged(design, y, sd)
    odd = the_odd_one(told, leverage, np.ones(8, dtype=bool))
    assert odd is not None and odd.entry in (6, 7)
    shares = hat(design, sd)
    rivals = rivals_of(odd, told, leverage, shares[:, odd.entry] * shares[odd.entry])
    assert {odd.entry, *rivals} == {6, 7}


def test_where_a_third_bears_on_it_too_the_odd_one_is_known() -> None:
    design, y, sd = line(np.random.default_rng(5))
    design = np.column_stack([design, [0.0] * 5 + [1.0] * 3])
    y[6] += 3.0
    told, leverage = judged(design, y, sd)
    odd = the_odd_one(told, leverage, np.ones(8, dtype=bool))
    assert odd is not None and odd.entry == 6
    shares = hat(design, sd)
    assert rivals_of(odd, told, leverage, shares[:, 6] * shares[6]) == ()


def test_a_third_that_says_little_may_still_say_which_is_wrong() -> None:
    """It has a hundredth of their say; the wrong one is more than three of its errors away."""
    design, y, sd = line(np.random.default_rng(5))
    design = np.column_stack([design, [0.0] * 5 + [1.0] * 3])
    sd[5:] = 1.4, 0.1, 0.1
    y[5:] = 3.0 - 0.4 * design[5:, 1]
    y[6] += 6.0
    told, leverage = judged(design, y, sd)
    odd = the_odd_one(told, leverage, np.ones(8, dtype=bool))
    assert odd is not None and odd.entry == 6
    shares = hat(design, sd)
    beside = shares[:, 6] * shares[6]
    assert leverage[7] + beside[7] / (1.0 - leverage[6]) > 0.99
    assert rivals_of(odd, told, leverage, beside) == ()
