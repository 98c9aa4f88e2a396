"""How the options of `fitcheck coupon`, `gauge` and `--printer` are read."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from fitcheck.errors import InputError
from fitcheck.units import Unit, parse_length

if TYPE_CHECKING:
    from fitcheck.learn.coupon import Coupon
    from fitcheck.outputs.gauge_files import GaugeOrder
    from fitcheck.solids.correction import Correction
    from fitcheck.stock.paper import Stock
    from fitcheck.stock.printer import Printer

CHANNEL_MM = 49.8
"""The inside of a coupon's middle channel, in most papers of a box."""
NEW_CALIPER_MM = 0.3
"""A new paper is drawn as if it were this thick; no line of the coupon moves with it."""


def coupon_order(name: str, tools: str, printer: str | None) -> tuple[Coupon, Stock, Correction]:
    """The coupon of a stock, known or new, and the correction of its block."""
    from fitcheck.cli.workplace import place_here
    from fitcheck.learn.coupon import coupon_for
    from fitcheck.stock.files import find_stock, find_tools
    from fitcheck.stock.paper import Stock
    from fitcheck.workspace.names import Shelf, is_name, names_on

    roots = place_here().roots
    if not is_name(name):
        raise InputError(
            f"STOCK: read '{name}'; allowed: letters, digits, dots, hyphens and underscores, as in "
            "cardstock-270; choose another name"
        )
    if name in names_on(Shelf.STOCK, roots):
        stock = find_stock(name, roots)
    else:
        caliper = NEW_CALIPER_MM
        stock = Stock(name, "paper", caliper, caliper / 10, caliper / 2, caliper / 10, False)
    return coupon_for(name, find_tools(tools, roots)), stock, correction_named(printer)[1]


def gauge_order(
    name: str, sizes: Iterable[str] | None, design: Path | None, want: str
) -> GaugeOrder:
    """What to make to gauge a printer, known or new."""
    from fitcheck.cli.workplace import place_here
    from fitcheck.outputs.gauge_files import GaugeOrder
    from fitcheck.workspace.names import Shelf, is_name, names_on

    if not is_name(name):
        raise InputError(
            f"PRINTER: read '{name}'; allowed: letters, digits, dots, hyphens and underscores; "
            "choose another name"
        )
    known = name in names_on(Shelf.PRINTER, place_here().roots)
    printer, correction = correction_named(name if known else None)
    middles = [_length("--size", text) for text in sizes or ()]
    if design is not None:
        middles += _insides(design)
    return GaugeOrder(
        name, tuple(middles or [CHANNEL_MM]), _length("--want", want), printer, correction
    )


def correction_named(name: str | None) -> tuple[Printer | None, Correction]:
    """A printer's profile and the correction that it asks for; as modelled without a name."""
    from fitcheck.cli.workplace import place_here
    from fitcheck.solids.correction import IDENTITY
    from fitcheck.solids.profiles import correction_of
    from fitcheck.stock.files import find_printer

    if name is None:
        return None, IDENTITY
    try:
        printer = find_printer(name, place_here().roots)
    except InputError as error:
        raise InputError(f"--printer: {line}" for line in error.lines) from None
    return printer, correction_of(printer)


def _insides(design: Path) -> list[float]:
    """Width inside the base, and inside the lid at its walls, to a tenth of a millimetre."""
    from fitcheck.design.read import read_design
    from fitcheck.fit.assembly import assemble
    from fitcheck.workspace.designs import find_design

    parts = assemble(read_design(find_design(design))).parts
    return list(dict.fromkeys(round(part.sizes.inside_mm[0], 1) for part in parts))


def _length(option: str, text: str) -> float:
    try:
        return parse_length(text, Unit.MM)
    except ValueError as error:
        raise InputError(f"{option}: read '{text}', which {error}") from None
