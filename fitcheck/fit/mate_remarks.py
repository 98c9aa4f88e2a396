"""What is wrong with how parts and lids go together becomes findings, with what would cure it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitcheck.design.model import Design
from fitcheck.findings import Finding, Severity, show_press
from fitcheck.fit.assembly import Assembly
from fitcheck.fit.hinged import lip_and_wall
from fitcheck.fit.mates import AnyFit, MateFit
from fitcheck.fit.remarks import SEEN_MM, spoken
from fitcheck.fit.right import enough, goes, shifty_from
from fitcheck.fit.turn_fit import BEHIND, BESIDE, RIMS, WAY_MM, Outcome, TuckFit, TurnFit
from fitcheck.pattern.pattern import Role
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.mates import Into, Mate, Past
from fitcheck.styles.part import SizeBy
from fitcheck.units import show_cut


def mate_findings(fit: AnyFit, assembly: Assembly) -> Iterator[Finding]:
    """What is wrong with how a mover goes with its holder, and what shows of it at the ends."""
    design = assembly.design
    if isinstance(fit, TuckFit):
        yield from _tuck_findings(fit, assembly)
        return
    if isinstance(fit, TurnFit):
        yield from _turn_findings(fit, assembly)
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
    elif play >= design.bands.loose_mm:
        message = (
            f"the {mate.called} {_has(mate)} {play:.2f} mm of play at the least in the "
            f"{mate.holder}: {_it_rattles(mate)}, and {'count' if mate.many else 'counts'} as right"
        )
        yield Finding("mate-loose", message, Severity.NOTE, mate.mover, {"play_mm": play})
    if abs(fit.stands_out_mm) > SEEN_MM and not isinstance(mate, Into):
        each = 0.5 * abs(fit.stands_out_mm)
        short = fit.stands_out_mm < 0.0
        message = (
            f"the {mate.called} is {'shorter' if short else 'longer'} than the {mate.holder}, "
            f"so that it {'stands back' if short else 'stands out'} {each:.2f} mm at each end"
        )
        numbers = {"stands_out_mm": fit.stands_out_mm}
        yield Finding("mate-not-flush", message, Severity.NOTE, mate.mover, numbers)


def _astray(fit: MateFit, design: Design) -> Finding | None:
    """What stands in a base with so much play that it stands in no place there, as by a slip.

    It does from the play on from which a lid shifts about (common practice, no source).
    """
    mate, bands = fit.mate, design.bands
    wide = [
        travel
        for travel in fit.slide.travels
        if mate.held(travel.axis) and travel.play_mm >= shifty_from(bands)
    ]
    if not isinstance(mate, Into) or not wide:
        return None
    plays = " and ".join(f"{one.play_mm:.2f} mm {direction_words(one.axis)}" for one in wide)
    most = show_cut(bands.loose_mm, design.unit)
    message = (
        f"the {mate.called} {'are' if mate.many else 'is'} too small for the {mate.holder}: "
        f"{'they leave' if mate.many else 'it leaves'} {plays}, so that "
        f"{'they slide' if mate.many else 'it slides'} about and nothing keeps its place; less "
        f"than {most} is usual"
    )
    numbers = {"play_mm": max(one.play_mm for one in wide)}
    return Finding("mate-astray", message, Severity.CAUTION, mate.mover, numbers)


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
    elif play >= design.bands.loose_mm:
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


def direction_words(name: str) -> str:
    """A direction across a way in words: along an axis of the floor, else as it is called.

    >>> direction_words(Axis.WIDTH), direction_words("up")
    ('along the width', 'up')
    """
    return f"along the {name}" if name in tuple(Axis) else name


def _turn_findings(fit: TurnFit, assembly: Assembly) -> Iterator[Finding]:
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


def _tuck_findings(fit: TuckFit, assembly: Assembly) -> Iterator[Finding]:
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
