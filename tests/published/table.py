"""All published values side by side with ours; `python -m tests.published.table` prints them."""

from __future__ import annotations

import importlib
from collections.abc import Iterator
from pathlib import Path

from tests.published.rows import Row

NOTHING = 1e-9
HEADER = "| source | quantity | source says | we say | difference |\n|---|---|---|---|---|\n"


def all_rows() -> Iterator[Row]:
    """Every row of every module beside this one."""
    for module in sorted(Path(__file__).parent.glob("test_*.py")):
        found = importlib.import_module(f"tests.published.{module.stem}")
        yield from getattr(found, "ROWS", ())


def line_of(row: Row) -> str:
    """A row as a line of a Markdown table, to the digits that the source prints."""
    says, ours = (f"{value:.{row.digits}f}" for value in (row.says, row.we_say))
    apart = 0.0 if abs(row.difference) < NOTHING else abs(row.difference)
    return f"| {row.source} | {row.quantity} | {says} | {ours} | {apart:.1g} |"


def main() -> None:
    """Print the whole table."""
    print(HEADER, end="")
    for row in all_rows():
        print(line_of(row))


if __name__ == "__main__":
    main()
