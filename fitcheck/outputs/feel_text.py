"""How a lid feels, in a maker's words; figures and what they rest on for whoever asks."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from fitcheck.feel.curve import by_play
from fitcheck.feel.feel import Band, Feel
from fitcheck.feel.measured import Measured
from fitcheck.feel.touch import DROPS_S, FLOATS_S, Touch
from fitcheck.outputs.bench_words import give_or_take, of_100, row, wrapped
from fitcheck.stock.gives import GRAM_N

if TYPE_CHECKING:
    from fitcheck.odds.feel import FeelOdds

LONG_S, MINUTE_S = 600.0, 120.0
SHORT_S = 1.5
"""Shorter times are not to be trusted."""
SEEN_BOW_MM = 0.5
"""Walls that stand out or in by less look straight."""
STEPS_MM = (-0.3, -0.2, -0.1, 0.0, 0.1, 0.2, 0.3)
"""By how much other plays are told in the details."""
RARE = 0.03
OFTENER = 1.5
"""What boxes do so much oftener than the drawn one does is told first."""
OF_BOXES = {
    Touch.DAMAGES: "tear before they go on",
    Touch.FORCED: "take a hard push",
    Touch.HOLDS: "hold when lifted",
    Touch.STAYS: "stay where they are pushed",
    Touch.FLOATS: "float",
    Touch.SLOWLY: "sink slowly",
    Touch.SINKS: "sink by themselves",
    Touch.DROPS: "drop",
}


def feel_lines(feel: Feel, odds: FeelOdds | None = None) -> Iterator[str]:
    """What the lid does when it is let go; first what most do, where hands make another of it."""
    words = feel_words(feel)
    most = None if odds is None else _most(odds, feel.touch)
    if most is not None:
        words = f"most {most}; as drawn it {words}"
    yield wrapped(words, "feel")
    for part, bow in zip(("base", "lid"), feel.bows_mm, strict=True):
        if abs(bow) >= SEEN_BOW_MM:
            way = "out" if bow > 0.0 else "in"
            yield row("", f"the {part}'s walls bow {way} by {abs(bow):.1f} mm in the middle")


def feel_words(feel: Feel) -> str:
    """One sentence, with a second where there is something to do about it."""
    sink, slip = feel.sink_s, feel.slip_n
    if slip is not None:
        return _held_words(feel, slip)
    assert sink is not None, "a lid that nothing holds sinks"
    match feel.touch:
        case Touch.FLOATS:
            return f"floats on its air: press it down (left alone it takes {seconds(sink)})"
        case Touch.SLOWLY:
            return f"sinks slowly on its air, in {seconds(sink)}"
        case Touch.SINKS:
            return f"sinks by itself on its air, in {seconds(sink)}"
        case _:
            does = "drops" if sink.high < DROPS_S else "drops or sinks by itself"
            return f"{does}: it is down in {seconds(sink)}"


def _most(odds: FeelOdds, drawn: Touch) -> str | None:
    """What most boxes do that are made by hand, where they hardly do as the drawn one."""
    touch, chance = max(odds.chances.items(), key=lambda pair: pair[1].share)
    if touch is drawn or chance.share < OFTENER * odds.chances[drawn].share:
        return None
    return f"{OF_BOXES[touch]} ({of_100(chance)} of 100)"


def _held_words(feel: Feel, slip: Band) -> str:
    press = _press(slip)
    if feel.held_up:
        return (
            "stays up by itself, as its walls bow and rub: press it down, or fold them over and "
            "burnish them until they stand straight"
        )
    if feel.binds and feel.touch is not Touch.DAMAGES:
        return (
            f"presses by more than a tight lid may: forced on all the same it takes {press}, and "
            "walls bow in or corners open"
        )
    match feel.touch:
        case Touch.DAMAGES:
            return "does not go on without damage"
        case Touch.FORCED:
            corners = ", and corners may open" if feel.splits else ""
            return f"takes a hard push, {press}: the walls bow in{corners}"
        case Touch.HOLDS:
            return f"goes on with {press}; {_lifted(feel)}"
        case _:
            return f"stays where you push it; {_lifted(feel)}"


def _lifted(feel: Feel) -> str:
    """What happens when the box is lifted by its lid."""
    if feel.holds:
        return "lifted by the lid, the box comes along"
    if feel.holds is False:
        return "lifted by the lid, the box stays behind"
    assert feel.holds_g is not None, "a lid that holds something"
    if feel.holds_g < feel.measured.rest_g:
        return "lifted by the lid, the box may stay behind"
    return f"lifted by the lid, a box of up to {_grams(feel.holds_g)} in all comes along for sure"


def _press(force: Band) -> str:
    """A force as what would have to lie on the lid.

    >>> _press(Band(2.2, 13.7))
    'a press like 220 g to 1.4 kg lying on it'
    """
    low, high = (_grams(newtons / GRAM_N) for newtons in (force.low, force.high))
    return f"a press like {low} to {high} lying on it"


def _grams(grams: float) -> str:
    """A mass to two figures.

    >>> _grams(3.24), _grams(324.0), _grams(1397.0)
    ('3 g', '320 g', '1.4 kg')
    """
    if grams >= 1000.0:
        return f"{grams / 1000.0:.1f} kg"
    return f"{_two_figures(grams)} g"


def _figures(value: float) -> str:
    """A time or a force to two figures, written out.

    >>> _figures(0.4321), _figures(4.321), _figures(432.1), _figures(float("inf"))
    ('0.43', '4.3', '430', 'endless')
    """
    if not math.isfinite(value):
        return "endless"
    return _two_figures(value) if value >= 10.0 else f"{value:.2g}"


def _two_figures(value: float) -> str:
    if value < 10.0:
        return f"{value:.0f}"
    step = 10.0 ** (math.floor(math.log10(value)) - 1)
    return f"{round(value / step) * step:.0f}"


def seconds(band: Band) -> str:
    """A span of time that nobody takes for a promise.

    >>> seconds(Band(0.6, 1.3)), seconds(Band(3.8, 9.1)), seconds(Band(45.0, 163.0))
    ('under 2 s', 'about 4 to 9 s', 'about 45 to 160 s')
    >>> seconds(Band(1.1, 4.4)), seconds(Band(700.0, 1900.0)), seconds(Band(140.0, 900.0))
    ('up to about 4 s', 'more than 10 minutes', 'some minutes')
    """
    low, high = band.low, band.high
    if high < DROPS_S:
        return f"under {DROPS_S:g} s"
    if low > LONG_S:
        return f"more than {LONG_S / 60.0:.0f} minutes"
    if low > MINUTE_S or not math.isfinite(high) or high > LONG_S:
        return "some minutes" if low > FLOATS_S else f"{_two_figures(low)} s to minutes"
    first, last = _two_figures(low), _two_figures(high)
    if low < 0.75 * DROPS_S:
        return f"up to about {last} s"
    return f"about {first} s" if first == last else f"about {first} to {last} s"


def feel_details(feel: Feel, odds: FeelOdds | None) -> str:
    """Forces, times, bows, how the time changes with the play, and what all of it rests on."""
    own = feel.measured
    lines = ["", "how the lid feels, in figures (no box was measured for this)"]
    lines.append(row("weight", f"lid {own.lid_g:.1f} g, {_rest(own)}"))
    if feel.slip_n is not None:
        lines.append(
            row(
                "slip",
                f"{_figures(feel.slip_n.low)} to {_figures(feel.slip_n.high)} N, on and off alike",
            )
        )
    lines.append(
        row(
            "walls",
            f"bow by {feel.bows_mm[0]:+.2f} mm (base) and {feel.bows_mm[1]:+.2f} mm (lid) in the "
            "middle, outwards +",
        )
    )
    lines += _by_play(feel)
    if odds is not None and odds.sink_s is not None:
        span = f"{odds.sink_s.low:.1f} to {odds.sink_s.high:.0f} s"
        lines.append(row("time", f"{span} in 95 % of the boxes whose lids sink"))
    if own.base.hinged or own.lid.hinged:
        lines.append(
            wrapped(
                "board too thick to press is cut half through or grooved: its folds are taken to "
                "have no spring, so that its walls do not bow by themselves; no figure was found",
                "folds",
            )
        )
    guessed = feel.guessed
    if guessed:
        words = ", ".join(guessed)
        lines.append(wrapped(f"no file says: {words}; estimated or as usual for card", "assumed"))
    lines.append(
        wrapped(
            "times are good to 25 to 30 %, forces to a factor of 2.5; not to be trusted: plays "
            f"below 0.1 mm, times below {SHORT_S:g} s, coated or humid paper, warped or crooked "
            "parts, a finger that still touches",
            "limits",
        )
    )
    return "\n".join(lines) + "\n"


def _rest(own: Measured) -> str:
    """What is lifted by the lid, and what goes in where that is known."""
    rest = f"all else {own.rest_g:.1f} g"
    if own.contents_g is None:
        return f"{rest} without its contents, whose mass no file says"
    return f"{rest}, contents {own.contents_g:.1f} g" if own.contents_g else rest


def _by_play(feel: Feel) -> Iterator[str]:
    """The time of a lid in a corner and in the middle, with plays that differ by tenths."""
    label = "play"
    for one in by_play(feel.measured, STEPS_MM):
        told = f"{_figures(one.corner_s)} s in a corner, {_figures(one.middle_s)} s in the middle"
        if not one.moves:
            told = f"{_figures(one.force_n)} N to move it"
        yield row(label, f"{one.play_mm:+.2f} mm: {told}")
        label = ""


def odds_sentences(odds: FeelOdds) -> Iterator[str]:
    """How many of 100 lids feel how, the most frequent first; rare ones left out."""
    often = sorted(odds.chances.items(), key=lambda pair: -pair[1].share)
    said = [
        f"{of_100(chance)} {OF_BOXES[touch]}" for touch, chance in often if chance.share >= 0.03
    ]
    yield "of 100 lids " + ", ".join(said)
    if odds.wanted is not None:
        yield f"{of_100(odds.wanted)} sink in the time you want{give_or_take(odds.wanted)}"
