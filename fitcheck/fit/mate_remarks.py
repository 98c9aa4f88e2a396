"""What is wrong with how parts and lids go together becomes findings, with what would cure it."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.findings import Finding, Severity
from fitcheck.fit.assembly import Assembly
from fitcheck.fit.hinged import RIMS, TurnFit
from fitcheck.fit.mates import AnyFit
from fitcheck.fit.remarks import SEEN_MM, spoken
from fitcheck.fit.right import goes
from fitcheck.fit.turn import Outcome
from fitcheck.pattern.pattern import Role
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.mates import Into
from fitcheck.units import show_cut


def mate_findings(fit: AnyFit, assembly: Assembly) -> Iterator[Finding]:
    """What is wrong with how a mover goes with its holder, and what shows of it at the ends."""
    design = assembly.design
    if isinstance(fit, TurnFit):
        yield from _turn_findings(fit, assembly)
        return
    mate, unit, slide = fit.mate, design.unit, fit.slide
    play = slide.play_mm
    if slide.blocked_by:
        outer, inner = slide.blocked_by
        message = (
            f"the {mate.called} does not go into the {mate.holder}: "
            f"{spoken(outer)} and {spoken(inner)} stand in each other's way"
        )
        yield Finding("mate-blocked", message, Severity.FAULT, mate.mover)
        return
    if not goes(play, design.bands, design.want):
        way, whose = direction_words(slide.tighter.axis), mate.holder
        if isinstance(mate, Into):
            whose = mate.mover
        message = (
            f"the {mate.called} presses by {-play:.2f} mm {way} in the {mate.holder}: give the "
            f"{whose} {show_cut(-play, unit)} more ease {way}"
        )
        yield Finding("mate-binds", message, Severity.FAULT, mate.mover, {"play_mm": play})
    elif play >= design.bands.loose_mm:
        message = (
            f"the {mate.called} has {play:.2f} mm of play at the least in the {mate.holder}: it "
            "rattles"
        )
        yield Finding("mate-loose", message, Severity.NOTE, mate.mover, {"play_mm": play})
    if abs(fit.stands_out_mm) > SEEN_MM and not isinstance(mate, Into):
        length = show_cut(abs(fit.stands_out_mm), unit)
        short = fit.stands_out_mm < 0.0
        message = (
            f"the {mate.called} is {length} {'shorter' if short else 'longer'} than the "
            f"{mate.holder}, both ends together, so that it "
            f"{'stands back' if short else 'stands out'}"
        )
        numbers = {"stands_out_mm": fit.stands_out_mm}
        yield Finding("mate-not-flush", message, Severity.NOTE, mate.mover, numbers)


def direction_words(name: str) -> str:
    """A direction across a way in words: along an axis of the floor, else as it is called.

    >>> direction_words(Axis.WIDTH), direction_words("up")
    ('along the width', 'up')
    """
    return f"along the {name}" if name in tuple(Axis) else name


def _turn_findings(fit: TurnFit, assembly: Assembly) -> Iterator[Finding]:
    """What keeps a lid in one piece with its walls from closing, and what would cure it."""
    mate, design, least = fit.mate, assembly.design, fit.swing.least
    if least is not None and not goes(fit.clearance_mm, design.bands, design.want):
        stays, turns = least.pieces
        cut = show_cut(-fit.clearance_mm, design.unit)
        message = (
            f"the {mate.panel}'s {spoken(turns)} presses by {-fit.clearance_mm:.2f} mm on the "
            f"{spoken(stays)} as it closes: {_turn_cure(fit, assembly, stays, turns, cut)}"
        )
        numbers = {"clearance_mm": fit.clearance_mm}
        yield Finding("mate-blocked", message, Severity.FAULT, mate.mover, numbers)
    elif fit.verdict is Outcome.UNDECIDED:
        message = f"whether the {mate.panel} closes could not be told: it touches on its way"
        yield Finding("mate-undecided", message, Severity.NOTE, mate.mover)
    if not goes(fit.plays[RIMS], design.bands, design.want):
        message = (
            f"the {mate.panel} is held up by {-fit.rim_gap_mm:.2f} mm by the walls' rims: score it "
            f"{show_cut(-fit.rim_gap_mm, design.unit)} higher on the wall that carries it"
        )
        numbers = {"rim_gap_mm": fit.rim_gap_mm}
        yield Finding("mate-held-up", message, Severity.FAULT, mate.mover, numbers)


def _turn_cure(fit: TurnFit, assembly: Assembly, stays: str, turns: str, cut: str) -> str:
    """The one change that lets what turns pass what stays: by where the two lie when closed."""
    part = assembly.part(fit.mate.holder)
    assert part is not None, "a mate's parts are in the design"
    pattern, folded = part.pattern, part.folded
    wall, turning = (pattern.far_panel(name.split(" / ")) for name in (stays, turns))
    if pattern.panel(wall).role is Role.FLOOR:
        return f"make the {turning} {cut} shallower"
    onward = -folded.layout.outward(pattern.chain(fit.mate.panel)[0].child)[0]
    across = pattern.chain(wall)[0].child
    if pattern.panel(wall).role is Role.TAB or abs(folded.layout.outward(across)[0] @ onward) < 0.5:
        return f"cut {cut} off each end of the {turning}"
    reach, stop = (
        float((folded.plate(name).corners()[:, :2] @ onward).mean()) for name in (turning, wall)
    )
    return f"make the {fit.mate.panel} {cut} {'longer' if reach > stop else 'shorter'}"
