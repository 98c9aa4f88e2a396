"""What the report adds to a check, as a ratio in one run, and how large its page is."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.outputs.report.model import report_of
from fitcheck.outputs.report.render import report_page

MODELS = Path(__file__).resolve().parents[2] / "models"
RUNS = 3
MOST_BYTES = 500_000


def seconds(work: Callable[[], object]) -> float:
    started = time.perf_counter()
    work()
    return time.perf_counter() - started


def cold_check(cwd: Path) -> None:
    """A whole process that checks and reports nothing."""
    subprocess.run(
        [sys.executable, "-c", "from fitcheck.cli.main import run; run()", "check", "harbour"],
        cwd=cwd,
        env=os.environ | {"PYTHONPATH": str(MODELS.parent)},
        check=True,
        stdout=subprocess.DEVNULL,
    )


def test_a_report_costs_less_than_a_cold_check(tmp_path: Path) -> None:
    """What the page adds to the command that makes it; a warm check alone is a few hundredths."""
    found: Check = check(read_design(MODELS / "harbour.toml"))
    report_page(report_of(found))
    ratio = statistics.median(
        seconds(lambda: report_page(report_of(found))) / seconds(lambda: cold_check(tmp_path))
        for _ in range(RUNS)
    )
    print(f"\na report takes {ratio:.2f} times as long as a whole cold check")
    assert ratio <= 1.0


def test_the_shipped_pages_are_small() -> None:
    for name in ("harbour", "lantern", "rope"):
        page = report_page(report_of(check(read_design(MODELS / f"{name}.toml"))))
        size = len(page.encode("utf-8"))
        print(f"\n{name}: {size / 1000:.0f} kB")
        assert size < MOST_BYTES
