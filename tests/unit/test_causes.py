"""Which input explains boxes: the likeliest shift and spread, against other arithmetic."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from scipy.stats import norm, t

from fitcheck.learn.causes import READING_MM, Cause, How, causes_of
from fitcheck.learn.forecast import InputRow
from fitcheck.learn.scored_boxes import ScoredBox
from fitcheck.outputs.score_text import cause_words, offer
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


def bench_inputs() -> list[InputRow]:
    """A tray of 70 x 90 mm in card of 0.33 mm, glued: what each input does to its smaller play.

    A play loses twice the card and, along the glued tabs, twice the tab and its joint as well; that
    side has the smaller play in somewhat less than half of the boxes.
    """
    share = 0.43
    cuts = [(0.20, 0.6), (0.20, 0.4)]
    lines = [
        row("cut", "board", u, sign * u * part, name=f"{which} cut {k}")
        for which, sign in (("the lid's", 1.0), ("the base's", -1.0))
        for k, (u, part) in enumerate(cuts)
    ]
    scores = [
        row("score", "board", 0.1, 0.05 * (-1) ** k, name=f"score {k}", in_groove=True)
        for k in range(8)
    ]
    caliper = row("caliper", "card", 0.019, -0.019 * 2.0 * (1.0 + share))
    joint = row("joint", "board", 0.03, -0.03 * 2.0 * share, name="the thickness")
    return [*lines, *scores, caliper, joint.model_copy(update={"least": -0.1})]


def plays_of_joint(mm: float, count: int = 12) -> list[float]:
    """Plays of boxes of those inputs whose joints are so much thicker than said, spread evenly."""
    u = math.sqrt(sum(one.play_mm**2 for one in bench_inputs() if one.source in ("cut", "score")))
    plays = 0.7 - 2.0 * 0.43 * mm + u * norm.ppf((np.arange(count) + 0.5) / count)
    return [float(play) for play in plays]


def test_a_thick_joint_is_among_what_is_named() -> None:
    """A trial with tape of 0.40 mm for 0.10: cuts and card were named, both of which were as said.

    How much is held against the posterior mode by scipy, tapes off by a Student law of 0.1 mm.
    """
    u = math.sqrt(sum(one.play_mm**2 for one in bench_inputs()))
    forecast = frozen_forecast(0.7, u, inputs=bench_inputs())
    plays = plays_of_joint(0.30)
    found = causes_of([made(forecast, play) for play in plays])
    (joint,) = (one for one in found if one.source == "joint" and one.how is How.SHIFT)

    def minus_log(mm: float) -> float:
        moved = 0.7 - 2.0 * 0.43 * mm
        ends = (
            norm.cdf(np.maximum(plays, 0.0) + side, moved, u) for side in (READING_MM, -READING_MM)
        )
        upper, lower = ends
        return float(-np.log(upper - lower).sum() - t.logpdf(mm / 0.1, 4))

    assert min(plays) > 0.0  # all were read
    mode = minimize_scalar(minus_log, (0.0, 0.3)).x
    assert joint.amount == pytest.approx(mode, abs=0.01) and 0.15 < mode < 0.30
    assert not joint.allowed
    assert joint.coupon == "card"
    assert "the thickness of the glue or tape in the joints: 0.22 mm more" in cause_words(joint)
    assert "fitcheck coupon card -o DIR" in offer(joint) and "piece K" in offer(joint)
    # glue of 0.10 mm cannot be 0.30 mm thinner, at most nothing
    other = causes_of([made(forecast, play) for play in plays_of_joint(-0.30)])
    thinner = [one.amount for one in other if one.source == "joint" and one.how is How.SHIFT]
    assert other and all(amount >= -0.1 for amount in thinner)
    # where it is the card that is off, the joint does not hide it: 2 x 1.43 of its play for each mm
    thick = [play - 2.0 * 1.43 * 0.07 for play in plays_of_joint(0.0)]
    named_now = [one.source for one in causes_of([made(forecast, play) for play in thick])]
    assert "caliper" in named_now


def test_what_boxes_share_is_as_said_within_its_own_uncertainty() -> None:
    """Forty plays moved by 0.8 of what one standard uncertainty of the card does: no cause; by 2.5
    of it, one."""
    inputs = [row("caliper", "card", 0.02, -0.15), row("cut", "board", 0.2, 0.2, name="a cut")]
    forecast = frozen_forecast(0.8, 0.25, inputs=inputs)
    spread = 0.2 * norm.ppf((np.arange(40) + 0.5) / 40)
    for in_u, sources in ((0.8, set()), (2.5, {"caliper"})):
        plays = [0.8 - 0.15 * in_u + float(one) for one in spread]
        found = causes_of([made(forecast, play) for play in plays])
        assert {one.source for one in found if one.source == "caliper"} == sources
