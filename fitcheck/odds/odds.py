"""The odds of a checked design: limits once, then any number of virtual boxes, then the proof."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.design.model import Axis, Bands, LidVerdict
from fitcheck.errors import InputError
from fitcheck.fit.check import Check
from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.right import Deciding, Flags, band_edges, band_of, enough, right
from fitcheck.folding.pose import Array
from fitcheck.odds.agreement import Agreement, fold_again, laws_of
from fitcheck.odds.inputs import Humidity, Source, inputs_of, with_u
from fitcheck.odds.intervals import Chance, chance_of, symmetric_interval
from fitcheck.odds.making import Grains, Workshop
from fitcheck.odds.propagate import Samples, sample
from fitcheck.odds.quantities import (
    LID_PLAY,
    RIM,
    Outlook,
    content_slack,
    ease_name,
    judged_contents,
    outlook_of,
    play_name,
    trimmed,
)
from fitcheck.odds.remarks import blocked, distrust, missing_odds
from fitcheck.odds.responses import Forms, Limits, forms_of, take_limits
from fitcheck.odds.result import ContentOdds, Histogram, LidOdds, Odds, Spread
from fitcheck.odds.shares import cures_for, gains_of, shares_of
from fitcheck.odds.turns import by_family, slopes, touches
from fitcheck.odds.weather import possible_grains, weather_findings
from fitcheck.workspace.progress import SILENT, Progress

LEAST_BOXES, MOST_BOXES = 100, 2_000_000
FOLDED_AGAIN = 40
COLUMNS = 48
TAIL = 0.001


@dataclass(frozen=True, eq=False)
class Prospect:
    """A design with its limits taken: boxes can be drawn."""

    check: Check
    workshop: Workshop
    outlook: Outlook
    limits: Limits
    humidity: Humidity | None = None
    """The air that its boxes meet; None for that in which papers are measured."""

    def forms(self) -> Forms:
        """The limits that may come first, as forms of the inputs."""
        return forms_of(self.limits, self.workshop.inputs)

    def draw(self, forms: Forms, boxes: int, seed: int, progress: Progress = SILENT) -> Samples:
        """Virtual boxes; the same seed draws the same ones, and with other forms their likes."""
        rng = np.random.default_rng(seed).spawn(2)[0]
        variates = [one.variate for one in forms.inputs]
        asked = self.outlook
        return sample(
            variates, lambda off: asked.evaluate(forms, off), boxes, rng, progress=progress
        )

    def asked(self) -> tuple[Prospect, Forms]:
        """The prospect without what cannot matter, and the forms that are left to draw from."""
        forms = self.forms()
        outlook = trimmed(self.outlook, forms)
        families = {family for one in outlook.quantities for _, family in one.terms}
        return replace(self, outlook=outlook), forms.of(families)


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
    return _worst_grain(take_prospect(check, humidity, progress), boxes, seed)


def odds_from(
    whole: Prospect,
    boxes: int,
    seed: int = 0,
    *,
    folded_again: int = FOLDED_AGAIN,
    progress: Progress = SILENT,
) -> Odds:
    """The odds of a design whose limits are taken."""
    check, humidity = whole.check, whole.humidity
    prospect, forms = whole.asked()
    outlook = prospect.outlook
    samples = prospect.draw(forms, boxes, seed, progress)
    about = LID_PLAY if LID_PLAY in outlook.names else _tightest_content(prospect, samples)
    shares = shares_of(samples, outlook.row(about), forms.inputs) if about else ()
    good = good_flags(prospect, samples)
    gains = gains_of(
        cures_for(forms.inputs),
        shares,
        good,
        lambda cure: good_flags(
            prospect,
            prospect.draw(replace(forms, inputs=with_u(forms.inputs, cure.changed)), boxes, seed),
        ),
    )
    agreement = _agreement(prospect, forms, samples, folded_again, seed, progress)
    return Odds(
        boxes=boxes,
        seed=seed,
        humidity=humidity,
        lid=_lid_odds(prospect, samples),
        contents=_content_odds(prospect, samples),
        good=chance_of(good),
        about=about,
        shares=shares,
        gains=gains,
        agreement=agreement,
        findings=(
            *missing_odds(check),
            *(weather_findings(check.assembly, whole.workshop.grains) if humidity else ()),
            *distrust(agreement),
        ),
    )


def take_prospect(
    check: Check, humidity: Humidity | None = None, progress: Progress = SILENT
) -> Prospect:
    """Take a design's limits with their gradients; the slow step, done once."""
    inputs = inputs_of(check.assembly, humidity)
    grains = possible_grains(check.assembly)[0] if humidity else {}
    workshop = Workshop(check.assembly, inputs, grains)
    outlook = outlook_of(check)
    limits = take_limits(workshop, outlook.readers, progress=progress)
    return Prospect(check, workshop, outlook, limits, humidity)


