"""A finding is something noticed about a box: collected as data, never raised."""

import enum
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType


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
    numbers: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    """The numbers behind it; lengths end in ``_mm``."""
