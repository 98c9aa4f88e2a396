"""What is wrong with how lids turn and are tucked in becomes findings, with what would cure it."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.design.model import Design
from fitcheck.findings import Finding, Severity, show_press
from fitcheck.fit.assembly import Assembly
from fitcheck.fit.hinged import lip_and_wall
from fitcheck.fit.remarks import spoken
from fitcheck.fit.right import goes
from fitcheck.fit.turn_fit import BEHIND, BESIDE, RIMS, WAY_MM, Outcome, TuckFit, TurnFit
from fitcheck.pattern.pattern import Role
from fitcheck.units import show_cut


def turn_findings(fit: TurnFit, assembly: Assembly) -> Iterator[Finding]:
    """What keeps a lid in one piece with its walls from closing, and what would cure it."""
    mate, design, least = fit.mate, assembly.design, fit.swing.least
    if fit.side_mm is not None and not goes(fit.side_mm, design.bands, design.want):
        yield _wrong_side(fit, assembly)
    elif least is not None and not goes(fit.clearance_mm, design.bands, design.want):
        stays, turns = least.pieces
        cut = show_cut(-fit.clearance_mm, design.unit)
        message = (
            f"the {mate.panel}'s {spoken(turns)} presses by {show_press(-fit.clearance_mm)} on the "
            f"{spoken(stays)} as it closes: {_turn_cure(fit, assembly, stays, turns, cut)}"
        )
        numbers = {"clearance_mm": fit.clearance_mm}
        yield Finding("mate-blocked", message, Severity.FAULT, mate.mover, numbers)
    elif fit.verdict is Outcome.UNDECIDED:
        message = f"whether the {mate.panel} closes could not be told: it touches on its way"
        yield Finding("mate-undecided", message, Severity.NOTE, mate.mover)
    yield from _held_up(fit, design, "the walls' rims")


def _wrong_side(fit: TurnFit, assembly: Assembly) -> Finding:
    """A lip that comes down on the other side of the wall than the design says."""
    mate, part = fit.mate, assembly.folded(fit.mate.holder)
    assert part is not None and fit.side_mm is not None, "a mate's parts are in the design"
    lip, wall = lip_and_wall(mate, part)
    there, wanted = ("behind", "over") if mate.over else ("over", "behind")
    cut = show_cut(part.caliper_mm - fit.side_mm, assembly.design.unit)
    message = (
        f"the {mate.panel}'s {lip} comes down {there} the {wall} instead of {wanted} it: make the "
        f"{mate.panel} at least {cut} {'longer' if mate.over else 'shorter'}"
    )
    numbers = {"side_mm": fit.side_mm}
    return Finding("mate-wrong-side", message, Severity.FAULT, mate.mover, numbers)


def _held_up(fit: TurnFit, design: Design, by: str) -> Iterator[Finding]:
    """A lid that does not lie down."""
    if goes(fit.plays[RIMS], design.bands, design.want):
        return
    mate = fit.mate
    message = (
        f"the {mate.panel} is held up by {show_press(-fit.rim_gap_mm)} by {by}: score it "
        f"{show_cut(-fit.rim_gap_mm, design.unit)} higher on the wall that carries it"
    )
    numbers = {"rim_gap_mm": fit.rim_gap_mm}
    yield Finding("mate-held-up", message, Severity.FAULT, mate.mover, numbers)


def tuck_findings(fit: TuckFit, assembly: Assembly) -> Iterator[Finding]:
    """What keeps a lid from being tucked in, or from holding, and what would cure it."""
    mate, design, tuck = fit.mate, assembly.design, fit.tuck
    way, (stays, flap) = fit.tightest
    if not goes(fit.clearance_mm, design.bands, design.want):
        cut = show_cut(-fit.clearance_mm, design.unit)
        cure = {
            BESIDE: f"make clear {show_cut(-2.0 * fit.clearance_mm, design.unit)} larger",
            BEHIND: f"cut {cut} more off the front edge of the {stays}",
        }.get(way, f"score the {flap} {cut} nearer to the back wall")
        by = show_press(-fit.clearance_mm)
        message = f"the {flap} presses by {by} on the {stays} when it is in: {cure}"
        numbers = {"clearance_mm": fit.clearance_mm}
        yield Finding("mate-blocked", message, Severity.FAULT, mate.mover, numbers)
    elif fit.verdict is Outcome.BLOCKED:
        yield Finding("mate-blocked", _no_way(fit), Severity.FAULT, mate.mover)
    elif fit.verdict is Outcome.UNDECIDED:
        message = f"whether the {mate.panel} closes could not be told: a flap touches on its way"
        yield Finding("mate-undecided", message, Severity.NOTE, mate.mover)
    least = fit.swing.least
    if fit.verdict is Outcome.FREE and least is not None and least.apart_mm < WAY_MM:
        message = (
            f"on its way in the {tuck.flap} has {max(0.0, least.apart_mm):.2f} mm to spare at the "
            f"{spoken(least.pieces[0])}, which the odds leave out: make tuck smaller, or ease it in"
        )
        numbers = {"way_in_mm": least.apart_mm}
        yield Finding("mate-narrow-way", message, Severity.CAUTION, mate.mover, numbers)
    yield from _held_up(fit, design, "the flaps below it")
    if not fit.holds:
        why = (
            "its slits catch nothing"
            if fit.catch_mm is not None
            else 'make lock = "slit" for one that does'
        )
        message = f"nothing but friction holds the {tuck.flap} in: {why}"
        yield Finding("mate-springs", message, Severity.NOTE, mate.mover)


def _no_way(fit: TuckFit) -> str:
    """What blocks the way of a lid whose flaps have room when they are in."""
    for name, turn in fit.turned_in.items():
        if turn.outcome is Outcome.BLOCKED:
            on = f" on the {spoken(turn.pieces[0])}" if turn.pieces else ""
            return f"the {name} cannot be turned in, it stops{on}: make flap smaller"
    met = fit.swing.pieces
    on = f": it stops on the {spoken(met[0])}" if met else ""
    return f"no way in was found for the {fit.tuck.flap}{on}; make tuck smaller"


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
    over = fit.mate.over
    if over is None:
        reach, stop = (
            float((folded.plate(name).corners()[:, :2] @ onward).mean()) for name in (turning, wall)
        )
        over = reach > stop
    return f"make the {fit.mate.panel} {cut} {'longer' if over else 'shorter'}"
