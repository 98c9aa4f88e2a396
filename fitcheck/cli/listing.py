"""`fitcheck list`: what there is to choose from, with sources."""

from __future__ import annotations

import enum
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

import typer

from fitcheck.plain import brief, one_line

if TYPE_CHECKING:
    from fitcheck.learn.scored_boxes import Apart, ScoredBox
    from fitcheck.workspace.names import Shelf
    from fitcheck.workspace.registers import Register


Row = tuple[str, str, str]
LONGEST_NAME = 100
LONGEST = 500
"""Of what is said of one thing, and of its source."""
Thing = TypeVar("Thing")


class Kind(enum.StrEnum):
    """What can be listed."""

    STOCKS = "stocks"
    TOOLS = "tools"
    PRINTERS = "printers"
    ITEMS = "items"
    STYLES = "styles"
    KINDS = "kinds"
    RECORDS = "records"


def list_command(
    kind: Annotated[Kind, typer.Argument(help="What to list.", show_default=False)],
    details: Annotated[
        bool, typer.Option("--details", help="With records: how forecasts did, in figures.")
    ] = False,
) -> None:
    """List what there is of a kind, with its sources."""
    rows = {
        Kind.STOCKS: _stocks,
        Kind.TOOLS: _tools,
        Kind.PRINTERS: _printers,
        Kind.ITEMS: _items,
        Kind.STYLES: _styles,
        Kind.KINDS: _kinds,
        Kind.RECORDS: _records,
    }[kind]()
    name = ""
    for name, what, source in (map(one_line, row) for row in rows):
        sys.stdout.write(f"{brief(name, LONGEST_NAME)}\n    {brief(what, LONGEST)}\n")
        if source:
            sys.stdout.write(f"    source: {brief(source, LONGEST)}\n")
    if not name and kind is Kind.PRINTERS:
        sys.stdout.write(
            "no printer is known yet: `fitcheck gauge NAME -o DIR` makes what to print\n"
        )
    if kind is Kind.RECORDS:
        _write_score(details)


def _each(shelf: Shelf, read: Callable[[Path], Thing]) -> Iterator[tuple[str, Thing]]:
    """Each named thing on a shelf; those that cannot be read are told when the others were."""
    from fitcheck.errors import InputError
    from fitcheck.workspace.names import names_on
    from fitcheck.workspace.paths import search_roots

    problems: list[str] = []
    for name, path in names_on(shelf, search_roots()).items():
        try:
            thing = read(path)
        except InputError as error:
            problems += error.lines
        else:
            yield name, thing
    if problems:
        raise InputError(problems)


def _told_by(source: str, records: Sequence[str]) -> str:
    """Where values come from, and which of the records that they were fitted from are not there."""
    from fitcheck.workspace.paths import search_roots
    from fitcheck.workspace.records import missing_records, records_folder

    lost = missing_records(records, [records_folder(root) for root in search_roots()])
    told = source or f"records {', '.join(records)}"
    return f"{told} (not there: {', '.join(lost)})" if lost else told


def _stocks() -> Iterator[Row]:
    from fitcheck.stock.profile_files import read_stock
    from fitcheck.workspace.names import Shelf

    for name, stock in _each(Shelf.STOCK, read_stock):
        crease = stock.how_known
        weight = f", {stock.grammage_gsm:g} g/m2" if stock.grammage_gsm else ""
        yield (
            name,
            f"{stock.kind}{weight}, caliper {stock.caliper_mm:.3f} +- {stock.caliper_u_mm:.3f} mm, "
            f"crease allowance {stock.crease_allowance_mm:.3f} +- "
            f"{stock.crease_allowance_u_mm:.3f} mm ({crease})",
            _told_by(stock.source, stock.records),
        )


