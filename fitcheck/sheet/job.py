"""Everything that the sheet command gives for a design, made once and written in many formats."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fitcheck.cautions import content_cautions, cutting_cautions
from fitcheck.design.model import Design
from fitcheck.drawing.legible import drawn_title
from fitcheck.drawing.page_sizes import Paper
from fitcheck.drawing.pages import Page, lay_on_pages, overview_page
from fitcheck.drawing.shapes import Drawing
from fitcheck.findings import Finding
from fitcheck.fit.assembly import Part, assemble
from fitcheck.fit.heavy import heavy_findings
from fitcheck.fit.held import held_half
from fitcheck.fit.paper_remarks import thick_findings
from fitcheck.fit.sheets import larger_parts, sheet_findings
from fitcheck.pattern.counted import sheet_needs_mm
from fitcheck.pattern.laid import laid
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.plan import Plan, plan_of
from fitcheck.pattern.sheet import Axis
from fitcheck.sheet.actions import Step
from fitcheck.sheet.around import around_words
from fitcheck.sheet.instructions import Instruction, instructions_for
from fitcheck.sheet.part_drawing import DrawnPart, draw_part, machine_drawing
from fitcheck.sheet.score_text import EXACT
from fitcheck.sheet.steps import steps_for, turns_of
from fitcheck.sheet.thick import as_made
from fitcheck.sheet.together import closing_steps, closing_words
from fitcheck.sheet.two_strips import told_of_two
from fitcheck.sheet.yields import Piece, Yields, yields_for
from fitcheck.stock.bought_sheets import Bought


@dataclass(frozen=True, eq=False)
class PartSheet:
    """One part's sheet: its plan, drawing, pages and steps."""

    part: Part
    pattern: Pattern
    """As it lies while it is scored; half of a part that is made from two strips."""
    plan: Plan
    grain: Axis | None
    drawing: Drawing
    pages: tuple[Page, ...]
    """At 1:1."""
    overview: Page | None
    """The whole drawing small, where it takes several pages."""
    steps: tuple[Step, ...]
    instructions: tuple[Instruction, ...]

    @property
    def name(self) -> str:
        """``base`` or ``lid``."""
        return self.part.recipe.part

    @property
    def stock(self) -> str:
        """The stock that it is cut from."""
        return self.part.recipe.stock.name

    @property
    def in_two(self) -> bool:
        """Whether it is half of a part that is made from two strips."""
        return self.pattern.alike > self.part.pattern.alike

    @property
    def turns(self) -> int:
        """How often its sheet is turned."""
        return turns_of(self.steps)


@dataclass(frozen=True, eq=False)
class SheetJob:
    """A design's sheets, in order, with what to buy and what to heed."""

    design: Design
    paper: Paper
    sheets: tuple[PartSheet, ...]
    yields: Yields
    cautions: tuple[Finding, ...]
    together: tuple[Instruction, ...]
    """What is done when all parts are made."""
    around: tuple[str, ...]
    """Sizes of what a maker adds, a line each."""

    @property
    def rounded(self) -> bool:
        """Whether a step tells a size otherwise than the drawing has it."""
        return any(EXACT in told.text for sheet in self.sheets for told in sheet.instructions)


def sheet_job(
    design: Design, paper: Paper, bought: Sequence[Bought], kits: int, *, paged: bool = True
) -> SheetJob:
    """Draw, tell and count everything of a design; `paged` lays the drawings on pages too.

    Raises InputError or ModelError when the design cannot be folded, or takes too many pages.
    """
    assembly = assemble(design)
    larger = larger_parts(assembly)
    sheets = tuple(
        _part_sheet(design, part, paper, paged, in_two=part in larger) for part in assembly.parts
    )
    pieces = [
        Piece(
            s.name,
            s.stock,
            *sheet_needs_mm(s.plan, design.unit, design.tools),
            s.grain,
            s.pattern.copies,
        )
        for s in sheets
    ]
    return SheetJob(
        design=design,
        paper=paper,
        sheets=sheets,
        yields=yields_for(pieces, bought, kits),
        cautions=(
            *cutting_cautions(),
            *thick_findings(assembly),
            *sheet_findings(assembly),
            *content_cautions(content.item for content in design.contents),
            *heavy_findings(assembly),
        ),
        together=tuple(
            Instruction(closing_words(step), steps=(step,))
            for step in closing_steps(design, assembly)
        ),
        around=around_words(assembly),
    )


def drawing_of(design: Design, part: Part, cut: Pattern | None = None) -> Drawing:
    """A folded part of a design drawn flat, at 1:1, as it lies while it is scored.

    `cut` is what is cut for it where that is not all of it in one piece.
    """
    pattern = as_made(cut or part.pattern, part.recipe.stock)
    return draw_part(_drawn(design, part, laid(pattern, design.tools.score_face)))


def lines_of(design: Design, sheet: PartSheet) -> Drawing:
    """A sheet for a machine that cuts and scores: lines alone."""
    return machine_drawing(_drawn(design, sheet.part, sheet.pattern))


def _drawn(design: Design, part: Part, pattern: Pattern) -> DrawnPart:
    return DrawnPart(
        title=drawn_title(design.title),
        pattern=pattern,
        plan=plan_of(pattern),
        unit=design.unit,
        stock=part.recipe.stock.name,
        grain=part.recipe.grain,
        score_face=design.tools.score_face,
        tools=design.tools,
    )


def _part_sheet(
    design: Design, part: Part, paper: Paper, paged: bool, *, in_two: bool
) -> PartSheet:
    grain = part.recipe.grain
    half = held_half(part.recipe, design) if in_two else None
    made = as_made(half or part.pattern, part.recipe.stock)
    pattern = laid(made, design.tools.score_face)
    plan = plan_of(pattern)
    drawn = _drawn(design, part, pattern)
    drawing = draw_part(drawn)
    tiled, pages = _fewest_pages(drawn, drawing, paper) if paged else (drawing, ())
    stock, knife = part.recipe.stock.name, part.recipe.stock.half_cut
    steps = steps_for(pattern, plan, stock, grain, design.tools, design.unit, knife=knife)
    told = instructions_for(steps, design.unit)
    return PartSheet(
        part=part,
        pattern=pattern,
        plan=plan,
        grain=grain,
        drawing=drawing,
        pages=pages,
        overview=overview_page(tiled, pages, paper) if len(pages) > 1 else None,
        steps=steps,
        instructions=told if half is None else told_of_two(part.recipe.part, told),
    )


def _fewest_pages(
    drawn: DrawnPart, drawing: Drawing, paper: Paper
) -> tuple[Drawing, tuple[Page, ...]]:
    """The drawing on pages; one with the edges' names inside the sheet where that saves a page."""
    pages = lay_on_pages(drawing, paper)
    if len(pages) == 1:
        return drawing, pages
    inside = draw_part(replace(drawn, edges_inside=True))
    close = lay_on_pages(inside, paper)
    return (inside, close) if len(close) < len(pages) else (drawing, pages)
