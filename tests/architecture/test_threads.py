"""The program holds the linear algebra library to one thread; the operating system counts them."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from fitcheck.cli.threads import FOR_ALL, OWN, hold_to_one

ROOT = Path(__file__).resolve().parents[2]
SCRIPT = (
    "import os, sys\n"
    "from fitcheck.cli.main import run\n"
    "sys.argv = ['fitcheck', 'check', 'lantern']\n"
    "try:\n"
    "    run()\n"
    "except SystemExit as end:\n"
    "    assert end.code in (0, None), end.code\n"
    "import numpy\n"
    "numpy.ones((300, 300)) @ numpy.ones((300, 300))\n"
    "print(len(os.listdir('/proc/self/task')))\n"
)


def threads_of_a_check(cwd: Path, **chosen: str) -> int:
    """How many threads a fresh process has after a check and a large product of matrices."""
    plain = {name: value for name, value in os.environ.items() if name not in (FOR_ALL, *OWN)}
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT],
        cwd=cwd,
        env=plain | {"PYTHONPATH": str(ROOT)} | chosen,
        capture_output=True,
        text=True,
        check=True,
    )
    return int(done.stdout.splitlines()[-1])


@pytest.mark.skipif(sys.platform != "linux", reason="threads are counted in /proc")
@pytest.mark.skipif((os.cpu_count() or 1) < 2, reason="one core has one thread anyway")
def test_a_check_runs_on_one_thread_unless_the_user_asks_for_more(tmp_path: Path) -> None:
    assert threads_of_a_check(tmp_path) == 1
    assert threads_of_a_check(tmp_path, OMP_NUM_THREADS="2") > 1
    assert threads_of_a_check(tmp_path, OPENBLAS_NUM_THREADS="2") > 1


@pytest.mark.parametrize("name", [FOR_ALL, *OWN])
def test_what_the_user_set_is_left_alone(name: str) -> None:
    environment = {name: "3"}
    hold_to_one(environment)
    assert environment == {name: "3"}


def test_every_library_is_asked_for_one_thread() -> None:
    environment = {"HOME": "anywhere"}
    hold_to_one(environment)
    assert environment == {"HOME": "anywhere"} | dict.fromkeys(OWN, "1")
