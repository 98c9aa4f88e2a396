"""Lengths as the JSON files have them."""

from __future__ import annotations

import math

DIGITS = 6


def rounded(value: float) -> float | None:
    """A length rounded to a nanometre; None when there is no limit."""
    return round(value, DIGITS) + 0.0 if math.isfinite(value) else None


def pair_of(pair: tuple[float, float]) -> dict[str, float | None]:
    """Two lengths under the names of their axes."""
    return {"width": rounded(pair[0]), "length": rounded(pair[1])}
