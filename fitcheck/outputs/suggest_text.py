"""Suggestions as a short ranked list for the person at the bench."""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.design.model import Design, PartSpec
from fitcheck.odds.intervals import Chance
from fitcheck.odds.rewrite import KEYS
from fitcheck.odds.suggest import Suggestion, Suggestions
from fitcheck.outputs.bench_words import of_100, row
from fitcheck.outputs.odds_details import chance
from fitcheck.units import Unit, show_length

RIGHT = (
    "right: the lid goes on as wanted with its rim off the table, the contents go in, and no part "
    "fights itself"
)


def suggest_text(found: Suggestions, *, details: bool = False) -> str:
    """The original's odds, then what to make instead, best first."""
    original, design = found.original, found.original.design
    counted = f" ({found.boxes} virtual boxes each, seed {found.seed})" if details else ""
    lines = [
        f"{design.title}: what to cut{counted}",
        "",
        f"  tools     {design.tools.name}; sizes in steps of "
        f"{show_length(found.steps.size_mm, design.unit)} ({found.steps.words})",
        f"  as it is  {_right(original.good, details)}",
    ]
    lines += [row("", text) for text in _sizes(original.design)]
    for number, one in enumerate(found.ranked, start=1):
        lines += _suggestion_lines(number, one, design, details)
    if not found.ranked:
        lines.append("  nothing near it comes out right oftener; keep the sizes")
    lines.append(f"  {RIGHT}")
    return "\n".join(lines) + "\n"


def _right(good: Chance, details: bool) -> str:
    return f"all right {chance(good)}" if details else f"{of_100(good)} of 100 come out right"


def _suggestion_lines(
    number: int, one: Suggestion, original: Design, details: bool
) -> Iterator[str]:
    yield f"  {number:<10}{_right(one.good, details)}"
    before = set(_sizes(original))
    for text in _sizes(one.design):
        if text not in before:
            yield row("", text)


def _sizes(design: Design) -> Iterator[str]:
    """The sizes that a suggestion may change."""
    yield _size(design.base, design.unit)
    if design.lid is not None:
        yield _size(design.lid, design.unit)
        yield f"lid depth {show_length(design.lid.depth_mm, design.unit)}"


def _size(spec: PartSpec, unit: Unit) -> str:
    width, length = (show_length(size, unit) for size in spec.size_mm)
    return f"{spec.name} {KEYS[spec.size_by]} {width} x {length}"
