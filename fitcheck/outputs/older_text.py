"""What is said of files that an earlier run wrote and that are out of date."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from fitcheck.workspace.makers import Older

MOST_NAMED = 6
"""So that a line stays one that is read; those that are left are all named."""


def older_text(older: Older) -> str:
    """A line for what was taken away, and one for what somebody changed and so was left."""
    lines = []
    if older.gone:
        more = len(older.gone) - MOST_NAMED
        named = _names(older.gone[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
        lines.append(f"removed, as they were of this design before it changed: {named}\n")
    if older.left:
        lines.append(
            "left, as they were changed since, but of this design before it changed: "
            f"{_names(older.left)}; do not cut by them\n"
        )
    return "".join(lines)


def _names(paths: Sequence[Path]) -> str:
    return ", ".join(str(path) for path in paths)
