"""Whole commands by processor time, each against `check` without odds in the same run.

The framed example, one thread, the least of three. The aim of the project is 2.5 times for odds
of 100 000 boxes; what is asserted is what was reached, with room for noise.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys

import pytest

from tests.cli.commands import FRAMED, ROOT

RUN = "from fitcheck.cli.main import run; run()"
ONE_THREAD = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")
REACHED = {
    "check": (("check", FRAMED), 6.0),
    "check of 100 000 boxes": (("check", FRAMED, "--odds", "100000"), 6.5),
}


def processor_seconds(*words: object) -> float:
    """User and system time of one process."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, "-c", RUN, *map(str, words)],
        env=os.environ | ONE_THREAD | {"PYTHONPATH": str(ROOT)},
        check=True,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


@pytest.mark.long
@pytest.mark.parametrize("what", REACHED)
def test_whole_commands_against_a_check_without_odds(what: str) -> None:
    words, most = REACHED[what]
    bare = min(processor_seconds("check", FRAMED, "--no-odds") for _ in range(3))
    whole = min(processor_seconds(*words) for _ in range(3))
    print(f"\n{what}: {whole / bare:.1f} times a check without odds ({whole:.2f} s, {bare:.2f} s)")
    assert whole <= most * bare
