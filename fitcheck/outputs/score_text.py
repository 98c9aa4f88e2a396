"""How frozen forecasts have done so far, in counts that a maker can check by hand.

Where boxes came out other than said: what would explain it, and how to learn it.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from fitcheck.learn.causes import JOINT, PERSON, Cause, How
from fitcheck.learn.held_plays import FarPlay, far_plays
from fitcheck.learn.luck import FEW, SELDOM, so_few_by_luck
from fitcheck.learn.scores import PlayScore, Splits, Tally
from fitcheck.learn.standing import Standing
from fitcheck.learn.unscored import Otherwise, otherwise
from fitcheck.learn.watch import RUN, Sign, Watch
from fitcheck.outputs.bench_words import WIDTH
from fitcheck.outputs.forecast_text import by_option
from fitcheck.outputs.record_text import otherwise_words
from fitcheck.plain import brief

WITHIN_LUCK = "nothing speaks against the odds: it is within what luck does"
RARE = 0.05
"""What luck does in fewer sets than this is worth saying."""
LONGEST = 80
MOST_CAUSES = 4
MOST_FAR = 3
ALARM_WORDS = {
    (Sign.RIGHT, False): "fewer boxes come out right than was said",
    (Sign.RIGHT, True): "more boxes come out right than was said",
    (Sign.MIDDLE, False): "plays are smaller than was said",
    (Sign.MIDDLE, True): "plays are larger than was said",
    (Sign.SPREAD, False): "plays differ less than was said",
    (Sign.SPREAD, True): "plays differ more than was said",
}
OF = "{of}"
SOURCES = {
    "score": "the places of scores",
    "cut": "the sizes that sheets are cut to",
    "knife": "the cuts inside the sheet",
    "board": "the scoring board's own offset",
    "between": "the offset of scores between grooves",
    "scale": "the scoring board's scale",
    "trimmer": "the trimmer's own offset",
    "caliper": "the caliper of {of}",
    "crease": "the crease allowance of {of}",
    "give": "how far glued corners push out in {of}",
    "joint": "the thickness of the glue or tape in the joints",
    "content": "the size of {of}",
    "humidity": "the humidity of the air",
    "person": "the hand of {of}",
}
UNITS = {"humidity": "% of relative humidity", "give": "of itself", "scale": "of the distance"}
"""Of what is no length in mm."""
MEASURED = {
    "caliper": "measure a stack of its sheets",
    "crease": "fold and measure its channels",
    "give": "glue and measure its corners",
    "joint": "glue its tray (piece K) as you glue a box and measure its corners",
}
"""What of a paper's coupon tells about an input."""


FAR_FITS = (
    "that speaks against the odds, by more than luck explains: measure what goes in and the room "
    "that the box has for it; the sizes of an item stand in models/items.toml"
)


def score_lines(standing: Standing) -> Iterator[str]:
    """How the odds have done so far."""
    if standing.apart:
        yield f"kept apart, in no score: {boxes_words(len(standing.apart))}"
    for one in otherwise_of(standing):
        yield from _flowed(f"{brief(one.design, LONGEST)}: {otherwise_words(one)}", "  ")
    if not standing.scored:
        yield "no box was made with a frozen forecast yet: there is nothing to score"
        yield "  before the next box: fitcheck record DESIGN --forecast"
        return
    yield f"frozen forecasts against what happened, {boxes_words(len(standing.scored))}:"
    if standing.older:
        yield f"  the last {len(standing.scored)} count, {standing.older} from before do not"
    for tally in standing.tallies:
        yield f"  {tally_words(tally)}"
    fits = standing.fits
    if fits is not None:
        said = f"{100.0 * fits.said:.0f}"
        yield f"  contents, said to go into {said} of 100: {fits.fitted} of {fits.boxes} went in"
        if fits.far:
            yield from _flowed(FAR_FITS, "  ")
    if standing.plays is not None:
        yield from _flowed(play_words(standing.plays), "  ")
    if standing.splits is not None:
        yield from _flowed(splits_words(standing.splits), "  ")
    yield from _verdict_lines(standing)


