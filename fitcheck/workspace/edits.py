"""A file of the user's own that something is added to, as one was asked to."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from fitcheck.errors import InputError

NOTHING = "nothing was written"


@dataclass(frozen=True)
class Edit:
    """What such a file held, and what it is to hold."""

    option: str
    path: Path
    before: bytes | None
    """What it held when it was read; None where there was none."""
    after: bytes

    def refuse_changed(self) -> None:
        """Raise ``InputError`` where it holds something else by now."""
        there = self.path.read_bytes() if os.path.lexists(self.path) else None
        if there != self.before:
            raise InputError(
                f"{self.option}: '{self.path}' was changed by somebody else meanwhile; allowed: a "
                f"file that stays as it was read; run the command again; {NOTHING}"
            )
