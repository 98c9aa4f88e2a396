"""A paper known by its weight alone: which others are near it, and how thick it may be."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any

from fitcheck.stock.gives import USUAL_BULK_CM3_G

BULK_SPREAD = 0.2
"""Printers' charts of papers of one weight differ by so much either way: taken as rectangular
(JCGM 100, 4.3.7)."""
NEAREST = 3
LEAST_GSM, MOST_GSM = 10.0, 2000.0
_WEIGHT = re.compile(
    r"\s*(\d{2,4}(?:[.,]\d+)?)[\s_-]*(?:g|gr|gsm|grams?|g/m2|g/m\u00b2|g/qm)\s*", re.IGNORECASE
)


def weight_in(name: str) -> float | None:
    """The weight that stands in place of a paper's name, g/m2; None for another name.

    >>> weight_in("220 g"), weight_in("300gsm"), weight_in("cover-80")
    (220.0, 300.0, None)
    """
    found = _WEIGHT.fullmatch(name)
    if found is None:
        return None
    gsm = float(found[1].replace(",", "."))
    return gsm if LEAST_GSM <= gsm <= MOST_GSM else None


def caliper_of(gsm: float) -> tuple[float, float]:
    """How thick card of a weight usually is and its standard uncertainty, mm: weight times bulk.

    >>> caliper_of(250.0)
    (0.305, 0.035)
    """
    caliper = gsm * USUAL_BULK_CM3_G / 1000.0
    return round(caliper, 3), round(BULK_SPREAD * caliper / math.sqrt(3.0), 3)


def caliper_words(gsm: float) -> str:
    """The lines of a stock's file that say so, and what they are worth."""
    caliper, u = caliper_of(gsm)
    return (
        f"caliper_mm = {caliper:g} and caliper_u_mm = {u:g}, as {gsm:g} g/m2 has at a bulk of "
        f"{USUAL_BULK_CM3_G:g} cm3/g, give or take {100 * BULK_SPREAD:.0f} %, until you measure a "
        "stack of ten sheets"
    )


def nearest_words(gsm: float, known: Mapping[str, float]) -> str:
    """The known papers that are nearest to a weight, given with their own."""
    near = sorted(known, key=lambda name: (abs(known[name] - gsm), name))[:NEAREST]
    return ", ".join(f"{name} ({known[name]:g} g/m2)" for name in near)


def with_caliper(line: str, data: Mapping[str, Any]) -> str:
    """A line that misses a caliper with what the weight beside it tells; any other as it is."""
    gsm = data.get("grammage_gsm")
    if "caliper_mm: missing" not in line or isinstance(gsm, bool):
        return line
    if not isinstance(gsm, int | float) or not LEAST_GSM <= gsm <= MOST_GSM:
        return line
    return line.replace("add caliper_mm", f"measure it, or write {caliper_words(gsm)}")
