"""What a check noticed becomes findings in a maker's words, with the cut that would cure it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fitcheck.design.model import Content, Design, LidVerdict
from fitcheck.findings import Finding, Severity, show_press
from fitcheck.fit.assembly import Part
from fitcheck.fit.contents import ContentFit, ContentVerdict
from fitcheck.fit.lid import LidFit
from fitcheck.fit.right import enough, shifts_about
from fitcheck.fit.selffit import FIGHT_MM, Press
from fitcheck.folding.rolls import RollSection
from fitcheck.pattern.sheet import Axis
from fitcheck.plain import joined
from fitcheck.styles.mates import Over
from fitcheck.styles.part import Recipe
from fitcheck.styles.walled import WalledRecipe
from fitcheck.units import Unit, show_cut

WALL_LEANS = "wall-leans"
LEANS_DEG = 2.0
"""A wall that leans by more than this is seen to (common practice, no source)."""
STANDS_IN_MM = 0.1
"""An inner wall whose foot is further in than this is worth a word."""
RISES_MM = 0.3
"""A frame that tilts by more than this from edge to edge is worth a word."""
SHOWS_MM = 0.05
"""A line between two rims that is thinner than this is none."""
OWN_SHARE = 0.5
"""Of a lid's play at least so much comes of its size where walls stand all round (own rule)."""
SEEN_MM = 1.0
"""Out of true by more than this is seen at a glance (common practice, no source)."""
UNWANTED = {
    LidVerdict.TIGHT: "goes on with a push: it presses by {press}, which paper gives",
    LidVerdict.SNUG: "is snug, with {play:.2f} mm of play",
    LidVerdict.SLIDES: "slides, with {play:.2f} mm of play",
    LidVerdict.LOOSE: "has {play:.2f} mm of play: so loose that it may fall off",
}


def lid_findings(
    lid: LidFit,
    design: Design,
    deeper_mm: float = 0.0,
    over_mm: tuple[float, float] = (math.inf, math.inf),
) -> Iterator[Finding]:
    """What is wrong with how the lid goes on and where it ends.

    A base under a lid that meets the table may have to be `deeper_mm` for what is in it; the lid is
    so much larger than what it goes over, inside over outside along the width and the length.
    """
    play, loose_wanted = lid.slide.play_mm, LidVerdict.LOOSE in design.want
    under = next((mate.holder for mate in design.mates if isinstance(mate, Over)), "base")
    if lid.slide.blocked_by:
        outer, inner = lid.slide.blocked_by
        message = f"the lid's {outer} runs into the {under}'s {inner} on its way down"
        yield Finding("lid-blocked", message, Severity.FAULT, "lid")
    elif lid.verdict is LidVerdict.BINDS:
        message = (
            f"the lid is too small: it presses by {show_press(-play)} on the {under} instead of "
            "sliding over it"
        )
        yield Finding("lid-binds", message, Severity.FAULT, "lid", {"play_mm": play})
    elif lid.verdict not in design.want:
        how = UNWANTED[lid.verdict].format(play=play, press=show_press(-play))
        wanted = " or ".join(str(v) for v in LidVerdict if v in design.want)
        message = f"the lid {how}; wanted is {wanted}"
        yield Finding(f"lid-{lid.verdict}", message, Severity.FAULT, "lid", {"play_mm": play})
    elif shifts_about(lid.slide.wider.play_mm, design.bands) and not loose_wanted:
        wide = lid.slide.wider
        larger = over_mm[0 if wide.axis is Axis.WIDTH else 1]
        message = (
            f"the lid has {wide.play_mm:.2f} mm of play along the {wide.axis}, so it shifts about "
            f"that way: {_narrower_words(wide.play_mm, larger, under, design)}"
        )
        yield Finding("lid-shifts", message, Severity.FAULT, "lid", {"play_mm": wide.play_mm})
    if not enough(lid.rim_mm):
        message = (
            "the lid's rim meets the table before the lid rests on the base: make the base "
            f"{show_cut(-lid.reveal_mm, design.unit)} deeper, or the lid as much shallower if the "
            "contents leave it the room"
        )
        if deeper_mm > -lid.reveal_mm:
            message = (
                "the lid's rim meets the table before the lid rests on the base: make the base at "
                f"least {show_cut(deeper_mm, design.unit)} deeper, as what is in it needs so much"
            )
        numbers = {"by_mm": -lid.reveal_mm}
        yield Finding("lid-too-deep", message, Severity.FAULT, "lid", numbers)
    if under != "base":
        yield from _line_findings(lid, under, design.unit)


