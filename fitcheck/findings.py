"""A finding is something noticed about a box: collected as data, never raised."""

import enum
from collections.abc import Mapping
from dataclasses import dataclass, field

from fitcheck.frozen_map import FrozenMap

SHOWN_MM = 0.005
"""Less than this would be shown as nothing."""


class Severity(enum.StrEnum):
    """How much a finding matters to the person at the bench."""

    NOTE = "note"
    CAUTION = "caution"
    FAULT = "fault"


@dataclass(frozen=True)
class Finding:
    """One thing noticed, with a stable code that scripts can look for."""

    code: str
    """Stable short name, words joined by hyphens."""
    message: str
    """One sentence for the reader."""
    severity: Severity
    """Note, caution (may hurt or disappoint) or fault (does not fit)."""
    piece: str | None = None
    """The part or piece it is about, if it is about one."""
    numbers: Mapping[str, float] = field(default_factory=FrozenMap, hash=False)
    """The numbers behind it; lengths end in ``_mm``."""


def show_press(mm: float) -> str:
    """By how much something presses or is too large, in mm to a hundredth; never by nothing.

    >>> show_press(0.236), show_press(0.0012)
    ('0.24 mm', 'under 0.01 mm')
    """
    return f"{mm:.2f} mm" if mm >= SHOWN_MM else "under 0.01 mm"
