"""What a published recipe says to a reader with another board and other papers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace

from fitcheck.findings import Severity
from fitcheck.fit.check import Check
from fitcheck.fit.sheets import usual_sheet
from fitcheck.odds.result import Odds
from fitcheck.outputs.bench_words import give_or_take, of_100
from fitcheck.outputs.publish.columns import rounded_sizes
from fitcheck.outputs.publish.paper_words import larger_words
from fitcheck.outputs.report.model import verdict_sentence
from fitcheck.pattern.bonds import Face
from fitcheck.pattern.counted import sheet_by_hand_mm, sheet_needs_mm
from fitcheck.pattern.plan import plan_of
from fitcheck.plain import joined, lowered
from fitcheck.sheet.job import PartSheet, SheetJob
from fitcheck.sheet.score_text import off_grooves, off_grooves_words
from fitcheck.sheet.scoring import ScoreSides
from fitcheck.stock.paper import Stock
from fitcheck.stock.tools import Tools
from fitcheck.units import ROUNDED_MM, Unit, hand_unit, is_set_by_hand, show_hands

WORSE = 0.15
"""So much less often right is said before all else."""
HALF = 0.5
"""So is it where fewer boxes than this come out right."""
BY_THEMSELVES = (
    "These sizes are rounded each by itself, as no set of whole steps of that rule was found that "
    "comes out right oftener"
)
UNCOUNTED = "how often boxes of such sizes come out right was not counted"


@dataclass(frozen=True)
class Reader:
    """Another reader's paper and board."""

    words: str
    verdict: str
    grooves: tuple[str, ...] = ()
    """Which scores of a part their board has no groove for, a sentence for each such part."""
    caution: str = ""
    """Where boxes of theirs do not go together, or come out right clearly less often."""
    sheets: tuple[str, ...] = ()
    """Which parts their sheets do not hold, which leave the usual one that holds the author's, and
    which are made from other strips than here."""
    face: str = ""
    """How the column is scored where their tools press the other face than the author's."""
    uncounted: str = ""
    """Where no sizes were chosen together and nobody counted what those of the column give."""


def reader_of(
    check: Check, job: SheetJob, odds: Odds | None, own: Check, own_odds: Odds | None
) -> Reader:
    """What is said of a design as another reader makes it, beside the `own` one."""
    design = check.design
    papers = dict.fromkeys(paper_words(p.recipe.stock) for p in check.assembly.parts)
    unit = hand_unit(design.unit)
    rounded = tuple(rounded_sizes(job, unit))
    other_rule = unit is not hand_unit(own.design.unit)
    chosen = other_rule and _chosen(check, own)
    said = [verdict_sentence(check, "there")]
    if rounded and chosen:
        before = "as chosen for that rule, before what is no whole step of it is rounded as here"
        said = [f"{before}, {lowered(said[0])}"]
    elif rounded:
        said = [f"as drawn, before its sizes are rounded as here, {lowered(said[0])}"]
    if odds is not None:
        said.append(counted(odds))
    alone = other_rule and not chosen and bool(rounded)
    uncounted = alone and odds is None and check.fits
    if alone:
        said.append(BY_THEMSELVES + (f"; {UNCOUNTED}." if uncounted else "."))
    if not _alike(_drawn(check), _drawn(own)):
        said.append(_other_sizes(check, rounded, chosen=chosen))
    place, things = _board_words(design.tools)
    words = f"{place} ({design.tools.name}) with {joined(papers)}"
    caution = ""
    if not check.fits:
        faults = "; ".join(f.message for f in check.findings if f.severity is Severity.FAULT)
        why = f" ({faults})" if faults else ""
        caution = f"{words} this box does not go together{why}: it wants other sizes for {things}"
    elif own_odds is not None and odds is not None:
        good, first = odds.told, own_odds.told
        if good.share < max(HALF, first.share - WORSE):
            caution = (
                f"{words} only {of_100(good)} of 100 boxes made by hand come out right, of its own "
                f"{of_100(first)}: it wants other sizes for {things}"
            )
    grooves, face = tuple(_grooves(job, unit)), _face_words(design.tools, own.design.tools, job)
    note = f"{words} each size is rounded by itself, and {UNCOUNTED}" if uncounted else ""
    return Reader(words, " ".join(said), grooves, caution, face=face, uncounted=note)


def with_sheets(reader: Reader, theirs: SheetJob, mine: SheetJob) -> Reader:
    """The reader told of parts that need other sheets than the author's."""
    told = *_sheets(theirs, mine), *_off_the_usual(theirs, mine)
    return replace(reader, sheets=tuple(f"{reader.words} {words}" for words in told))


def _sheets(theirs: SheetJob, mine: SheetJob) -> Iterator[str]:
    """Parts that a reader's sheets do not hold where the author's do, or that need other strips."""
    known = dict(larger_words(mine))
    strips = {sheet.name: sheet.pattern.alike for sheet in mine.sheets}
    other = {s.name: s.pattern.alike for s in theirs.sheets if s.pattern.alike != strips[s.name]}
    for name, words in larger_words(theirs):
        if words != known.get(name) and name not in other:
            yield words
    for name, count in other.items():
        if count > 1:
            yield (
                f"the {name} is made from two strips, as no sheet there holds it in one piece: cut "
                "and score both as the column says and glue the outside of each flap onto the "
                "inside of the other strip's free end; the steps and the 1:1 sheet are those of a "
                "ring from one strip"
            )
        else:
            yield (
                f"the {name} is made from one strip, of the column's size; the steps and the 1:1 "
                "sheet are those of a ring from two"
            )


