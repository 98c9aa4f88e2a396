"""A design's text with changes made to it, as they are typed, stepped or pulled; comments stay."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import tomlkit
from pydantic import BaseModel, ConfigDict, Field
from tomlkit.exceptions import TOMLKitError

from fitcheck.bench.forms import Kind, kind_at
from fitcheck.bench.other_unit import EASED, THIN, between_marks, bring_to, bring_to_marks
from fitcheck.bench.starts import start
from fitcheck.design.read import DEFAULT_TOOLS
from fitcheck.errors import InputError
from fitcheck.odds.rewrite import written
from fitcheck.outputs.bench_words import groove_words
from fitcheck.stock.profile_files import find_tools
from fitcheck.stock.tools import Tools
from fitcheck.styles.places import PLACES
from fitcheck.units import MM_PER, Unit, parse_length
from fitcheck.workspace.lengths import FILE_UNITS
from fitcheck.workspace.paths import search_roots
from fitcheck.workspace.toml import tables_of

CALLED = "design"
"""What problems of a draft begin with."""
MOST_CHANGES = 200
MOST_LETTERS = 100_000
MOST_STEPS = 10_000
FURTHEST_MM = 10_000.0
"""Beyond what is read as a length, so that it is told as one."""
_DECIMAL_COMMA = re.compile(r"\s*(-?\d+),(\d+)\s*((?:mm|cm|in|pt)?)\s*")
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_WHOLE = re.compile(r"-?\d{1,9}")
OWN_GRID_MM: Mapping[Unit, float] = {
    Unit.IN: MM_PER[Unit.IN] / 16,
    Unit.MM: 1.0,
    Unit.CM: 1.0,
}
"""What a length is stepped by on a board without grooves."""

MARK_MM: Mapping[Unit, float] = {Unit.IN: MM_PER[Unit.IN] / 32, Unit.MM: 0.5, Unit.CM: 0.5}
"""What a rule shows between its marks: lengths that no score hangs on are stepped by it."""
THIN_MM = 0.05

PARTS = frozenset(place.name for place in PLACES)
Place = tuple[str | int, ...]


class Change(BaseModel):
    """One change: a value as it was typed, steps along the grooves, a length that was pulled to, or
    what is taken away."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)
    at: list[str | int]
    """Where: table, key, and the side of a pair or the number of a content."""
    value: str | bool | list[str] | None = None
    step: int | None = Field(None, ge=-MOST_STEPS, le=MOST_STEPS)
    fine: bool = False
    """By the marks of a rule, not by the board's grooves."""
    mm: float | None = Field(None, ge=-FURTHEST_MM, le=FURTHEST_MM)
    remove: bool = False
    table: dict[str, str] | None = None
    """A whole new part or content."""
    to_marks: bool = False
    """Every size to the nearest mark of a rule, wherever."""