def _narrower_words(play_mm: float, larger_mm: float, under: str, design: Design) -> str:
    """What holds a lid that shifts: a smaller one, but where its size leaves it so little room that
    the play comes of walls that are not there, over which a smaller one would not go on."""
    if larger_mm >= OWN_SHARE * play_mm:
        return f"make it {show_cut(play_mm - design.bands.loose_mm, design.unit)} smaller there"
    return (
        f"it is only {max(0.0, larger_mm):.2f} mm larger than the {under} there, so a smaller one "
        f"would not go on: make it deeper, or the {under}'s walls there higher, so that it reaches "
        "down over them"
    )


def _line_findings(lid: LidFit, under: str, unit: Unit) -> Iterator[Finding]:
    """What shows between a lid that goes over a neck and the base that it is to meet."""
    if lid.inside_base and lid.lands_mm is not None:
        # one that presses is said to be too small as it is
        if lid.verdict is not LidVerdict.BINDS:
            message = (
                "the lid is so much smaller than the base that it goes down inside the base's rim "
                "instead of meeting it: make it as wide and as long as the base (oversize = 0)"
            )
            numbers = {"by_mm": -max(lid.lands_mm)}
            yield Finding("lid-inside-base", message, Severity.FAULT, "lid", numbers)
    elif lid.gap_mm is None:
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


def content_findings(
    fits: tuple[ContentFit, ...], compartments: int = 1, room: str = ""
) -> Iterator[Finding]:
    """Contents that do not go in, or for which no place was found; those of one reason together.

    Where there are compartments each of them takes all of the contents; `room` names what bounds
    them within the base.
    """
    groups: dict[tuple[ContentVerdict, str], list[ContentFit]] = {}
    for fit in fits:
        if fit.verdict is not ContentVerdict.FITS:
            groups.setdefault((fit.verdict, fit.reason), []).append(fit)
    for (verdict, reason), group in groups.items():
        names = [_counted(fit.content) for fit in group]
        together = " together" if len(names) > 1 else ""
        within = f" in {room}" if room else ""
        told = f"{joined(names)}{together}{within}: {reason}"
        if compartments > 1 and any(fit.content.count > 1 for fit in group):
            told += (
                f"; count is what goes into each of the {compartments} compartments: for one in "
                "each write count = 1"
            )
        yield Finding(
            "content-does-not-fit"
            if verdict is ContentVerdict.DOES_NOT_FIT
            else "content-not-placed",
            told,
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
                f"the {part.recipe.part}'s rolls press {show_press(met[0].press_mm)} into each "
                f"other, as the flap holds their feet in: cut {show_cut(foot.trim_mm, unit)} off "
                "the flap"
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
        cure = f"cut {cut} off the {joined(panels)}" if cut else "change the depths or the frame"
        message = (
            f"the {part.recipe.part}'s {spoken(press.pieces[0])} presses "
            f"{show_press(press.press_mm)} into its {spoken(press.pieces[1])}: {cure}"
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
        if part.recipe.corner_layers > 1:
            message = (
                f"the {name}'s walls over the folded corners lean by {lean:.1f} degrees: cut "
                "corners lean half as far, or not at all with their tabs set back"
            )
        else:
            message = (
                f"the {name}'s walls over the tabs lean by {lean:.1f} degrees"
                f"{_lean_words(part.recipe)}"
            )
        yield Finding(WALL_LEANS, message, Severity.CAUTION, name, {"lean_deg": lean})
    yield from _roll_findings(name, part.folded.rolls, unit)


def _lean_words(recipe: Recipe) -> str:
    """Why walls lean over their tabs; what stands them upright has to be tried (`fit.upright`)."""
    if not isinstance(recipe, WalledRecipe) or recipe.corner_push_mm <= 0.0:
        return ", as their tabs are set back further than one caliper and one joint"
    return ", which is seen but takes no room"


def _roll_findings(name: str, rolls: tuple[RollSection, ...], unit: Unit) -> Iterator[Finding]:
    """What the worst of a part's rolls shows."""
    long = [roll.wall for roll in rolls if roll.stands_in_mm > STANDS_IN_MM]
    if long:
        where = "all round" if len(long) == len(rolls) else f"behind the {joined(long)}"
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
