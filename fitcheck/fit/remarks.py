"""What a check noticed becomes findings in a maker's words, with the cut that would cure it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitcheck.design.model import Content, Design, LidVerdict
from fitcheck.findings import Finding, Severity
from fitcheck.fit.assembly import Assembly, Part
from fitcheck.fit.contents import ContentFit, ContentVerdict
from fitcheck.fit.lid import LidFit
from fitcheck.fit.mates import MateFit
from fitcheck.fit.right import enough, goes, shifty_from
from fitcheck.fit.selffit import FIGHT_MM, Press
from fitcheck.folding.rolls import RollSection
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.mates import Into, Mate, Over, Past
from fitcheck.units import Unit, show_cut

LEANS_DEG = 2.0
"""A wall that leans by more than this is seen to (common practice, no source)."""
STANDS_IN_MM = 0.1
"""An inner wall whose foot is further in than this is worth a word."""
RISES_MM = 0.3
"""A frame that tilts by more than this from edge to edge is worth a word."""
SHOWS_MM = 0.05
"""A line between two rims that is thinner than this is none."""
SEEN_MM = 1.0
"""Out of true by more than this is seen at a glance (common practice, no source)."""
UNWANTED = {
    LidVerdict.TIGHT: "goes on with a push: it presses by {press:.2f} mm, which paper gives",
    LidVerdict.SNUG: "is snug, with {play:.2f} mm of play",
    LidVerdict.SLIDES: "slides, with {play:.2f} mm of play",
    LidVerdict.LOOSE: "has {play:.2f} mm of play: so loose that it may fall off",
}


def lid_findings(lid: LidFit, design: Design) -> Iterator[Finding]:
    """What is wrong with how the lid goes on and where it ends."""
    play, loose_wanted = lid.slide.play_mm, LidVerdict.LOOSE in design.want
    under = next((mate.holder for mate in design.mates if isinstance(mate, Over)), "base")
    if lid.slide.blocked_by:
        outer, inner = lid.slide.blocked_by
        message = f"the lid's {outer} runs into the {under}'s {inner} on its way down"
        yield Finding("lid-blocked", message, Severity.FAULT, "lid")
    elif lid.verdict is LidVerdict.BINDS:
        message = (
            f"the lid is too small: it presses by {-play:.2f} mm on the {under} instead of sliding "
            "over it"
        )
        yield Finding("lid-binds", message, Severity.FAULT, "lid", {"play_mm": play})
    elif lid.verdict not in design.want:
        how = UNWANTED[lid.verdict].format(play=play, press=-play)
        wanted = " or ".join(str(v) for v in LidVerdict if v in design.want)
        message = f"the lid {how}; wanted is {wanted}"
        yield Finding(f"lid-{lid.verdict}", message, Severity.FAULT, "lid", {"play_mm": play})
    elif lid.slide.wider.play_mm >= shifty_from(design.bands) and not loose_wanted:
        wide, loose = lid.slide.wider, design.bands.loose_mm
        message = (
            f"the lid has {wide.play_mm:.2f} mm of play along the {wide.axis}, so it shifts about "
            f"that way: make it {show_cut(wide.play_mm - loose, design.unit)} smaller there"
        )
        yield Finding("lid-shifts", message, Severity.FAULT, "lid", {"play_mm": wide.play_mm})
    if not enough(lid.rim_mm):
        message = (
            "the lid's rim meets the table before the lid rests on the base: make the base "
            f"{show_cut(-lid.reveal_mm, design.unit)} deeper, or the lid as much shallower if the "
            "contents leave it the room"
        )
        numbers = {"by_mm": -lid.reveal_mm}
        yield Finding("lid-too-deep", message, Severity.FAULT, "lid", numbers)
    if under != "base":
        yield from _line_findings(lid, under, design.unit)


def _line_findings(lid: LidFit, under: str, unit: Unit) -> Iterator[Finding]:
    """What shows between a lid that goes over a neck and the base that it is to meet."""
    if lid.gap_mm is None:
        message = (
            "the lid is so much wider than the base that it goes down past the base's rim instead "
            "of meeting it: oversize = 0 makes it as wide as the base"
        )
        yield Finding("lid-passes-base", message, Severity.CAUTION, "lid")
    elif lid.gap_mm > SHOWS_MM:
        message = (
            f"the lid comes to rest on the {under} before it meets the base: a line of "
            f"{lid.gap_mm:.2f} mm shows between them; cut the {under} "
            f"{show_cut(lid.gap_mm, unit)} lower to close it, or leave it if it is meant"
        )
        yield Finding("lid-gap", message, Severity.NOTE, "lid", {"gap_mm": lid.gap_mm})


def mate_findings(fit: MateFit, design: Design) -> Iterator[Finding]:
    """What is wrong with how a mover goes with its holder, and what shows of it at the ends."""
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
        way, whose = direction_words(slide.tighter.axis), mate.holder
        if isinstance(mate, Into):
            whose = mate.mover
        message = (
            f"the {mate.called} {_press(mate)} by {-play:.2f} mm {way} in the {mate.holder}: give "
            f"the {whose} {show_cut(-play, unit)} more ease {way}"
        )
        yield Finding("mate-binds", message, Severity.FAULT, mate.mover, {"play_mm": play})
    elif play >= design.bands.loose_mm:
        message = (
            f"the {mate.called} {_has(mate)} {play:.2f} mm of play at the least in the "
            f"{mate.holder}: {_it_rattles(mate)}"
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


def _several(mate: Mate) -> bool:
    """Whether a mover is spoken of as many things."""
    return isinstance(mate, Into) and bool(mate.together)


def _press(mate: Mate) -> str:
    return "press" if _several(mate) else "presses"


def _has(mate: Mate) -> str:
    return "have" if _several(mate) else "has"


def _it_rattles(mate: Mate) -> str:
    return "they rattle" if _several(mate) else "it rattles"


def _slot_findings(fit: MateFit, design: Design) -> Iterator[Finding]:
    """Slots that strips do not go into, or rack in."""
    mate, play = fit.mate, fit.slide.play_mm
    if fit.slide.blocked_by or not goes(play, design.bands, design.want):
        # what blocks has no play: how much wider is not known
        press = f" by {-play:.2f} mm" if not fit.slide.blocked_by else ""
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
    assembly: Assembly, fits: Sequence[MateFit], over_mm: float | None
) -> Iterator[Finding]:
    """Strips that stand higher than the lid or the rim, or that nothing holds upright."""
    unit = assembly.design.unit
    for fit in fits:
        mate = fit.mate
        part = assembly.part(mate.movers[0])
        if not isinstance(mate, Into) or part is None or part.pattern.on_end:
            continue
        stand = "stand" if _several(mate) else "stands"
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


def content_findings(fits: tuple[ContentFit, ...]) -> Iterator[Finding]:
    """Contents that do not go in, or for which no place was found; those of one reason together."""
    groups: dict[tuple[ContentVerdict, str], list[ContentFit]] = {}
    for fit in fits:
        if fit.verdict is not ContentVerdict.FITS:
            groups.setdefault((fit.verdict, fit.reason), []).append(fit)
    for (verdict, reason), group in groups.items():
        names = [_counted(fit.content) for fit in group]
        together = " together" if len(names) > 1 else ""
        yield Finding(
            "content-does-not-fit"
            if verdict is ContentVerdict.DOES_NOT_FIT
            else "content-not-placed",
            f"{_listed(names)}{together}: {reason}",
            Severity.FAULT,
            group[0].content.item.name,
        )


def _counted(content: Content) -> str:
    """A content with its number, where it is more than one."""
    return f"{content.count} x {content.item.name}" if content.count > 1 else content.item.name


def press_findings(part: Part, presses: tuple[Press, ...], unit: Unit) -> Iterator[Finding]:
    """Panels of one part that stand in each other: a fault only where the part fights itself.

    Panels that the same cut frees are named together. Where the flap holds a roll's foot into the
    box, what the roll meets there goes away with the flap's trim alone.
    """
    foot = max(part.folded.rolls, key=lambda roll: roll.stands_in_mm, default=None)
    if foot is not None and foot.stands_in_mm > FIGHT_MM:
        held = set(_rolled(part))
        met = [press for press in presses if not held.isdisjoint(_panels(press))]
        presses = tuple(press for press in presses if press not in met)
        if met and not enough(met[0].ease_mm):
            message = (
                f"the {part.recipe.part}'s rolls press {met[0].press_mm:.2f} mm into each other, "
                f"as the flap holds their feet in: cut {show_cut(foot.trim_mm, unit)} off the flap"
            )
            yield _press_finding(part, met[0], message)
    cuts: dict[str, list[Press]] = {}
    for press in presses:
        cuts.setdefault(press.trim.panel if press.trim else "", []).append(press)
    groups: dict[tuple[str, str], list[str]] = {}
    worst: dict[tuple[str, str], Press] = {}
    for panel, own in cuts.items():
        by = max((press.trim.by_mm for press in own if press.trim), default=0.0)
        key = show_cut(by, unit) if panel else "", f"{own[0].press_mm:.2f}"
        groups.setdefault(key, []).append(panel)
        worst.setdefault(key, own[0])
    for key, panels in groups.items():
        press, cut = worst[key], key[0]
        cure = f"cut {cut} off the {_listed(panels)}" if cut else "change the depths or the frame"
        message = (
            f"the {part.recipe.part}'s {spoken(press.pieces[0])} presses {press.press_mm:.2f} mm "
            f"into its {spoken(press.pieces[1])}: {cure}"
        )
        yield _press_finding(part, press, message)


def _press_finding(part: Part, press: Press, message: str) -> Finding:
    severity = Severity.NOTE if enough(press.ease_mm) else Severity.FAULT
    numbers = {"press_mm": press.press_mm}
    return Finding("self-press", message, severity, part.recipe.part, numbers)


def _rolled(part: Part) -> Iterator[str]:
    """The inner walls and flaps of a part's rolls."""
    for joint in part.pattern.roll_joints:
        yield from (line.child for line in part.pattern.chain(joint.panel)[-2:])


