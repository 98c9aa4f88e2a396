"""Programs killed while they keep readings: nothing is lost, nothing half-written is read.

A fresh process keeps records as fast as it can and says so after each; it is killed (signal 9) at a
random moment. Twenty times by default, two hundred in the long run.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from fitcheck.learn.boxes_file import read_boxes
from fitcheck.learn.csv_rows import read_sheet
from fitcheck.learn.session import rebuild
from fitcheck.stock.profile_files import read_stock
from fitcheck.workspace.records import records_folder, records_of
from tests.cli.commands import ROOT
from tests.unit.test_learning_sessions import TOOLS, place

LEARN = """
import sys
from pathlib import Path
import numpy as np
from fitcheck.learn.csv_rows import write_sheet
from fitcheck.learn.questions import Doubt
from fitcheck.learn.session import learn_from
from tests.truth import Notebook, paper_readings
from tests.unit.test_learning_sessions import TOOLS, place
root, seed = Path(sys.argv[1]), int(sys.argv[2])
print("ready", flush=True)
while True:
    book = Notebook(np.random.default_rng(seed))
    paper_readings(book)
    file = root / "taken.csv"
    file.write_text(write_sheet(book.rows[:6]), encoding="utf-8")
    told = learn_from("cardstock-270", file, place(root), TOOLS, confirmed=tuple(Doubt))
    print(told.record, flush=True)
    seed += 1
"""
RECORD = """
import sys
from pathlib import Path
from fitcheck.learn.boxes_file import BoxOutcome, BoxRecord, Forecast, add_box
root, number = Path(sys.argv[1]), int(sys.argv[2])
print("ready", flush=True)
while True:
    forecast = Forecast("slides", 0.3, (0.1, 0.8, 0.1))
    add_box(root, BoxRecord("2026-11-20", "kh", "harbour", "box", BoxOutcome.SLID, None, None,
                            f"n{number}", forecast))
    print(f"n{number}", flush=True)
    number += 1
"""


def killed(program: str, root: Path, start: int, rng: random.Random) -> list[str]:
    """Run a program, kill it at a random moment, and return what it had acknowledged."""
    process = subprocess.Popen(
        [sys.executable, "-c", program, str(root), str(start)],
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"},
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None and process.stdout.readline() == "ready\n"
    time.sleep(rng.uniform(0.0, 0.25))
    process.kill()
    out, _ = process.communicate()
    assert process.returncode == -9
    return [line for line in out.split("\n")[:-1] if line]


def learn_and_kill(root: Path, times: int) -> None:
    rng = random.Random(7)
    acknowledged: set[str] = set()
    for turn in range(times):
        acknowledged |= set(killed(LEARN, root, 1000 * turn, rng))
        kept = records_of(root, "stock", "cardstock-270")
        assert acknowledged <= {path.name for path in kept}
        for path in kept:
            assert len(read_sheet(path).readings) == 6
        profile = root / "calibration/stocks/cardstock-270.toml"
        if profile.is_file():
            named = read_stock(profile).records
            assert set(named) <= {path.name for path in kept}
            before = profile.read_bytes()
            rebuild("cardstock-270", place(root), TOOLS)
            assert profile.read_bytes() == before
        if len(kept) > 12:  # start again: fits grow slower with every record
            for path in (*kept, profile):  # a first learning may be killed before its profile
                path.unlink(missing_ok=True)
            acknowledged.clear()
    leftovers = list(records_folder(root).glob(".*.part"))
    assert len(leftovers) <= 2


def record_and_kill(root: Path, times: int) -> None:
    rng = random.Random(11)
    acknowledged: list[str] = []
    for turn in range(times):
        acknowledged += killed(RECORD, root, 100_000 * turn, rng)
        kept = [box.contents for box in read_boxes(root)]
        assert len(kept) == len(set(kept))
        assert set(acknowledged) <= set(kept)


def test_learning_that_is_killed_loses_no_reading(tmp_path: Path) -> None:
    learn_and_kill(tmp_path, 10)


def test_recording_that_is_killed_loses_no_box(tmp_path: Path) -> None:
    record_and_kill(tmp_path, 10)


@pytest.mark.long
def test_learning_that_is_killed_a_hundred_times(tmp_path: Path) -> None:
    learn_and_kill(tmp_path, 100)


@pytest.mark.long
def test_recording_that_is_killed_a_hundred_times(tmp_path: Path) -> None:
    record_and_kill(tmp_path, 100)
