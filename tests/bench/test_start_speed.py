"""Whole processes timed in turn in one run, as ratios: a cold check, and the dummies' modeller."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
RUN = "from fitcheck.cli.main import run; run()"


def seconds(*command: str, cwd: Path) -> float:
    """Wall time of one process."""
    started = time.perf_counter()
    subprocess.run(
        [sys.executable, "-c", *command],
        cwd=cwd,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        check=True,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    return time.perf_counter() - started


def ratio_of(ours: tuple[str, ...], theirs: tuple[str, ...], runs: int, cwd: Path) -> float:
    """The median of the ratios, run by run, after a warm-up of both."""
    seconds(*ours, cwd=cwd), seconds(*theirs, cwd=cwd)
    return statistics.median(
        seconds(*ours, cwd=cwd) / seconds(*theirs, cwd=cwd) for _ in range(runs)
    )


@pytest.mark.long
def test_cold_check_against_importing_numpy_and_an_optimiser(tmp_path: Path) -> None:
    ratio = ratio_of(
        (RUN, "check", "harbour", "--no-odds"),
        ("import numpy, scipy.optimize",),
        runs=9,
        cwd=tmp_path,
    )
    print(f"\na cold check takes {ratio:.2f} times the import of numpy and scipy.optimize")
    assert ratio <= 2.0


@pytest.mark.long
def test_dummies_of_the_contents_against_a_check(tmp_path: Path) -> None:
    ratio = ratio_of(
        (RUN, "dummy", "harbour", "-o", "d", "--only", "contents"),
        (RUN, "check", "harbour", "--no-odds"),
        runs=3,
        cwd=tmp_path,
    )
    print(f"\ndummies of the contents take {ratio:.2f} times a check without odds")
    assert ratio <= 4.0
