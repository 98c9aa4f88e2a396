"""Everything that the sheet command gives for a design, made once and written in many formats."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.cautions import cutting_cautions
from fitcheck.design.model import Design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.drawing.pages import Page, lay_on_pages
from fitcheck.drawing.shapes import Drawing
from fitcheck.findings import Finding
from fitcheck.fit.assembly import Part, assemble
from fitcheck.pattern.plan import Plan, plan_of
from fitcheck.pattern.sheet import Axis
from fitcheck.sheet.actions import Step
from fitcheck.sheet.instructions import Instruction, instructions_for
from fitcheck.sheet.part_drawing import DrawnPart, draw_part
from fitcheck.sheet.steps import steps_for, turns_of
from fitcheck.sheet.yields import Piece, Yields, yields_for
from fitcheck.stock.bought_sheets import Bought


@dataclass(frozen=True, eq=False)
class PartSheet:
    """One part's sheet: its plan, drawing, pages and steps."""

    part: Part
    plan: Plan
    grain: Axis | None
    drawing: Drawing
    pages: tuple[Page, ...]
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


def sheet_job(
    design: Design, paper: Paper, bought: Sequence[Bought], kits: int, *, paged: bool = True
) -> SheetJob:
    """Draw, tell and count everything of a design; `paged` lays the drawings on pages too.

    Raises InputError or ModelError when the design cannot be folded, or takes too many pages.
    """
    sheets = tuple(_part_sheet(design, part, paper, paged) for part in assemble(design).parts)
    pieces = [
        Piece(
            s.name,
            s.stock,
            s.plan.sheet.width_mm,
            s.plan.sheet.length_mm,
            s.grain,
            s.part.pattern.copies,
        )
        for s in sheets
    ]
    return SheetJob(design, paper, sheets, yields_for(pieces, bought, kits), cutting_cautions())


def drawing_of(design: Design, part: Part) -> Drawing:
    """A folded part of a design drawn flat, at 1:1."""
    return draw_part(
        DrawnPart(
            title=design.title,
            pattern=part.pattern,
            plan=plan_of(part.pattern),
            unit=design.unit,
            stock=part.recipe.stock.name,
            grain=part.recipe.grain,
        )
    )


def _part_sheet(design: Design, part: Part, paper: Paper, paged: bool) -> PartSheet:
    grain = part.recipe.grain
    plan = plan_of(part.pattern)
    drawing = drawing_of(design, part)
    steps = steps_for(part.pattern, plan, part.recipe.stock.name, grain, design.tools)
    return PartSheet(
        part=part,
        plan=plan,
        grain=grain,
        drawing=drawing,
        pages=lay_on_pages(drawing, paper) if paged else (),
        steps=steps,
        instructions=instructions_for(steps, design.unit),
    )
