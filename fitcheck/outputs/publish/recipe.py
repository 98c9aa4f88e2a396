"""Everything that a published recipe says and shows, before it is laid out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from fitcheck.drawing.page_sizes import PAPER_SIZES
from fitcheck.feel.feel import feel_of
from fitcheck.findings import Severity
from fitcheck.fit.check import Check
from fitcheck.fit.contents import ContentVerdict
from fitcheck.fit.remarks import WALL_LEANS
from fitcheck.fit.sheets import TOO_LARGE
from fitcheck.odds.result import Odds
from fitcheck.outputs.bench_words import Sizes
from fitcheck.outputs.feel_text import feel_words
from fitcheck.outputs.inside import insides_of
from fitcheck.outputs.publish.cards import (
    Chapter,
    Measure,
    chapters_of,
    measures_of,
    readers_measures,
)
from fitcheck.outputs.publish.columns import CardRow, card_of
from fitcheck.outputs.publish.fold_pictures import box_picture
from fitcheck.outputs.publish.paper_words import larger_words
from fitcheck.outputs.publish.reader import (
    Reader,
    counted,
    mostly_wrong,
    paper_words,
    reader_of,
    with_sheets,
)
from fitcheck.outputs.report.model import verdict_sentence
from fitcheck.outputs.report.svg import Drawing
from fitcheck.outputs.write_svg import svg_page
from fitcheck.pattern.counted import sheet_by_hand_mm
from fitcheck.pattern.panes import pane_mm
from fitcheck.sheet.around import closed_mm
from fitcheck.sheet.job import SheetJob, sheet_job
from fitcheck.units import Unit, hand_unit, show_hands, show_one


@dataclass(frozen=True)
class PagePicture:
    """A page of the 1:1 sheet."""

    svg: str
    words: str
    size_mm: tuple[float, float]


@dataclass(frozen=True)
class Recipe:
    """A whole recipe."""

    title: str
    by: str | None
    licence: str | None
    photo: bytes | None
    open: Drawing
    closed: Drawing | None
    """None where nothing closes it."""
    needs: tuple[tuple[str, str], ...]
    """What is needed: a heading and what stands under it."""
    card: tuple[CardRow, ...]
    reader: Reader | None
    chapters: tuple[Chapter, ...]
    measures: tuple[Measure, ...]
    around: tuple[str, ...]
    doubt: str
    """Where fewer than half of the boxes come out right by the author's own sizes."""
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
    reader = None
    if other is not None:
        other = _as_pictured(other, job)
        reader = reader_of(other.check, other.job, other_odds, check, odds)
        reader = with_sheets(reader, other.job, job)
    theirs = () if reader is None or other is None else readers_measures(other.job, reader.words)
    size, doubt = PAPER_SIZES[job.paper], mostly_wrong(check, odds)
    return Recipe(
        title=design.title,
        by=design.said.by,
        licence=design.said.licence,
        photo=photo,
        open=box_picture(check, "open", _inside_words(check)),
        closed=_closed(check),
        needs=(*_needs(job), *_finished(check)),
        card=card_of(job, None if other is None else other.job),
        reader=reader,
        chapters=tuple(chapters_of(check, job)),
        measures=(*measures_of(job), *theirs),
        around=job.around,
        doubt=doubt,
        cautions=((doubt,) if doubt else ()) + tuple(_cautions(check, job, reader)),
        sure=tuple(_sure(check, odds)),
        pages=tuple(_pages(job)),
        paper_mm=(size.width_mm, size.height_mm),
    )


def _as_pictured(other: Sheets, mine: SheetJob) -> Sheets:
    """A reader's sheets as they lie in the pictures, whichever face those tools score."""
    face, design = mine.design.tools.score_face, other.job.design
    if design.tools.score_face == face:
        return other
    design = replace(design, tools=replace(design.tools, score_face=face))
    return replace(other, job=sheet_job(design, other.job.paper, (), 1, paged=False))


