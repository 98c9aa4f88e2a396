"""Answers that take long are worked out once, so that a thousand kills do not fold as many boxes.

Only what is pure is kept: files as bytes and odds as numbers, by command and number of call. What
is read, guarded, staged and written is done anew each time.
"""

from __future__ import annotations

import contextlib
import importlib
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from typing import Any
from unittest import mock

SLOW = (
    "fitcheck.outputs.dummy_files.dummy_files",
    "fitcheck.outputs.gauge_files.gauge_files",
    "fitcheck.outputs.coupon_files.coupon_files",
    "fitcheck.outputs.pictures.picture_files",
    "fitcheck.outputs.report.render.report_page",
    "fitcheck.odds.suggest.suggest",
    "fitcheck.cli.demo.odds_with_advice",
    "fitcheck.cli.recording.forecast_of",
)
LIBRARIES = ("cadquery", "trimesh", "manifold3d", "reportlab.pdfgen.canvas", "ezdxf", "jinja2",
             "resvg_py", "scipy.optimize", "fitcheck.odds.odds", "fitcheck.sheet.job")  # fmt: skip


class Kept:
    """What the slow functions gave, for the command at hand."""

    def __init__(self) -> None:
        self.command: tuple[str, ...] = ()
        self.calls: Counter[str] = Counter()
        self.given: dict[tuple[tuple[str, ...], str, int], Any] = {}

    def start(self, command: Sequence[str]) -> None:
        """Calls are counted from here on, for this command."""
        self.command = tuple(command)
        self.calls.clear()

    def keeping(self, name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        """The function, which gives what it gave before at this place of this command."""

        def call(*given: Any, **named: Any) -> Any:
            key = (self.command, name, self.calls[name])
            self.calls[name] += 1
            if key not in self.given:
                self.given[key] = real(*given, **named)
            return self.given[key]

        return call


@contextlib.contextmanager
def slow_once() -> Iterator[Kept]:
    """Inside, slow functions are worked out once for each command."""
    for library in LIBRARIES:
        importlib.import_module(library)
    kept = Kept()
    with contextlib.ExitStack() as patches:
        for name in SLOW:
            module, _, function = name.rpartition(".")
            real = getattr(importlib.import_module(module), function)
            patches.enter_context(mock.patch(name, kept.keeping(name, real)))
        yield kept
