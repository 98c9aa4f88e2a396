"""Feeds the readers bytes that coverage chooses, by hand: needs atheris, which no test needs.

    python -m venv THROWAWAY && THROWAWAY/bin/pip install atheris -e .
    THROWAWAY/bin/python -m tests.fuzz.coverage_guided design -max_total_time=600

The first word says which reader: design, items, stock, tools, readings, boxes, length or mesh. Only
an ``InputError`` may come out of it; anything else is printed with the bytes that brought it.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

try:
    import atheris
except ImportError:
    sys.exit("coverage_guided: atheris is not installed; pip install atheris in a venv of its own")

with atheris.instrument_imports(include=["fitcheck", "tomllib", "csv"]):
    from fitcheck.design.items import known_items
    from fitcheck.design.read import read_design
    from fitcheck.errors import InputError
    from fitcheck.learn.boxes_file import read_boxes
    from fitcheck.learn.csv_rows import parse_sheet
    from fitcheck.stock.profile_files import read_stock
    from fitcheck.stock.tools_files import read_tools
    from fitcheck.units import Unit, parse_length
from tests.fuzz import shipped

Reader = Callable[[bytes], object]
ROOT = Path(tempfile.mkdtemp())


def _file(name: str, read: Callable[[Path], object]) -> Reader:
    path = ROOT / name
    path.parent.mkdir(parents=True, exist_ok=True)

    def from_bytes(data: bytes) -> object:
        path.write_bytes(data)
        return read(path)

    return from_bytes


def _length(data: bytes) -> object:
    try:
        return parse_length(data.decode("utf-8", "replace"), Unit.IN)
    except InputError:
        raise
    except ValueError as error:  # which its callers make a line of
        return error


def _mesh(data: bytes) -> object:
    (ROOT / "models" / "thing.obj").write_bytes(data)
    return known_items([ROOT]).sound()


READERS: dict[str, tuple[Reader, list[bytes]]] = {
    "design": (_file("box.toml", read_design), list(shipped.DESIGN_FILES)),
    "items": (
        _file("models/items.toml", lambda path: known_items([ROOT]).sound()),
        [shipped.ITEMS_FILE],
    ),
    "stock": (_file("stock.toml", read_stock), list(shipped.STOCK_FILES)),
    "tools": (_file("tools.toml", read_tools), list(shipped.TOOL_FILES)),
    "readings": (
        lambda data: parse_sheet(data.decode("utf-8", "replace"), "r.csv"),
        [shipped.readings_file()],
    ),
    "boxes": (_file("calibration/records/boxes.csv", lambda path: read_boxes(ROOT)), []),
    "length": (_length, [b"3 1/4 in", b"92 mm", b"12pt", b"3-5/8"]),
    "mesh": (_mesh, [shipped.mesh_files()[".obj"]]),
}


def main() -> None:
    """Start the fuzzer on the reader that the first word names."""
    reader, seeds = READERS[sys.argv.pop(1)]
    seen = ROOT / "seen"
    seen.mkdir()
    for number, seed in enumerate(seeds):
        (seen / str(number)).write_bytes(seed)
    (ROOT / "models").mkdir(exist_ok=True)
    if reader is _mesh:
        (ROOT / "models" / "items.toml").write_text(
            '[thing]\nkind = "mesh"\nfile = "thing.obj"\nsource = "a scan"\n', encoding="utf-8"
        )

    def one(data: bytes) -> None:
        try:
            reader(data)
        except InputError:
            return

    atheris.Setup([*sys.argv, str(seen)], one)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
