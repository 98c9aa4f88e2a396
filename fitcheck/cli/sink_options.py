"""How timed sinks are read from the command line, and what they tell of the box."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fitcheck.errors import InputError
from fitcheck.plain import shown

if TYPE_CHECKING:
    from fitcheck.design.model import Design
    from fitcheck.feel.stopwatch import Estimate, Timed, Told

ALLOWED = (
    'allowed: times with their unit, such as "6.2 s" or "6.2 5.9 6.4 s", after level, leaning, '
    'upper, lower or coin and its mass, such as "leaning 1.6 s" or "coin 7.5 g 2.1 s"'
)
MOST_APART = 5.0
"""One lid's times differ by up to three times between a corner and the middle: so much more is a
slip of the pen."""
SHORTEST_S, LONGEST_S, HEAVIEST_G, MOST_TIMES = 0.3, 900.0, 200.0, 20
BOXES = 12_000
"""So many are drawn and timed by the model at the most."""


def timed_of(texts: Sequence[str] | None, option: str = "--sink") -> tuple[Timed, ...]:
    """Timed sinks as they were typed. Raises InputError for what cannot be read or true."""
    from fitcheck.feel.stopwatch import How, Timed

    found: list[Timed] = []
    for text in texts or ():
        word, _, rest = text.strip().lower().partition(" ")
        grams = 0.0
        if word not in list(How):
            how, rest = How.LEVEL, text.lower()
        else:
            how = How(word)
        if how is How.COIN:
            mass, _, rest = rest.partition("g")
            grams, rest = _number(mass, option, text), rest.lstrip(" :")
            if not 0.0 < grams <= HEAVIEST_G:
                raise InputError(
                    f"{option}: read {shown(text)}; allowed: a coin of up to {HEAVIEST_G:g} g; "
                    "weigh it again"
                )
        found.append(Timed(how, _times(rest, option, text), grams))
    return tuple(found)


def _times(rest: str, option: str, text: str) -> tuple[float, ...]:
    words = rest.replace("s", " s ").split()
    if len(words) < 2 or words[-1] != "s":
        raise InputError(f"{option}: read {shown(text)}; {ALLOWED}; write it so")
    seconds = tuple(_number(one, option, text) for one in words if one != "s")
    if not all(SHORTEST_S <= one <= LONGEST_S for one in seconds) or len(seconds) > MOST_TIMES:
        raise InputError(
            f"{option}: read {shown(text)}; allowed: up to {MOST_TIMES} times from {SHORTEST_S:g} "
            f"to {LONGEST_S:g} s, as a thumb measures none that is shorter; time it again"
        )
    low, high = min(seconds), max(seconds)
    if high > MOST_APART * low:
        raise InputError(
            f"{option}: read {shown(text)}, where {low:g} and {high:g} s are far apart; allowed: "
            f"times of one lid within {MOST_APART:g} times each other; write it again, or leave "
            "the wrong one out"
        )
    return seconds


def _number(text: str, option: str, whole: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise InputError(f"{option}: read {shown(whole)}; {ALLOWED}; write it so") from None


def told_of(
    design: Design, timed: Sequence[Timed], before: Sequence[Timed]
) -> tuple[Told | None, Estimate | None]:
    """What the times tell of a box of a design, and how its play changed since earlier ones.

    Raises InputError for a design whose lid no air carries.
    """
    import numpy as np

    from fitcheck.cli.progress_bar import Bar
    from fitcheck.feel.measured import measured
    from fitcheck.feel.stopwatch import changed_mm, told_by
    from fitcheck.fit.check import check
    from fitcheck.odds.feel import COARSE
    from fitcheck.odds.prospect import take_prospect
    from fitcheck.odds.wanted_sink import plays_drawn

    with Bar() as progress:
        found = check(design, progress)
        own = measured(found, COARSE)
        drawn = None if own is None else take_prospect(found, None, progress)
    plays = None if drawn is None else plays_drawn(drawn, BOXES, 0)
    if own is None or plays is None:
        raise InputError(
            f"{design.path or design.name}: has no lid that sinks over its base; allowed: --sink "
            "for a design whose lid goes on as drawn; leave it out"
        )
    told = told_by(own, plays, timed, np.random.default_rng(0))
    if not before:
        return told, None
    now = float(np.mean(own.plays_mm)) if told is None else told.both.middle
    return told, changed_mm(own, before[0], timed[0], now)


def refuse_pairs(timed: Sequence[Timed], before: Sequence[Timed]) -> None:
    """Refuse times before a change without comparable ones after it. Raises InputError."""
    if before and (not timed or (before[0].how, before[0].grams) != (timed[0].how, timed[0].grams)):
        raise InputError(
            "--before: read it without times of the same kind in --sink; allowed: both under one "
            "condition, as level and level; time the lid so again"
        )
