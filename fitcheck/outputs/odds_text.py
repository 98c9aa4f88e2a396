"""How boxes made by hand come out, as a short text for the person at the bench."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.design.model import LidVerdict
from fitcheck.fit.mate_remarks import direction_words
from fitcheck.fit.remarks import SHOWS_MM
from fitcheck.fit.turn_fit import BEHIND, BESIDE, FRONT, SWING
from fitcheck.odds.inputs import BASE_HUMIDITY, Humidity
from fitcheck.odds.intervals import Chance
from fitcheck.odds.landing import play_name
from fitcheck.odds.quantities import LID_PLAY, OVER_GRID, mate_play, mate_play_name
from fitcheck.odds.result import AboveOdds, LidOdds, MateOdds, Odds, Spread
from fitcheck.outputs.bench_words import (
    ALWAYS,
    NOT_SURE,
    from_to,
    give_or_take,
    of_100,
    row,
    wrapped,
)
from fitcheck.outputs.feel_text import odds_sentences
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.mates import Past, Tucked, Turned

MOST_NAMED = 3
LEAST_SHARE = 0.05
"""What causes less than this of how boxes differ is not named."""
LEAST_GAIN = 0.01
"""Nor is what hands could do for fewer boxes than this."""
WORTH_A_SEARCH = 0.1
"""Where so many more boxes would be right by exact sizes, other sizes are worth looking for."""
TO_A_RULE = "; `fitcheck suggest` looks for sizes that a rule shows"
MOST_PRESS_MM = 3.0
"""Nobody forces a lid over more than this: how much more it presses says nothing."""
WAYS = {
    LidVerdict.BINDS: "bind",
    LidVerdict.TIGHT: "tight",
    LidVerdict.SNUG: "snug",
    LidVerdict.SLIDES: "slide",
    LidVerdict.LOOSE: "loose",
}

TUCK_SIDES = {
    BESIDE: "at its ends",
    FRONT: "to the front wall",
    BEHIND: "to the flaps below",
}


def odds_text(odds: Odds) -> str:
    """What happens in 100 boxes, which cut matters most, and what hands could do better."""
    lines = ["", "of 100 boxes made by hand, with these papers and tools"]
    if odds.humidity is not None:
        lines.append(row("air", f"anywhere from {air_words(odds.humidity)}"))
    for label, said in counted(odds):
        lines += [wrapped(words, " " if k else label) for k, words in enumerate(said)]
    lines += _cause_lines(odds)
    gains = [g for g in odds.gains if g.after.share - g.before.share >= LEAST_GAIN]
    advised = odds.advice.change if odds.advice is not None else ""
    gains = [gain for gain in gains if gain.what != advised][:MOST_NAMED]
    for label, gain in zip(("hands", *[""] * MOST_NAMED), gains, strict=False):
        # they may have been tried on fewer boxes than were counted
        lines.append(wrapped(f"{gain.what}: {from_to(odds.good, gain.after)}", label or " "))
    lines += [wrapped(finding.message, str(finding.severity)) for finding in odds.findings]
    return "\n".join(lines) + "\n"


def counted(odds: Odds) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What was counted, as (whose, its sentences): the whole box, its lid, mates and contents."""
    yield "right", tuple(_right(odds))
    if odds.lid is not None:
        yield "lid", tuple(_lid(odds.lid))
    if odds.feel is not None:
        yield "feel", tuple(odds_sentences(odds.feel))
    for mate in odds.mates:
        above = odds.above if odds.above is not None and odds.above.mate == mate.mate else None
        yield mate.mate.called, (*_mate(mate), *_above(above))
    for one in odds.contents:
        count = f"{one.content.count} x " if one.content.count > 1 else ""
        where = f" in each of {one.compartments} compartments" if one.compartments > 1 else ""
        yield "content", (f"{of_100(one.fits)} take {count}{one.content.item.name}{where}",)
    if odds.at_ease is not None and odds.at_ease.share < ALWAYS:
        yield "parts", (f"{of_100(odds.at_ease)} without a part that fights itself",)


def _right(odds: Odds) -> Iterator[str]:
    if not odds.good.known:
        yield "not counted: no place was found for all that goes in"
        return
    if odds.agreement.astray:
        yield f"{of_100(odds.good)} were counted right, but {NOT_SURE}"
        return
    yield f"{of_100(odds.good)} come out right{give_or_take(odds.good)}"
    if odds.assumed is not None:
        yield measured_words(odds.good, odds.assumed)
    if odds.rounded is not None:
        sizes = TO_A_RULE if odds.good.share - odds.rounded.share >= WORTH_A_SEARCH else ""
        yield rounded_words(odds.good, odds.rounded) + sizes


def _mate(mate: MateOdds) -> Iterator[str]:
    if isinstance(mate.mate, Tucked):
        yield f"{of_100(mate.goes)} go in"
        for way, words in TUCK_SIDES.items():
            yield f"in 95 the tuck flap {play_range(mate.plays[way])} {words}"
        return
    if isinstance(mate.mate, Turned):
        yield f"{of_100(mate.goes)} close"
        yield f"in 95 what turns {play_range(mate.plays[SWING])}"
        return
    goes_on = "go on" if isinstance(mate.mate, Past) else f"go into the {mate.mate.holder}"
    yield f"{of_100(mate.goes)} {goes_on}"
    for way, spread in mate.plays.items():
        if mate.mate.held(way):
            yield f"in 95 it {play_range(spread)} {direction_words(way)}"
    if mate.steady is not None and mate.steady.share < ALWAYS:
        yield f"{of_100(mate.steady)} do not shift about in it"