def _off_the_usual(theirs: SheetJob, mine: SheetJob) -> Iterator[str]:
    """Parts that leave the sheet that most have at hand, where the author's size goes on it.

    Of readers who list no sheets; who does is told of those.
    """
    tools = theirs.design.tools
    if tools.papers_known:
        return
    usual = usual_sheet(theirs.design.unit)
    for sheet in theirs.sheets:
        own = next(one for one in mine.sheets if one.name == sheet.name)
        held = [paper.name for paper in tools.papers if paper.holds(*_needs_mm(sheet, theirs))]
        if held and usual.name not in held and usual.holds(*_needs_mm(own, mine)):
            size = sheet_by_hand_mm(sheet.plan, theirs.design.unit, tools)
            yield (
                f"the {sheet.name}'s sheet of {show_hands(size, theirs.design.unit, ' x ')} does "
                f"not go on {usual.name}, as the author's does: it comes from {' or '.join(held)}"
            )


def _needs_mm(sheet: PartSheet, job: SheetJob) -> tuple[float, float]:
    return sheet_needs_mm(sheet.plan, job.design.unit, job.design.tools)


def _grooves(job: SheetJob, unit: Unit) -> Iterator[str]:
    """What lies in no groove, part by part."""
    for sheet in job.sheets:
        scored = [step for step in sheet.steps if isinstance(step, ScoreSides)]
        off = sorted({at for step in scored for at in off_grooves(step)})
        if off:
            yield f"For the {sheet.name}: {lowered(off_grooves_words(off, unit))}"


def _face_words(theirs: Tools, mine: Tools, job: SheetJob) -> str:
    """How a column that lies as the pictures do is scored with tools that press the other face."""
    if theirs.score_face == mine.score_face:
        return ""
    bead = "away from" if Face(theirs.score_face) is Face.INSIDE else "towards"
    halved = any(line.half_cut for sheet in job.sheets for line in sheet.plan.scores)
    return (
        "This column is told as the sheets lie in the steps and pictures. "
        f"The tools {theirs.name} score the {theirs.score_face} of folds: turn each sheet over for "
        "its scores, like the page of a book, and take left for right and right for left there; "
        f"fold as the steps say, which is {bead} the bead then."
        + (" What is cut half through is cut as the sheet lies here." if halved else "")
    )


def _chosen(check: Check, own: Check) -> bool:
    """Whether the parts have other sizes than the author's, whatever their paper."""
    pairs = zip(check.design.parts, own.design.parts, strict=True)
    return any(replace(theirs, stock=mine.stock) != mine for theirs, mine in pairs)


def _other_sizes(check: Check, rounded: Sequence[str], *, chosen: bool) -> str:
    """Where the reader's sizes come from, and that the steps have others."""
    unit, base = hand_unit(check.design.unit), check.assembly.base.recipe
    below = "steps and the 1:1 sheets below are those of the other sizes."
    whole = all(is_set_by_hand(mm, unit) for mm in (base.width_mm, base.length_mm, base.depth_mm))
    if not (chosen and whole):
        return f"The {below}"
    but = f", but for {joined(rounded)}, each rounded by itself" if rounded else ""
    return f"These sizes are whole steps of that rule, chosen together{but}; the {below}"


def _board_words(tools: Tools) -> tuple[str, str]:
    """Where scores are made with some tools, and those tools in short."""
    if tools.grid_unit is None:
        return "along a rule, without a grooved board", "those tools"
    board = "an inch board" if tools.grid_unit is Unit.IN else "a metric board"
    return f"on {board}", "that board"


def _lengths(check: Check) -> list[float]:
    """The lengths that the parts are made with, mm; what tape or glue takes is none of them."""
    recipes = [part.recipe for part in check.assembly.parts]
    values = [
        getattr(recipe, own.name)
        for recipe in recipes
        for own in fields(recipe)
        if own.name.endswith("_mm") and own.name != "joint_mm"
    ]
    each = [one if isinstance(one, tuple) else (one,) for one in values]
    return [mm for one in each for mm in one if mm is not None]


def _drawn(check: Check) -> list[float]:
    """The same with the sides of the sheets and the scores, mm."""
    plans = [plan_of(part.pattern) for part in check.assembly.parts]
    lines = [mm for p in plans for mm in (*p.sheet.sides_mm, *(own.at_mm for own in p.scores))]
    return [*_lengths(check), *lines]


def _alike(one: Sequence[float], other: Sequence[float]) -> bool:
    """Whether lengths are the same but for what is not called rounded."""
    pairs = zip(one, other, strict=False)
    return len(one) == len(other) and all(abs(a - b) <= ROUNDED_MM for a, b in pairs)


def mostly_wrong(check: Check, odds: Odds | None) -> str:
    """A caution where fewer than half of the boxes come out right by the sizes told, or none."""
    if odds is None or not check.fits or (good := odds.told).share >= HALF:
        return ""
    return (
        f"only {of_100(good)} of 100 boxes made by hand to the sizes of this card come out right: "
        "fold one box before you cut good paper"
    )


def paper_words(stock: Stock) -> str:
    """A paper by its name, weight and thickness."""
    weight = "" if stock.grammage_gsm is None else f"{stock.grammage_gsm:.0f} g/m2, "
    return f"{stock.name} ({weight}{stock.caliper_mm:.2f} mm thick)"


def counted(odds: Odds) -> str:
    """How many boxes come out right, made to the sizes that are printed."""
    good = odds.told
    return (
        f"Of 100 boxes made by hand to these sizes, with these papers and tools, {of_100(good)} "
        f"come out right{give_or_take(good)}."
    )
