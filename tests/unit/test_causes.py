"""Which input explains boxes: the likeliest shift and spread, against other arithmetic."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from scipy.stats import norm, t

from fitcheck.learn.causes import READING_MM, Cause, How, causes_of
from fitcheck.learn.forecast import InputRow
from fitcheck.learn.scored_boxes import ScoredBox
from tests.forecasts import frozen_forecast, made, row

U = 0.25


def inputs() -> list[InputRow]:
    """A paper of each part, cuts, scores: together they make the play's variance of 0.0625."""
    return [
        row("crease", "base-card", 0.05, -0.10),
        row("crease", "lid-card", 0.02, 0.04),
        row("cut", "board", 0.20, 0.12, name="the lid's width"),
        row("cut", "board", 0.20, -0.12, name="the base's width"),
        row("score", "board", 0.05, 0.09, name="the lid's first score", in_groove=True),
        row("score", "board", 0.05, -0.09, name="the base's first score", in_groove=True),
    ]


def boxes_of(plays: list[float], mean: float = 0.6) -> list[ScoredBox]:
    forecast = frozen_forecast(mean, U, inputs=inputs())
    return [made(forecast, play) for play in plays]


def named(found: tuple[Cause, ...]) -> list[tuple[str, str, How]]:
    return [(one.source, one.of, one.how) for one in found]


def test_the_likeliest_shift_is_that_of_another_optimiser() -> None:
    """Plays read, a normal forecast, a prior of Student's law: the posterior mode by scipy."""
    plays = [0.31, 0.40, 0.18, 0.35, 0.44, 0.22, 0.29, 0.38, 0.27, 0.33, 0.41, 0.25]
    best = causes_of(boxes_of(plays))[0]
    assert (best.source, best.of, best.how) == ("crease", "base-card", How.SHIFT)

    def minus_log(d: float) -> float:
        moved = 0.6 - 0.10 * d
        upper = norm.cdf(np.array(plays) + READING_MM, moved, U)
        lower = norm.cdf(np.array(plays) - READING_MM, moved, U)
        return float(-np.log(upper - lower).sum() - t.logpdf(d, 4) + t.logpdf(0.0, 4))

    mode = minimize_scalar(minus_log, (0.0, 2.0))
    assert best.in_u == pytest.approx(mode.x, abs=0.05)
    assert best.amount == pytest.approx(0.05 * mode.x, abs=0.003)
    assert best.gain == pytest.approx(minus_log(0.0) - mode.fun, abs=0.1)


def test_boxes_that_come_out_as_said_need_no_explaining() -> None:
    plays = (0.6 + U * norm.ppf((np.arange(20) + 0.5) / 20)).tolist()
    assert causes_of(boxes_of(plays)) == ()


def test_plays_that_differ_more_than_said_are_a_spread() -> None:
    """Twice as far apart, the middle as said; cuts make half of the variance."""
    plays = (0.6 + 2.0 * U * norm.ppf((np.arange(24) + 0.5) / 24)).tolist()
    found = causes_of(boxes_of(plays))
    assert found and all(one.how is How.SPREAD for one in found)
    cuts = next(one for one in found if one.source == "cut")
    by_hand = np.sqrt(1.0 + 3.0 * U**2 / (2 * 0.12**2))
    assert 1.8 < cuts.amount < by_hand, "less than all of it, as a spread has to answer for itself"


def test_designs_that_answer_otherwise_tell_causes_apart() -> None:
    """One paper makes the base here and the lid there: plays fall here and rise there."""
    here = frozen_forecast(0.6, U, inputs=[row("crease", "card", 0.05, -0.1),
                                           row("crease", "other", 0.05, 0.1)])  # fmt: skip
    there = frozen_forecast(0.6, U, inputs=[row("crease", "card", 0.05, 0.1),
                                            row("crease", "third", 0.05, -0.1)])  # fmt: skip
    rng = np.random.default_rng(5)
    boxes = []
    for _ in range(12):
        boxes.append(made(here, float(rng.normal(0.4, U))))
        boxes.append(made(there, float(rng.normal(0.8, U))))
    found = causes_of(boxes)
    assert named(found)[0] == ("crease", "card", How.SHIFT) and found[0].amount > 0.05
    assert len(found) == 1


def test_lids_alone_tell_too() -> None:
    """Nobody measured: nine of twelve bound, of which one in forty was said to."""
    forecast = frozen_forecast(0.6, U, inputs=inputs())
    plays = [-0.3] * 9 + [0.2] * 3
    found = causes_of([made(forecast, play, measured=False) for play in plays])
    assert ("crease", "base-card", How.SHIFT) in named(found)
    crease = next(one for one in found if one.of == "base-card")
    assert crease.amount > 0.1 and not crease.allowed


def test_contents_that_stay_out_are_laid_to_their_own_size() -> None:
    """A shift of so many standard uncertainties moves the share on the probit scale."""
    size = InputRow(name="the width of the cookie", source="content", of="cookie", in_groove=False,
                    u=0.5, play_mm=0.0, fits=-0.08, fits_spread=-0.02)  # fmt: skip
    forecast = frozen_forecast(0.6, U, fits=0.95, inputs=[*inputs(), size])
    boxes = [made(forecast, 0.6 + 0.2 * (k % 3 - 1), fitted=k % 2 == 0) for k in range(12)]
    best = causes_of(boxes)[0]
    assert (best.source, best.of) == ("content", "cookie") and best.amount > 0


def test_a_cause_stays_within_what_its_input_can_be() -> None:
    """Plays 0.6 mm too large: the base's crease would have to be 0.30 mm less, and it has 0.16."""
    plays = [1.15, 1.25, 1.1, 1.3, 1.2, 1.22, 1.18, 1.2]
    free = row("crease", "base-card", 0.05, -0.10)
    (cause,) = causes_of([made(frozen_forecast(0.6, U, inputs=[free]), play) for play in plays])
    assert cause.amount < -0.2
    held = free.model_copy(update={"least": -0.16, "most": 0.42})
    boxes = [made(frozen_forecast(0.6, U, inputs=[held]), play) for play in plays]
    assert all(-0.16 <= one.amount <= 0.42 for one in causes_of(boxes))
    other = row("crease", "lid-card", 0.05, 0.10)
    both = frozen_forecast(0.6, U, inputs=[held.model_copy(update={"least": -0.01}), other])
    found = causes_of([made(both, play) for play in plays])
    assert named(found) == [("crease", "lid-card", How.SHIFT)], "what has to be 0.3 mm more"
