"""Knife pieces that a rule reads say next to nothing of a knife: what is assumed of it counts."""

from __future__ import annotations

import numpy as np

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.hand_fit import fit_hands
from fitcheck.learn.hand_pieces import Act
from fitcheck.learn.hand_profile import measured_tools
from tests.hand_truth import BOARD

KNIFE_MM = 0.25


def card(widths: list[float], step: float) -> list[Reading]:
    return [
        Reading(
            "r.csv", 1 + k, "2026-11-20", "MK", "rule", step, Feature.KNIFE, 25.4, None, mm, None,
            None, f"piece K{k}",
        )
        for k, mm in enumerate(widths, 1)
    ]  # fmt: skip


def told(widths: list[float], step: float) -> float:
    """The knife's scatter that odds take, mm."""
    return measured_tools(fit_hands(card(widths, step), BOARD), BOARD, ["r.csv"]).knife_u_mm


def test_half_millimetres_that_hold_mostly_rounding_leave_what_is_assumed() -> None:
    """Sums of -0.40, -0.30, -0.20, -0.60, -0.50 and -0.40 mm: mean square 0.177 mm2, and 3.5 times
    0.5^2 / 12 = 0.073 mm2 of it is rounding. Welch: (0.177 - 0.073)^2 / (0.177^2 / 6) is 2.1
    degrees of freedom, of which an interval reaches over more than a decade.
    """
    widths = [25.0, 25.5, 25.5, 25.0, 25.5, 25.5]
    assert told(widths, 0.5) == BOARD.knife_u_mm
    work = fit_hands(card(widths, 0.5), BOARD).hands[0].work(Act.KNIFE)
    assert work is not None and not work.scatter.estimated


def test_a_rule_seldom_doubles_a_knife_and_a_caliper_still_tells_it() -> None:
    """Cuts of a normal law of 0.25 mm, from marks made first, six to a card."""
    rng = np.random.default_rng(1)
    rough, fine = [], []
    for _ in range(150):
        cuts = np.concatenate([[0.0], rng.normal(0.0, KNIFE_MM, 6)])
        true = 25.4 + np.diff(cuts)
        rough.append(told((np.round(true / 0.5) * 0.5).tolist(), 0.5))
        fine.append(told(np.round(true, 2).tolist(), 0.01))
    assert np.mean(np.array(rough) > 2 * KNIFE_MM) < 0.2
    assert np.mean(np.array(fine) > 2 * KNIFE_MM) < 0.1
    assert 0.8 * KNIFE_MM < np.median(fine) < 1.4 * KNIFE_MM
    assert np.std(fine) > 0.03, "a caliper's cards differ: they are told, not assumed"
