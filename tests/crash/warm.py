"""Answers that take long are worked out once, so that a thousand kills do not fold as many boxes.

Only what is pure is kept: files as bytes and odds as numbers, by command and number of call. What
is read, guarded, staged and written is done anew each time.
"""

from __future__ import annotations

import contextlib
import importlib
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from unittest import mock

from fitcheck.cli.odds_options import odds_with_advice
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import Check
from fitcheck.learn.paper_coupon import Coupon
from fitcheck.odds.result import Odds
from fitcheck.outputs.dummy_files import DummyFiles, DummyOrder
from fitcheck.outputs.dummy_kinds import DummyKind
from fitcheck.outputs.gauge_files import Files, GaugeFiles, GaugeOrder
from fitcheck.solids.blocks import Side
from fitcheck.solids.correction import IDENTITY
from fitcheck.solids.finishing import Bed
from fitcheck.stock.paper import Stock

SLOW = (
    "fitcheck.outputs.dummy_files.dummy_files",
    "fitcheck.outputs.gauge_files.gauge_files",
    "fitcheck.outputs.coupon_files.coupon_files",
    "fitcheck.outputs.pictures.picture_files",
    "fitcheck.outputs.sheet_files.sheet_files",
    "fitcheck.outputs.publish.layouts.recipe_pdf",
    "fitcheck.outputs.publish.layouts.recipe_page",
    "fitcheck.outputs.publish.layouts.film_pdf",
    "fitcheck.outputs.publish.recipe.recipe_of",
    "fitcheck.fit.check.check",
    "fitcheck.outputs.report.render.report_page",
    "fitcheck.odds.suggest.suggest",
    "fitcheck.cli.demo.odds_with_advice",
    "fitcheck.cli.box_keeping.forecast_of",
    "fitcheck.cli.freezing.freeze",
)
LIBRARIES = ("fitcheck.odds.odds", "fitcheck.sheet.job", "fitcheck.outputs.check_json")


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


def contents_alone() -> DummyOrder:
    """Of the demo's stand-ins only those that are made soonest."""
    return DummyOrder({DummyKind.CONTENTS}, Side.OUTSIDE, 2.0, Bed(), IDENTITY, step=False)


def _any_dummies(found: Check, *_: object) -> DummyFiles:
    """A set of files in the place of solids, others for another design."""
    names = (f"dummy-{n}.{kind}" for n in range(4) for kind in ("stl", "3mf"))
    return DummyFiles({name: _bytes(name, found) for name in names}, ())


def _any_gauge(order: GaugeOrder, folder: Path, *_: object) -> GaugeFiles:
    names = ("gauge-rings.stl", "gauge-rings.3mf", "plug.stl", "gap.stl", f"{order.printer}.csv")
    files: Files = {folder / name: _bytes(name, order) for name in names}
    return GaugeFiles(files, order.wanted_u_mm, "", ())


def _any_coupon(
    coupon: Coupon, stock: Stock, folder: Path, paper: Paper, *_: object
) -> tuple[Files, SimpleNamespace]:
    names = ("coupon.pdf", "coupon.dxf", "readings.csv", "folding-block.stl")
    return {folder / name: _bytes(name, paper) for name in names}, SimpleNamespace(findings=())


def _bytes(name: str, made_of: object) -> bytes:
    return f"{name} {made_of!r}".encode() * 50


def _few_odds(found: Check) -> Odds:
    return odds_with_advice(found, 200)


QUICKLY = {
    "fitcheck.cli.demo.odds_with_advice": _few_odds,
    "fitcheck.outputs.dummy_files.dummy_files": _any_dummies,
    "fitcheck.outputs.gauge_files.gauge_files": _any_gauge,
    "fitcheck.outputs.coupon_files.coupon_files": _any_coupon,
}


@contextlib.contextmanager
def slow_once(*, solids: bool) -> Iterator[Kept]:
    """Inside, slow functions are worked out once for each command.

    Without `solids`, files of some bytes stand for the solids and odds are of a few boxes;
    nothing else is replaced.
    """
    for library in LIBRARIES:
        importlib.import_module(library)
    kept = Kept()
    with contextlib.ExitStack() as patches:
        patches.enter_context(mock.patch("fitcheck.cli.demo._order", contents_alone))
        for name in SLOW:
            module, _, function = name.rpartition(".")
            real = getattr(importlib.import_module(module), function)
            real = real if solids else QUICKLY.get(name, real)
            patches.enter_context(mock.patch(name, kept.keeping(name, real)))
        yield kept
