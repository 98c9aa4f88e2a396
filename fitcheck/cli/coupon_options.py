"""How the options of `fitcheck coupon`, `gauge` and `--printer` are read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from fitcheck.cli.common_options import length_given
from fitcheck.errors import InputError
from fitcheck.plain import shown

if TYPE_CHECKING:
    from fitcheck.learn.hand_coupon import HandCoupon
    from fitcheck.learn.paper_coupon import Coupon
    from fitcheck.outputs.gauge_files import GaugeOrder
    from fitcheck.solids.correction import Correction
    from fitcheck.stock.paper import Stock
    from fitcheck.stock.printer import Printer

CHANNEL_MM = 49.8
"""The inside of a coupon's middle channel, in most papers of a box."""
NEW_CALIPER_MM = 0.3
"""A new paper is drawn as if it were this thick; no line of the coupon moves with it."""
MOST_WANTED_MM = 1.0
"""A coarser gauge tells nothing that a ruler does not."""
MOST_GAUGES = 6
"""Stepped gauges of one run; each takes seconds to model."""


def coupon_order(name: str, tools: str, printer: str | None) -> tuple[Coupon, Stock, Correction]:
    """The coupon of a stock, known or new, and the correction of its block."""
    from fitcheck.learn.paper_coupon import coupon_for
    from fitcheck.stock.paper import Stock
    from fitcheck.stock.profile_files import find_stock, find_tools
    from fitcheck.workspace.names import Shelf, check_new_name, names_on
    from fitcheck.workspace.paths import workplace_here

    roots = workplace_here().roots
    known = names_on(Shelf.STOCK, roots)
    check_new_name("STOCK", name, known)
    if name in known:
        stock = find_stock(name, roots)
    else:
        caliper = NEW_CALIPER_MM
        stock = Stock(name, "paper", caliper, caliper / 10, caliper / 2, caliper / 10, False)
    made = coupon_for(name, find_tools(tools, roots), half_cut=stock.half_cut)
    return made, stock, correction_named(printer)[1]


def hand_order(
    name: str, tools: str | None, printer: str | None, *, hand: bool
) -> HandCoupon | None:
    """The coupon of a hand with some tools, known or new; None where the name is a paper's.

    Raises InputError for options that contradict it.
    """
    from fitcheck.learn.hand_coupon import hand_coupon_for
    from fitcheck.stock.profile_files import find_tools
    from fitcheck.stock.tools import USUAL_TOOLS
    from fitcheck.workspace.names import Shelf, check_new_name, names_on
    from fitcheck.workspace.paths import workplace_here

    roots = workplace_here().roots
    known = names_on(Shelf.TOOLS, roots)
    if not hand and name not in known:
        return None
    if hand and name not in known:
        check_new_name("STOCK", name, known)
        papers = names_on(Shelf.STOCK, roots)
        if name in papers:
            raise InputError(
                f"--hand: read it for {shown(name)}, which is a stock; allowed: the name of tools, "
                "known or new; leave --hand out, or choose another name"
            )
    if printer is not None:
        raise InputError(
            f"--printer: read it for {shown(name)}, which is tools; allowed: with a stock, whose "
            "block is printed; leave it out"
        )
    if tools is not None and name in known and tools != name:
        raise InputError(
            f"--tools: read {shown(tools)} for the coupon of {shown(name)}; allowed: with a stock "
            "or new tools; leave it out"
        )
    like = find_tools(name if name in known else tools or USUAL_TOOLS, roots)
    coupon = hand_coupon_for(replace(like, name=name))
    return coupon if name in known else replace(coupon, like=like.name)


def gauge_order(
    name: str, sizes: Sequence[str] | None, design: Path | None, want: str
) -> GaugeOrder:
    """What to make to gauge a printer, known or new."""
    from fitcheck.outputs.gauge_files import GaugeOrder
    from fitcheck.workspace.names import Shelf, check_new_name, names_on
    from fitcheck.workspace.paths import workplace_here

    printers = names_on(Shelf.PRINTER, workplace_here().roots)
    check_new_name("PRINTER", name, printers)
    wanted = _wanted(want)
    middles = _middles(tuple(sizes or ()))
    printer, correction = correction_named(name if name in printers else None)
    if design is not None:
        middles += _insides(design)
    return GaugeOrder(name, tuple(middles or [CHANNEL_MM]), wanted, printer, correction)


def _wanted(text: str) -> float:
    """What --want asks of the steps, mm."""
    from fitcheck.solids.plugs import FINEST_MM
    from fitcheck.uncertainty import resolution_u

    wanted, least = length_given("--want", text), resolution_u(FINEST_MM)
    if not least <= wanted <= MOST_WANTED_MM:
        raise InputError(
            f"--want: read {shown(text)}; allowed: {least:.4f} mm (steps of {FINEST_MM:g} mm; less "
            f"asks for finer steps than a printer makes) to {MOST_WANTED_MM:g} mm; 0.03 mm will do"
        )
    return wanted


def _middles(texts: Sequence[str]) -> list[float]:
    """The middles of the stepped gauges, mm."""
    from fitcheck.solids.plugs import LEAST_MM, MOST_MM

    if len(texts) > MOST_GAUGES:
        raise InputError(
            f"--size: read {len(texts)} of them; allowed: up to {MOST_GAUGES}; make the others in "
            "a second run"
        )
    middles = [length_given("--size", text) for text in texts]
    for text, middle in zip(texts, middles, strict=True):
        if not LEAST_MM <= middle <= MOST_MM:
            raise InputError(
                f"--size: read {shown(text)}; allowed: {LEAST_MM:g} to {MOST_MM:g} mm; choose "
                "another size"
            )
    return middles


def correction_named(name: str | None) -> tuple[Printer | None, Correction]:
    """A printer's profile and the correction that it asks for; as modelled without a name."""
    from fitcheck.solids.correction import IDENTITY, correction_of
    from fitcheck.stock.profile_files import find_printer
    from fitcheck.workspace.paths import workplace_here

    if name is None:
        return None, IDENTITY
    try:
        printer = find_printer(name, workplace_here().roots)
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