def _worst_grain(prospect: Prospect, boxes: int, seed: int) -> Prospect:
    """The prospect with the grain, where it is not given, the way that leaves the worst odds."""
    inputs = prospect.workshop.inputs
    damp = [i for i, one in enumerate(inputs) if one.source is Source.HUMIDITY]
    if not damp:
        return prospect
    worst: tuple[int, Prospect] | None = None
    for grains in possible_grains(prospect.check.assembly):
        turned = _regrained(prospect, grains, damp[0])
        asked, forms = turned.asked()
        hits = good_chance(asked, asked.draw(forms, boxes, seed)).hits
        if worst is None or hits < worst[0]:
            worst = hits, turned
    assert worst is not None, "there is a paper that moves with the weather"
    return worst[1]


def _regrained(prospect: Prospect, grains: Grains, column: int) -> Prospect:
    workshop = replace(prospect.workshop, grains=grains)
    read = by_family(prospect.limits.linear)
    one = workshop.inputs[column]
    readers = [reader for reader in prospect.outlook.readers if touches(reader, one)]
    by_limit = slopes(workshop, readers, read, one)
    limits = []
    for limit in prospect.limits.linear:
        gradient = limit.gradient.copy()
        gradient[column] = by_limit.get((limit.family, limit.member), 0.0)
        limits.append(replace(limit, gradient=gradient))
    return replace(prospect, workshop=workshop, limits=prospect.limits.replaced(limits))


def good_chance(prospect: Prospect, samples: Samples) -> Chance:
    """How often everything is right in one box, by the predicate of the check itself."""
    return chance_of(good_flags(prospect, samples))


def good_flags(prospect: Prospect, samples: Samples) -> Flags:
    """Which boxes are right, (n,), by the predicate of the check itself."""
    design = prospect.check.design
    flags = right(_deciding(prospect, samples), design.bands, design.want)
    return np.broadcast_to(flags, (samples.boxes,))


def _deciding(prospect: Prospect, samples: Samples) -> Deciding:
    """What decides about each drawn box; lengths that no box can miss are left out."""
    outlook, check = prospect.outlook, prospect.check

    def drawn(name: str) -> Array | None:
        return samples.outcomes[outlook.row(name)] if name in outlook.names else None

    slacks = [drawn(content_slack(index)) for index in _judged(prospect)]
    if check.contents and not judged_contents(check):
        slacks.append(np.array(-np.inf))
    eases = [drawn(ease_name(part.recipe.part)) for part in check.assembly.parts]
    return Deciding(
        play_mm=np.array(-np.inf) if blocked(check) else drawn(LID_PLAY),
        rim_mm=drawn(RIM),
        slacks_mm=tuple(one for one in slacks if one is not None),
        ease_mm=tuple(one for one in eases if one is not None),
    )


def _judged(prospect: Prospect) -> Sequence[int]:
    return range(len(prospect.check.contents)) if judged_contents(prospect.check) else ()


def _rim_clear(prospect: Prospect, samples: Samples) -> Chance:
    """How often the lid's rim is off the table; always where it is not in question."""
    rim = _deciding(prospect, samples).rim_mm
    return chance_of(np.broadcast_to(enough(0.0 if rim is None else rim), (samples.boxes,)))


def _spread(values: Array) -> Spread:
    return Spread(float(values.mean()), float(values.std()), symmetric_interval(np.sort(values)))


def _lid_odds(prospect: Prospect, samples: Samples) -> LidOdds | None:
    outlook, bands = prospect.outlook, prospect.check.design.bands
    if LID_PLAY not in outlook.names or blocked(prospect.check):
        return None
    play = samples.outcomes[outlook.row(LID_PLAY)]
    counts = np.bincount(band_of(play, bands), minlength=len(LidVerdict)).tolist()
    return LidOdds(
        chances={v: Chance(n, samples.boxes) for v, n in zip(LidVerdict, counts, strict=True)},
        plays={a: _spread(samples.outcomes[outlook.row(play_name(a))]) for a in Axis},
        smaller=_spread(play),
        histogram=_histogram(play, bands),
        rim_clear=_rim_clear(prospect, samples),
    )


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
    for index in _judged(prospect):
        slack = samples.outcomes[prospect.outlook.row(content_slack(index))]
        content = prospect.check.contents[index].content
        found.append(ContentOdds(content, chance_of(slack >= -TOUCH_MM), _spread(slack)))
    return tuple(found)


def _tightest_content(prospect: Prospect, samples: Samples) -> str:
    names = [content_slack(index) for index in _judged(prospect)]
    outlook = prospect.outlook
    return min(names, key=lambda n: float(samples.outcomes[outlook.row(n)].mean()), default="")


def _agreement(
    prospect: Prospect, forms: Forms, samples: Samples, count: int, seed: int, progress: Progress
) -> Agreement:
    rng = np.random.default_rng(seed).spawn(2)[1]
    refolded, alike, folded, unfoldable = fold_again(
        prospect.check, prospect.workshop, prospect.outlook, forms, samples, count, rng, progress
    )
    laws = laws_of(prospect.outlook, forms, samples, prospect.outlook.names)
    return Agreement(laws, refolded, alike, folded, unfoldable)