def _cautions(check: Check, job: SheetJob, reader: Reader | None) -> Iterator[str]:
    """What does not go together first, then where the making or the contents can hurt.

    A lean that is only seen is for the author to cure, who can work it out anew.
    """
    if reader is not None and reader.caution:
        yield reader.caution
    said: dict[str, None] = {}
    for finding in check.findings:
        if finding.severity is Severity.FAULT:
            said[f"this box does not go together as it stands here: {finding.message}"] = None
    cautions = [
        f for f in check.findings if f.severity is Severity.CAUTION and f.code != WALL_LEANS
    ]
    found = (*job.cautions, *cautions)
    said |= dict.fromkeys(one.message for one in found if one.code != TOO_LARGE)
    yield from said
    for _, words in larger_words(job, usual=True):
        yield words


def _closed(check: Check) -> Drawing | None:
    if check.cover is None:
        return None
    return box_picture(check, "closed", f"{check.design.title}, closed.", cover=0.0)


def _inside_words(check: Check) -> str:
    named = [
        f"{fit.content.count} x {fit.content.item.name}"
        for fit in check.contents
        if fit.verdict is ContentVerdict.FITS
    ]
    where = "inside" if check.compartments is None else "in each compartment"
    inside = f", {' and '.join(named)} {where}" if named else ""
    stands_open = "" if check.cover is None else ", open"
    return f"{check.design.title}{stands_open}{inside}."


def _needs(job: SheetJob) -> Iterator[tuple[str, str]]:
    """Papers, tools and adhesive."""
    unit = hand_unit(job.design.unit)
    papers = []
    for sheet in job.sheets:
        size = sheet_by_hand_mm(sheet.plan, unit, job.design.tools)
        count = sheet.pattern.copies
        grain = f", grain along the {sheet.grain}" if sheet.grain else ""
        sizes = show_hands(size, unit, " x ")
        many = f"{count} pieces " if count > 1 else ""
        paper = paper_words(sheet.part.recipe.stock)
        papers.append(f"{paper} for the {sheet.name}: {many}{sizes}{grain}")
        if (pane := pane_mm(sheet.pattern)) is not None:
            clear = show_hands(pane, unit, " x ")
            papers.append(f"clear sheet for the {sheet.name}'s window: {clear}")
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
    if unit is Unit.MM:
        yield (
            "Rule",
            "in millimetres: the inches in brackets are each rounded by itself, and a box cut by "
            "those need not go together",
        )
    yield "Adhesive", f"double-sided tape or glue, about {job.design.joint_mm:.1f} mm thick"
    if job.design.contents:
        told = Sizes(job.design.unit)
        inside = "; ".join(
            f"{one.count} x {one.item.name}, a {one.item.kind} of {told.thing(*one.item.size_mm)}"
            for one in job.design.contents
        )
        each = " in each compartment" if any(s.part.pattern.row for s in job.sheets) else ""
        yield "Contents", inside + each


def _finished(check: Check) -> Iterator[tuple[str, str]]:
    """How large the box comes out, and what it leaves for what goes in."""
    told, part = Sizes(check.design.unit), check.assembly.ring or check.assembly.base
    outside = f"{told.outside(*closed_mm(check.assembly))} outside"
    closed = "" if check.cover is None else ", closed"
    yield "Finished", f"{outside}{closed}: width x length x height"
    insides, depth = insides_of(part), part.sizes.depth_mm
    if len(insides) == 1:
        size = f"{told.inside(*insides[0].size_mm, depth)}, width x length x depth"
    else:
        at = (f"{told.inside(*inside.size_mm)} {inside.where}" for inside in insides)
        size = f"{told.inside(depth)} deep, {', '.join(at)}, width x length"
    yield insides[0].words.capitalize(), f"{size} of the {part.recipe.part}"


def _sure(check: Check, odds: Odds | None) -> Iterator[str]:
    """How sure it is that the box comes out right."""
    yield verdict_sentence(check)
    if odds is not None:
        yield counted(odds)
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


def _pages(job: SheetJob) -> Iterator[PagePicture]:
    for sheet in job.sheets:
        for page in sheet.pages:
            words = f"The {sheet.name}'s sheet at 1:1, page {page.number} of {page.total}."
            yield PagePicture(svg_page(page), words, (page.width_mm, page.height_mm))
