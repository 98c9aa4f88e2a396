"""What is known of a paper, a hand or a printer, in words for a maker, and its records."""

from __future__ import annotations

import enum
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Kind
from fitcheck.learn.csv_rows import read_sheet
from fitcheck.learn.evaluate import NORMAL_FACTOR
from fitcheck.learn.set_aside import list_of, set_aside_in
from fitcheck.stock.paper import Stock
from fitcheck.stock.printer import Printer
from fitcheck.stock.profile_files import read_printer, read_stock
from fitcheck.stock.tools import Tools
from fitcheck.stock.tools_files import read_tools
from fitcheck.workspace.names import Shelf, names_on
from fitcheck.workspace.records import records_of

NOTHING = "not measured yet"
Row = tuple[str, str]


class What(enum.StrEnum):
    """What can be measured, by its word on the page."""

    PAPER = "paper"
    HAND = "hand"
    PRINTER = "printer"

    @property
    def kind(self) -> Kind:
        """The same where readings are kept."""
        return {What.PAPER: Kind.STOCK, What.HAND: Kind.TOOLS, What.PRINTER: Kind.PRINTER}[self]


def what_of(word: str) -> What:
    """One of them by its word. Raises InputError for another."""
    try:
        return What(word)
    except ValueError:
        allowed = ", ".join(What)
        raise InputError(f"what is measured: read another; allowed: {allowed}") from None


def known_rows(what: What, name: str, roots: Sequence[Path]) -> tuple[Row, ...]:
    """What is known under a name, each with its words; nothing of a name that is new.

    Raises InputError where its file cannot be understood.
    """
    shelf, read, rows = _READERS[what]
    path = names_on(shelf, roots).get(name)
    return () if path is None else tuple(rows(read(path)))


def compared(before: Sequence[Row], after: Sequence[Row]) -> list[dict[str, Any]]:
    """What was known before and what is after, line by line."""
    old = dict(before)
    return [
        {"what": what, "before": old.get(what, NOTHING), "after": words,
         "new": old.get(what) != words}
        for what, words in after
    ]  # fmt: skip


def records_told(what: What, name: str, root: Path) -> list[dict[str, Any]]:
    """The records of a name in the workspace, the oldest first, and whether each counts."""
    kind = what.kind
    aside = set_aside_in(list_of(root, kind, name))
    return [
        {"name": path.name, "words": _record_words(path), "aside": path.name in aside}
        for path in records_of(root, kind, name)
    ]


def _record_words(path: Path) -> str:
    try:
        readings = read_sheet(path, path.name).readings
    except InputError as error:
        return f"cannot be read: {error.lines[0]}"
    count = "1 reading" if len(readings) == 1 else f"{len(readings)} readings"
    days = sorted({reading.date for reading in readings})
    when = days[0] if len(days) == 1 else f"{days[0]} to {days[-1]}"
    who = ", ".join(sorted({" ".join(reading.by.split()) for reading in readings}))
    return f"{count}, {when}, by {who}"


def _paper(stock: Stock) -> Iterator[Row]:
    yield "one sheet is thick", _about(stock.caliper_mm, stock.caliper_u_mm, 3)
    grain = stock.by_grain
    beyond = "a folded wall stands beyond its score by"
    if grain is not None:
        for way in ("along", "across"):
            allowance, u = stock.allowance(way == "along")
            rule = f"{NOTHING}; {allowance:.2f} mm by rule of thumb"
            about = rule if grain.not_measured == way else _about(allowance, u)
            yield f"{beyond}, {way} the grain", about
    elif stock.calibrated:
        yield beyond, _about(stock.crease_allowance_mm, stock.crease_allowance_u_mm)
    else:
        yield beyond, f"{NOTHING}; {stock.crease_allowance_mm:.2f} mm by rule of thumb"
    if stock.corner_give_u is not None:
        half = NORMAL_FACTOR * stock.corner_give_u
        words = f"{stock.corner_give:.1f} times a sheet and the glue, give or take {half:.1f}"
        yield "a glued corner pushes its wall out by", words


def _hand(tools: Tools) -> Iterator[Row]:
    own = tools.habits
    far, near = "far from the fence", "near the fence"
    if own.scale:
        far, near = (f"{word} at {own.scale_from_mm:.0f} mm" for word in (far, near))
    if tools.assumed is None:
        yield "measured", NOTHING
    yield "95 of 100 cuts come out", _within(tools.cut_u_mm, own.cut_mm, "large", "small")
    in_groove = _within(tools.score_u_on_grid_mm, own.fence_mm, far, near)
    yield "95 of 100 scores in a groove lie", in_groove
    between_mm = own.fence_mm + own.between_mm
    between = _within(tools.score_u_off_grid_mm, between_mm, far, near)
    yield "95 of 100 scores between grooves lie", between
    yield "95 of 100 cuts with a knife come out", _within(tools.knife_u_mm, 0.0, "", "")
    if own.scale:
        per = 100.0 * own.scale
        word = "long" if per > 0 else "short"
        yield "the board's scale", f"{abs(per):.2f} mm too {word} on 100 mm"


def _printer(printer: Printer) -> Iterator[Row]:
    for axis in "xyz":
        scale = 100.0 * (getattr(printer, f"scale_{axis}") - 1.0)
        half = 100.0 * NORMAL_FACTOR * float(getattr(printer, f"scale_{axis}_u"))
        word = "long" if scale > 0 else "short"
        what = f"100 mm along {axis} come out"
        yield what, f"{abs(scale):.2f} mm too {word}, give or take {half:.2f}"
    for what, mm, u in (
        ("outside faces stand out by", printer.outside_offset_mm, printer.outside_offset_u_mm),
        ("faces of holes stand in by", printer.hole_offset_mm, printer.hole_offset_u_mm),
        ("the first layer spreads by", printer.first_layer_mm, printer.first_layer_u_mm),
        ("everything is too high by", printer.height_offset_mm, printer.height_offset_u_mm),
    ):
        yield what, _about(mm, u)


def _about(mm: float, u_mm: float, digits: int = 2) -> str:
    """A length and within what it lies in 95 of 100."""
    return f"{mm:.{digits}f} mm, give or take {NORMAL_FACTOR * u_mm:.{digits}f}"


def _within(u_mm: float, off_mm: float, more: str, less: str) -> str:
    """How far 95 of 100 come out from the mark, or from where they lie as a rule."""
    within = f"within {NORMAL_FACTOR * u_mm:.2f} mm"
    if abs(off_mm) < 0.005:
        return f"{within} of the mark"
    return f"{within} of {abs(off_mm):.2f} mm too {more if off_mm > 0 else less}"


_READERS: dict[What, tuple[Shelf, Callable[[Path], Any], Callable[[Any], Iterator[Row]]]] = {
    What.PAPER: (Shelf.STOCK, read_stock, _paper),
    What.HAND: (Shelf.TOOLS, read_tools, _hand),
    What.PRINTER: (Shelf.PRINTER, read_printer, _printer),
}
