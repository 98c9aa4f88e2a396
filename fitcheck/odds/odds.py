"""The odds of a checked design: limits once, then any number of virtual boxes, then the proof."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from functools import reduce

import numpy as np

from fitcheck.design.model import Bands, LidVerdict
from fitcheck.errors import InputError
from fitcheck.fit.check import Check
from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.remarks import SHOWS_MM
from fitcheck.fit.right import Deciding, band_edges, band_of, enough, goes, shifty_from
from fitcheck.fit.stood import stood_in
from fitcheck.folding.pose import Array
from fitcheck.odds.agreement import laws_of
from fitcheck.odds.feel import FELT, feel_odds
from fitcheck.odds.hands import Hands
from fitcheck.odds.inputs import Humidity, u_of, with_u
from fitcheck.odds.intervals import Chance, chance_of, symmetric_interval
from fitcheck.odds.landing import play_name
from fitcheck.odds.propagate import Samples
from fitcheck.odds.prospect import (
    Prospect,
    counted_right,
    deciding,
    judged_lines,
    right_flags,
    take_prospect,
    worst_grain,
)
from fitcheck.odds.proved import agreement_of, folded_too
from fitcheck.odds.quantities import (
    LID_PLAY,
    LINE,
    OVER_GRID,
    content_slack,
    mate_play,
    mate_play_name,
)
from fitcheck.odds.remarks import blocked, distrust, missing_odds, one_arrangement
from fitcheck.odds.result import (
    AboveOdds,
    ContentOdds,
    Histogram,
    LidOdds,
    LineOdds,
    MateOdds,
    Odds,
    Spread,
)
from fitcheck.odds.rounded import drawn_and_rounded
from fitcheck.odds.shares import cures_for, gains_of, shares_of
from fitcheck.odds.weakest import spread_by, weakest
from fitcheck.odds.weather import weather_findings
from fitcheck.pattern.sheet import Axis
from fitcheck.workspace.progress import SILENT, Progress

LEAST_BOXES, MOST_BOXES = 100, 2_000_000
FOLDED_AGAIN = 100
"""So many boxes are folded anew at random, and as many close calls."""
MOST_TRIED = 20_000
"""What would help is tried on so many boxes at the most: right to a third of a box in 100."""
COLUMNS = 48
TAIL = 0.001


def odds_of(
    check: Check,
    boxes: int,
    seed: int = 0,
    humidity: Humidity | None = None,
    *,
    folded_again: int = FOLDED_AGAIN,
    progress: Progress = SILENT,
) -> Odds:
    """The odds of a checked design over so many virtual boxes.

    Raises InputError for a number of boxes that is out of range.
    """
    prospect = prospect_of(check, boxes, seed, humidity, progress=progress)
    return odds_from(prospect, boxes, seed, folded_again=folded_again, progress=progress)


def prospect_of(
    check: Check,
    boxes: int,
    seed: int = 0,
    humidity: Humidity | None = None,
    *,
    progress: Progress = SILENT,
) -> Prospect:
    """A checked design with its limits taken, papers lying the way that leaves the worst odds.

    Raises InputError for a number of boxes that is out of range.
    """
    if not LEAST_BOXES <= boxes <= MOST_BOXES:
        raise InputError(
            f"--odds: read {boxes}; allowed: {LEAST_BOXES} to {MOST_BOXES} boxes; 20000 will do"
        )
    return worst_grain(take_prospect(check, humidity, progress), boxes, seed)


def odds_from(
    whole: Prospect,
    boxes: int,
    seed: int = 0,
    *,
    folded_again: int = FOLDED_AGAIN,
    hands: Hands | None = None,
    progress: Progress = SILENT,
) -> Odds:
    """The odds of a design whose limits are taken.

    What would help is told of the first boxes alone, made by `hands` as `hands_for` draws them.
    """
    check, humidity = whole.check, whole.humidity
    prospect, forms = whole.asked()
    outlook = prospect.outlook
    samples, rounded = drawn_and_rounded(prospect, forms, boxes, seed, progress)
    about = weakest(prospect, samples)
    shares = (
        shares_of(samples, outlook.row(spread_by(outlook, about)), forms.inputs) if about else ()
    )
    box = deciding(prospect, samples)
    good = right_flags(prospect, box, boxes)
    rim_clear, at_ease = _rim_clear(box, boxes), _at_ease(box, boxes)
    del box  # as long as all boxes, and no more is asked of it
    off = (hands or hands_for(whole, boxes, seed)).off
    gains = gains_of(
        cures_for(forms.inputs),
        shares,
        good[: off.shape[1]],
        lambda cures: prospect.right_with(
            forms, [u_of(with_u(forms.inputs, cure.changed)) for cure in cures], off
        ),
    )
    lid = _lid_odds(prospect, samples, rim_clear)
    mates, contents = _mate_odds(prospect, samples), _content_odds(prospect, samples)
    above = _above_odds(prospect, samples)
    apart = outlook.landing.of if outlook.landing else ()
    asked = [name for name in outlook.names if name not in apart]
    laws = laws_of(outlook, forms, samples, asked)
    spreads, felt = samples.spreads, samples.first(FELT)
    del samples  # folding anew takes its own memory, and so does what it loads
    agreement, lost = agreement_of(prospect, forms, laws, spreads, folded_again, seed, progress)
    counted = counted_right(prospect, good)
    folded = folded_too(prospect, counted, lost, agreement)
    return Odds(
        boxes=boxes,
        seed=seed,
        humidity=humidity,
        lid=lid,
        mates=mates,
        above=above,
        contents=contents,
        good=folded or counted,
        about=about,
        shares=shares,
        gains=gains if counted.known and not folded else (),
        agreement=agreement,
        findings=(
            *missing_odds(check),
            *one_arrangement(check, contents),
            *(weather_findings(check.assembly, whole.workshop.grains) if humidity else ()),
            *distrust(agreement),
        ),
        at_ease=at_ease,
        rounded=rounded if counted.known and not folded else None,
        feel=feel_odds(check, outlook, felt, seed),
    )


def hands_for(whole: Prospect, boxes: int, seed: int) -> Hands:
    """The first of so many boxes as hands make them, for what is tried on fewer."""
    return Hands.of(whole, min(boxes, MOST_TRIED), seed)


def _at_ease(box: Deciding, boxes: int) -> Chance | None:
    """How often no part fights itself; None where it never does."""
    fine = [np.asarray(enough(ease)) for ease in box.ease_mm]
    every = np.broadcast_to(np.all(fine, axis=0), (boxes,)) if fine else None
    return None if every is None or every.all() else chance_of(every)


def _rim_clear(box: Deciding, boxes: int) -> Chance:
    """How often the lid's rim is off the table; always where it is not in question."""
    rim = 0.0 if box.rim_mm is None else box.rim_mm
    return chance_of(np.broadcast_to(enough(rim), (boxes,)))


