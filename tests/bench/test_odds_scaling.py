"""How odds grow: twice the box, two million boxes, a check that is warm.

Processor time in one process and one thread, the least of several, as ratios in one run.
"""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from tests.bench.test_whole_commands import ONE_THREAD
from tests.cli.commands import FRAMED, ROOT

LANTERN = ROOT / "models" / "lantern.toml"
HEAD = f"""
import time
from dataclasses import replace
from pathlib import Path
from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.odds.odds import odds_of
from fitcheck.odds.prospect import take_prospect

def least(work, repeats=4):
    times = []
    for _ in range(repeats):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)

framed = read_design(Path({str(FRAMED)!r}), roots=[Path({str(ROOT)!r})])
lantern = read_design(Path({str(LANTERN)!r}), roots=[Path({str(ROOT)!r})])
"""


def told(script: str) -> list[float]:
    """The numbers that a script of one thread prints."""
    done = subprocess.run(
        [sys.executable, "-c", HEAD + script],
        cwd=ROOT,
        env=os.environ | ONE_THREAD | {"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=True,
    )
    return [float(word) for word in done.stdout.split()]


@pytest.mark.long
def test_twice_the_box_takes_about_twice_as_long() -> None:
    """Nine panels with four pieces in them, and eighteen panels with eight."""
    once, twice = told(
        "half = replace(lantern, parts=(lantern.base,),\n"
        "    contents=tuple(replace(one, count=4) for one in lantern.contents))\n"
        "whole = replace(lantern,\n"
        "    contents=tuple(replace(one, count=8) for one in lantern.contents))\n"
        "for design in (half, whole):\n"
        "    print(least(lambda: odds_of(check(design), 100_000)))\n"
    )
    print(f"\ntwice the panels and contents: {twice / once:.2f} times as long")
    assert twice < 3.0 * once


@pytest.mark.long
def test_a_warm_check_and_edits_against_working_everything_out() -> None:
    """Each edit is one that was never asked for before; a base's changes its lid's floor, too."""
    every, base, lid, content = told(
        "from itertools import count\n"
        "from fitcheck.fit.remembered import MEMORY\n"
        "steps = count(1)\n"
        "def afresh():\n"
        "    MEMORY.forget()\n"
        "    check(framed)\n"
        "def edited(part):\n"
        "    wide, long = part.size_mm\n"
        "    check(framed.with_parts(replace(part, size_mm=(wide + 1e-4 * next(steps), long))))\n"
        "def filled():\n"
        "    (content,) = framed.contents\n"
        "    wide, *others = content.item.size_mm\n"
        "    item = replace(content.item, size_mm=(wide - 1e-4 * next(steps), *others))\n"
        "    check(replace(framed, contents=(replace(content, item=item),)))\n"
        "works = (afresh, lambda: edited(framed.base), lambda: edited(framed.lid), filled)\n"
        "for work in works:\n"
        "    print(least(work, 12))\n"
    )
    shares = {"base": base / every, "lid": lid / every, "content": content / every}
    print(
        f"\na check of the framed example, nothing remembered: {1000.0 * every:.0f} ms; after an "
        f"edit of " + ", ".join(f"its {what} {share:.2f}" for what, share in shares.items())
    )
    assert every < 0.25
    assert shares["base"] < 1.15 and shares["lid"] < 0.7 and shares["content"] < 0.25


@pytest.mark.long
@pytest.mark.skipif(sys.platform != "linux", reason="peak memory is read from /proc")
def test_two_million_boxes_fit_in_memory() -> None:
    boxes, kilobytes = told(
        "print(odds_of(check(lantern), 2_000_000, 0, folded_again=2).good.boxes)\n"
        "status = Path('/proc/self/status').read_text()\n"
        "print(next(l.split()[1] for l in status.splitlines() if l.startswith('VmHWM')))\n"
    )
    print(f"\n2 000 000 boxes: {kilobytes / 1024.0:.0f} MB at the most")
    assert boxes == 2_000_000 and kilobytes / 1024.0 < 274.0
