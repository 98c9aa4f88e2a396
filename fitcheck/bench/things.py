"""What there is to choose from: papers, boards, printers, items, boxes, and words to look up."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from fitcheck.cautions import cutting_cautions, printing_cautions
from fitcheck.design.items import known_items
from fitcheck.drawing.page_sizes import Paper
from fitcheck.errors import InputError
from fitcheck.outputs.bench_words import groove_words
from fitcheck.outputs.dummy_kinds import DummyKind
from fitcheck.outputs.words import WORDS
from fitcheck.plain import brief, one_line
from fitcheck.proposals.plans import PLANS
from fitcheck.stock.paper import Stock
from fitcheck.stock.printer import Printer
from fitcheck.stock.profile_files import read_printer, read_stock
from fitcheck.stock.tools_files import read_tools
from fitcheck.styles import STYLES
from fitcheck.workspace.names import Shelf, names_on
from fitcheck.workspace.paths import search_roots

LONGEST = 300


def things() -> dict[str, Any]:
    """All of it, as plain data."""
    problems: list[str] = []
    return {
        "papers": list(_each(Shelf.STOCK, read_stock, _paper, problems)),
        "boards": list(_each(Shelf.TOOLS, read_tools, groove_words, problems)),
        "printers": list(_each(Shelf.PRINTER, read_printer, _printer, problems)),
        "items": _items(problems),
        "boxes": [
            {"name": style.name, "words": style.summary}
            for style in STYLES.sound()
            if style.name in PLANS
        ],
        "pages": [paper.value for paper in Paper],
        "dummies": [kind.value for kind in DummyKind],
        "words": dict(WORDS),
        "cautions": [finding.message for finding in (*cutting_cautions(), *printing_cautions())],
        "problems": problems,
    }


Row = dict[str, Any]


def _each(
    shelf: Shelf, read: Callable[[Path], Any], told: Callable[[Any], str], problems: list[str]
) -> Iterator[Row]:
    """The things on a shelf that can be read; what is wrong with the others is told beside."""
    for name, path in names_on(shelf, search_roots()).items():
        try:
            found = read(path)
        except InputError as error:
            problems += error.lines
        else:
            yield {"name": name, "words": told(found)}


def _paper(stock: Stock) -> str:
    weight = f", {stock.grammage_gsm:g} g/m2" if stock.grammage_gsm else ""
    return f"{stock.kind}{weight}, {stock.caliper_mm:.2f} mm thick"


def _printer(printer: Printer) -> str:
    return one_line(brief(printer.source or "", LONGEST))


def _items(problems: list[str]) -> list[Row]:
    try:
        items = known_items(search_roots())
    except InputError as error:
        problems += error.lines
        return []
    found = []
    for name in sorted(items):
        try:
            items[name]
        except InputError as error:
            problems += error.lines
        else:
            found.append({"name": name})
    return found
