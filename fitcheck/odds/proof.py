"""Boxes are folded anew as they were drawn, and fitted by the whole model.

The samples are as good as the limits are linear. Half of the boxes are drawn as hands make them;
the other half are those of many more that are nearest to another verdict or furthest from the
middle, where samples would be wrong first.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.check import Check
from fitcheck.fit.neck import fit_lids_of
from fitcheck.fit.stood import rises_mm, stood_in
from fitcheck.folding.pose import Array, Rows
from fitcheck.odds.agreement import CloseCalls, Refolded
from fitcheck.odds.close_calls import close_calls, edges_of
from fitcheck.odds.content_readings import SingleReader
from fitcheck.odds.forms import Forms
from fitcheck.odds.judged import Judged, Truth, lands_by_samples
from fitcheck.odds.landing import play_name
from fitcheck.odds.making import Made, Workshop, offsets_of
from fitcheck.odds.mate_readings import GridReader, MateReader, TurnReader
from fitcheck.odds.outlook import judged_contents
from fitcheck.odds.propagate import Spreads
from fitcheck.odds.quantities import (
    LINE,
    OVER_GRID,
    RIM,
    Outlook,
    ease_name,
    lands_name,
    mate_play,
    mate_play_name,
    only_missed,
    slack_name,
    steadied_plays,
)
from fitcheck.odds.refitted import go_in_together, height_under, put_alone
from fitcheck.odds.self_readings import SelfReader
from fitcheck.odds.variates import draw_values
from fitcheck.pattern.sheet import Axis
from fitcheck.workspace.progress import SILENT, Progress

HOPELESS_MM = 10.0
"""No error of hands or papers makes up for so much."""
MOST_FILLED = 6
"""So many compartments of a box are filled anew: those with the least room by the samples."""
CHOSEN_FROM = 20
"""Close calls are chosen from so many times as many boxes."""


@dataclass(frozen=True)
class FoldedAgain:
    """What came of boxes that were folded anew as they were drawn."""

    refolded: tuple[Refolded, ...]
    """The quantities that a folded box has by itself, of boxes drawn as hands make them."""
    verdicts_alike: int
    """Of those, in which both the lid's verdict and the contents' were those of the samples."""
    contents_alike: int | None
    boxes: int
    unfoldable: int
    close: CloseCalls
    lost: Array
    """(q, n) the lengths as sampled of those drawn as hands make them that cannot be folded."""
    problem: str
    """Why the first that cannot be folded cannot; nothing where all can."""


def fold_again(
    check: Check,
    workshop: Workshop,
    outlook: Outlook,
    forms: Forms,
    spreads: Spreads,
    count: int,
    rng: np.random.Generator,
    progress: Progress = SILENT,
) -> FoldedAgain:
    """Fold `count` boxes as hands make them, and as many close calls.

    Lid and contents of each are fitted by the whole model.
    """
    inputs = workshop.inputs
    variates, streams = [one.variate for one in inputs], rng.spawn(len(inputs) + 1)
    drawn = draw_values(variates, streams[:-1], np.empty((len(inputs), count)))
    many = np.empty((len(inputs), CHOSEN_FROM * count))
    draw_values(variates, streams[-1].spawn(len(inputs)), many)
    edges = edges_of(check, outlook)
    close = close_calls(edges, outlook, outlook.evaluate(forms, many), count)
    drawn = np.concatenate([drawn, many[:, close]], axis=1)
    expected = outlook.evaluate(forms, drawn)
    progress.step(0, drawn.shape[1], "folding boxes anew to prove the odds")
    offsets = [offsets_of(inputs, column.tolist()) for column in drawn.T]
    boxes = workshop.make_all(offsets)
    lost = [column for column, made in enumerate(boxes) if made is None]
    there = [column for column, made in enumerate(boxes) if made is not None]
    fullest = outlook.fullest(forms, drawn[:, there], MOST_FILLED)
    whole = [made for made in boxes if made is not None]
    truths = _whole_model(check, outlook, whole, fullest, progress)
    departures: dict[str, list[float]] = {}
    plays = [play_name(axis) for axis in Axis]
    smaller = steadied_plays(check.mates)
    judged = Judged(check, outlook, spreads, edges)
    for column, truth in zip(there, truths, strict=True):
        own = expected[:, column]
        judged.add(truth, own, close=column >= count)
        for name, value in truth.lengths.items() if column < count else ():
            if math.isinf(value) and own[outlook.row(name)] < 0.0:
                continue  # blocked where the samples press: by how much nobody can say
            if (
                name in plays
                and truth.lands is not None
                and truth.lands != lands_by_samples(outlook, own)
            ):
                continue  # it lies on the rim or beside it, and plays round another thing
            if own[outlook.row(smaller.get(name, name))] < min(0.0, own[outlook.row(name)]):
                continue  # what presses along one way is held along the other where it presses
            departures.setdefault(name, []).append(value - own[outlook.row(name)])
    refolded = tuple(
        _refolded(name, np.array(off), spreads, outlook.row(name))
        for name, off in departures.items()
    )
    return FoldedAgain(
        refolded,
        judged.alike,
        judged.contents_alike if judged_contents(check) and not _hopeless(check) else None,
        judged.boxes,
        len(boxes) - len(there),
        CloseCalls(judged.close, judged.close_alike, judged.strays),
        expected[:, [column for column in lost if column < count]],
        workshop.problem(offsets[lost[0]]) if lost else "",
    )


def _hopeless(check: Check) -> bool:
    """Whether contents are so much too large that no box has to be folded to see it."""
    slacks = [fit.slack for fit in check.contents if fit.slack is not None]
    return any(min(own.width_mm, own.length_mm, own.height_mm) < -HOPELESS_MM for own in slacks)


def _refolded(name: str, off: Array, spreads: Spreads, row: int) -> Refolded:
    # a length that only must not be missing is not odds too high where there is more of it
    against = np.minimum(off, 0.0) if only_missed(name) else off
    rms, worst = math.sqrt(float(np.mean(against**2))), float(np.max(np.abs(against)))
    least = float(spreads.least[row]) if only_missed(name) else 0.0
    u = float(spreads.deviations[row])
    return Refolded(name, float(off.mean()), rms, worst, u, max(least, 0.0))


def _whole_model(
    check: Check, outlook: Outlook, boxes: Sequence[Made], fullest: Rows, progress: Progress
) -> list[Truth]:
    """Folded boxes; lids by their own fit, contents put in anew where there is the least room."""
    if not boxes:
        return []
    lids = fit_lids_of(check.assembly, [made.parts for made in boxes], check.design.bands)
    eases = {
        ease_name(reader.part): [
            min(family.values())
            for own in reader.read_all(boxes, 0.0, None)
            for family in own.values()
        ]
        for reader in outlook.readers
        if isinstance(reader, SelfReader)
    }
    going = _goings(check, outlook, boxes)
    grids = [one.tops_mm(boxes) for one in outlook.readers if isinstance(one, GridReader)]
    over_floor = [height_under(made, lid) for made, lid in zip(boxes, lids, strict=True)]
    rises = rises_mm(stood_in(check.assembly), [made.parts for made in boxes])
    ceilings = [
        None if ceiling is None else ceiling - rise
        for ceiling, rise in zip(over_floor, rises, strict=True)
    ]
    single = [one for one in outlook.readers if isinstance(one, SingleReader)]
    single = [] if _hopeless(check) else single
    alone = put_alone(check, boxes, ceilings, single[0].pose) if single else []
    several = outlook.arranged is not None
    together = go_in_together(check, boxes, ceilings, fullest) if several else []
    truths = []
    for index, lid in enumerate(lids):
        progress.step(index, len(boxes), "fitting boxes that were folded anew")
        found = {name: own[index] for name, own in eases.items()}
        found |= going[index]
        for tops in grids:
            found[OVER_GRID] = (over_floor[index] or 0.0) - tops[index]
        if lid is not None:
            plays = {play_name(axis): lid.slide.travel(axis).play_mm for axis in Axis}
            found |= plays | {RIM: lid.rim_mm}
            if lid.line_mm is not None and lid.lands_mm is not None:
                found[LINE] = lid.line_mm
                found |= dict(zip(map(lands_name, Axis), lid.lands_mm, strict=True))
        fits = together[index] if outlook.arranged is not None else None
        if outlook.arranged is None and single:
            own = alone[index]
            fits = own.fits
            found[slack_name(0, Axis.WIDTH)] = own.width_mm
            found[slack_name(0, Axis.LENGTH)] = own.length_mm
            if own.height_mm is not None:
                found[slack_name(0, "height")] = own.height_mm
        asked = {name: value for name, value in found.items() if name in outlook.names}
        lands = None
        if lid is not None and outlook.landing is not None:
            lands = lid.line_mm is not None
        truths.append(Truth(lid, fits, lands, asked))
    return truths


def _goings(check: Check, outlook: Outlook, boxes: Sequence[Made]) -> list[dict[str, float]]:
    """The plays of each box's mates, by the names of the quantities."""
    found: list[dict[str, float]] = [{} for _ in boxes]
    for reader in outlook.readers:
        if isinstance(reader, MateReader | TurnReader):
            fits = reader.fits(boxes, check.design.bands)
            for own, fit in zip(found, fits, strict=True):
                own[mate_play(fit.mate)] = fit.play_mm
                own |= {mate_play_name(fit.mate, way): play for way, play in fit.plays.items()}
    return found
