"""What Python is given can be pickled, copied and sent to other processes (pickle, copy, spawn)."""

from __future__ import annotations

import copy
import multiprocessing
import pickle
import typing

import numpy as np
import pytest

import fitcheck
from tests.face_designs import DRAWER, LIDDED

WAYS: dict[str, typing.Callable[[typing.Any], typing.Any]] = {
    "pickled": lambda value: pickle.loads(pickle.dumps(value)),
    "copied": copy.deepcopy,
}


def deep(depth_mm: float) -> fitcheck.Checked:
    """A check of a box of that depth."""
    return fitcheck.check(fitcheck.build({**LIDDED, "base": {**LIDDED["base"], "depth": depth_mm}}))


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("asked", [False, True])
def test_a_check_stays_what_it_is(way: str, asked: bool) -> None:
    checked = deep(26)
    if asked:  # what is worked out once is kept, and goes with it
        _ = checked.parts, checked.mates, checked.contents
    again = WAYS[way](checked)
    assert again.fits == checked.fits and again.text() == checked.text()
    assert set(again.parts) == {"base", "lid"}
    assert again.parts["base"].outside_mm == checked.parts["base"].outside_mm
    assert again.findings == checked.findings


@pytest.mark.parametrize("way", WAYS)
def test_odds_stay_what_they_are(way: str) -> None:
    odds = deep(26).odds(500, seed=3)
    share = odds.share
    again = WAYS[way](odds)
    assert (again.boxes, again.seed, again.share) == (500, 3, share)
    assert set(again.lengths) == set(odds.lengths)
    for name, row in odds.lengths.items():
        assert np.array_equal(again.lengths[name], row)


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("data", [LIDDED, DRAWER])
def test_mates_and_parts_stay_what_they_are(way: str, data: dict[str, typing.Any]) -> None:
    checked = fitcheck.check(fitcheck.build(data))
    mate = checked.mates[0]
    again = WAYS[way](mate)
    assert again.plays_mm == mate.plays_mm and again.verdict == mate.verdict
    part = checked.parts["base"]
    assert WAYS[way](part).volume_mm3 == part.volume_mm3
    for one in (checked.design, *checked.contents, part.plates[0], part.bends[0], part.sheet()):
        assert type(WAYS[way](one)) is type(one)


def test_a_mapping_can_still_not_be_changed() -> None:
    plays = deep(26).mates[0].plays_mm
    with pytest.raises(TypeError):
        plays["width"] = 0.0  # type: ignore[index]


def test_a_sweep_goes_to_other_processes_and_comes_back() -> None:
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        found = pool.map(deep, [24, 30])
    assert [type(one) for one in found] == [fitcheck.Checked] * 2
    # the crease allowance makes a base taller than its depth by the same, whatever the depth:
    # closed form h + a, so that the difference is that of the depths
    tall = [one.parts["base"].outside_mm[2] for one in found]
    assert tall[1] - tall[0] == pytest.approx(6.0, abs=1e-9)
