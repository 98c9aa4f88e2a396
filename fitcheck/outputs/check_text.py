"""The check as a short text for the person at the bench."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from fitcheck.design.model import LidVerdict
from fitcheck.feel.feel import feel_of
from fitcheck.feel.touch import Touch
from fitcheck.findings import Finding, Severity
from fitcheck.fit.assembly import Part
from fitcheck.fit.check import Check
from fitcheck.fit.contents import ContentFit
from fitcheck.fit.cures import cures_of
from fitcheck.fit.grids import Compartments
from fitcheck.fit.lid import LidFit
from fitcheck.fit.piled import lies_on
from fitcheck.fit.remarks import SHOWS_MM, spoken
from fitcheck.fit.sheets import by_hand_mm, cut_pattern, unheld_words
from fitcheck.fit.taken_out import taking_out
from fitcheck.fit.upright import advised
from fitcheck.outputs.arranged_words import arranged_words
from fitcheck.outputs.bench_words import (
    Sizes,
    advice_words,
    habit_words,
    lying_words,
    right_words,
    row,
    wrapped,
)
from fitcheck.outputs.cure_text import cure_text, mended
from fitcheck.outputs.feel_text import feel_lines
from fitcheck.outputs.inside import insides_of
from fitcheck.outputs.mate_text import mate_lines, more, signed
from fitcheck.pattern.counted import hole_by_hand_mm
from fitcheck.pattern.panes import pane_mm, window_mm
from fitcheck.plain import joined

if TYPE_CHECKING:
    from fitcheck.odds.result import Odds

POOR = 0.9
"""A box that comes out right less often than this wants a word of help."""
FEELS = {
    LidVerdict.BINDS: "binds: it does not go on",
    LidVerdict.TIGHT: "tight: it goes on with a push",
    LidVerdict.LOOSE: "loose: it may fall off",
}
HARD = {
    Touch.FORCED: "its lid takes a hard push",
    Touch.DAMAGES: "its lid does not go on without damage",
}
"""How a lid feels that is tight, where the first line has to say so."""
NOT_PLACED = "no place was found for all that goes in"
MAYBE = ", though there may be one"
MARKS = {Severity.FAULT: "fault", Severity.CAUTION: "caution", Severity.NOTE: "note"}


def check_text(check: Check, odds: Odds | None = None) -> str:
    """The verdict, the sizes, the lid, the contents and what to heed, in the design's unit.

    With odds the first lines say how often the box comes out right by hand, and what helps most.
    Sizes are those that a rule shows.
    """
    unit = check.design.unit
    told = Sizes(unit)
    lines = [wrapped(headline(check, odds), ""), *_help_lines(check, odds)]
    habits = habit_words(check.assembly.tools.habits)
    if habits:
        lines.append(wrapped(f"as your tools were measured to make it: {habits}", ""))
    lines.append("")
    for part in check.assembly.parts:
        lines += _part_lines(check, part.recipe.part, told)
    if check.lid is not None:
        lines += _lid_lines(check, check.lid, told)
        if (feel := feel_of(check)) is not None:
            lines += feel_lines(feel, None if odds is None else odds.feel)
    for mate in check.mates:
        lines += mate_lines(mate, told)
    piled = lies_on(check.contents)
    said = odds is not None and mended(odds.advice)
    for fit, cure in zip(check.contents, cures_of(check), strict=True):
        own = fit.content.item.name
        below = piled.get(own, ())
        above = tuple(item for item, others in piled.items() if own in others)
        lines += _content_lines(fit, told, check.cover, check.compartments, (below, above))
        if out := taking_out(check, fit):
            gap = f"finger room    {fit.fingers.largest_gap_mm:.1f} mm at the most: "
            lines.append(wrapped(gap + out, " "))
        if cure is not None and (words := cure_text(cure, fit.content.count, unit, said=said)):
            lines.append(wrapped(words, " "))
    lines += _finding_lines(advised(check, odds.uprights if odds else None))
    return "\n".join(lines) + "\n"


def headline(check: Check, odds: Odds | None = None) -> str:
    """What the drawing gives, what hands make of it, and what no sheet is large enough for."""
    against = []
    if check.fits and check.lid is not None and check.lid.verdict is LidVerdict.TIGHT:
        feel = feel_of(check)
        against.append("" if feel is None else HARD.get(feel.touch, ""))
    against.append(unheld_words(check.assembly) if check.fits else "")
    said = " and ".join(words for words in against if words)
    return _headline(check, odds) + (f", but {said}" if said else "")


def _headline(check: Check, odds: Odds | None) -> str:
    title = check.design.title
    if check.fits and len(check.assembly.parts) == 1 and not (check.contents or check.mates):
        return f"{title}: it folds; there is no lid and no content to try"
    drawn = "everything fits" if check.fits else _wrong(check)
    maybe = MAYBE if drawn == NOT_PLACED else ""
    if odds is None:
        return f"{title}: {drawn}{maybe}"
    return f"{title}: {drawn} as drawn{maybe}; {right_words(odds)}"


def _wrong(check: Check) -> str:
    """What is not right as drawn, where one thing is."""
    codes = {finding.code for finding in check.findings if finding.severity is Severity.FAULT}
    alone = {
        "lid-loose": "the lid is too loose",
        "lid-shifts": "the lid is too loose one way",
        "mate-shifts": "the drawer is too loose",
        "content-not-placed": NOT_PLACED,
    }
    return alone.get(min(codes) if len(codes) == 1 else "", "something does not fit")


def _help_lines(check: Check, odds: Odds | None) -> Iterator[str]:
    """The change that helps most; where a poor box has none, where to look."""
    if odds is None:
        return
    if odds.advice is not None:
        yield wrapped(advice_words(odds.advice), "better")
    elif check.fits and odds.good.share < POOR:
        several = "`fitcheck suggest` tries several at once"
        found = odds.agreement
        none = f"no one change helps much; {several}"
        yield wrapped(found.problem if found.loses_many else none, "better")


def faults_text(check: Check) -> str:
    """What stands against making the box, if anything, before what commands say that go on all the
    same."""
    faults = [f for f in check.findings if f.severity is Severity.FAULT]
    if not faults:
        return ""
    wrong = NOT_PLACED + MAYBE if _wrong(check) == NOT_PLACED else "something does not fit"
    lines = [f"before good paper is cut: {wrong}", *_finding_lines(tuple(faults)), ""]
    return "\n".join(lines) + "\n"


def _part_lines(check: Check, name: str, told: Sizes) -> Iterator[str]:
    part = next(p for p in check.assembly.parts if p.recipe.part == name)
    stock, sizes, cut = part.recipe.stock, part.sizes, cut_pattern(part, check.design)
    if part.pattern.row is not None:
        yield from _strip_lines(check, part, told)
        return
    yield row(name, f"{part.recipe.style} from {stock.name} (caliper {stock.caliper_mm:.3f} mm)")
    what = "the sheet" if cut is part.pattern else f"{cut.copies} of"
    yield more(f"{f'cut {what}':<15}{told(*by_hand_mm(cut, check.design))}")
    if not part.pattern.flat:
        yield more(f"outside, rim   {told.outside(*sizes.outside_mm)}")
        yield from _inside_lines(part, told)
        yield more(f"depth inside   {told.inside(sizes.depth_mm)}")
    spec = check.design.part(name)
    if (window := window_mm(part.pattern)) is not None:
        yield more(f"{'window':<15}{told(*(hole_by_hand_mm(mm, told.unit) for mm in window))}")
    if (pane := pane_mm(part.pattern)) is not None:
        yield more(f"{'behind it':<15}a clear sheet of {told(*pane)}")
    if spec is not None and spec.fills_base and check.over_grid_mm is not None:
        yield more(f"{'room above':<15}{signed(check.over_grid_mm)} under the {check.cover}")
    if sizes.corner_rise_mm > 0.0:
        yield more(f"corners rise   {sizes.corner_rise_mm:.2f} mm where frames lap")


def _inside_lines(part: Part, told: Sizes) -> Iterator[str]:
    for i, inside in enumerate(insides_of(part)):
        words = "" if i else inside.words
        yield more(f"{words:<15}{told.inside(*inside.size_mm)} {inside.where}".rstrip())


def _strip_lines(check: Check, part: Part, told: Sizes) -> Iterator[str]:
    """What a strip is cut from, and how it stands."""
    recipe, row_of = part.recipe, part.pattern.row
    assert row_of is not None, "a strip stands in a row"
    stock = recipe.stock
    table, _, way = recipe.part.partition(" ")
    yield row(table, f"{way}: {recipe.style} from {stock.name} (caliper {stock.caliper_mm:.3f} mm)")
    cut_mm = by_hand_mm(part.pattern, check.design)
    yield more(f"{f'cut {part.pattern.copies} of':<15}{told(*cut_mm)}")
    yield more(f"stand          along the {row_of.runs}, {told(cut_mm[1])} high")
    rooms = check.compartments
    strips = [p.recipe.part for p in check.assembly.parts if p.pattern.row is not None]
    if rooms is not None and recipe.part == strips[-1]:
        ways = f"{rooms.columns} along the width, {rooms.rows} along the length"
        yield more(f"{'compartments':<15}{rooms.count}: {ways}")
        yield more(f"{'each inside':<15}{told.inside(*rooms.size_mm)}")
        if 1 in (rooms.columns, rooms.rows):
            yield more(f"{'':<15}once the strips are glued in their places")
    if check.over_grid_mm is not None and recipe.part == strips[-1]:
        yield more(f"{'room above':<15}{signed(check.over_grid_mm)} under the {check.cover}")


def _lid_lines(check: Check, lid: LidFit, told: Sizes) -> Iterator[str]:
    width, length = lid.slide.travels[0].play_mm, lid.slide.travels[1].play_mm
    yield row("lid fit", FEELS.get(lid.verdict, lid.verdict.value))
    yield more(f"play           width {signed(width)}, length {signed(length)}")
    stop = lid.slide.tighter.limiting
    if stop is not None:
        yield more(f"tightest       along the {lid.slide.tighter.axis} (sides as on the sheets):")
        yield more(f"{'':<15}the lid's {spoken(stop.outer)}")
        yield more(f"{'':<15}on the {check.below_lid(stop.inner)}'s {spoken(stop.inner)}")
    yield more(f"overlap        {told(lid.overlap_mm)}")
    yield more(f"base showing   {told(max(0.0, lid.reveal_mm))}")
    if lid.gap_mm is not None:
        shows = lid.gap_mm > SHOWS_MM
        yield more(
            f"{'line':<15}{lid.gap_mm:.2f} mm between lid and base"
            if shows
            else f"{'line':<15}closed: the lid's rim meets the base's"
        )
        yield from _flush_lines(check)
    elif lid.inside_base:
        yield more(f"{'line':<15}none: the lid's rim goes down inside the base's")
    yield more(f"closed height  {told.outside(lid.closed_height_mm)}")


def _flush_lines(check: Check) -> Iterator[str]:
    """How far lid and base are from one outline at the line between them."""
    width, length = (abs(step) for step in check.steps_mm)
    yield more(f"{'flush within':<15}width {width:.2f} mm, length {length:.2f} mm, all centred;")
    yield more(f"{'':<15}up to {check.most_step_mm:.2f} mm where the plays let them lie")


def _content_lines(
    fit: ContentFit,
    told: Sizes,
    cover: str | None,
    rooms: Compartments | None,
    piled: tuple[tuple[str, ...], tuple[str, ...]],
) -> Iterator[str]:
    """What is under and what is on it, `piled`, is named."""
    below, above = piled
    count = f"{fit.content.count} x " if fit.content.count > 1 else ""
    each = "" if rooms is None else f" in each of {rooms.count} compartments"
    yield row("content", f"{count}{fit.content.item.name}{each}: {fit.verdict}")
    if fit.own is None:
        return
    turned = f", turned {fit.turn_deg:.1f} degrees in plane" if fit.turn_deg else ""
    on = f", on {joined(below)}" if below else ""
    lies = lying_words(pose.words for pose in fit.poses)
    yield more(f"lies           {lies}{turned}{on}")
    if arranged := arranged_words(fit.placements, fit.content.count):
        yield more(f"{'arranged':<15}{arranged}")
    yield more(
        f"room to spare  width {signed(fit.own.width_mm)}, length {signed(fit.own.length_mm)}"
    )
    where = f"under the {cover}" if cover else "below the rim"
    if above:
        where += f", with {joined(above)} on it"
    if cover or fit.own.height_mm >= 0.0:
        yield more(f"{'':<15}height {signed(fit.own.height_mm)} {where}")
    if fit.protrudes_mm > 0.0:
        yield more(f"stands out     {told(fit.protrudes_mm)} above the rim")


def _finding_lines(findings: tuple[Finding, ...]) -> Iterator[str]:
    if findings:
        yield ""
    for severity in (Severity.FAULT, Severity.CAUTION, Severity.NOTE):
        for finding in findings:
            if finding.severity is severity:
                yield wrapped(finding.message, MARKS[severity])
