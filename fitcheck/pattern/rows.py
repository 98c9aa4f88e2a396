"""Strips that are cut alike and stand side by side."""

from __future__ import annotations

from dataclasses import dataclass

from fitcheck.pattern.sheet import Axis


@dataclass(frozen=True)
class Row:
    """A flat strip that stands on its lower edge, as often as it is cut, side by side in a row."""

    runs: Axis
    """The way each of them runs."""
    at_mm: tuple[float, ...]
    """Where each stands across that, from the middle of what they stand in."""
    slots_up: bool
    """Whether its slots are open at its upper edge, so that what it crosses comes from above."""
