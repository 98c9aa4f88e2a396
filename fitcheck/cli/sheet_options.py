"""How the options of `fitcheck sheet` are read; each error says what is allowed."""

from __future__ import annotations

from collections.abc import Sequence

from fitcheck.drawing.page_sizes import PAPER_SIZES, Paper
from fitcheck.errors import InputError
from fitcheck.outputs.sheet_files import USUAL, Format
from fitcheck.plain import shown
from fitcheck.stock.bought_sheets import LARGEST_SHEET_MM, MOST_SHEETS, Bought
from fitcheck.units import Unit, parse_length

MOST_KITS = 100_000
SIDES = 2


def chosen_paper(name: str) -> Paper:
    """The paper of that name. Raises InputError for another."""
    if name.lower() not in set(Paper):
        raise InputError(f"--paper: read {shown(name)}; allowed: {_either(Paper)}")
    return Paper(name.lower())


def chosen_formats(names: Sequence[str] | None) -> frozenset[Format]:
    """The formats of those names, the usual ones when none is named. InputError for another."""
    wrong = [name for name in names or () if name.lower() not in set(Format)]
    if wrong:
        raise InputError(
            f"--format: read {shown(name)}; allowed: {_either(Format)}" for name in wrong
        )
    return frozenset(Format(name.lower()) for name in names or USUAL)


def kit_count(kits: int) -> int:
    """The number of kits. Raises InputError for one that cannot be."""
    if not 1 <= kits <= MOST_KITS:
        raise InputError(f"--class: read {shown(kits)}; allowed: 1 to {MOST_KITS} kits")
    return kits


def bought_sheets(texts: Sequence[str] | None, unit: Unit) -> tuple[Bought, ...]:
    """The bought sheets, none when none is given; InputError for a bad text."""
    if texts and len(texts) > MOST_SHEETS:
        raise InputError(
            f"--bought: read {len(texts)} of them; allowed: up to {MOST_SHEETS}; leave some out"
        )
    return tuple(_bought(text, unit) for text in texts or ())


def _bought(text: str, unit: Unit) -> Bought:
    if text.lower() in set(Paper):
        size = PAPER_SIZES[Paper(text.lower())]
        return Bought(text.lower(), size.width_mm, size.height_mm)
    allowed = f"allowed: {_either(Paper)}, or WIDTHxLENGTH such as 8.5x11 (in {unit})"
    sides = text.lower().replace("\u00d7", "x").split("x")
    if len(sides) != SIDES:
        raise InputError(f"--bought: read {shown(text)}; {allowed}")
    try:
        width, length = (parse_length(side, unit) for side in sides)
    except ValueError as error:
        raise InputError(f"--bought: read {shown(text)}, which {error}; {allowed}") from error
    if not (min(width, length) > 0.0 and max(width, length) <= LARGEST_SHEET_MM):
        raise InputError(
            f"--bought: read {shown(text)}; allowed: sides above 0 and up to "
            f"{LARGEST_SHEET_MM / 1000:g} m"
        )
    return Bought(text, width, length)


def _either(choices: type[Paper] | type[Format]) -> str:
    return ", ".join(choice.value for choice in choices)