def _spread(values: Array) -> Spread:
    return Spread(float(values.mean()), float(values.std()), symmetric_interval(values))


def _steady(prospect: Prospect, plays: Sequence[Array]) -> Chance:
    """How often something with such plays does not shift about."""
    return chance_of(
        right_flags(prospect, Deciding(wider_mm=reduce(np.maximum, plays)), plays[0].size)
    )


def _lid_odds(prospect: Prospect, samples: Samples, rim_clear: Chance) -> LidOdds | None:
    outlook, bands = prospect.outlook, prospect.check.design.bands
    if LID_PLAY not in outlook.names or blocked(prospect.check):
        return None
    play = samples.outcomes[outlook.row(LID_PLAY)]
    counts = np.bincount(band_of(play, bands), minlength=len(LidVerdict)).tolist()
    plays = {axis: samples.outcomes[outlook.row(play_name(axis))] for axis in Axis}
    return LidOdds(
        chances={v: Chance(n, samples.boxes) for v, n in zip(LidVerdict, counts, strict=True)},
        plays={axis: _spread(own) for axis, own in plays.items()},
        smaller=_spread(play),
        histogram=_histogram(play, bands),
        rim_clear=rim_clear,
        steady=_steady(prospect, list(plays.values())),
        shifty_mm=shifty_from(bands),
        line=_line_odds(prospect, samples),
    )


def _line_odds(prospect: Prospect, samples: Samples) -> LineOdds | None:
    """How often rims meet, and the line that shows; None where none are to meet."""
    outlook = prospect.outlook
    if LINE not in outlook.names:
        return None
    line = samples.outcomes[outlook.row(LINE)]
    lands = deciding(prospect, samples).lands_mm
    meets = (line <= SHOWS_MM) & enough(0.0 if lands is None else lands)
    return LineOdds(chance_of(meets), _spread(np.maximum(line, 0.0)))


def _mate_odds(prospect: Prospect, samples: Samples) -> tuple[MateOdds, ...]:
    outlook, design = prospect.outlook, prospect.check.design
    found = []
    for fit in prospect.check.mates:
        if mate_play(fit.mate) not in outlook.names:
            continue
        play = samples.outcomes[outlook.row(mate_play(fit.mate))]
        plays = {
            way: samples.outcomes[outlook.row(mate_play_name(fit.mate, way))] for way in fit.plays
        }
        spreads = {direction: _spread(own) for direction, own in plays.items()}
        going = chance_of(goes(play, design.bands, design.want))
        steady = _steady(prospect, list(plays.values())) if fit.mate.steadied else None
        found.append(MateOdds(fit.mate, going, spreads, _spread(play), steady))
    return tuple(found)


def _above_odds(prospect: Prospect, samples: Samples) -> AboveOdds | None:
    """How often what stands in the base is low enough; None where it always is."""
    outlook, check = prospect.outlook, prospect.check
    if OVER_GRID not in outlook.names:
        return None
    room = samples.outcomes[outlook.row(OVER_GRID)]
    mate = stood_in(check.assembly).mates[0].mate
    assert check.cover is not None, "without a cover nothing is too high"
    return AboveOdds(mate, check.cover, chance_of(enough(room)), _spread(room))


def _histogram(play: Array, bands: Bands) -> Histogram:
    """Columns of about one width, those at the ends of the bands fitted in between."""
    low, high = np.quantile(play, [TAIL, 1.0 - TAIL])
    knots = [low, *(end for end in band_edges(bands) if low < end < high), high]
    width = max(high - low, TOUCH_MM) / COLUMNS
    edges = np.concatenate(
        [
            np.linspace(a, b, max(1, round((b - a) / width)) + 1)[:-1]
            for a, b in itertools.pairwise(knots)
        ]
        + [[high]]
    )
    found = np.searchsorted(edges[1:-1], play, side="right")
    counts = np.bincount(found, minlength=len(edges) - 1)
    return Histogram(tuple(edges.tolist()), tuple(counts.tolist()))


def _content_odds(prospect: Prospect, samples: Samples) -> tuple[ContentOdds, ...]:
    found = []
    for index in judged_lines(prospect):
        slack = samples.outcomes[prospect.outlook.row(content_slack(index))]
        content = prospect.check.contents[index].content
        fits = chance_of(enough(slack))
        found.append(ContentOdds(content, fits, _spread(slack), prospect.check.assembly.rooms))
    return tuple(found)
