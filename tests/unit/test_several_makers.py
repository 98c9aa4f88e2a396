"""Several people's coupons in one file of a paper: the same pieces, or pieces of their own."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.questions import Doubt
from fitcheck.learn.session import rebuild
from tests.unit.test_learning_sessions import TOOLS, place
from tests.unit.test_questions import coupon, learn

SCATTER_MM = 0.08
"""Of each crease, so 0.08 times the root of two from one channel to another."""


def made_by(who: str, seed: int) -> list[Reading]:
    """A good coupon whose channels are 0.40 mm wider and scatter, read twice 0.01 mm apart."""
    rng = np.random.default_rng(seed)
    rows = [replace(row, by=who) for row in coupon(3)]
    off: dict[object, float] = {}
    for k, row in enumerate(rows):
        if row.feature is Feature.CHANNEL:
            again = row.piece in off
            own = off.setdefault(row.piece, rng.normal(0.40, SCATTER_MM * math.sqrt(2)))
            mm = round((row.nominal_mm or 0.0) + own + 0.01 * again, 2)
            rows[k] = replace(row, reading_mm=mm)
    return [row for row in rows if row.feature in (Feature.STACK, Feature.CHANNEL)]


def three() -> list[Reading]:
    return [row for k, who in enumerate(("ada", "bo", "cy")) for row in made_by(who, 40 + k)]


def test_three_makers_in_one_file_are_asked_about(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        learn(tmp_path, three())
    (line,) = caught.value.lines
    assert "are there by ada and by bo, and what" in line
    assert f"add --confirm {Doubt.SAME}, for the same pieces read by several" in line
    assert line.endswith(f"if it is, add --confirm {Doubt.ANEW}")
    assert not (tmp_path / "calibration" / "stocks" / "mine.toml").exists()


def test_made_anew_they_scatter_as_three_coupons_do(tmp_path: Path) -> None:
    """18 channels of one normal law: their own standard deviation, by arithmetic."""
    rows = three()
    found = learn(tmp_path, rows, {Doubt.ANEW})
    channels = [entry for entry in found.learnt.entries if entry.feature is Feature.CHANNEL]
    assert len({entry.piece for entry in channels}) == len(channels) == 18
    assert found.learnt.set_aside == ()
    assert 0.5 * SCATTER_MM < found.learnt.fit.noise < 2.0 * SCATTER_MM
    before = found.profile.read_bytes()
    assert not rebuild("mine", place(tmp_path), TOOLS).changed
    assert found.profile.read_bytes() == before


def test_one_coupon_read_by_two_is_one_coupon_without_a_question(tmp_path: Path) -> None:
    rows = made_by("ada", 40)
    again = [replace(r, by="bo", reading_mm=round((r.reading_mm or 0) + 0.02, 2)) for r in rows]
    found = learn(tmp_path, [*rows, *again])
    channels = [entry for entry in found.learnt.entries if entry.feature is Feature.CHANNEL]
    assert len({entry.piece for entry in channels}) == 6


def test_the_other_answer_leaves_them_together(tmp_path: Path) -> None:
    found = learn(tmp_path, three(), {Doubt.SAME})
    channels = [entry for entry in found.learnt.entries if entry.feature is Feature.CHANNEL]
    assert len({entry.piece for entry in channels}) == 6
