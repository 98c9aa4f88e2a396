"""The hand of one maker among the causes, where boxes are held against anybody's odds."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from fitcheck.learn.causes import Cause, How, causes_of
from fitcheck.learn.scored_boxes import ScoredBox
from fitcheck.outputs.score_text import cause_words, offer
from tests.forecasts import frozen_forecast, made, row

LINES, CARD = 0.40, 0.05
"""What cuts and scores together, and what the card, do to a play, mm."""


def boxes_by(
    maker: str,
    *,
    times: float = 1.0,
    moved_mm: float = 0.0,
    people: tuple[str, ...] = (),
    count: int = 16,
) -> list[ScoredBox]:
    """Boxes of a maker whose lines are so many times as far off as those of anybody."""
    inputs = [
        row("cut", "board", 0.2, LINES * math.sqrt(0.5), name="the lid's width"),
        row("score", "board", 0.1, LINES * math.sqrt(0.5), name="the lid's score"),
        row("caliper", "card", 0.02, -CARD),
    ]
    forecast = frozen_forecast(0.8, math.hypot(LINES, CARD), inputs=inputs)
    forecast = forecast.model_copy(update={"people": list(people)})
    u = math.hypot(times * LINES, CARD)
    plays = 0.8 + moved_mm + u * norm.ppf((np.arange(count) + 0.5) / count)
    own = [made(forecast, float(play)) for play in plays]
    return [ScoredBox(replace(one.box, by=maker), one.forecast) for one in own]


def hands(found: tuple[Cause, ...]) -> list[Cause]:
    return [one for one in found if one.source == "person"]


def test_the_hand_of_one_of_two_makers_is_named() -> None:
    """Plays of one that differ 0.4 times as much as was said of anybody's: sums of variances."""
    found = causes_of([*boxes_by("ada", times=0.4), *boxes_by("bert")])
    (hand,) = hands(found)
    assert found[0] == hand and hand.of == "ada" and hand.how is How.SPREAD
    assert hand.amount == pytest.approx(0.4, abs=0.1)
    assert cause_words(hand) == (
        "the hand of ada: cuts and scores 0.4 times as far off as was said of anybody's"
    )
    # nobody measured it: strips first, then a forecast in that hand
    assert offer(hand).startswith("fitcheck coupon board -o DIR, cut, score and measure its strips")
    assert offer(hand).endswith("then fitcheck record DESIGN --forecast --by ada")


def test_plays_of_one_maker_that_are_larger() -> None:
    found = causes_of([*boxes_by("Ada B", moved_mm=0.35), *boxes_by("bert", moved_mm=-0.35)])
    assert {one.of for one in hands(found)} & {"Ada B", "bert"}
    for one in hands(found):
        way = "larger" if one.of == "Ada B" else "smaller"
        assert one.how is How.SHIFT and 0.2 < abs(one.amount) < 0.35
        assert f"mm {way} than was said of anybody's" in cause_words(one)


def test_one_maker_alone_is_named_where_that_hand_was_measured() -> None:
    alone = boxes_by("ada", times=0.3)
    assert hands(causes_of(alone)) == []  # it may be the tools, or anybody
    (hand,) = hands(causes_of(boxes_by(" Ada", times=0.3, people=("ada", "bert"))))
    told = "freeze the odds of that hand before the next box: fitcheck record DESIGN --forecast"
    assert offer(hand).startswith(told)


def test_a_forecast_in_that_hand_is_no_odds_of_anybody() -> None:
    own = [
        ScoredBox(one.box, one.forecast.model_copy(update={"by": "ada"}))
        for one in boxes_by("ada", times=0.3, people=("ada",))
    ]
    assert hands(causes_of([*own, *boxes_by("bert")])) == []
