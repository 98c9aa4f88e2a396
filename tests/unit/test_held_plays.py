"""A play is held against what the lid did and against what was forecast, by hand's own measure."""

from __future__ import annotations

import datetime
import re
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import binom

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature
from fitcheck.learn.held_plays import check_play, far_plays
from fitcheck.learn.made import BoxOutcome
from fitcheck.learn.possible_readings import refuse_days_to_come
from fitcheck.learn.scored_boxes import ScoredBox
from fitcheck.learn.standing import standing_of
from fitcheck.outputs.score_text import score_lines
from tests.forecasts import LOOSE, frozen_forecast, made
from tests.unit.test_same_pieces import reading

SLID, IS_LOOSE = BoxOutcome.SLID, BoxOutcome.LOOSE
CONTRADICTIONS = {
    "10.5": (SLID, (10.5, 10.5), "write --outcome loose"),
    "1.9:2.0": (SLID, (1.9, 2.0), "write --outcome loose"),
    "2:": (SLID, (2.0, None), "write --outcome loose"),
    "0.1": (IS_LOOSE, (0.1, 0.1), "write --outcome slid"),
    "0.4:0.5": (IS_LOOSE, (0.4, 0.5), "write --outcome slid"),
    ":1": (IS_LOOSE, (None, 1.0), "write --outcome slid"),
}
"""Loose begins at 1.50 mm, and a hand measures to some tenths (common practice, no source)."""


@pytest.mark.parametrize("text", list(CONTRADICTIONS))
def test_a_play_that_contradicts_the_lid_is_refused(text: str) -> None:
    outcome, play, cure = CONTRADICTIONS[text]
    with pytest.raises(InputError) as caught:
        check_play(text, outcome, play, frozen_forecast(0.6, 0.2))
    (line,) = caught.value.lines
    assert line.startswith(f"--play: read '{text}' with --outcome {outcome}")
    for words in ("1.50 mm", "allowed: ", "measure it again", cure):
        assert words in line, words


@pytest.mark.parametrize(
    ("outcome", "play"),
    [
        (SLID, (1.6, 1.6)), (SLID, (0.0, 0.0)), (SLID, (None, 9.0)), (SLID, (1.7, None)),
        (IS_LOOSE, (1.3, 1.3)), (IS_LOOSE, (10.5, 10.5)), (IS_LOOSE, (0.4, None)),
        (IS_LOOSE, (0.4, 1.6)), (BoxOutcome.BOUND, (None, 5.0)), (SLID, (None, None)),
    ],
)  # fmt: skip
def test_what_a_hand_may_measure_is_kept(
    outcome: BoxOutcome, play: tuple[float | None, float | None]
) -> None:
    check_play("x", outcome, play, frozen_forecast(0.6, 0.2))
    check_play(None, SLID, (10.5, 10.5), frozen_forecast(0.6, 0.2))
    check_play("10.5", SLID, (10.5, 10.5), None)


def told(boxes: list[ScoredBox]) -> str:
    return re.sub(r"\s+", " ", " ".join(score_lines(standing_of(boxes, []))))


@pytest.mark.parametrize(("play", "read"), [(5.8, "5.80 mm"), (1.7, "1.70 mm")])
def test_a_play_far_outside_is_told_and_luck_is_not(play: float, read: str) -> None:
    """95 in 100 of a normal law of 0.6 and 0.2 mm are 0.21 to 0.99 mm: 1.96 standard deviations."""
    text = told([made(frozen_forecast(0.6, 0.2), play)])
    assert "nothing speaks against the odds" not in text
    assert f"one play speaks against the odds: {read} in the box of 2026-11-20 (box)" in text
    assert "where 0.21 to 0.99 mm were said of 95 in 100; measure it again" in text


def test_a_play_far_too_small_is_told_as_well() -> None:
    text = told([made(frozen_forecast(1.2, 0.1), 0.35)])
    assert "0.35 mm in the box" in text and "where 1.00 to 1.40 mm were said" in text


@pytest.mark.parametrize("play", [0.25, 0.6, 0.95, 1.2])
def test_what_luck_and_a_hand_do_is_no_sign(play: float) -> None:
    """1.2 mm is three standard deviations off, and two tenths outside: a hand's own measure."""
    boxes = [made(frozen_forecast(0.6, 0.2), play)]
    assert not far_plays(boxes) and "nothing speaks against the odds" in told(boxes)
    unread = made(frozen_forecast(0.6, 0.2), LOOSE + 3.0, measured=False)
    assert not far_plays([unread])


def test_right_odds_hardly_ever_call_a_play_far() -> None:
    """Of 2000 plays of the law itself none together, and by themselves one in a thousand."""
    rng, said = np.random.default_rng(5), frozen_forecast(0.6, 0.2)
    plays = np.clip(rng.normal(0.6, 0.2, 2000), 0.001, LOOSE - 0.01)
    found = [made(said, float(play)) for play in plays]
    assert not far_plays(found)
    assert sum(len(far_plays([one])) for one in found) <= 2


@pytest.mark.parametrize(("days", "taken"), [(-400, True), (0, True), (1, True), (2, False)])
def test_a_reading_of_a_day_to_come_is_a_slip(days: int, taken: bool) -> None:
    day = (datetime.date.today() + datetime.timedelta(days=days)).isoformat()
    row = replace(reading(Feature.CHANNEL, 25.0, 25.1), date=day)
    if taken:
        refuse_days_to_come([row])
        return
    with pytest.raises(InputError) as caught:
        refuse_days_to_come([row])
    (line,) = caught.value.lines
    assert line.startswith(f"taken.csv: row 2: date: read '{day}', a day to come; allowed: up to")


@pytest.mark.parametrize(
    ("said", "went_in"),
    [(1.0, [False] * 3 + [True] * 3), (1.0, [False, False]), (0.05, [True] * 3)],
)
def test_contents_that_luck_does_not_explain_speak_against_the_odds(
    said: float, went_in: list[bool]
) -> None:
    """Two of two where one in 400 is a slip: 6e-6. Three of three where 5 of 100: 1.25e-4."""
    boxes = [made(frozen_forecast(0.6, 0.2, fits=said), 0.6, fitted=one) for one in went_in]
    fits = standing_of(boxes, []).fits
    assert fits is not None
    chance = min(max(said, 0.0025), 0.9975)
    law = binom(len(went_in), chance)
    rarer = min(law.cdf(sum(went_in)), law.sf(sum(went_in) - 1))
    assert fits.by_chance == pytest.approx(rarer, rel=1e-9)
    text = told(boxes)
    assert "that speaks against the odds, by more than luck explains: measure what goes in" in text
    assert "nothing speaks against the odds" not in text


@pytest.mark.parametrize(
    ("said", "went_in"),
    [(1.0, [True] * 5), (1.0, [False]), (0.9, [True, False, False]), (0.05, [False] * 9 + [True])],
)
def test_contents_as_luck_has_them_are_no_sign(said: float, went_in: list[bool]) -> None:
    """One slip of the pen is one in 400; two of three where one of ten: 28 in 1000."""
    boxes = [made(frozen_forecast(0.6, 0.2, fits=said), 0.6, fitted=one) for one in went_in]
    fits = standing_of(boxes, []).fits
    assert fits is not None and not fits.far
    assert "that speaks against the odds" not in told(boxes)
