"""What creases add to a wall, in words that a maker can read."""

from __future__ import annotations

import pytest

from fitcheck.learn.crease_share import CreaseShare

WORDS = {
    -0.004: "a crease adds nothing to a wall, and 0.6 times the sheet's 0.200 mm is usual",
    0.004: "a crease adds nothing to a wall, and 0.6 times the sheet's 0.200 mm is usual",
    -0.05: "a crease takes 0.05 mm from a wall, and to add 0.6 times the sheet's 0.200 mm is usual",
    0.03: "a crease adds 0.03 mm to a wall, 0.15 times the sheet's 0.200 mm, and "
    "0.6 times is usual",
    0.30: "a crease adds 0.30 mm to a wall, 1.5 times the sheet's 0.200 mm, and 0.6 times is usual",
}


@pytest.mark.parametrize("adds_mm", WORDS)
def test_nothing_is_said_as_nothing_and_less_than_nothing_as_taken(adds_mm: float) -> None:
    assert CreaseShare(adds_mm, 0.01, 0.2).words == WORDS[adds_mm]
