"""A caliper closes on what stands beyond the walls at a rim: outside sizes count it.

By hand: a wall's outside stands a outside its score and its inside t - a inside it, where a is what
a fold of a right angle takes of the flat length (the shared design's section 4); a brim folded
outwards is measured from the wall's inside face, so that it ends b + 2 a - t outside the floor's
score. Ribbons go round that, both ways, and 8 in more for the knot.
"""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from tests.other_package import fitcheck_beside, python_beside
from tests.own_styles import FERNS, brims

T = 0.330
A = (1.0 - math.pi / 8.0) * T
"""Caliper of cardstock-270, whose creases nobody measured: r = 0 and k = 1/2."""
BEYOND = 8 + 2 * A - T
OUTSIDE = 70 + 2 * BEYOND, 100 + 2 * BEYOND


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    folder = tmp_path / "bench"
    (folder / "models").mkdir(parents=True)
    (folder / "models" / "items.toml").write_text("")
    (folder / "models" / "ferns.toml").write_text(FERNS)
    return folder


@pytest.fixture
def beside(tmp_path: Path) -> list[Path]:
    return [brims(tmp_path / "site")]


def test_a_brim_counts_in_what_is_told_of_the_outside(bench: Path, beside: list[Path]) -> None:
    ran = fitcheck_beside(beside, "check", "ferns", "--no-odds", "--json", "o.json", cwd=bench)
    assert ran.status == 0, ran.err
    base = json.loads((bench / "o.json").read_text())["parts"]["base"]
    told = base["outside_mm"]["width"], base["outside_mm"]["length"]
    assert told == pytest.approx(OUTSIDE, abs=1e-3)
    inside = base["inside_mm"]["width"], base["inside_mm"]["length"]
    assert inside == pytest.approx((70 - 2 * (T - A), 100 - 2 * (T - A)), abs=1e-3)
    floor = base["floor_outside_mm"]["width"], base["floor_outside_mm"]["length"]
    assert floor == pytest.approx((70 + 2 * A, 100 + 2 * A), abs=1e-3)


def test_it_is_as_wide_as_its_own_mesh(bench: Path, beside: list[Path]) -> None:
    code = """
import json, fitcheck
base = fitcheck.check(fitcheck.read("models/ferns.toml")).parts["base"]
print(json.dumps([base.outside_mm, base.mesh().extents.tolist()]))
"""
    ran = python_beside(beside, code, cwd=bench)
    assert ran.status == 0, ran.err
    told, extents = json.loads(ran.out)
    assert told == pytest.approx(extents, abs=1e-3)


def test_a_ribbon_goes_round_it(bench: Path, beside: list[Path]) -> None:
    ran = fitcheck_beside(beside, "sheet", "ferns", "-o", "out", cwd=bench)
    assert ran.status == 0, ran.err
    steps = (bench / "out" / "ferns-steps.txt").read_text()
    high = 20 + 2 * A  # a wall from its score and a crease at foot and rim
    around = 2 * sum(OUTSIDE) + 4 * high + 8 * 25.4
    assert f"ribbon once round both ways: {5 * math.ceil(around / 5)} mm (" in steps
    smaller, larger = sorted((OUTSIDE[0], high))
    band = 2 * (smaller + larger) + 12.7
    assert f"{5 * math.ceil(band / 5)} mm (9 1/16 in) long with its overlap" in steps
