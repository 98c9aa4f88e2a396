"""What the check says of how parts go together, in a maker's words."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fitcheck.design.model import LidVerdict
from fitcheck.findings import show_press
from fitcheck.fit.mates import AnyFit, MateFit
from fitcheck.fit.remarks import spoken
from fitcheck.fit.turn_fit import BEHIND, BESIDE, FRONT, Outcome, TuckFit, TurnFit
from fitcheck.outputs.bench_words import SEEN_MM, SMALL_MM, Sizes, row
from fitcheck.styles.mates import Into, Past
from fitcheck.units import show_number

MATES = {
    LidVerdict.BINDS: "binds: it does not go in",
    LidVerdict.TIGHT: "tight: it goes in with a push",
    LidVerdict.LOOSE: "loose",
}
SLOTS = {
    LidVerdict.BINDS: "bind: they do not go on",
    LidVerdict.TIGHT: "tight: they go on with a push",
    LidVerdict.SNUG: "snug",
    LidVerdict.SLIDES: "slide",
    LidVerdict.LOOSE: "loose: the grid racks",
}
TUCKED = {BESIDE: "beside", FRONT: "behind", BEHIND: "before"}
FLUSH_MM = 0.05
"""Less than this at both ends together is flush."""


def mate_lines(fit: AnyFit, told: Sizes) -> Iterator[str]:
    """The lines about one mate: what it is, its plays, and what shows of it."""
    if isinstance(fit, TuckFit):
        return _tuck_lines(fit, told)
    return _turn_lines(fit, told) if isinstance(fit, TurnFit) else _slide_lines(fit, told)


def _turn_lines(fit: TurnFit, told: Sizes) -> Iterator[str]:
    short = 0.0 if fit.swing.angle_rad is None else fit.closed_rad - fit.swing.angle_rad
    angle = f"{math.degrees(short):.1f} degrees before it is closed"
    how = {
        Outcome.FREE: "closes freely",
        Outcome.BLOCKED: f"stops {angle}",
        Outcome.UNDECIDED: f"touches {angle}",
    }
    yield row(fit.mate.called, f"in one piece with the {fit.mate.holder}: {how[fit.verdict]}")
    if fit.pieces is not None:
        stays, turns = fit.pieces
        yield more(f"clearance      {signed(fit.clearance_mm)} at the least:")
        yield more(f"{'':<15}the {spoken(turns)}")
        yield more(f"{'':<15}past the {spoken(stays)}")
    gap = fit.rim_gap_mm
    over = "clear of the rims by" if gap >= 0.0 else "held up by the rims by"
    yield more(f"{'lies':<15}{over} {abs(gap):.2f} mm")
    yield more(f"closed height  {told.outside(fit.closed_height_mm)}")


def _tuck_lines(fit: TuckFit, told: Sizes) -> Iterator[str]:
    how = {
        Outcome.FREE: "it goes in freely",
        Outcome.BLOCKED: "it does not go in",
        Outcome.UNDECIDED: "its way in touches",
    }
    yield row(fit.mate.called, f"tucked in, in one piece with the box: {how[fit.verdict]}")
    way, (stays, flap) = fit.tightest
    yield more(f"when it is in  {signed(fit.clearance_mm)} at the least:")
    yield more(f"{'':<15}the {flap}, {TUCKED[way]} the {stays}")
    least = fit.swing.least
    if fit.verdict is Outcome.FREE and least is not None:
        stays, turns = least.pieces
        yield more(f"on its way in  {signed(least.apart_mm)} at the least:")
        yield more(f"{'':<15}the {spoken(turns)} past the {spoken(stays)}")
    if fit.holds:
        yield more(f"{'holds':<15}shoulders reach {fit.catch_mm:.2f} mm over the {fit.tuck.flap}")
    else:
        yield more(f"{'holds':<15}by friction alone: pressed from inside, it opens")
    gap = fit.rim_gap_mm
    over = "clear of the flaps below by" if gap >= 0.0 else "on the flaps below, raised by"
    lies = f"{over} {abs(gap):.2f} mm" if abs(gap) >= SEEN_MM else "on the flaps below"
    yield more(f"{'lies':<15}{lies}")
    yield more(f"closed height  {told.outside(fit.closed_height_mm)}")


def _slide_lines(fit: MateFit, told: Sizes) -> Iterator[str]:
    mate, slide = fit.mate, fit.slide
    if isinstance(mate, Past):
        words = SLOTS.get(fit.verdict, fit.verdict.value)
        across, along = (travel.play_mm for travel in slide.travels)
        yield row(mate.called, f"over the strips that they cross: {words}")
        yield more(f"{'play':<15}{signed(across)} in the {mate.holder},")
        yield more(f"{'':<15}{signed(along)} in the {mate.mover}")
        return
    yield row(mate.called, f"in the {mate.holder}: {MATES.get(fit.verdict, fit.verdict.value)}")
    held = [travel for travel in slide.travels if mate.held(travel.axis)]
    plays = ", ".join(f"{travel.axis} {signed(travel.play_mm)}" for travel in held)
    yield more(f"play           {plays}")
    if fit.freed:
        there = ", ".join(f"{travel.axis} {signed(travel.play_mm)}" for travel in fit.freed)
        yield more(f"where it lies  {there}")
    if isinstance(mate, Into):
        if mate.free is not None:
            yield more(f"{'free':<15}along the {mate.free}: glue the strips in their places")
        how = "stands up" if fit.stands_out_mm >= 0.0 else "ends below"
        below = fit.stands_out_mm < -SMALL_MM
        # beside how deep the base is, which is told in the same way
        length = (told.inside if below else told)(abs(fit.stands_out_mm))
        yield more(f"{how:<15}{length} from the {mate.holder}'s rim")
        return
    if slide.blocked_by is None and slide.play_mm >= 0.0:
        loose = fit.verdict is LidVerdict.LOOSE
        how = "loosely: tipped a little" if loose else "by friction alone: tipped on end"
        yield more(f"{'holds':<15}{how}, it slides out")
    if abs(fit.stands_out_mm) >= FLUSH_MM:
        how = "stands out" if fit.stands_out_mm > 0.0 else "stands back"
        each = told(0.5 * abs(fit.stands_out_mm))
        yield more(f"{how:<15}{each} at each end")
    else:
        yield more(f"{'flush':<15}at both ends")


def signed(play_mm: float) -> str:
    """A play in mm; a press is said in words because a minus is easily missed."""
    if play_mm == float("inf"):
        return "without limit"
    if play_mm >= SMALL_MM:
        return f"{show_number(play_mm, 1)} mm"
    if play_mm >= 0.0:
        return f"{play_mm:.2f} mm"
    return f"presses by {show_press(-play_mm)}"


def more(text: str) -> str:
    """A line without a label."""
    return row("", text)
