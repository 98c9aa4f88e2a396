"""The scores behind the counts, and how sure the test of the whole set is."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fitcheck.learn.scores import PlayScore, Score, Splits
from fitcheck.learn.standing import Standing
from fitcheck.learn.watch import FALSE_ALARM, FIGURES, RUN
from fitcheck.outputs.score_text import ALARM_WORDS, boxes_words


def score_details(standing: Standing) -> Iterator[str]:
    """Scores, the evenness of the plays, and the test of the set."""
    if not standing.scored:
        return
    yield "  scores (0 is perfect; in brackets what right odds would get)"
    for name, score in standing.scores.items():
        yield f"    {name:<9} {_score_words(score)}"
    if standing.plays is not None:
        yield from _play_lines(standing.plays)
    if standing.splits is not None and standing.splits.split:
        yield f"    {'corners':<9} {_corner_words(standing.splits)}"
    yield from _test_lines(standing)


def _score_words(score: Score) -> str:
    return (
        f"Brier {score.brier:.3f}{_u(score.brier_u)} ({score.expected:.3f} +- "
        f"{score.expected_u:.3f}), log {score.log:.3f}{_u(score.log_u)}, {boxes_words(score.boxes)}"
    )


def _play_lines(plays: PlayScore) -> Iterator[str]:
    if plays.boxes:
        yield f"    {'play':<9} CRPS {plays.crps_mm:.3f} mm, {boxes_words(plays.boxes)}"
    parts = ", ".join(f"{n:.3g}" for n in plays.fifths)
    yield (
        f"    {'':<9} in each fifth of what was said: {parts}; furthest from even "
        f"{plays.apart:.2f}, luck alone {_of_100(plays.by_chance)}"
    )


def _corner_words(splits: Splits) -> str:
    return (
        f"log {splits.log:.3f}, which is knowing nothing, as the odds take all corners alike; luck "
        f"alone brings so many to one corner in at most {_of_100(splits.by_chance)}"
    )


def _test_lines(standing: Standing) -> Iterator[str]:
    watch, scored = standing.watch, standing.scored
    yield (
        f"  test: runs of up to {RUN} boxes, looked at after each; right odds raise an "
        f"alarm in at most {_of_100(FALSE_ALARM)} runs"
    )
    for figure in FIGURES:
        yield f"    {figure}"
    if standing.shared_alarm is not None:
        yield (
            "    boxes like these share papers and tools: with right odds the count of right ones "
            f"raises it in {_of_100(standing.shared_alarm)}"
        )
    for alarm in watch.alarms:
        box = scored[alarm.stop - 1].box
        yield (
            f"    alarm at box {alarm.stop - alarm.start} of a run ({box.date}): "
            f"{ALARM_WORDS[alarm.sign, alarm.more]}"
        )
    run = scored[len(scored) - watch.run :]
    if run:
        chances = [box.right.chance for box in run]
        spread = math.sqrt(math.fsum(chance * (1.0 - chance) for chance in chances))
        right = sum(box.right.happened for box in run)
        yield (
            f"    this run: {boxes_words(len(run))}, {right} right, {math.fsum(chances):.1f} +- "
            f"{spread:.1f} to expect"
        )


def _of_100(share: float) -> str:
    return f"{100.0 * share:.3g} of 100"


def _u(u: float) -> str:
    return "" if math.isnan(u) else f" +- {u:.3f}"
