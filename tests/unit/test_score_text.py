"""What the list says about scores: counts that a maker can check, and what explains them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from fitcheck.cli.box_keeping import said_against
from fitcheck.learn.boxes_file import add_box, read_boxes
from fitcheck.learn.causes import Cause, How
from fitcheck.learn.forecast_files import KeptForecast, add_forecast, all_forecasts
from fitcheck.learn.made import BoxRecord
from fitcheck.learn.scored_boxes import NOT_FROZEN, Apart, ScoredBox
from fitcheck.learn.standing import standing_of
from fitcheck.learn.watch import watch
from fitcheck.outputs.record_text import Against, recorded_text
from fitcheck.outputs.score_details import score_details
from fitcheck.outputs.score_text import cause_words, offer, score_lines
from tests.forecasts import frozen_forecast, made, mean_for


def fourteen() -> list[ScoredBox]:
    """Said to be right in 84 of 100, of which eleven were; and three that nobody could miss."""
    said = frozen_forecast(mean_for(0.84), 0.3)
    sure = frozen_forecast(0.7, 0.2)
    boxes = [made(said, -0.4 if k % 5 == 2 else 0.3, measured=False) for k in range(14)]
    return boxes + [made(sure, 0.7, measured=False)] * 3


def test_counts_in_a_makers_words() -> None:
    lines = list(score_lines(standing_of(fourteen(), [])))
    assert lines[0] == "frozen forecasts against what happened, 17 boxes:"
    assert lines[1:3] == [
        "  said over 90 of 100: 3 of 3 came out right",
        "  said 80 to 90 of 100: 11 of 14 came out right",
    ]
    assert lines[-1] == "  nothing speaks against the odds: it is within what luck does"
    for word in ("Brier", "+-", "CRPS", "likelihood"):
        assert word not in "\n".join(lines)


def test_the_statistics_stand_in_the_details() -> None:
    """The rate of false alarms for repeated looks, the power, and the rate for shared papers."""
    boxes = [made(frozen_forecast(0.5, 0.2), play) for play in (0.3, 0.5, 0.62)]
    text = "\n".join(score_details(standing_of(boxes, [], details=True)))
    for words in (
        "Brier ",
        "log ",
        "CRPS ",
        "in each fifth of what was said",
        "looked at after each",
        "in at most 10 of 100 runs",
        "15 of 100 too many are noticed in",
        "boxes like these share papers and tools",
        "this run: 3 boxes, 3 right",
    ):
        assert words in text, words


def test_boxes_apart_are_counted_apart() -> None:
    boxes = fourteen()
    lines = list(score_lines(standing_of(boxes, [Apart(boxes[0].box, NOT_FROZEN)] * 2)))
    assert lines[0] == "kept apart, in no score: 2 boxes" and "17 boxes:" in lines[1]
    alone = list(score_lines(standing_of([], [Apart(boxes[0].box, NOT_FROZEN)])))
    assert "there is nothing to score" in alone[1]
    assert list(score_details(standing_of([], [], details=True))) == []


@pytest.mark.parametrize(
    ("source", "of", "how", "amount", "in_u", "told", "learnt"),
    [
        ("crease", "card", How.SHIFT, 0.04, 1.0, "more than was said; the odds", "coupon card"),
        ("crease", "card", How.SHIFT, -0.2, -5.0, "of card: 0.2 mm less than was said", "channels"),
        ("caliper", "card", How.SHIFT, 0.01, 3.0, "the caliper of card: 0.01 mm more", "stack"),
        ("cut", "board", How.SPREAD, 2.04, 0.0, "cut to: 2.0 times as far off", "coupon board"),
        ("score", "board", How.SPREAD, 3.0, 0.0, "scores in the grooves: 3.0 times", "learn board"),
        ("board", "board", How.SHIFT, 0.1, 4.0, "board's own offset: 0.1 mm more", "learn board"),
        ("scale", "board", How.SHIFT, 0.003, 4.0, "0.003 of the distance more", "learn board"),
        ("content", "cookie", How.SHIFT, 0.8, 4.0, "the size of cookie: 0.8 mm more", "items.toml"),
        ("humidity", "the air", How.SHIFT, 9.0, 3.0, "9 % of relative humidity more", "hygrometer"),
        ("{of}", "{x}", How.SHIFT, 9.0, 3.0, "the {x} of {x}: 9 mm more", "coupon {x}"),
    ],
)  # fmt: skip
def test_every_cause_has_words_and_a_way_to_learn_it(
    source: str, of: str, how: How, amount: float, in_u: float, told: str, learnt: str
) -> None:
    cause = Cause(source, of, source == "score", how, amount, in_u, 3.0, "")
    assert told in cause_words(cause)
    assert learnt in offer(cause)


def test_every_source_of_the_odds_has_words() -> None:
    from fitcheck.odds.inputs import Source
    from fitcheck.outputs.score_text import SOURCES

    assert {source.value for source in Source} <= set(SOURCES)


def kept_boxes(root: Path, plays: Sequence[float]) -> Sequence[BoxRecord]:
    """Boxes recorded against a frozen forecast of 0.64 mm of play, give or take 0.25 mm."""
    add_forecast(root, frozen_forecast(0.64, 0.25))
    (kept,) = dict(all_forecasts(root)).values()
    assert isinstance(kept, KeptForecast)
    for play in plays:
        add_box(root, replace(made(kept.forecast, play).box, frozen=kept.frozen, number=0))
    return read_boxes(root)


@pytest.mark.parametrize(
    ("plays", "told"),
    [
        ([1.3, 1.35, 1.4, 1.45, 1.3, 1.35, 1.4, 1.45], "plays are larger than was said"),
        ([0.1, 0.05, 0.0, 0.02, 0.1, 0.05, 0.0, 0.02], "plays are smaller than was said"),
        ([0.6, 0.9, 0.4, 0.7, 0.5, 0.65, 0.8, 0.45], ""),
    ],
)
def test_recording_a_box_says_when_the_odds_are_off(
    tmp_path: Path, plays: list[float], told: str
) -> None:
    """Eight plays 2.6 deviations above the middle, or below it; eight about it."""
    boxes = kept_boxes(tmp_path, plays)
    odds = said_against(tmp_path, boxes)
    assert told in odds and bool(odds) == bool(told)
    (kept,) = dict(all_forecasts(tmp_path)).values()
    assert isinstance(kept, KeptForecast)
    text = recorded_text(boxes[-1], "it", Against(kept, len(boxes), (), (), odds), "box")
    assert ("fitcheck list records" in " ".join(text.split())) == bool(told), text


def test_a_box_after_the_sign_that_is_off_as_well_is_no_good_news() -> None:
    said = frozen_forecast(0.64, 0.25)
    for last, words in ((1.4, "its play too is larger"), (0.5, "and no new sign of it")):
        boxes: list[ScoredBox] = []
        while watch(boxes).last is None:
            boxes.append(made(said, 1.4))
        lines = "\n".join(score_lines(standing_of([*boxes, made(said, last)], [])))
        assert words in lines and lines.count("since then 1 box") == 1, lines
