"""What every step of reading a design needs, and where the problems are gathered."""

import contextlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fitcheck.errors import InputError
from fitcheck.units import Unit
from fitcheck.workspace.explain import line


@dataclass(frozen=True)
class Desk:
    """What every step of one reading needs; ``lines`` gathers the problems."""

    path: object
    """What its problems name: the file, or what stands for one."""
    data: dict[str, Any]
    unit: Unit
    known_unit: bool
    roots: Sequence[Path]
    lines: list[str] = field(default_factory=list)

    @contextlib.contextmanager
    def gather(self, key: str = "") -> Iterator[None]:
        """Keep the problems raised inside, with the file and ``key`` before them if given."""
        try:
            yield
        except InputError as error:
            if key:
                self.lines.extend(line(self.path, key, text) for text in error.lines)
            else:
                self.lines.extend(error.lines)

    def table(self, name: str) -> dict[str, Any] | None:
        """A table of the file, if it is there and is a table."""
        table = self.data.get(name)
        return table if isinstance(table, dict) else None
