"""Everything that a published recipe says and shows, before it is laid out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from fitcheck.drawing.page_sizes import PAPER_SIZES
from fitcheck.feel.feel import feel_of
from fitcheck.findings import Severity
from fitcheck.fit.check import Check
from fitcheck.fit.contents import ContentVerdict
from fitcheck.odds.result import Odds
from fitcheck.outputs.bench_words import give_or_take, of_100
from fitcheck.outputs.feel_text import feel_words
from fitcheck.outputs.publish.cards import Chapter, Measure, chapters_of, measures_of
from fitcheck.outputs.publish.fold_pictures import box_picture
from fitcheck.outputs.report.model import verdict_sentence
from fitcheck.outputs.report.svg import Drawing
from fitcheck.outputs.write_svg import svg_page
from fitcheck.plain import joined, lowered
from fitcheck.sheet.job import SheetJob
from fitcheck.sheet.score_text import score_card
from fitcheck.sheet.scoring import ScoreSides
from fitcheck.stock.paper import Stock
from fitcheck.units import Unit, hand_unit, is_set_by_hand, show_hands, show_one


@dataclass(frozen=True)
class CardRow:
    """One line of the cut and score card."""

    part: str
    what: str
    sizes: str
    theirs: str = ""
    """The same for another reader's board and paper."""


@dataclass(frozen=True)
class PagePicture:
    """A page of the 1:1 sheet."""

    svg: str
    words: str
    size_mm: tuple[float, float]


@dataclass(frozen=True)
class Reader:
    """Another reader's paper and board."""

    words: str
    verdict: str


@dataclass(frozen=True)
class Recipe:
    """A whole recipe."""

    title: str
    by: str | None
    licence: str | None
    photo: bytes | None
    open: Drawing
    closed: Drawing
    needs: tuple[tuple[str, str], ...]
    """What is needed: a heading and what stands under it."""
    card: tuple[CardRow, ...]
    reader: Reader | None
    chapters: tuple[Chapter, ...]
    measures: tuple[Measure, ...]
    around: tuple[str, ...]
    cautions: tuple[str, ...]
    sure: tuple[str, ...]
    pages: tuple[PagePicture, ...]
    paper_mm: tuple[float, float]


@dataclass(frozen=True)
class Sheets:
    """A check with the sheets of its parts."""

    check: Check
    job: SheetJob


def recipe_of(
    own: Sheets,
    odds: Odds | None,
    photo: bytes | None,
    other: Sheets | None = None,
    other_odds: Odds | None = None,
) -> Recipe:
    """The recipe of a checked design; ``other`` is the same in another reader's paper and board."""
    check, job = own.check, own.job
    design = check.design
    size = PAPER_SIZES[job.paper]
    return Recipe(
        title=design.title,
        by=design.said.by,
        licence=design.said.licence,
        photo=photo,
        open=box_picture(check, "open", _inside_words(check)),
        closed=box_picture(check, "closed", f"{design.title}, closed.", cover=0.0),
        needs=tuple(_needs(job)),
        card=_card(job, None if other is None else other.job),
        reader=None if other is None else _reader(other, other_odds),
        chapters=tuple(chapters_of(check, job)),
        measures=tuple(measures_of(job)),
        around=job.around,
        cautions=tuple(_cautions(check, job)),
        sure=tuple(_sure(check, odds)),
        pages=tuple(_pages(job)),
        paper_mm=(size.width_mm, size.height_mm),
    )


def _cautions(check: Check, job: SheetJob) -> Iterator[str]:
    """What does not go together first, then where the making or the contents can hurt."""
    said: dict[str, None] = {}
    for finding in check.findings:
        if finding.severity is Severity.FAULT:
            said[f"this box does not go together as it stands here: {finding.message}"] = None
    cautions = [f for f in check.findings if f.severity is Severity.CAUTION]
    said |= dict.fromkeys(finding.message for finding in (*job.cautions, *cautions))
    yield from said


def _inside_words(check: Check) -> str:
    named = [
        f"{fit.content.count} {fit.content.item.name}"
        for fit in check.contents
        if fit.verdict is ContentVerdict.FITS
    ]
    where = "inside" if check.compartments is None else "in each compartment"
    inside = f", {' and '.join(named)} {where}" if named else ""
    return f"{check.design.title}, open{inside}."


