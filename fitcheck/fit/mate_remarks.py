"""What is wrong with how parts go together becomes findings, with what would cure it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from fitcheck.design.model import Design
from fitcheck.findings import Finding, Severity, show_press
from fitcheck.fit.assembly import Assembly
from fitcheck.fit.content_fit import ContentFit
from fitcheck.fit.mates import AnyFit, MateFit
from fitcheck.fit.remarks import SEEN_MM, spoken
from fitcheck.fit.right import enough, goes, loose, shifts_about
from fitcheck.fit.travel import Travel
from fitcheck.fit.turn_fit import TuckFit, TurnFit
from fitcheck.fit.turn_remarks import tuck_findings, turn_findings
from fitcheck.pattern.panes import pane_mm
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.mates import Into, Mate, Past
from fitcheck.styles.part import SizeBy
from fitcheck.units import show_cut

PANE_MM = 0.3
"""A clear sheet of 0.2 mm and its tape (common practice, no source)."""
NEAR_PANE_MM = 1.0
"""Contents with less height to spare under a window are worth a word."""


def mate_findings(fit: AnyFit, assembly: Assembly) -> Iterator[Finding]:
    """What is wrong with how a mover goes with its holder, and what shows of it at the ends."""
    design = assembly.design
    if isinstance(fit, TuckFit):
        yield from tuck_findings(fit, assembly)
        return
    if isinstance(fit, TurnFit):
        yield from turn_findings(fit, assembly)
        return
    mate, unit, slide = fit.mate, design.unit, fit.slide
    play = slide.play_mm
    if isinstance(mate, Past):
        yield from _slot_findings(fit, design)
        return
    if slide.blocked_by:
        outer, inner = slide.blocked_by
        message = (
            f"the {mate.called} does not go into the {mate.holder}: "
            f"{spoken(outer)} and {spoken(inner)} stand in each other's way"
        )
        yield Finding("mate-blocked", message, Severity.FAULT, mate.mover)
        return
    if not goes(play, design.bands, design.want):
        whose = mate.mover if isinstance(mate, Into) else mate.holder
        tight = [one for one in slide.travels if not goes(one.play_mm, design.bands, design.want)]
        presses = " and ".join(
            f"by {show_press(-one.play_mm)} {direction_words(one.axis)}" for one in tight
        )
        eased = design.part(whose)
        by_ease = eased is not None and eased.size_by is SizeBy.EASE
        more = " and ".join(
            f"{show_cut(-one.play_mm, unit)} {'more ease' if by_ease else 'less'} "
            f"{direction_words(one.axis)}"
            for one in tight
        )
        message = (
            f"the {mate.called} {_press(mate)} {presses} in the {mate.holder}: "
            f"{'give' if by_ease else 'make'} the {whose} {more}"
        )
        yield Finding("mate-binds", message, Severity.FAULT, mate.mover, {"play_mm": play})
    elif astray := _astray(fit, design):
        yield astray
    elif mate.steadied and (wide := _wide(fit, design)):
        yield _shifting(fit, wide, design)
    elif loose(play, design.bands):
        message = (
            f"the {mate.called} {_has(mate)} {play:.2f} mm of play at the least in the "
            f"{mate.holder}: {_it_rattles(mate)}, and {'count' if mate.many else 'counts'} as right"
        )
        yield Finding("mate-loose", message, Severity.NOTE, mate.mover, {"play_mm": play})
    elif freed := _freed(fit, design):
        yield freed
    if abs(fit.stands_out_mm) > SEEN_MM and not isinstance(mate, Into):
        each = 0.5 * abs(fit.stands_out_mm)
        short = fit.stands_out_mm < 0.0
        message = (
            f"the {mate.called} is {'shorter' if short else 'longer'} than the {mate.holder}, "
            f"so that it {'stands back' if short else 'stands out'} {each:.2f} mm at each end"
        )
        numbers = {"stands_out_mm": fit.stands_out_mm}
        yield Finding("mate-not-flush", message, Severity.NOTE, mate.mover, numbers)


def _wide(fit: MateFit, design: Design) -> list[Travel]:
    """The ways along which walls that are to hold a mover leave it so much play that it shifts."""
    return [
        travel
        for travel in fit.slide.travels
        if fit.mate.held(travel.axis) and shifts_about(travel.play_mm, design.bands)
    ]


def _shifting(fit: MateFit, wide: Sequence[Travel], design: Design) -> Finding:
    """What shifts about in the part that it goes along."""
    mate, eased = fit.mate, design.part(fit.mate.holder)
    by_ease = eased is not None and eased.size_by is SizeBy.EASE
    plays = " and ".join(
        f"{one.play_mm:.2f} mm of play {direction_words(one.axis)}" for one in wide
    )
    less = " and ".join(
        f"{show_cut(one.play_mm - design.bands.loose_mm, design.unit)} "
        f"{'less ease' if by_ease else 'less'} {direction_words(one.axis)}"
        for one in wide
    )
    message = (
        f"the {mate.called} has {plays} in the {mate.holder}, so that it shifts about: "
        f"{'give' if by_ease else 'make'} the {mate.holder} {less}"
    )
    numbers = {"play_mm": max(one.play_mm for one in wide)}
    return Finding("mate-shifts", message, Severity.FAULT, mate.mover, numbers)


def _astray(fit: MateFit, design: Design) -> Finding | None:
    """What stands in a base with so much play that it stands in no place there, as by a slip.

    It does from the play on from which a lid shifts about (common practice, no source).
    """
    mate, wide = fit.mate, _wide(fit, design)
    if not isinstance(mate, Into) or not wide:
        return None
    plays = " and ".join(f"{one.play_mm:.2f} mm {direction_words(one.axis)}" for one in wide)
    most = show_cut(design.bands.loose_mm, design.unit)
    message = (
        f"the {mate.called} {'are' if mate.many else 'is'} too small for the {mate.holder}: "
        f"{'they leave' if mate.many else 'it leaves'} {plays}, so that "
        f"{'they slide' if mate.many else 'it slides'} about and nothing keeps its place; less "
        f"than {most} is usual"
    )
    numbers = {"play_mm": max(one.play_mm for one in wide)}
    return Finding("mate-astray", message, Severity.CAUTION, mate.mover, numbers)


def _freed(fit: MateFit, design: Design) -> Finding | None:
    """What goes in between walls that stand further apart where it comes to lie."""
    far = max((one.play_mm for one in fit.freed), default=0.0)
    if not loose(far, design.bands):
        return None
    mate = fit.mate
    goes, they, lie, slide, them = (
        ("go", "they", "stand", "slide", "them")
        if mate.many
        else ("goes", "it", "lies", "slides", "it")
    )
    message = (
        f"the {mate.called} {goes} in with {fit.slide.play_mm:.2f} mm of play, but where {they} "
        f"{lie} the walls of the {mate.holder} leave {them} up to {far:.1f} mm: {they} {slide} "
        f"about there unless a dab of glue holds {them}"
    )
    return Finding("mate-freed", message, Severity.NOTE, mate.mover, {"play_mm": far})


def _press(mate: Mate) -> str:
    return "press" if mate.many else "presses"


def _has(mate: Mate) -> str:
    return "have" if mate.many else "has"


def _it_rattles(mate: Mate) -> str:
    return "they rattle" if mate.many else "it rattles"


def _slot_findings(fit: MateFit, design: Design) -> Iterator[Finding]:
    """Slots that strips do not go into, or rack in."""
    mate, play = fit.mate, fit.slide.play_mm
    if fit.slide.blocked_by or not goes(play, design.bands, design.want):
        # what blocks has no play: how much wider is not known
        press = f" by {show_press(-play)}" if not fit.slide.blocked_by else ""
        message = (
            f"the slots are too narrow: {mate.mover} and {mate.holder} press on each other{press}; "
            "make slot larger"
        )
        yield Finding("slots-bind", message, Severity.FAULT, mate.mover, {"play_mm": play})
    elif loose(play, design.bands):
        message = (
            f"the slots are {play:.2f} mm wider than the strips at the least: the grid racks; make "
            "slot smaller"
        )
        yield Finding("slots-loose", message, Severity.NOTE, mate.mover, {"play_mm": play})


def grid_findings(
    assembly: Assembly, fits: Sequence[AnyFit], over_mm: float | None
) -> Iterator[Finding]:
    """Strips that stand higher than the lid or the rim, or that nothing holds upright."""
    unit = assembly.design.unit
    for fit in fits:
        mate = fit.mate
        if isinstance(fit, TurnFit) or not isinstance(mate, Into):
            continue
        part = assembly.part(mate.movers[0])
        if part is None or part.pattern.on_end:
            continue
        stand = "stand" if mate.many else "stands"
        if over_mm is not None and not enough(over_mm):
            message = (
                f"the {mate.called} {stand} {-over_mm:.2f} mm higher than what closes the box "
                f"leaves room for: make the height {show_cut(-over_mm, unit)} less"
            )
            yield Finding("grid-too-high", message, Severity.FAULT, mate.mover)
        elif over_mm is None and fit.stands_out_mm > SEEN_MM:
            out = show_cut(fit.stands_out_mm, unit)
            message = f"the {mate.called} {stand} {out} above the {mate.holder}'s rim"
            yield Finding("grid-stands-out", message, Severity.NOTE, mate.mover)
        if len(mate.together) == 1 and part.pattern.row is not None:
            message = (
                f"the {mate.called} run one way only, so nothing holds them upright or in their "
                "places: glue them in, or divide the other way too"
            )
            yield Finding("grid-loose", message, Severity.CAUTION, mate.mover)


def pane_findings(assembly: Assembly, contents: Sequence[ContentFit]) -> Iterator[Finding]:
    """Contents that come near the clear sheet behind a lid's window, which nothing else counts."""
    lid = assembly.lid
    if lid is None or pane_mm(lid.pattern) is None:
        return
    slacks = [fit.slack.height_mm for fit in contents if fit.slack is not None]
    least = min(slacks, default=math.inf)
    if 0.0 <= least < NEAR_PANE_MM:
        yield Finding(
            "near-pane",
            f"what is in the box has {least:.2f} mm under the lid, and the clear sheet behind its "
            f"window takes its own thickness and its glue's of them, about {PANE_MM:.1f} mm: make "
            "the base deeper where it would touch",
            Severity.CAUTION,
            "lid",
            {"height_mm": least},
        )


def direction_words(name: str) -> str:
    """A direction across a way in words: along an axis of the floor, else as it is called.

    >>> direction_words(Axis.WIDTH), direction_words("up")
    ('along the width', 'up')
    """
    return f"along the {name}" if name in tuple(Axis) else name
