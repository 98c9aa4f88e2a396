"""The check as a short text for the person at the bench."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from fitcheck.design.model import LidVerdict
from fitcheck.findings import Finding, Severity
from fitcheck.fit.assembly import Part
from fitcheck.fit.check import Check
from fitcheck.fit.contents import ContentFit, ContentVerdict
from fitcheck.fit.cures import Cure, cures_of
from fitcheck.fit.grids import Compartments
from fitcheck.fit.hinged import TurnFit
from fitcheck.fit.lid import LidFit
from fitcheck.fit.mates import AnyFit, MateFit
from fitcheck.fit.remarks import SHOWS_MM, spoken
from fitcheck.fit.turn import Outcome
from fitcheck.outputs.bench_words import advice_words, habit_words, of_100, row, wrapped
from fitcheck.styles.mates import Into, Past
from fitcheck.units import Unit, show_length

if TYPE_CHECKING:
    from fitcheck.odds.result import Odds

POOR = 0.9
"""A box that comes out right less often than this wants a word of help."""
FEELS = {
    LidVerdict.BINDS: "binds: it does not go on",
    LidVerdict.TIGHT: "tight: it goes on with a push",
    LidVerdict.LOOSE: "loose: it may fall off",
}
MATES = {
    LidVerdict.BINDS: "binds: it does not go in",
    LidVerdict.TIGHT: "tight: it goes in with a push",
    LidVerdict.LOOSE: "loose: it rattles",
}
SLOTS = {
    LidVerdict.BINDS: "bind: they do not go on",
    LidVerdict.TIGHT: "tight: they go on with a push",
    LidVerdict.SNUG: "snug",
    LidVerdict.SLIDES: "slide",
    LidVerdict.LOOSE: "loose: the grid racks",
}
FLUSH_MM = 0.05
"""Less than this at both ends together is flush."""
MARKS = {Severity.FAULT: "fault", Severity.CAUTION: "caution", Severity.NOTE: "note"}
BEYOND = {"width": "too wide", "length": "too long", "height": "too tall"}


def check_text(check: Check, odds: Odds | None = None) -> str:
    """The verdict, the sizes, the lid, the contents and what to heed, in the design's unit.

    With odds the first lines say how often the box comes out right by hand, and what helps most.
    """
    unit = check.design.unit
    lines = [wrapped(headline(check, odds), ""), *_help_lines(check, odds)]
    habits = habit_words(check.assembly.tools.habits)
    if habits:
        lines.append(wrapped(f"as your tools were measured to make it: {habits}", ""))
    lines.append("")
    for part in check.assembly.parts:
        lines += _part_lines(check, part.recipe.part, unit)
    if check.lid is not None:
        lines += _lid_lines(check, check.lid, unit)
    for mate in check.mates:
        lines += _mate_lines(mate, unit)
    for fit, cure in zip(check.contents, cures_of(check), strict=True):
        lines += _content_lines(fit, unit, check.cover, check.compartments)
        if cure is not None and (words := cure_text(cure, fit.content.count, unit)):
            lines.append(wrapped(words, " "))
    lines += _finding_lines(check.findings)
    return "\n".join(lines) + "\n"


def headline(check: Check, odds: Odds | None = None) -> str:
    """What the drawing gives, and what hands make of it."""
    title = check.design.title
    if check.fits and len(check.assembly.parts) == 1 and not check.contents:
        return f"{title}: it folds; there is no lid and no content to try"
    drawn = "everything fits" if check.fits else _wrong(check)
    if odds is None:
        return f"{title}: {drawn}"
    return (
        f"{title}: {drawn} as drawn; {of_100(odds.good)} of 100 boxes made by hand come out right"
    )


def _wrong(check: Check) -> str:
    """What is not right as drawn, where one thing is."""
    codes = {finding.code for finding in check.findings if finding.severity is Severity.FAULT}
    alone = {
        "lid-loose": "the lid is too loose",
        "lid-shifts": "the lid is too loose one way",
        "content-not-placed": "no place was found for all that goes in",
    }
    return alone.get(min(codes) if len(codes) == 1 else "", "something does not fit")


def _help_lines(check: Check, odds: Odds | None) -> Iterator[str]:
    """The change that helps most; where a poor box has none, where to look."""
    if odds is None:
        return
    if odds.advice is not None:
        yield wrapped(advice_words(odds.advice), "better")
    elif check.fits and odds.good.share < POOR and not _filled(check):
        yield wrapped(
            "no one change helps much; `fitcheck suggest` tries several at once", "better"
        )


def _filled(check: Check) -> bool:
    """Whether something stands in the base whose sizes nothing here tries."""
    return any(part.fills_base for part in check.design.parts)


def faults_text(check: Check) -> str:
    """What stands against making the box, for commands that go on all the same, if anything."""
    faults = [f for f in check.findings if f.severity is Severity.FAULT]
    if not faults:
        return ""
    lines = ["", "before good paper is cut: something does not fit", *_finding_lines(tuple(faults))]
    return "\n".join(lines) + "\n"


def _more(text: str) -> str:
    return row("", text)


def _across(pair: tuple[float, float], unit: Unit) -> str:
    return f"{show_length(pair[0], unit)} x {show_length(pair[1], unit)}"


def _part_lines(check: Check, name: str, unit: Unit) -> Iterator[str]:
    part = next(p for p in check.assembly.parts if p.recipe.part == name)
    stock, sizes, sheet = part.recipe.stock, part.sizes, part.pattern.sheet
    if part.pattern.row is not None:
        yield from _strip_lines(check, part, unit)
        return
    yield row(name, f"{part.recipe.style} from {stock.name} (caliper {stock.caliper_mm:.3f} mm)")
    yield _more(f"cut the sheet  {_across((sheet.width_mm, sheet.length_mm), unit)}")
    yield _more(f"outside, rim   {_across(sizes.outside_mm, unit)}")
    yield _more(f"{part.recipe.inside_words:<15}{_across(sizes.inside_mm, unit)}")
    yield _more(f"depth inside   {show_length(sizes.depth_mm, unit)}")
    spec = check.design.part(name)
    if spec is not None and spec.fills_base and check.over_grid_mm is not None:
        yield _more(f"{'room above':<15}{_signed(check.over_grid_mm)} under the {check.cover}")
    if sizes.corner_rise_mm > 0.0:
        yield _more(f"corners rise   {show_length(sizes.corner_rise_mm, unit)} where frames lap")


def _strip_lines(check: Check, part: Part, unit: Unit) -> Iterator[str]:
    """What a strip is cut from, and how it stands."""
    recipe, sheet, row_of = part.recipe, part.pattern.sheet, part.pattern.row
    assert row_of is not None, "a strip stands in a row"
    stock = recipe.stock
    table, _, way = recipe.part.partition(" ")
    yield row(table, f"{way}: {recipe.style} from {stock.name} (caliper {stock.caliper_mm:.3f} mm)")
    yield _more(
        f"{f'cut {part.pattern.copies} of':<15}{_across((sheet.width_mm, sheet.length_mm), unit)}"
    )
    yield _more(
        f"stand          along the {row_of.runs}, {show_length(part.sizes.height_mm, unit)} high"
    )
    rooms = check.compartments
    strips = [p.recipe.part for p in check.assembly.parts if p.pattern.row is not None]
    if rooms is not None and recipe.part == strips[-1]:
        count = rooms.columns * rooms.rows
        ways = f"{rooms.columns} along the width, {rooms.rows} along the length"
        yield _more(f"{'compartments':<15}{count}: {ways}")
        yield _more(f"{'each inside':<15}{_across(rooms.size_mm, unit)}")
    if check.over_grid_mm is not None and recipe.part == strips[-1]:
        yield _more(f"{'room above':<15}{_signed(check.over_grid_mm)} under the {check.cover}")


def _lid_lines(check: Check, lid: LidFit, unit: Unit) -> Iterator[str]:
    width, length = lid.slide.travels[0].play_mm, lid.slide.travels[1].play_mm
    yield row("lid fit", FEELS.get(lid.verdict, lid.verdict.value))
    yield _more(f"play           width {_signed(width)}, length {_signed(length)}")
    stop = lid.slide.tighter.limiting
    if stop is not None:
        yield _more(f"tightest       along the {lid.slide.tighter.axis} (sides as on the sheets):")
        yield _more(f"{'':<15}the lid's {spoken(stop.outer)}")
        yield _more(f"{'':<15}on the {check.below_lid(stop.inner)}'s {spoken(stop.inner)}")
    yield _more(f"overlap        {show_length(lid.overlap_mm, unit)}")
    yield _more(f"base showing   {show_length(max(0.0, lid.reveal_mm), unit)}")
    if lid.gap_mm is not None:
        shows = lid.gap_mm > SHOWS_MM
        yield _more(
            f"{'line':<15}{show_length(lid.gap_mm, unit)} between lid and base"
            if shows
            else f"{'line':<15}closed: the lid's rim meets the base's"
        )
        yield from _flush_lines(check)
    yield _more(f"closed height  {show_length(lid.closed_height_mm, unit)}")


def _flush_lines(check: Check) -> Iterator[str]:
    """How far lid and base are from one outline at the line between them."""
    width, length = (abs(step) for step in check.steps_mm)
    yield _more(f"{'flush within':<15}width {width:.2f} mm, length {length:.2f} mm, all centred;")
    yield _more(f"{'':<15}up to {check.most_step_mm:.2f} mm where the plays let them lie")


def _mate_lines(fit: AnyFit, unit: Unit) -> Iterator[str]:
    return _turn_lines(fit, unit) if isinstance(fit, TurnFit) else _slide_lines(fit, unit)


def _turn_lines(fit: TurnFit, unit: Unit) -> Iterator[str]:
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
        yield _more(f"clearance      {_signed(fit.clearance_mm)} at the least:")
        yield _more(f"{'':<15}the {spoken(turns)}")
        yield _more(f"{'':<15}past the {spoken(stays)}")
    gap = fit.rim_gap_mm
    over = "clear of the rims by" if gap >= 0.0 else "held up by the rims by"
    yield _more(f"{'lies':<15}{over} {abs(gap):.2f} mm")
    yield _more(f"closed height  {show_length(fit.closed_height_mm, unit)}")


def _slide_lines(fit: MateFit, unit: Unit) -> Iterator[str]:
    mate, slide = fit.mate, fit.slide
    if isinstance(mate, Past):
        words = SLOTS.get(fit.verdict, fit.verdict.value)
        across, along = (travel.play_mm for travel in slide.travels)
        yield row(mate.called, f"over the strips that they cross: {words}")
        yield _more(f"{'play':<15}{_signed(across)} in the {mate.holder},")
        yield _more(f"{'':<15}{_signed(along)} in the {mate.mover}")
        return
    yield row(mate.called, f"in the {mate.holder}: {MATES.get(fit.verdict, fit.verdict.value)}")
    plays = ", ".join(f"{travel.axis} {_signed(travel.play_mm)}" for travel in slide.travels)
    yield _more(f"play           {plays}")
    if isinstance(mate, Into):
        how = "stands up" if fit.stands_out_mm >= 0.0 else "ends below"
        length = show_length(abs(fit.stands_out_mm), unit)
        yield _more(f"{how:<15}{length} from the {mate.holder}'s rim")
        return
    if slide.blocked_by is None and slide.play_mm >= 0.0:
        yield _more(f"{'holds':<15}by friction alone: tipped on end, it slides out")
    if abs(fit.stands_out_mm) >= FLUSH_MM:
        how = "stands out" if fit.stands_out_mm > 0.0 else "stands back"
        each = show_length(0.5 * abs(fit.stands_out_mm), unit)
        yield _more(f"{how:<15}{each} at each end")
    else:
        yield _more(f"{'flush':<15}at both ends")


def _signed(play_mm: float) -> str:
    """A play in mm; a press is said in words because a minus is easily missed."""
    if play_mm == float("inf"):
        return "without limit"
    if play_mm >= 0.0:
        return f"{play_mm:.2f} mm"
    return f"presses by {-play_mm:.2f} mm" if play_mm <= -0.005 else "presses by under 0.01 mm"


def _content_lines(
    fit: ContentFit, unit: Unit, cover: str | None, rooms: Compartments | None
) -> Iterator[str]:
    count = f"{fit.content.count} x " if fit.content.count > 1 else ""
    each = "" if rooms is None else f" in each of {rooms.columns * rooms.rows} compartments"
    yield row("content", f"{count}{fit.content.item.name}{each}: {fit.verdict}")
    if fit.slack is None:
        return
    turned = f", turned {fit.turn_deg:.1f} degrees in plane" if fit.turn_deg else ""
    yield _more(f"lies           {fit.orientation}{turned}")
    if fit.content.count > 1:
        yield _more(f"{'arranged':<15}{fit.reason.removeprefix('arranged: ')}")
    yield _more(
        f"room to spare  width {_signed(fit.slack.width_mm)}, length {_signed(fit.slack.length_mm)}"
    )
    where = f"under the {cover}" if cover else "below the rim"
    if cover or fit.slack.height_mm >= 0.0:
        yield _more(f"{'':<15}height {_signed(fit.slack.height_mm)} {where}")
    if fit.protrudes_mm > 0.0:
        yield _more(f"stands out     {show_length(fit.protrudes_mm, unit)} above the rim")
    if fit.verdict is ContentVerdict.FITS and fit.fingers.advice:
        gap = f"finger room    {fit.fingers.largest_gap_mm:.1f} mm at the most: "
        yield wrapped(gap + fit.fingers.advice, " ")


def _finding_lines(findings: tuple[Finding, ...]) -> Iterator[str]:
    if findings:
        yield ""
    for severity in (Severity.FAULT, Severity.CAUTION, Severity.NOTE):
        for finding in findings:
            if finding.severity is severity:
                yield wrapped(finding.message, MARKS[severity])


def cure_text(cure: Cure, count: int, unit: Unit) -> str:
    """For one line of contents of that count; empty where nothing is known."""
    parts = []
    if cure.missing_mm is not None and cure.along is not None:
        parts.append(f"{cure.missing_mm:.2f} mm {BEYOND[cure.along]}")
    if cure.needs_mm is not None and count > 1:
        width, length = cure.needs_mm
        parts.append(f"{count} go into about {width:.0f} x {length:.0f} mm")
    changes = _changes(cure, unit)
    if changes:
        parts.append(changes)
    if cure.holds is not None and count > 1:
        parts.append(f"{cure.holds} {'goes' if cure.holds == 1 else 'go'} in as it is")
    return "; ".join(parts)


def _changes(cure: Cure, unit: Unit) -> str:
    ways = []
    if cure.depth_mm is not None:
        deep = show_length(cure.depth_mm, unit)
        ways.append(f"make the base {deep} deep{_inner(cure, cure.depth_mm, unit)}")
    if cure.floor_mm is not None:
        way = f"make the base's floor {_by(cure.floor_mm, unit)} score to score"
        if cure.floor_depth_mm is not None:
            depth = cure.floor_depth_mm
            way += f" and {show_length(depth, unit)} deep{_inner(cure, depth, unit)}"
        if cure.lid_mm is not None:
            way += f" and the lid {_by(cure.lid_mm, unit)}"
        ways.append(way)
    return ", or ".join(ways)


def _inner(cure: Cure, depth_mm: float, unit: Unit) -> str:
    """The inner wall to go with a depth, where the design gives one."""
    if cure.inner_less_mm is None:
        return ""
    return f", its inner wall {show_length(depth_mm - cure.inner_less_mm, unit)}"


def _by(pair: tuple[float, float], unit: Unit) -> str:
    return " by ".join(show_length(side, unit) for side in pair)
