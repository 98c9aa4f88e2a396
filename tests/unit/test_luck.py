"""Before a run of boxes can raise an alarm, how sure its words are hangs on what luck brings."""

from __future__ import annotations

import math

import pytest
from scipy.integrate import quad
from scipy.stats import binom, norm

from fitcheck.cli.sink_options import timed_of
from fitcheck.errors import InputError
from fitcheck.findings import Finding, Severity
from fitcheck.learn.luck import so_few_by_luck
from fitcheck.learn.scored_boxes import ScoredBox
from fitcheck.learn.standing import standing_of
from fitcheck.outputs.bench_words import AGAINST_ODDS, _made_words
from fitcheck.outputs.score_text import score_lines
from tests.forecasts import LOOSE, frozen_forecast, made, mean_for, row


def told(boxes: list[ScoredBox]) -> str:
    return " ".join(" ".join(score_lines(standing_of(boxes, []))).split())


@pytest.mark.parametrize(("right", "made_in_all"), [(0, 4), (1, 7), (5, 6), (30, 30)])
def test_boxes_that_share_nothing_are_binomial(right: int, made_in_all: int) -> None:
    """The law of scipy.stats.binom."""
    said = frozen_forecast(mean_for(0.92), 0.3)
    boxes = [made(said, 0.5 if k < right else -0.3, measured=False) for k in range(made_in_all)]
    chance = said.chances.right
    assert so_few_by_luck(boxes) == pytest.approx(binom.cdf(right, made_in_all, chance), abs=1e-9)


def test_boxes_of_one_paper_bind_together() -> None:
    """Four of four that bind, half the variance of whose plays is one paper's: by quadrature over
    how far that paper is off, 3 % of such sets and not 0.004 %."""
    u, half = 0.3, 0.3 * math.sqrt(0.5)
    mean = mean_for(0.92, u)
    said = frozen_forecast(mean, u, inputs=[row("caliper", "card", 0.02, half)])

    def none_right(z: float) -> float:
        low, high = ((end - mean - half * z) / half for end in (0.0, LOOSE))
        return float((1.0 - norm.cdf(high) + norm.cdf(low)) ** 4 * norm.pdf(z))

    expected, _ = quad(none_right, -8.0, 8.0)
    boxes = [made(said, -0.3, measured=False)] * 4
    assert so_few_by_luck(boxes) == pytest.approx(expected, rel=0.03)
    assert expected > 50.0 * 0.08**4


def test_few_boxes_are_no_comfort() -> None:
    """None of three that were said to be right in 92 of 100: luck brings 0.08^3, 1 of 1953."""
    said = frozen_forecast(mean_for(0.92), 0.3)
    text = told([made(said, -0.3, measured=False)] * 3)
    assert "fewer come out right than was said, none of 3" in text
    assert "1 of 2000 such sets" in text
    assert "within what luck does" not in text
    text = told([made(said, 0.5, measured=False)] * 2)
    assert "2 boxes can tell little" in text


def test_a_box_that_could_not_go_wrong_may_be_a_slip() -> None:
    """Said never to bind, one bound: one record of 400 is taken for a slip, and not none."""
    sure = frozen_forecast(0.7, 0.02)
    assert so_few_by_luck([made(sure, -0.3, measured=False)]) == pytest.approx(1 / 400)
    assert "1 of 400 such sets" in told([made(sure, -0.3, measured=False)])


def test_boxes_after_an_alarm_are_counted() -> None:
    """Fourteen that bind: those after the alarm came out no better, and no comfort is given."""
    said = frozen_forecast(mean_for(0.92), 0.3)
    text = told([made(said, -0.3, measured=False)] * 14)
    assert "of which none came out right" in text
    assert "no new sign" not in text


def test_the_first_line_of_a_check_tells_what_boxes_did() -> None:
    finding = Finding(AGAINST_ODDS, "", Severity.CAUTION, numbers={"made": 14.0, "right": 0.0})
    assert _made_words(finding) == ", but of 14 that were made none did"


@pytest.mark.parametrize(
    ("typed", "slip"), [("6.2 59 6.4 s", "6.2 and 59"), ("6.2 0.6 s", "0.6 and 6.2")]
)
def test_one_time_far_from_the_others_is_asked_about(typed: str, slip: str) -> None:
    with pytest.raises(InputError, match=rf"{slip} s are far apart"):
        timed_of([typed])
    assert timed_of(["1.6 4.4 s"])[0].seconds == (1.6, 4.4)