def otherwise_of(standing: Standing) -> tuple[Otherwise, ...]:
    """The designs whose boxes without a forecast came out much otherwise than was said."""
    boxes = [*(one.box for one in standing.apart), *(one.box for one in standing.scored)]
    return otherwise(sorted(boxes, key=lambda box: box.number))


def boxes_words(count: int) -> str:
    """So many boxes."""
    return "1 box" if count == 1 else f"{count} boxes"


def tally_words(tally: Tally) -> str:
    """One line of counts.

    >>> tally_words(Tally(8, 14, 11))
    'said 80 to 90 of 100: 11 of 14 came out right'
    >>> tally_words(Tally(9, 1, 0))
    'said over 90 of 100: 0 of 1 came out right'
    """
    ends = {0: "under 10", 9: "over 90"}
    said = ends.get(tally.tenth, f"{10 * tally.tenth} to {10 * tally.tenth + 10}")
    return f"said {said} of 100: {tally.right} of {tally.boxes} came out right"


def play_words(plays: PlayScore) -> str:
    """What the plays that were measured say beside what was forecast."""
    low, high, even = plays.fifths[0], plays.fifths[4], plays.gauged / 5
    spread = (
        f"{low:.2g} of {plays.gauged} among the smallest fifth that was said, {high:.2g} among the "
        f"largest ({even:.2g} each if the odds are right)"
    )
    if not plays.boxes:
        return f"play: {spread}"
    way = "larger" if plays.off_mm > 0 else "smaller"
    return (
        f"play read in {boxes_words(plays.boxes)}: {abs(plays.off_mm):.2f} mm {way} on the average "
        f"than was said; {spread}"
    )


def splits_words(splits: Splits) -> str:
    """Which corners split."""
    if not splits.split:
        return f"corners: none split in {boxes_words(splits.boxes)}"
    named = ", ".join(f"{n} at {corner}" for corner, n in splits.counts.items() if n)
    text = f"corners: split in {splits.split} of {boxes_words(splits.boxes)} ({named})"
    if splits.by_chance < RARE:
        text += "; one corner more often than luck brings: look at how it is cut and glued"
    return text


def _verdict_lines(standing: Standing) -> Iterator[str]:
    """Whether the odds are off, and what would explain it."""
    last = standing.watch.last
    if last is None:
        far = far_plays(standing.scored)
        for one in far[-MOST_FAR:]:
            yield from _flowed(far_words(one), "  ")
        if not far and not (standing.fits and standing.fits.far):
            yield from _flowed(quiet_words(standing), "  ")
        return
    box = standing.scored[last.stop - 1].box
    yield from _flowed(
        f"the odds are off: {ALARM_WORDS[last.sign, last.more]}, by more than luck explains; it "
        f"showed at the box of {box.date} ({brief(box.design, LONGEST)})",
        "  ",
    )
    later = since_words(standing)
    if later:
        yield f"  {later}"
    if not standing.causes:
        yield "  no single input that the odds know of would explain it"
        return
    as_well = ", one as well as the other" if standing.causes[1:] else ""
    yield f"  what would explain it best{as_well}:"
    causes = standing.causes[:MOST_CAUSES]
    for cause in causes:
        renewed = cause.of in standing.renewed
        since_then = f"; {brief(cause.of, LONGEST)} was changed since then" if renewed else ""
        yield from _flowed(cause_words(cause) + since_then, "  - ")
    offers = dict.fromkeys(
        offer(cause) for cause in causes if not {cause.of, cause.coupon} & set(standing.renewed)
    )
    if offers:
        yield "  to learn it:"
    for text in offers:
        yield from _flowed(text, "    ")


def quiet_words(standing: Standing) -> str:
    """What the boxes since the last run say while there is no alarm: how sure that is."""
    run = standing.scored[-(standing.watch.run or RUN) :]
    came, all_of = sum(box.right.happened for box in run), len(run)
    luck = so_few_by_luck(run)
    if luck < SELDOM:
        return (
            f"fewer come out right than was said, {came or 'none'} of {all_of}: luck alone brings "
            f"so few in 1 of {float(f'{1.0 / luck:.1g}'):.0f} such sets. They are too few to be "
            "sure; before more paper is cut, measure a lid and a base at the rim, and a stack of "
            "the paper"
        )
    if all_of < FEW:
        return f"nothing speaks against the odds so far; {boxes_words(all_of)} can tell little"
    return WITHIN_LUCK


