"""A chosen suggestion is written back into its design file's text; comments and order stay."""

from __future__ import annotations

from collections.abc import MutableMapping
from typing import Any

from fitcheck.design.model import Design
from fitcheck.design.rules import KEYS
from fitcheck.design.schema import length_keys
from fitcheck.errors import MissingLibraryError
from fitcheck.styles.dividers import DividersSpec
from fitcheck.styles.insert_spec import InsertSpec
from fitcheck.styles.own_lengths import OwnLength
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.units import MM_PER, Unit, hand_unit, parse_length, show_inches

SAME_MM = 1e-6
SHORT = (SizeBy.OVERSIZE, SizeBy.CONTENTS, SizeBy.SAME_SHEET, SizeBy.EASE)
"""Sizes of which one will do for both axes."""
DEPTH = OwnLength("depth", "outer wall")
"""What every part has."""


def rewritten(text: str, original: Design, chosen: Design, tools: str | None) -> str:
    """The text of a design file with the chosen sizes, stocks and tools in place of its own.

    `tools` is the name of other tools, if the design was moved to them: where those who use them
    measure in another unit, so does the file. Raises MissingLibraryError without the library that
    keeps a file's comments.
    """
    try:
        import tomlkit
    except ImportError as error:
        raise MissingLibraryError(
            "a design file is rewritten with tomlkit, which is missing: pip install tomlkit",
            package="tomlkit",
        ) from error
    document = tomlkit.parse(text)
    if tools is not None:
        document["tools"] = tools
    unit = original.unit
    if hand_unit(chosen.unit) is not hand_unit(unit):
        _brought_to(document, unit, unit := chosen.unit)
        document["unit"] = str(unit)
    for old, new in zip(original.parts, chosen.parts, strict=True):
        table = document[old.place]
        if old.size_by is not new.size_by:
            table.pop(KEYS[old.size_by], None)
        for key, value in _changes(old, new, unit).items():
            table[key] = value
    return tomlkit.dumps(document)


def _brought_to(table: MutableMapping[str, Any], old: Unit, new: Unit) -> None:
    """Write the lengths of a table, and of those in it, in another unit, the same as before."""
    for key, value in table.items():
        for inner in value if isinstance(value, list) else [value]:
            if isinstance(inner, MutableMapping):
                _brought_to(inner, old, new)
        if key in length_keys():
            if isinstance(value, list):
                for place, one in enumerate(value):
                    value[place] = _in_unit(one, old, new)
            else:
                table[key] = _in_unit(value, old, new)


def _in_unit(value: Any, old: Unit, new: Unit) -> Any:
    """A length in another unit; what names its own unit, and a word, stays as it is."""
    try:
        mm = parse_length(value, old)
        own = parse_length(value, new)
    except ValueError:
        return value
    return value if own == mm else written(mm, new)


Value = str | float | list[str | float]


def _changes(old: PartSpec, new: PartSpec, unit: Unit) -> dict[str, Value]:
    """The keys of one part's table that say something else now."""
    found: dict[str, Value] = {}
    if new.stock.name != old.stock.name:
        found["stock"] = new.stock.name
    if any(abs(a - b) > SAME_MM for a, b in zip(old.size_mm, new.size_mm, strict=True)):
        sizes = [written(size, unit) for size in new.size_mm]
        alone = new.size_by in SHORT and sizes[0] == sizes[1]
        found[KEYS[new.size_by]] = sizes[0] if alone else list(sizes)
    if new.own_depth and not old.own_depth:
        found[new.depth_key] = written(new.depth_mm, unit)
    for one in (DEPTH, *new.own_lengths, *new.gaps):
        key = new.depth_key if one is DEPTH else one.key
        was, now = getattr(old, one.attribute), getattr(new, one.attribute)
        if now is None and was is not None:
            found[key] = one.left_open
        elif now is not None and (was is None or abs(now - was) > SAME_MM):
            found[key] = written(now, unit)
    if isinstance(old, InsertSpec) and isinstance(new, InsertSpec):
        found |= _window_changes(old, new, unit)
    if isinstance(old, DividersSpec) and isinstance(new, DividersSpec):
        found |= _slot_changes(old, new, unit)
    for key in new.own_choices:
        said = getattr(new, key)
        if said is not None and said != getattr(old, key):
            found[key] = str(said)
    if not new.own_depth:
        found.pop(new.depth_key, None)
    return found


def _slot_changes(old: DividersSpec, new: DividersSpec, unit: Unit) -> dict[str, Value]:
    """The key of what a slot is wider than a strip is thick."""
    wider = abs(old.slot_mm - new.slot_mm) > SAME_MM
    return {"slot": written(new.slot_mm, unit)} if wider else {}


def _window_changes(old: InsertSpec, new: InsertSpec, unit: Unit) -> dict[str, Value]:
    """The key of an insert's window, or of the play round what it holds."""
    if old.window_mm is None or new.window_mm is None:
        return {}
    if all(abs(a - b) < SAME_MM for a, b in zip(old.window_mm, new.window_mm, strict=True)):
        return {}
    if new.hold is not None:
        return {"play": written(new.play_mm, unit)}
    return {"window": [written(mm, unit) for mm in new.window_mm]}


def written(mm: float, unit: Unit) -> str | float:
    """A length as a design file of that unit has it; other than in even fractions, in mm.

    >>> written(2.38125, Unit.IN), written(2.5, Unit.MM), written(2.0, Unit.IN)
    ('3/32', 2.5, '2 mm')
    """
    if unit is Unit.IN:
        parts = mm / MM_PER[Unit.IN] * 32
        if abs(parts - round(parts)) < 1e-4:
            return show_inches(mm).removesuffix(" in")
        return f"{round(mm, 4):g} mm"
    return float(f"{round(mm / MM_PER[unit], 5):g}")
