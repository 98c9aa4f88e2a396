"""A chosen suggestion is written back into its design file's text; comments and order stay."""

from __future__ import annotations

from fitcheck.design.model import Design
from fitcheck.design.rules import KEYS
from fitcheck.errors import MissingLibraryError
from fitcheck.styles.own_lengths import OwnLength
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.units import MM_PER, Unit, show_inches

SAME_MM = 1e-6
SHORT = (SizeBy.OVERSIZE, SizeBy.CONTENTS, SizeBy.SAME_SHEET, SizeBy.EASE)
"""Sizes of which one will do for both axes."""
DEPTH = OwnLength("depth", "outer wall")
"""What every part has."""


def rewritten(text: str, original: Design, chosen: Design, tools: str | None) -> str:
    """The text of a design file with the chosen sizes, stocks and tools in place of its own.

    `tools` is the name of other tools, if the design was moved to them. Raises
    MissingLibraryError without the library that keeps a file's comments.
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
    for old, new in zip(original.parts, chosen.parts, strict=True):
        table = document[old.place]
        for key, value in _changes(old, new, original.unit).items():
            table[key] = value
    return tomlkit.dumps(document)


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
    for one in (DEPTH, *new.own_lengths, *new.gaps):
        key = new.depth_key if one is DEPTH else one.key
        was, now = getattr(old, one.attribute), getattr(new, one.attribute)
        if now is None and was is not None:
            found[key] = one.left_open
        elif now is not None and (was is None or abs(now - was) > SAME_MM):
            found[key] = written(now, unit)
    for key in new.own_choices:
        said = getattr(new, key)
        if said is not None and said != getattr(old, key):
            found[key] = str(said)
    if not new.own_depth:
        found.pop(new.depth_key, None)
    return found


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
