"""How a lid feels as plain data, keys stable within a format number."""

from __future__ import annotations

import math
from typing import Any

from fitcheck.feel.feel import Band, Feel
from fitcheck.outputs.feel_text import feel_words

DIGITS = 4


def feel_data(feel: Feel) -> dict[str, Any]:
    """The value of the key `feel` of a lid: seconds, newtons, millimetres, grams."""
    base, lid = feel.bows_mm
    return {
        "words": feel_words(feel),
        "touch": str(feel.touch),
        "sink_s": _band(feel.sink_s),
        "slip_n": _band(feel.slip_n),
        "holds": feel.holds,
        "holds_g": None if feel.holds_g is None else round(feel.holds_g, DIGITS),
        "bow_mm": {"base": round(base, DIGITS), "lid": round(lid, DIGITS)},
        "assumed": list(feel.guessed),
    }


def _band(band: Band | None) -> dict[str, float | None] | None:
    if band is None:
        return None
    return {key: _number(value) for key, value in (("low", band.low), ("high", band.high))}


def _number(value: float) -> float | None:
    """None where it takes longer than anybody waits."""
    return round(value, DIGITS) if math.isfinite(value) else None
