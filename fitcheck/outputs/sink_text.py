"""What a stopwatch told of a box, in a maker's words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitcheck.feel.stopwatch import Estimate, Timed, Told
from fitcheck.outputs.bench_words import row, wrapped
from fitcheck.outputs.feel_text import LONG_S, SHORT_S


def sink_text(timed: Sequence[Timed], told: Told | None, changed: Estimate | None) -> str:
    """What the times say of the play of this box, and what explains them."""
    return "\n".join(_lines(timed, told, changed)) + "\n"


def _lines(timed: Sequence[Timed], told: Told | None, changed: Estimate | None) -> Iterator[str]:
    yield row("stopwatch", timed_words(timed))
    if told is None:
        yield wrapped(
            "hardly any box of this design would sink so: time it again, and look for a warped or "
            "crooked part, a leak, or a finger that touched; nothing is told of its play",
            " ",
        )
    else:
        yield wrapped(
            f"so its play is {_span(told.both)} mm, the mean of both ways, where "
            f"{_span(told.both_drawn)} mm was to be expected; the smaller of both is "
            f"{_span(told.smaller)} mm (95 of 100 sure)",
            " ",
        )
        low, high = told.expected_s.low, told.expected_s.high
        most = f"to {high:.0f} s" if high < LONG_S else "on"
        yield wrapped(f"expected was anything from {low:.1f} s {most}", " ")
        if min(second for one in timed for second in one.seconds) < SHORT_S:
            yield wrapped(
                f"times below {SHORT_S:g} s are not to be trusted: let it sink with less play, or "
                "read a feeler",
                " ",
            )
        if told.causes:
            yield wrapped(f"likeliest: {'; then '.join(c.words for c in told.causes)}", "why")
        else:
            yield row("why", "nothing needs explaining: papers and folds are as expected")
    if changed is not None:
        yield wrapped(
            f"between both timings its play changed by {changed.middle:+.2f} mm "
            f"({changed.low:+.2f} to {changed.high:+.2f})",
            "change",
        )


def timed_words(timed: Sequence[Timed]) -> str:
    """The readings as they are kept.

    >>> from fitcheck.feel.stopwatch import How
    >>> timed_words([Timed(How.LEVEL, (6.2, 5.9)), Timed(How.COIN, (2.1,), 7.5)])
    'level 6.2 5.9 s; coin 7.5 g 2.1 s'
    """
    said = []
    for one in timed:
        coin = f" {one.grams:g} g" if one.grams else ""
        said.append(f"{one.how}{coin} {' '.join(f'{own:g}' for own in one.seconds)} s")
    return "; ".join(said)


def _span(own: Estimate) -> str:
    return f"{own.low:.2f} to {own.high:.2f}"
