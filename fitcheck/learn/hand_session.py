"""Readings of a hand become a tools profile that the program's own reader takes."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Reading
from fitcheck.learn.hand_fit import HandFit, fit_hands
from fitcheck.learn.hand_profile import measured_tools, tools_profile
from fitcheck.stock.tools import Tools
from fitcheck.stock.tools_files import tools_from


@dataclass(frozen=True)
class HandOutcome:
    """What a session about tools did."""

    name: str
    fit: HandFit
    old: Tools
    """As the tools were known before."""
    new: Tools
    """As the program reads the profile back."""
    profile: Path
    record: str | None
    """The record that was added; None when there was nothing new."""
    records: tuple[str, ...]
    readings: int
    """How many were fitted from."""
    notes: tuple[str, ...] = ()
    changed: bool = False
    """Whether the profile's text is another one than before."""


def hand_outcome(
    name: str, profile: Path, old: Tools, readings: Sequence[Reading], record: str | None
) -> tuple[HandOutcome, str]:
    """What comes of some readings, and the text of the profile that they make.

    Raises ``InputError`` for readings that no hand gives.
    """
    records = tuple(dict.fromkeys(reading.file for reading in readings))
    try:
        fit = fit_hands(readings, old)
        text = tools_profile(measured_tools(fit, old, records), name)
        new = tools_from(tomllib.loads(text), profile)
    except InputError as error:
        raise InputError(
            [*error.lines, f"{name}: no sound profile comes of these readings; nothing was written"]
        ) from None
    return HandOutcome(name, fit, old, new, profile, record, records, len(readings)), text
