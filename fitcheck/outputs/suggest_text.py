"""Suggestions as a short ranked list for the person at the bench."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.design.model import Design, PartSpec
from fitcheck.odds.rewrite import KEYS
from fitcheck.odds.suggest import Suggestion, Suggestions
from fitcheck.outputs.odds_text import chance
from fitcheck.units import Unit, show_length


def suggest_text(found: Suggestions) -> str:
    """The original's odds, then what to make instead, best first."""
    original, design = found.original, found.original.design
    lines = [
        f"{design.title}: what to cut ({found.boxes} virtual boxes each, seed {found.seed})",
        "",
        f"  tools     {design.tools.name}; sizes in steps of "
        f"{show_length(found.steps.size_mm, design.unit)} ({found.steps.words})",
        f"  as it is  all right {chance(original.good)}",
    ]
    lines += [f"            {text}" for text in _sizes(original.design)]
    for number, one in enumerate(found.ranked, start=1):
        lines += _suggestion_lines(number, one, design)
    if not found.ranked:
        lines.append("  nothing near it has better odds; keep the sizes and better the tools")
    lines.append(
        "  all right: the lid slides within its bands, its rim is off the table and all "
        "contents fit, in one and the same box"
    )
    return "\n".join(lines) + "\n"


def _suggestion_lines(number: int, one: Suggestion, original: Design) -> Iterator[str]:
    yield f"  {number:<10}all right {chance(one.good)}"
    before = set(_sizes(original))
    for text in _sizes(one.design):
        if text not in before:
            yield f"            {text}"


def _sizes(design: Design) -> Iterator[str]:
    """The sizes that a suggestion may change."""
    yield _size(design.base, design.unit)
    if design.lid is not None:
        yield _size(design.lid, design.unit)
        yield f"lid depth {show_length(design.lid.depth_mm, design.unit)}"


def _size(spec: PartSpec, unit: Unit) -> str:
    width, length = (show_length(size, unit) for size in spec.size_mm)
    return f"{spec.name} {KEYS[spec.size_by]} {width} x {length}"
