"""Memory is kept between arrays, as the system's own count of new pages tells."""

from __future__ import annotations

import ctypes
import subprocess
import sys

import pytest

SCRIPT = """
import resource, sys
import numpy as np
from fitcheck.workspace.allocator import keep_memory
if sys.argv[1] == "kept":
    keep_memory()
def pages():
    return resource.getrusage(resource.RUSAGE_SELF).ru_minflt
def work():
    for _ in range(10):
        every = [np.ones(100_000) for _ in range(20)]
        del every
work()
before = pages()
work()
print(pages() - before)
"""


def faults(how: str) -> int:
    """New pages that a process gets from the system while it makes arrays over and over."""
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, how], capture_output=True, text=True, check=True
    )
    return int(done.stdout)


@pytest.mark.skipif(
    not sys.platform.startswith("linux") or not hasattr(ctypes.CDLL(None), "mallopt"),
    reason="only glibc is asked",
)
def test_arrays_take_the_pages_that_others_left() -> None:
    usual = faults("as usual")
    assert usual > 10_000, "or there is nothing to be gained"
    assert faults("kept") < 0.01 * usual
