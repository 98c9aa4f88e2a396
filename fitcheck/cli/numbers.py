"""Numbers that options take: one that they do not take is told with what they do."""

from __future__ import annotations

from collections.abc import Callable

import typer

from fitcheck.plain import shown


def whole(option: str, low: int | None = None, high: int | None = None) -> Callable[[str], int]:
    """What reads a whole number for an option, `low` and `high` included."""
    words = "a whole number" + ("" if low is None else f" from {low}")
    words += "" if high is None else f" to {high}"

    def read(text: str) -> int:
        try:
            value = int(text)
        except ValueError:
            raise _refused(option, text, words) from None
        if (low is not None and value < low) or (high is not None and value > high):
            raise _refused(option, text, words)
        return value

    return read


def number(option: str) -> Callable[[str], float]:
    """What reads a number for an option."""

    def read(text: str) -> float:
        try:
            return float(text)
        except ValueError:
            raise _refused(option, text, "a number") from None

    return read


def _refused(option: str, text: str, words: str) -> typer.BadParameter:
    return typer.BadParameter(f"read {shown(text)}; allowed: {words}", param_hint=f"'{option}'")
