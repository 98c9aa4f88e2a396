"""How far what closes a box is led in pictures: up as far as asked, sideways until it is clear."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.outputs.report.standing import standing

MODELS = Path(__file__).resolve().parents[2] / "models"


@pytest.mark.parametrize(("name", "up"), [("lantern", True), ("tea", False)])
def test_a_lid_is_lifted_and_a_sleeve_drawn_off_until_it_is_clear(name: str, up: bool) -> None:
    base, cover = standing(check(read_design(MODELS / f"{name}.toml")))
    assert np.array_equal(base.led(50.0), base.pose)  # it stays
    clear = float(np.linalg.norm(cover.way))
    for asked in (0.0, 5.0, 10.0 * clear):
        moved = (cover.led(asked) @ np.linalg.inv(cover.pose))[:3, 3]
        far = asked if up else min(asked, clear)
        assert np.linalg.norm(moved) == pytest.approx(far, abs=1e-9)
        if far:
            assert moved / far == pytest.approx(cover.way / clear)
