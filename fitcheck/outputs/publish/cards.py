"""The steps of a recipe as cards, each with its picture."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fitcheck.fit.check import Check
from fitcheck.outputs.publish.flat_pictures import FlatPictures
from fitcheck.outputs.publish.fold_pictures import (
    FoldPictures,
    box_picture,
    stood_picture,
    strips_picture,
    two_strips_picture,
)
from fitcheck.outputs.report.svg import Drawing
from fitcheck.outputs.report.views.scenes import OPENED, tones_of
from fitcheck.outputs.report.views.solids import BASE, LID
from fitcheck.sheet.actions import (
    CloseLid,
    GlueSeam,
    LayIn,
    PutIn,
    StandIn,
    StandStrips,
    Step,
    TuckIn,
)
from fitcheck.sheet.cuts import CutOutline
from fitcheck.sheet.instructions import Instruction
from fitcheck.sheet.job import PartSheet, SheetJob

MOST_LINES, MOST_LETTERS = 8, 700
"""More lines, or lines of more letters, stand below the steps, not beside a picture."""
CARD_LETTERS = 900
"""Cuts by measure of more letters would fill a page of the card of sizes: it points to them."""
BY_MEASURE = "By measure, line by line"
"""The heading of what stands below the steps."""
BELOW = "line by line, for cutting by measure: below the steps"


@dataclass(frozen=True)
class StepCard:
    """One step with its picture."""

    number: int
    text: str
    details: tuple[str, ...]
    picture: Drawing | None


@dataclass(frozen=True)
class Chapter:
    """The steps of one part, or those that put the parts together."""

    heading: str
    steps: tuple[StepCard, ...]


@dataclass(frozen=True)
class Measure:
    """What a step says at too great a length to stand beside its picture."""

    heading: str
    lines: tuple[str, ...]


def chapters_of(check: Check, job: SheetJob) -> Iterator[Chapter]:
    """The steps of each part, then those that put the parts together."""
    strips: set[str] = set()
    for sheet in job.sheets:
        if sheet.pattern.row is not None:
            strips.add(sheet.name)
        yield Chapter(f"The {sheet.name}", tuple(_part_cards(check, sheet, frozenset(strips))))
    if job.together:
        yield Chapter("Together", tuple(_closing_cards(check, job.together)))


def _part_cards(check: Check, sheet: PartSheet, strips: frozenset[str]) -> Iterator[StepCard]:
    """The steps of a part; ``strips`` are those that are made by its end."""
    flat = FlatPictures(sheet)
    tones = tones_of(sheet.part.recipe.stock, LID if sheet.name == "lid" else BASE)
    folding = FoldPictures(sheet.part.folded, tones)
    for number, told in enumerate(sheet.instructions, start=1):
        name = f"{sheet.name.replace(' ', '-')}-{number}"
        steps = _own(told)
        words = f"The {sheet.name}, step {number}: {told.text}"
        if any(isinstance(step, StandIn | LayIn) for step in steps):
            picture: Drawing | None = stood_picture(check, name, words, sheet.name)
        elif sheet.pattern.alike > 1 and any(isinstance(step, GlueSeam) for step in steps):
            picture = two_strips_picture(sheet.part, name, words, tones)
        else:
            picture = flat.of(name, steps, words) or folding.of(name, steps, words)
        if picture is None and any(isinstance(step, StandStrips) for step in steps):
            picture = strips_picture(check, name, words, strips)
        details = (BELOW,) if _is_long(told) else told.details
        yield StepCard(number, told.text, details, picture)


def measures_of(job: SheetJob) -> Iterator[Measure]:
    """The lines that are told below the steps: an outline cut by measure takes many."""
    for sheet in job.sheets:
        for number, told in _long_steps(sheet):
            yield Measure(f"The {sheet.name}, step {number}", told.details)


def readers_measures(job: SheetJob, words: str) -> Iterator[Measure]:
    """Those of another reader whose cuts the card only points to; `words` say whose they are."""
    for sheet in job.sheets:
        for number in measured_steps(sheet):
            heading = f"The {sheet.name}, step {number}, {words}"
            yield Measure(heading, sheet.instructions[number - 1].details)


def measured_steps(sheet: PartSheet) -> tuple[int, ...]:
    """The steps of outlines with more lines by measure than a card of sizes can hold."""
    return tuple(
        number
        for number, told in _long_steps(sheet)
        if any(isinstance(step, CutOutline) for step in told.steps)
        and sum(map(len, told.details)) > CARD_LETTERS
    )


def _long_steps(sheet: PartSheet) -> Iterator[tuple[int, Instruction]]:
    for number, told in enumerate(sheet.instructions, start=1):
        if _is_long(told):
            yield number, told


def _is_long(told: Instruction) -> bool:
    return len(told.details) > MOST_LINES or sum(map(len, told.details)) > MOST_LETTERS


def _own(told: Instruction) -> tuple[Step, ...]:
    """Its steps, of which none is done when all parts are made."""
    return tuple(step for step in told.steps if not isinstance(step, PutIn))  # type: ignore[misc]


def _closing_cards(check: Check, together: Sequence[Instruction]) -> Iterator[StepCard]:
    for number, told in enumerate(together, start=1):
        words = f"Step {number}: {told.text}"
        step = told.steps[0]
        cover: float | None = OPENED
        if isinstance(step, PutIn):
            cover = None
        elif isinstance(step, CloseLid | TuckIn):
            cover = 0.0
        picture = box_picture(check, f"together-{number}", words, cover=cover)
        yield StepCard(number, told.text, told.details, picture)