def _above(above: AboveOdds | None) -> Iterator[str]:
    """How often what stands in the base is low enough, where some boxes have it too high."""
    if above is not None and above.fits.share < ALWAYS:
        stand = "stand" if above.mate.many else "stands"
        room = f"no higher than the {above.cover} leaves room for"
        yield f"in {of_100(above.fits)} the {above.mate.called} {stand} {room}"


def about_words(odds: Odds) -> str:
    """The length that the shares are about, as a maker says it."""
    if odds.about == LID_PLAY:
        return "the lid's play"
    if odds.about == OVER_GRID and odds.above is not None:
        return f"the room above the {odds.above.mate.called}"
    for axis in Axis:
        if odds.about == play_name(axis):
            return f"the lid's play along the {axis}"
    mates = {mate_play(one.mate): f"the {one.mate.whose} play" for one in odds.mates}
    mates |= {
        mate_play_name(one.mate, way): f"the {one.mate.whose} play {direction_words(way)}"
        for one in odds.mates
        for way in one.plays
    }
    return mates.get(odds.about, "the room to spare")


def air_words(air: Humidity) -> str:
    """The air that boxes meet, and that they are made in where somebody said so.

    >>> air_words(Humidity(30, 70)), air_words(Humidity(30, 70, made=42.5))
    ('30 to 70 % relative humidity', '30 to 70 % relative humidity, made in 42.5 %')
    """
    words = f"{air.low:g} to {air.high:g} % relative humidity"
    return words if air.made == BASE_HUMIDITY else f"{words}, made in {air.made:g} %"


def rounded_words(good: Chance, rounded: Chance) -> str:
    """What it costs to cut and score what the steps say, rounded to what a hand can set.

    >>> rounded_words(Chance(16_600, 20_000), Chance(15_800, 20_000))
    'cut and scored as the steps round it: 79 of 100 instead of 83'
    """
    now, exact = of_100(rounded), of_100(good)
    if now == exact:
        return f"cut and scored as the steps round it: {now} of 100, too"
    return f"cut and scored as the steps round it: {now} of 100 instead of {exact}"


def measured_words(good: Chance, assumed: Chance) -> str:
    """What it is worth to have measured the hand.

    >>> measured_words(Chance(16_600, 20_000), Chance(14_200, 20_000))
    'with the hand you measured: 83 of 100 instead of 71 with the assumed hand'
    """
    now, before = of_100(good), of_100(assumed)
    if now == before:
        return f"with the hand you measured as with the assumed hand: {now} of 100"
    return f"with the hand you measured: {now} of 100 instead of {before} with the assumed hand"


def _lid(lid: LidOdds) -> Iterator[str]:
    yield ", ".join(f"{of_100(lid.chances[verdict])} {way}" for verdict, way in WAYS.items())
    for axis, spread in lid.plays.items():
        yield f"in 95 it {play_range(spread)} along the {axis}"
    if lid.steady.share < ALWAYS:
        under = f"less than {lid.shifty_mm:.3g} mm of play both ways"
        yield f"{of_100(lid.steady)} do not shift about: {under}"
    if lid.line is not None:
        line, most = lid.line, lid.line.gap.interval.high
        shown = f"; in 95 the line is {most:.2f} mm at the most" if most > SHOWS_MM else ""
        yield f"{of_100(line.closed)} meet the base's rim{shown}"
    if not lid.rim_clear.certain:
        yield f"{of_100(lid.rim_clear)} with the lid's rim off the table"


def play_range(spread: Spread) -> str:
    """A range of plays in words; a press is said so, as a minus is easily missed.

    >>> from fitcheck.odds.intervals import Interval
    >>> play_range(Spread(-20.0, 13.0, Interval(-52.63, -0.81, 0.1, 0.1)))
    'presses by 0.81 to more than 3 mm'
    """
    low, high = spread.interval.low, spread.interval.high
    most = f"{-low:.2f}" if -low <= MOST_PRESS_MM else f"more than {MOST_PRESS_MM:g}"
    if -high > MOST_PRESS_MM:
        return f"presses by {most} mm"
    if high <= 0.0:
        return f"presses by {-high:.2f} to {most} mm"
    if low < 0.0:
        return f"has from {most} mm too little to {high:.2f} mm of play"
    return f"has {low:.2f} to {high:.2f} mm of play"


def _cause_lines(odds: Odds) -> Iterator[str]:
    named = [one.name for one in odds.shares[:MOST_NAMED] if one.share >= LEAST_SHARE]
    if not named:
        return
    about = about_words(odds)
    cut = any(word in named[0] for word in (" score ", " cut "))
    what = "which cut" if cut else "what"
    yield wrapped(f"{what} matters most to {about}: {'; then '.join(named)}", "matters")