def _panels(press: Press) -> Iterator[str]:
    for piece in press.pieces:
        yield from piece.split(" / ")


def _listed(names: list[str]) -> str:
    """Names joined as one says them."""
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def spoken(piece: str) -> str:
    """A piece's name in words: a crease is named after the two panels that it joins.

    >>> spoken("left wall / left frame")
    'crease between left wall and left frame'
    """
    parent, slash, child = piece.partition(" / ")
    return f"crease between {parent} and {child}" if slash else piece


def fold_findings(part: Part, unit: Unit) -> Iterator[Finding]:
    """Where a part does not fold quite as drawn: walls that lean, rolls that are not true."""
    name, lean = part.recipe.part, part.folded.most_lean_deg
    if lean > LEANS_DEG:
        message = (
            f"the {name}'s walls over the tabs lean by {lean:.1f} degrees: set the tabs back "
            "by one caliper and one joint to stand them upright"
        )
        yield Finding("wall-leans", message, Severity.CAUTION, name, {"lean_deg": lean})
    yield from _roll_findings(name, part.folded.rolls, unit)


def _roll_findings(name: str, rolls: tuple[RollSection, ...], unit: Unit) -> Iterator[Finding]:
    """What the worst of a part's rolls shows."""
    long = [roll.wall for roll in rolls if roll.stands_in_mm > STANDS_IN_MM]
    if long:
        where = "all round" if len(long) == len(rolls) else f"behind the {_listed(long)}"
        worst = max(rolls, key=lambda roll: roll.stands_in_mm)
        message = (
            f"the {name}'s flap is longer than an upright inner wall allows: {where} that wall's "
            f"foot stands up to {worst.stands_in_mm:.2f} mm into the box; cut "
            f"{show_cut(worst.trim_mm, unit)} off the flap to stand it upright"
        )
        numbers = {"stands_in_mm": worst.stands_in_mm, "trim_mm": worst.trim_mm}
        yield Finding("roll-foot-in", message, _weight(worst.stands_in_mm), name, numbers)
    rise = max((roll.rises_mm for roll in rolls), key=abs, default=0.0)
    if abs(rise) > RISES_MM:
        message = (
            f"the {name}'s frame tilts: its inner edge stands {abs(rise):.2f} mm "
            f"{'higher' if rise > 0.0 else 'lower'} than its outer one; an upright inner wall of "
            'the length that inner_wall = "level" takes lays it flat'
        )
        yield Finding("frame-tilts", message, _weight(rise), name, {"rise_mm": rise})


def _weight(departure_mm: float) -> Severity:
    """A departure that is seen at a glance disappoints; a small one is worth a word."""
    return Severity.CAUTION if abs(departure_mm) > SEEN_MM else Severity.NOTE


def paper_findings(assembly: Assembly) -> Iterator[Finding]:
    """A paper whose crease was never measured is judged by a rule, and that has to be said."""
    guessed = {p.recipe.stock.name: p.recipe.stock for p in assembly.parts}
    for stock in guessed.values():
        if not stock.calibrated:
            message = (
                f"{stock.name}: its crease was not measured; {stock.crease_allowance_mm:.2f} mm of "
                f"allowance is a rule of thumb, give or take {stock.crease_allowance_u_mm:.2f} mm: "
                "fold a coupon to know"
            )
            yield Finding("crease-not-measured", message, Severity.NOTE, stock.name)
