"""Any text becomes a Markdown cell or line that shows as it was written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

_MARKS = re.compile(r"([\\`*_\[\]<>|#~$&])")


def escaped(text: str) -> str:
    """The text with everything that Markdown would read as a mark set off."""
    return _MARKS.sub(r"\\\1", " ".join(text.split()))


def markdown_table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """A table as lines; cells are escaped here."""
    lines = [_row(head), "|" + " --- |" * len(head)]
    return lines + [_row(row) for row in rows]


def _row(cells: Sequence[str]) -> str:
    return "| " + " | ".join(escaped(cell) for cell in cells) + " |"
