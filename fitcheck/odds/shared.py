"""What board and trimmer do to all lines of a box alike moves each line by its own amount."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from fitcheck.fit.assembly import Part
from fitcheck.odds.inputs import Source
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE, Rule
from fitcheck.stock.tools import Tools

SHARED = (Source.BOARD, Source.BETWEEN, Source.SCALE, Source.TRIMMER)
"""Errors that all scores or all cuts of a box have alike."""


def shared_shifts(
    part: Part, tools: Tools, errors: Mapping[Source, float]
) -> Iterator[tuple[Rule, float]]:
    """How far the errors that lines have alike move each line of a part beyond its place, mm."""
    board, between, scale = (errors[s] for s in (Source.BOARD, Source.BETWEEN, Source.SCALE))
    if board or between or scale:
        for rule in part.scores:
            off = board + scale * (rule.at_mm - tools.habits.scale_from_mm)
            yield rule, off if tools.on_grid(rule.at_mm) else off + between
    if errors[Source.TRIMMER]:
        yield WIDTH_EDGE, errors[Source.TRIMMER]
        yield LENGTH_EDGE, errors[Source.TRIMMER]
