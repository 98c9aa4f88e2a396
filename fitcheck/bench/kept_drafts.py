"""What was typed on the page and not saved yet, kept in the workspace until it is saved or let go.

A browser's own store is bound to a port, which is another one after each start.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fitcheck.errors import InputError
from fitcheck.workspace.atomic import write_many
from fitcheck.workspace.reading import Most, read_bounded

FOLDER = ".fitcheck-bench"
FILE = "drafts.json"
MOST_DRAFTS, MOST_BYTES = 200, 900_000
"""Beyond these the oldest are let go."""
LONGEST_KEY = 200

Drafts = dict[str, Any]


@dataclass(frozen=True)
class KeptDrafts:
    """The drafts of one workspace, by what they are about."""

    root: Path
    _turn: threading.Lock = field(default_factory=threading.Lock)

    @property
    def path(self) -> Path:
        """Where they are kept."""
        return self.root / FOLDER / FILE

    def all(self) -> Drafts:
        """All of them, the oldest first; none where the file is gone or holds something else."""
        try:
            found = json.loads(read_bounded(self.path, Most.DESIGN))
        except (OSError, ValueError, RecursionError):  # InputError is a ValueError
            return {}
        return found if isinstance(found, dict) else {}

    def put(self, key: str, data: Mapping[str, Any] | None) -> None:
        """Keep a draft in place of the one before, or let it go where it is None.

        Raises InputError where it cannot be written.
        """
        if len(key) > LONGEST_KEY or _size(data) > MOST_BYTES:
            raise InputError("the draft: is too long to be kept; save it, or make it shorter")
        with self._turn:
            drafts = self.all()
            if data is None and key not in drafts:
                return
            drafts.pop(key, None)
            if data is not None:
                drafts[key] = data
            while len(drafts) > MOST_DRAFTS or _size(drafts) > MOST_BYTES:
                del drafts[next(iter(drafts))]
            write_many({self.path: json.dumps(drafts, indent=1)})


def _size(data: object) -> int:
    return len(json.dumps(data, indent=1))