def _tools() -> Iterator[Row]:
    from fitcheck.outputs.bench_words import groove_words
    from fitcheck.stock.tools_files import read_tools
    from fitcheck.workspace.names import Shelf

    for name, tools in _each(Shelf.TOOLS, read_tools):
        grid = groove_words(tools)
        yield (
            name,
            f"{grid}; scores +- {tools.score_u_on_grid_mm:.2f} mm on them, "
            f"+- {tools.score_u_off_grid_mm:.2f} mm off them; cuts +- {tools.cut_u_mm:.2f} mm, "
            f"knife +- {tools.knife_u_mm:.2f} mm; "
            f"joint {tools.joint_mm:.2f} +- {tools.joint_u_mm:.2f} mm; sheets "
            f"{', '.join(paper.name for paper in tools.papers)}"
            f"{'' if tools.papers_known else ' (assumed)'}",
            _told_by(tools.source, tools.records),
        )


def _printers() -> Iterator[Row]:
    from fitcheck.stock.profile_files import read_printer
    from fitcheck.workspace.names import Shelf

    for name, printer in _each(Shelf.PRINTER, read_printer):
        scales = ", ".join(
            f"{axis} {100 * (getattr(printer, f'scale_{axis}') - 1):+.2f} %" for axis in "xyz"
        )
        yield (
            name,
            f"scale {scales}; outside {printer.outside_offset_mm:+.2f} mm, holes "
            f"{printer.hole_offset_mm:+.2f} mm, first layer {printer.first_layer_mm:+.2f} mm a "
            f"side; heights {printer.height_offset_mm:+.2f} mm",
            _told_by(printer.source, printer.records),
        )


def _records() -> Iterator[Row]:
    from fitcheck.errors import InputError
    from fitcheck.learn.boxes_file import BOXES_FILE, read_boxes
    from fitcheck.learn.counted_records import summary_of
    from fitcheck.learn.forecast_files import all_forecasts
    from fitcheck.outputs.forecast_text import forecast_row
    from fitcheck.outputs.record_text import box_rows
    from fitcheck.workspace.paths import workplace_here

    root = workplace_here().root
    for name, what in summary_of(root):
        yield name, what, ""
    for name, kept in all_forecasts(root):
        yield name, forecast_row(kept), ""
    try:
        yield from box_rows(read_boxes(root), {a.box.number: a.why for a in _beside(root)[1]})
    except InputError as error:
        yield from ((BOXES_FILE, f"cannot be used: {line}", "") for line in error.lines)


def _beside(root: Path) -> tuple[tuple[ScoredBox, ...], tuple[Apart, ...]]:
    from fitcheck.learn.boxes_file import read_boxes
    from fitcheck.learn.forecast_files import all_forecasts
    from fitcheck.learn.scored_boxes import beside

    return beside(read_boxes(root), dict(all_forecasts(root)))


def _write_score(details: bool) -> None:
    from fitcheck.errors import InputError
    from fitcheck.learn.standing import standing_of
    from fitcheck.outputs.score_details import score_details
    from fitcheck.outputs.score_text import score_lines
    from fitcheck.workspace.paths import workplace_here

    try:
        scored, apart = _beside(workplace_here().root)
    except InputError:  # said above, where its boxes would stand
        return
    standing = standing_of(scored, apart, details=details)
    for line in (*score_lines(standing), *(score_details(standing) if details else ())):
        sys.stdout.write(f"{line}\n")


def _items() -> Iterator[Row]:
    from fitcheck.design.items import known_items
    from fitcheck.errors import InputError
    from fitcheck.workspace.paths import search_roots

    items, problems = known_items(search_roots()).sound()
    for name, item in items.items():
        size = " x ".join(f"{side:g}" for side in item.size_mm)
        yield name, f"{item.kind}, {size} mm", item.source
    if problems:
        raise InputError(problems)


def _styles() -> Iterator[Row]:
    from fitcheck.styles import STYLES

    return _registered(STYLES, "; `fitcheck new` has no plan for it: write its design file by hand")


def _kinds() -> Iterator[Row]:
    from fitcheck.kinds import KINDS

    return _registered(KINDS)


def _registered(register: Register[Any], theirs: str = "") -> Iterator[Row]:
    """What can be used; what other packages offer and cannot is told when the others were."""
    from fitcheck.errors import InputError

    for one in register.sound():
        source = "" if one.name in register.ours else register.package(one.name) + theirs
        yield one.name, one.summary, source
    problems = register.problems()
    if problems:
        raise InputError(problems)
