"""Progress on stderr for whatever takes over a second; nothing when nobody watches."""

from __future__ import annotations

import json
import os
import sys
import time
from types import TracebackType
from typing import TYPE_CHECKING

from fitcheck.cli.collector import collect_again
from fitcheck.plain import plain
from fitcheck.workspace.progress import PROGRESS_LINE, PROGRESS_LINES

if TYPE_CHECKING:
    from rich.progress import Progress as Bars
    from rich.progress import TaskID

QUIET_S = 1.0
"""Shorter work needs no bar."""


class Bar:
    """A progress bar on stderr that appears once work has taken a second, and then goes away.

    Use it as a context manager round work; it is a `Progress` for everything inside. Where stderr
    is not a terminal it shows nothing, so that logs stay clean; a program that asked for lines
    gets one for each step.
    """

    def __init__(self) -> None:
        self._begun = time.monotonic()
        self._bars: Bars | None = None
        self._task: TaskID | None = None

    def __enter__(self) -> Bar:
        collect_again()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._bars is not None:
            self._bars.stop()

    def step(self, done: int, total: int, text: str) -> None:
        """Show that `done` of `total` steps are behind us."""
        if PROGRESS_LINES in os.environ:
            told = {"done": done, "total": total, "text": plain(text)}
            sys.stderr.write(f"{PROGRESS_LINE}{json.dumps(told)}\n")
            return
        if self._bars is None:
            if time.monotonic() - self._begun < QUIET_S or not sys.stderr.isatty():
                return
            self._start()
        assert self._bars is not None and self._task is not None, "the bar was started"
        self._bars.update(self._task, completed=done, total=total, description=plain(text))

    def _start(self) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

        self._bars = Progress(
            TextColumn("{task.description}", markup=False),
            BarColumn(),
            TimeElapsedColumn(),
            console=Console(file=sys.__stderr__),
            transient=True,
        )
        self._bars.start()
        self._task = self._bars.add_task("", total=None)