def _needs(job: SheetJob) -> Iterator[tuple[str, str]]:
    """Papers, tools and adhesive."""
    unit = hand_unit(job.design.unit)
    papers = []
    for sheet in job.sheets:
        size = sheet.plan.sheet
        count = sheet.part.pattern.copies
        grain = f", grain along the {sheet.grain}" if sheet.grain else ""
        sizes = show_hands((size.width_mm, size.length_mm), unit, " x ")
        many = f"{count} pieces " if count > 1 else ""
        papers.append(f"{sheet.stock} for the {sheet.name}: {many}{sizes}{grain}")
    yield "Paper", "; ".join(papers)
    tools = job.design.tools
    board = "a board or a rule and a scoring tool"
    if tools.grid_mm is not None:
        board = f"a scoring board with a groove every {show_one(tools.grid_mm, unit)}"
    yield (
        "Tools",
        f"{board}, a trimmer or a knife with a metal rule and a mat, scissors, a bone folder, a "
        "pencil",
    )
    yield "Adhesive", f"double-sided tape or glue, about {job.design.joint_mm:.1f} mm thick"
    if job.design.contents:
        inside = ", ".join(f"{one.count} {one.item.name}" for one in job.design.contents)
        each = " in each compartment" if any(s.part.pattern.row for s in job.sheets) else ""
        yield "Contents", inside + each


def _card(job: SheetJob, other: SheetJob | None) -> tuple[CardRow, ...]:
    mine = list(_rows(job, hand_unit(job.design.unit)))
    if other is None:
        return tuple(CardRow(*row) for row in mine)
    unit = other.design.tools.grid_unit
    theirs = {(part, what): sizes for part, what, sizes in _rows(other, unit)}
    return tuple(CardRow(*row, theirs.get(row[:2], "")) for row in mine)


def _rows(job: SheetJob, unit: Unit) -> Iterator[tuple[str, str, str]]:
    for sheet in job.sheets:
        size = sheet.plan.sheet
        copies = sheet.part.pattern.copies
        what = "sheet" if copies == 1 else f"{copies} sheets, each"
        yield sheet.name, what, show_hands((size.width_mm, size.length_mm), unit, " x ")
        for step in sheet.steps:
            if isinstance(step, ScoreSides):
                for sides, sizes in score_card(step, size, unit):
                    yield sheet.name, f"scores, {sides}", sizes


def _reader(other: Sheets, odds: Odds | None) -> Reader:
    design = other.check.design
    papers = dict.fromkeys(_paper_words(p.recipe.stock) for p in other.check.assembly.parts)
    lengths = [
        mm
        for sheet in other.job.sheets
        for mm in (
            sheet.plan.sheet.width_mm,
            sheet.plan.sheet.length_mm,
            *(score.at_mm for score in sheet.plan.scores),
        )
    ]
    unit = design.tools.grid_unit
    rounded = not all(is_set_by_hand(mm, unit) for mm in lengths)
    said = [verdict_sentence(other.check)]
    if rounded:
        said = [f"as drawn, before its sizes are rounded as here, {lowered(said[0])}"]
    if odds is not None:
        said.append(_counted(odds))
    board = {Unit.IN: "an inch board", Unit.MM: "a metric board"}[unit]
    return Reader(f"on {board} ({design.tools.name}) with {joined(papers)}", " ".join(said))


def _paper_words(stock: Stock) -> str:
    """A paper by its name and weight."""
    if stock.grammage_gsm is None:
        return stock.name
    return f"{stock.name} ({stock.grammage_gsm:.0f} g/m2)"


def _sure(check: Check, odds: Odds | None) -> Iterator[str]:
    """How sure it is that the box comes out right."""
    yield verdict_sentence(check)
    if odds is not None:
        yield _counted(odds)
    feel = feel_of(check)
    if feel is not None and check.fits:
        yield f"The lid {feel_words(feel)}; worked out, no box was measured."
    guessed = [
        stock.name
        for stock in {p.recipe.stock.name: p.recipe.stock for p in check.assembly.parts}.values()
        if not stock.calibrated
    ]
    if guessed:
        yield (
            f"Nobody has measured the creases of {' and '.join(guessed)} yet: fold one box before "
            "you cut good paper."
        )


def _counted(odds: Odds) -> str:
    """How many boxes come out right, made to the sizes that are printed."""
    good = odds.good if odds.rounded is None else odds.rounded
    return (
        f"Of 100 boxes made by hand to these sizes, with these papers and tools, {of_100(good)} "
        f"come out right{give_or_take(good)}."
    )


def _pages(job: SheetJob) -> Iterator[PagePicture]:
    for sheet in job.sheets:
        for page in sheet.pages:
            words = f"The {sheet.name}'s sheet at 1:1, page {page.number} of {page.total}."
            yield PagePicture(svg_page(page), words, (page.width_mm, page.height_mm))
