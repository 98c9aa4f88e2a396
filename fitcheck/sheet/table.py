"""The measurement table: every number of a box in both units, ready to be published."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fitcheck.design.model import Design
from fitcheck.pattern.boundary import faceted
from fitcheck.pattern.counted import sheet_by_hand_mm, told_beside_mm
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.sheet import Sheet
from fitcheck.sheet.job import PartSheet, SheetJob
from fitcheck.sheet.left_folded import oblique
from fitcheck.sheet.scoring import pressed


@dataclass(frozen=True)
class ScoreRow:
    """One score: its fence, its distance from it, and where it starts and stops along it, mm."""

    fence: str
    at_mm: float
    start_mm: float
    stop_mm: float
    half_cut: bool = False
    """Cut half through instead of pressed."""
    face: str = ""
    """The face that it is made on."""
    beside_mm: float = 0.0
    """How far it lies beyond what the steps tell it by, a hair; nought where that is its own."""
    oblique_deg: tuple[float, ...] = ()
    """How far it is folded from flat where that is neither a right angle nor half a turn."""


@dataclass(frozen=True)
class SlantRow:
    """One score that runs along no fence: both ends from the sheet's left and bottom edge, mm."""

    of: str
    start_mm: tuple[float, float]
    stop_mm: tuple[float, float]
    half_cut: bool = False
    """Cut half through instead of pressed."""
    face: str = ""
    """The face that it is made on."""


@dataclass(frozen=True)
class PieceRow:
    """One panel of a part: its greatest width and length on the sheet, mm."""

    name: str
    width_mm: float
    length_mm: float


@dataclass(frozen=True)
class PartTable:
    """The numbers of one part."""

    part: str
    style: str
    stock: str
    caliper_mm: float
    sheet: Sheet
    told_mm: tuple[float, float]
    """The sheet's width and length as a hand cuts them."""
    up: str
    """The face that is up: the edges are named as the sheet lies then."""
    scores: tuple[ScoreRow, ...]
    pieces: tuple[PieceRow, ...]
    slants: tuple[SlantRow, ...] = ()
    cutouts: tuple[PieceRow, ...] = ()
    """By panel and name, with their greatest width and length on the sheet."""
    copies: int = 1
    """How many are cut, all alike."""


def measurement_tables(job: SheetJob) -> tuple[PartTable, ...]:
    """One table for each part."""
    return tuple(_table(sheet, job.design) for sheet in job.sheets)


def _table(sheet: PartSheet, design: Design) -> PartTable:
    recipe, pattern = sheet.part.recipe, sheet.pattern
    pieces = []
    for panel in pattern.panels:
        outline = pattern.outline(panel, {})
        width, length = (outline.max(axis=0) - outline.min(axis=0)).tolist()
        pieces.append(PieceRow(panel.name, width, length))
    return PartTable(
        part=sheet.name,
        style=recipe.style,
        stock=sheet.stock,
        caliper_mm=recipe.stock.caliper_mm,
        sheet=sheet.plan.sheet,
        told_mm=sheet_by_hand_mm(sheet.plan, design.unit, design.tools),
        up=str(pattern.seen),
        scores=tuple(
            ScoreRow(
                s.fence.value,
                s.at_mm,
                s.start_mm,
                s.stop_mm,
                s.half_cut,
                str(pressed(s, design.tools.score_face)),
                told_beside_mm(sheet.plan, s.rule),
                tuple(deg for deg, names in oblique(pattern) if not set(names).isdisjoint(s.of)),
            )
            for s in sheet.plan.scores
        ),
        pieces=tuple(pieces),
        slants=tuple(
            SlantRow(
                s.of,
                s.start_mm,
                s.stop_mm,
                s.half_cut,
                str(pressed(s, design.tools.score_face)),
            )
            for s in sheet.plan.slant_scores
        ),
        cutouts=tuple(_cutouts(pattern)),
        copies=pattern.copies,
    )


def _cutouts(pattern: Pattern) -> Iterator[PieceRow]:
    for panel in pattern.panels:
        boundary = pattern.boundary(panel)
        for cutout in panel.cutouts:
            rings = (boundary.outer, *boundary.holes, *boundary.slits)
            own = [edge for ring in rings for edge in ring if edge.cutout == cutout.name]
            points = np.array(faceted(pattern.sheet, own))
            width, length = np.ptp(points, axis=0).tolist()
            yield PieceRow(f"{panel.name}: {cutout.name}", width, length)