def since_words(standing: Standing) -> str:
    """What the boxes after an alarm say of it; empty where there are none."""
    last = standing.watch.last
    later = () if last is None else standing.scored[last.stop :]
    if last is None or not later:
        return ""
    words = f"since then {boxes_words(len(later))}"
    read = [box for box in later if box.measured]
    if last.sign is Sign.MIDDLE and read:
        alike = sum((float(box.law.below(box.play_mm[0])) > 0.5) == last.more for box in read)
        if 2 * alike > len(read):
            way = "larger" if last.more else "smaller"
            too = "its play too is" if len(later) == 1 else f"{alike} plays too are"
            return f"{words}, and {too} {way} than the middle of what was said"
    if last.sign is Sign.RIGHT:
        right = sum(box.right.happened for box in later)
        return f"{words}, of which {right or 'none'} came out right"
    return f"{words}, and no new sign of it"


def against_words(found: Watch) -> str:
    """What the boxes so far say against the odds; empty where they say nothing."""
    if found.last is None:
        return ""
    return (
        f"the boxes so far speak against the odds: {ALARM_WORDS[found.last.sign, found.last.more]}"
    )


def far_words(far: FarPlay) -> str:
    """A play that lies far outside of what was said, and what to do."""
    box = far.box
    read = (box.go_mm if far.larger else box.nogo_mm) or 0.0
    return (
        f"one play speaks against the odds: {read:.2f} mm in the box of {box.date} "
        f"({brief(box.design, LONGEST)}), where {far.low_mm:.2f} to {far.high_mm:.2f} mm were said "
        "of 95 in 100; measure it again, and look what is different about that box"
    )


def _flowed(text: str, label: str) -> list[str]:
    """A long text behind a label, over as many lines as it takes."""
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=label,
        subsequent_indent=" " * (len(label) + 2),
        break_long_words=False,
        break_on_hyphens=False,
    )


def cause_words(cause: Cause) -> str:
    """What would have to be off, and by how much."""
    kind = SOURCES.get(cause.source, f"the {cause.source} of {OF}").replace(OF, cause.of)
    what = kind if cause.source == JOINT else cause.name or kind
    if cause.source == "score" and not cause.name:
        what += " in the grooves" if cause.in_groove else " between the grooves"
    if cause.source == PERSON:
        return f"{what}: {hand_words(cause)}"
    if cause.how is How.SPREAD:
        return f"{what}: {cause.amount:.1f} times as far off as was said"
    unit = UNITS.get(cause.source, "mm")
    more = "more" if cause.amount > 0 else "less"
    said = f"{what}: {abs(cause.amount):.2g} {unit} {more} than was said"
    if cause.allowed:
        return f"{said}; the odds allow for so much, they only know too little of it"
    return said


def hand_words(cause: Cause) -> str:
    """How the boxes of one maker differ from those of anybody, whose odds they were held against.

    >>> hand_words(Cause(PERSON, "ada", False, How.SPREAD, 0.3, 0.0, 5.0, ""))
    "cuts and scores 0.3 times as far off as was said of anybody's"
    """
    if cause.how is How.SPREAD:
        return f"cuts and scores {cause.amount:.1f} times as far off as was said of anybody's"
    way = "larger" if cause.amount > 0 else "smaller"
    return f"plays {abs(cause.amount):.2f} mm {way} than was said of anybody's"


def offer(cause: Cause) -> str:
    """How to learn it."""
    if cause.source == "content":
        return f"measure some of {cause.of}, and put size and size_u into models/items.toml"
    if cause.source == "humidity":
        return "read a hygrometer on the day, and freeze with --humidity LOW:HIGH"
    freeze = f"fitcheck record DESIGN --forecast {by_option(cause.of)}"
    if cause.source == PERSON and not cause.coupon:
        return f"freeze the odds of that hand before the next box: {freeze}"
    do = MEASURED.get(cause.source, "cut, score and measure its strips")
    of = cause.coupon or cause.of
    learn = f"fitcheck coupon {of} -o DIR, {do}, then fitcheck learn {of} READINGS.csv"
    return learn if cause.source != PERSON else f"{learn} with that name in by, then {freeze}"
