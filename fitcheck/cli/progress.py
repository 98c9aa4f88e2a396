"""Progress of slow work, shown on stderr so that stdout carries the report alone."""

from __future__ import annotations

import time
from types import TracebackType

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

PATIENCE_S = 1.0
"""Nothing is shown of work that ends sooner."""


class Shown:
    """A progress that shows a bar once the work has taken over a second.

    On a stderr that is no terminal it writes the first step after that second as a plain line.
    """

    def __init__(self) -> None:
        self._console = Console(stderr=True)
        self._bar = Progress(
            TextColumn("{task.description}"),
            BarColumn(),
            MofNCompleteColumn(),
            console=self._console,
            transient=True,
        )
        self._task = self._bar.add_task("", total=None)
        self._since = time.monotonic()
        self._started = False

    def __enter__(self) -> Shown:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._bar.stop()

    def step(self, done: int, total: int, text: str) -> None:
        """Show that `done` of `total` steps are behind us and what starts now."""
        self._bar.update(self._task, completed=done, total=total, description=text)
        if self._started or time.monotonic() - self._since < PATIENCE_S:
            return
        self._started = True
        if self._console.is_terminal:
            self._bar.start()
        else:
            self._console.print(f"working: {text}", markup=False, highlight=False)