class Draft(BaseModel):
    """A text and what is to become of it."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)
    name: str
    text: str
    changes: list[Change] = []


def changed(draft: Draft) -> str:
    """The text with all changes made. Raises InputError for a text or a place that cannot be."""
    if len(draft.text) > MOST_LETTERS or len(draft.changes) > MOST_CHANGES:
        raise InputError(f"{CALLED}: is too long; allowed: {MOST_LETTERS} letters; shorten it")
    if not draft.changes:
        return draft.text
    tables_of(draft.text, CALLED)  # in bounds, before the slower reader has it
    try:
        document = tomlkit.parse(draft.text)
    except TOMLKitError as error:
        raise InputError(f"{CALLED}: is not TOML: {error}; mend that line") from None
    for change in draft.changes:
        try:
            _make(document, change)
        except (KeyError, IndexError, TypeError, AttributeError):
            at = ".".join(map(str, change.at))
            raise InputError(
                f"{CALLED}: {at}: there is no such place; load the page anew"
            ) from None
    return tomlkit.dumps(document)


def _make(document: Any, change: Change) -> None:
    """One change of a document."""
    at = tuple(change.at)
    if change.remove:
        _remove(document, at)
    elif change.table is not None:
        _add(document, at, change.table)
    elif change.step is not None or change.mm is not None:
        _set(document, at, _moved(document, at, change))
    elif change.to_marks:
        bring_to_marks(document, unit_of(document))
    elif change.value is not None:
        if at == ("unit",) and document.get("unit") in FILE_UNITS and change.value in FILE_UNITS:
            bring_to(document, unit_of(document), Unit(str(change.value)))
        _set(document, at, _typed(document, at, change.value))
        if len(at) == 2 and at[1] == "style":
            _start(document, str(at[0]))


def _start(document: Any, place: str) -> None:
    """Give a part what its style needs."""
    unit = unit_of(document)
    start(document, place, grid_mm(document), MARK_MM[unit], unit)


def _remove(document: Any, at: Place) -> None:
    holder = _held(document, at[:-1])
    del holder[at[-1]]
    if at[0] == "content" and len(at) == 2 and not len(holder):
        del document["content"]
    elif len(at) > 1 and not len(holder) and isinstance(at[-2], str) and at[-2] not in PARTS:
        del _held(document, at[:-2])[at[-2]]  # a small table that says nothing any more


def _add(document: Any, at: Place, table: Mapping[str, str]) -> None:
    new = tomlkit.table()
    for key, value in table.items():
        new[key] = int(value) if key == "count" and _WHOLE.fullmatch(value) else value
    if at[0] == "content":
        if "content" not in document:
            document["content"] = tomlkit.aot()
        document["content"].append(new)
    else:
        document[at[0]] = new
        _start(document, str(at[0]))


def _set(document: Any, at: Place, value: Any) -> None:
    """Put a value in its place; of a pair that is written as one length, both are written then."""
    holder = _held(document, at[:-1]) if not isinstance(at[-1], int) else None
    if holder is not None:
        holder[at[-1]] = value
        return
    key, side = at[-2], int(at[-1])
    table = _held(document, at[:-2])
    there = table.get(key, "")
    sides = list(there) if isinstance(there, list) else [there, there]
    sides[side] = value
    table[key] = sides


def _held(document: Any, at: Place) -> Any:
    """A table or a list; of tables that stand in no file yet an empty one."""
    here = document
    for step in at:
        if isinstance(step, str) and step not in here:
            here[step] = tomlkit.inline_table()
        here = here[step]
    return here


def _typed(document: Any, at: Place, value: str | bool | list[str]) -> Any:
    """What is written for what was typed: a number where it is one, else the text."""
    if isinstance(value, list):
        return [_typed(document, (*at, k), one) for k, one in enumerate(value)]
    if isinstance(value, bool):
        return value
    text = value.strip()
    kind = kind_at(document, at)
    if kind in (Kind.LENGTH, Kind.PAIR, Kind.NUMBER):
        comma = _DECIMAL_COMMA.fullmatch(text)
        if comma is not None:
            text = f"{comma[1]}.{comma[2]} {comma[3]}".strip()
        plain = _NUMBER.fullmatch(text) is not None and len(text) < 12
        if plain and (kind is Kind.NUMBER or unit_of(document) is not Unit.IN):
            return int(text) if _WHOLE.fullmatch(text) else float(text)
    return text


def _moved(document: Any, at: Place, change: Change) -> Any:
    """A length stepped to a groove, or the groove next to where it was pulled.

    Lengths that no score hangs on alone go by the marks of a rule.
    """
    unit, grid = unit_of(document), grid_mm(document)
    key = next((one for one in reversed(at) if isinstance(one, str)), "")
    if key in THIN:
        grid = THIN_MM
    elif key in EASED or change.fine:
        grid = MARK_MM[unit]
    if change.mm is not None:
        return written(round(change.mm / grid) * grid, unit)
    try:
        mm = parse_length(_at(document, at), unit)
    except (ValueError, TypeError):
        mm = 0.0
    step = change.step or 0
    grooves = mm / grid
    near = round(grooves)
    if abs(grooves - near) > 1e-6:
        near = int(grooves // 1) + (1 if step < 0 else 0)
    return written((near + step) * grid, unit)


def _at(document: Any, at: Place) -> Any:
    """What stands at a place."""
    if isinstance(at[-1], int) and at[0] != "content":
        pair = _held(document, at[:-1])
        return pair[at[-1]] if isinstance(pair, list) else pair
    return _held(document, at[:-1]).get(at[-1], 0)


def unit_of(tables: Mapping[str, Any]) -> Unit:
    """The unit of a file's lengths; mm where it says none that is known."""
    said = tables.get("unit")
    return Unit(str(said)) if said in FILE_UNITS else Unit.MM


def grid_mm(tables: Mapping[str, Any]) -> float:
    """How far a design's board has its grooves apart, mm; a usual step where it has none."""
    tools = _tools_of(tables)
    return (tools and tools.grid_mm) or OWN_GRID_MM[unit_of(tables)]


def grooves_of(tables: Mapping[str, Any]) -> str:
    """What grooves a design's board has, in words."""
    tools = _tools_of(tables)
    return "no grooves" if tools is None else groove_words(tools)


def marks_of(tables: Mapping[str, Any]) -> dict[str, float]:
    """How many sizes of a design lie between the marks of a rule, and how far at the most, mm."""
    count, most_mm = between_marks(tables, unit_of(tables))
    return {"between": count, "most_mm": round(most_mm, 3)}


def _tools_of(tables: Mapping[str, Any]) -> Tools | None:
    """The tools of a design; None where there are none of that name."""
    try:
        return find_tools(str(tables.get("tools", DEFAULT_TOOLS[unit_of(tables)])), search_roots())
    except InputError:
        return None
