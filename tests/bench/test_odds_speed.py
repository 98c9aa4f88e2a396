"""Drawing boxes against drawing bare random numbers, and against folding every one of them.

Ratios of times taken in one run, since machines and their load differ. Run with -s to see them.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.fit.lid import fit_lids
from fitcheck.odds.making import offsets_of
from fitcheck.odds.prospect import Prospect, take_prospect
from fitcheck.odds.variates import draw_values
from tests.cli.commands import ROOT

BOXES = 100_000
FOLDED = 20
AIM = 3.0
"""Boxes should take no longer than this many times the bare random numbers."""
LEAST_GAIN = 1000.0
MEMORY_MB = 500.0
EXAMPLE = ROOT / "models" / "lantern.toml"


def seconds(work: Callable[[], object], repeats: int = 5) -> float:
    """The least of several times: what is least disturbed."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


@pytest.fixture(scope="module")
def example() -> Check:
    return check(read_design(EXAMPLE, roots=[ROOT]))


@pytest.fixture(scope="module")
def timed(example: Check) -> tuple[Prospect, float]:
    start = time.perf_counter()
    prospect = take_prospect(example)
    return prospect, time.perf_counter() - start


@pytest.mark.long
def test_boxes_cost_little_more_than_random_numbers() -> None:
    """On one thread, as the random numbers are: a busy machine would have the threads of the
    matrix product wait for each other."""
    one_thread = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    script = (
        "from tests.bench.test_odds_speed import *\n"
        "start = time.perf_counter()\n"
        "prospect, forms = take_prospect(check(read_design(EXAMPLE, roots=[ROOT]))).asked()\n"
        "gradient = time.perf_counter() - start\n"
        "shape = (len(forms.inputs), BOXES)\n"
        "bare = seconds(lambda: np.random.default_rng(0).standard_normal(shape), 15)\n"
        "drawn = seconds(lambda: prospect.draw(forms, BOXES, 0), 15)\n"
        "print(shape[0], bare, drawn, gradient)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=ROOT,
        env=os.environ | one_thread,
        capture_output=True,
        text=True,
        check=True,
    )
    count, bare, drawn, gradient = map(float, done.stdout.split())
    print(
        f"\n{BOXES} boxes of {count:.0f} inputs: {drawn:.3f} s, {drawn / bare:.1f} times the bare "
        f"random numbers; with the gradient taken first {(drawn + gradient) / bare:.0f} times"
    )
    assert drawn <= AIM * bare


def test_boxes_cost_far_less_than_folding_each(timed: tuple[Prospect, float]) -> None:
    prospect, forms = timed[0].asked()
    inputs = prospect.workshop.inputs
    offsets = np.empty((len(inputs), FOLDED))
    rng = np.random.default_rng(0)
    draw_values([one.variate for one in inputs], rng.spawn(len(inputs)), offsets)

    def fold_all() -> None:
        for column in offsets.T:
            made = prospect.workshop.make(offsets_of(inputs, column.tolist()))
            assert made.lid is not None
            fit_lids([(made.base, made.lid)], prospect.check.design.bands)

    folded = seconds(fold_all, 1) * BOXES / FOLDED
    drawn = seconds(lambda: prospect.draw(forms, BOXES, 0))
    whole = drawn + timed[1]
    print(
        f"\nfolding {BOXES} boxes would take {folded:.0f} s: {folded / drawn:.0f} times the "
        f"drawing, {folded / whole:.0f} times gradient and drawing together"
    )
    assert folded >= LEAST_GAIN * drawn
    assert folded >= 50.0 * whole


@pytest.mark.skipif(sys.platform != "linux", reason="peak memory is read from /proc")
def test_a_million_boxes_fit_in_memory() -> None:
    script = (
        "from pathlib import Path\n"
        "from fitcheck.design.read import read_design\n"
        "from fitcheck.fit.check import check\n"
        "from fitcheck.odds.odds import odds_of\n"
        f"found = check(read_design(Path({str(EXAMPLE)!r})))\n"
        "print(odds_of(found, 1_000_000, 0, folded_again=2).good.boxes)\n"
        "status = Path('/proc/self/status').read_text()\n"
        "print(next(l.split()[1] for l in status.splitlines() if l.startswith('VmHWM')))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True
    )
    boxes, kilobytes = done.stdout.split()
    peak = float(kilobytes) / 1024.0
    print(f"\n1000000 boxes: {peak:.0f} MB at the most")
    assert boxes == "1000000"
    assert peak < MEMORY_MB
