"""Papers and printers that are known exactly: do the 95 % intervals hold the truth 95 times in 100?

The default run takes fewer than the long one, and allows for its own sampling: a bound is such
that intervals which cover between 93 and 97 % fall beyond it once in two thousand.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.special import bdtr

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.evaluate import NORMAL_FACTOR
from fitcheck.learn.learning import Learnt, learn_printer, learn_stock
from fitcheck.learn.model_stock import Before, Given
from fitcheck.learn.needs import expected_u, need_of
from tests.truth import (
    FENCE_U_MM,
    JOINT_MM,
    JOINT_U_MM,
    SCORE_MM,
    Notebook,
    paper_readings,
    printer_readings,
)

GIVEN = Given("test board", SCORE_MM, FENCE_U_MM, JOINT_MM, JOINT_U_MM)
NOTHING = Before(0.3, 0.1, None, None)
LOW, HIGH, CHANCE = 0.93, 0.97, 0.0005
Draw = Callable[[np.random.Generator], tuple[Learnt, dict[str, float]]]


def paper(
    rng: np.random.Generator, slip_mm: float = 0.0, **more: object
) -> tuple[Learnt, dict[str, float]]:
    book = Notebook(rng, **more)  # type: ignore[arg-type]
    truth = paper_readings(book)
    return learn_stock(slipped(book.rows, rng, slip_mm), GIVEN, NOTHING), truth


def printer(
    rng: np.random.Generator, slip_mm: float = 0.0, **more: object
) -> tuple[Learnt, dict[str, float]]:
    book = Notebook(rng, **more)  # type: ignore[arg-type]
    truth = printer_readings(book)
    return learn_printer(slipped(book.rows, rng, slip_mm), None), truth


def slipped(rows: list[Reading], rng: np.random.Generator, slip_mm: float) -> list[Reading]:
    """The rows with one reading, not of the stack, off by that much either way."""
    if slip_mm == 0.0:
        return rows
    places = [k for k, row in enumerate(rows) if row.feature is not Feature.STACK]
    k = places[rng.integers(len(places))]
    off = slip_mm * rng.choice([-1.0, 1.0])
    return [
        replace(row, reading_mm=(row.reading_mm or 0.0) + off) if n == k else row
        for n, row in enumerate(rows)
    ]


SCENES: dict[str, Draw] = {
    "paper, read once": paper,
    "paper, read three times": lambda rng: paper(rng, repeats=3),
    "paper, only gauged": lambda rng: paper(rng, gauged=True),
    "paper, one slip": lambda rng: paper(rng, slip_mm=1.0, repeats=3),
    "printer, read once": printer,
    "printer, only gauged": lambda rng: printer(rng, gauged=True, gauge_step_mm=0.05),
    "printer, one slip": lambda rng: printer(rng, slip_mm=0.5),
}


LONG = ("paper, read once", "paper, only gauged", "paper, one slip")
"""By default these are the coupon's own (`test_coupon_coverage`)."""


def hits_of(draw: Draw, count: int, seed: int) -> dict[str, int]:
    """How often the interval of each property holds the truth."""
    rng = np.random.default_rng(seed)
    hits: dict[str, int] = defaultdict(int)
    for _ in range(count):
        learnt, truth = draw(rng)
        for name, value in truth.items():
            found = learnt.get(name)
            assert found is not None
            hits[name] += abs(found.value - value) <= NORMAL_FACTOR * found.u
    return dict(hits)


def bounds(count: int) -> tuple[int, int]:
    """Hits that a coverage of 93 to 97 % leaves once in two thousand."""
    few = next(k for k in range(count + 1) if bdtr(k, count, LOW) > CHANCE)
    many = next(k for k in range(count + 1) if bdtr(k, count, HIGH) >= 1 - CHANCE)
    return few, many


@pytest.mark.parametrize("scene", [name for name in SCENES if name not in LONG])
def test_intervals_hold_the_truth(scene: str) -> None:
    count = 40
    hits = hits_of(SCENES[scene], count, seed=20261120)
    few, many = bounds(count)
    assert all(few <= found <= many for found in hits.values()), (few, many, hits)


@pytest.mark.long
@pytest.mark.parametrize("scene", SCENES)
def test_intervals_of_five_hundred_hold_the_truth(scene: str) -> None:
    count = 500
    hits = hits_of(SCENES[scene], count, seed=20261121)
    few, many = bounds(count)
    share = sum(hits.values()) / (count * len(hits))
    assert LOW <= share <= HIGH, hits
    assert all(few <= found <= many for found in hits.values()), (few, many, hits)


def test_a_slip_is_named_and_set_aside() -> None:
    rng = np.random.default_rng(3)
    book = Notebook(rng)
    paper_readings(book)
    rows = [
        replace(r, reading_mm=(r.reading_mm or 0) + 1.0) if r.row == 9 else r for r in book.rows
    ]
    found = learn_stock(rows, GIVEN, NOTHING)
    assert len(found.set_aside) == 1
    assert "row 9: channel" in found.set_aside[0] and "above" in found.set_aside[0]
    clean = learn_stock([r for r in book.rows if r.row != 9], GIVEN, NOTHING)
    assert found.get("crease allowance") == clean.get("crease allowance")


def stack_of(
    rng: np.random.Generator, readings: int, step_mm: float = 0.001, height_mm: float = 3.3
) -> Learnt:
    rows = [
        Reading(
            "s.csv", k + 2, "2026-11-20", "kh", "caliper", step_mm, Feature.STACK, None, 10,
            round((height_mm + rng.normal(0.0, 0.02)) / step_mm) * step_mm, None, None, "",
        )
        for k in range(readings)
    ]  # fmt: skip
    return learn_stock(rows, GIVEN, NOTHING)


def test_uncertainty_shrinks_with_the_root_of_the_number() -> None:
    """Four times the readings halve it (JCGM 100, 4.2.3), the few readings' t-factor left out."""
    rng = np.random.default_rng(5)
    few = np.mean([stack_of(rng, 25).fit.u("caliper") for _ in range(30)])
    many = np.mean([stack_of(rng, 100).fit.u("caliper") for _ in range(30)])
    assert few / many == pytest.approx(2.0, rel=0.05)


def test_uncertainty_stops_at_the_resolution() -> None:
    """However often a display of 0.5 mm is read, its half step stays (JCGM 100, F.2.2.1)."""
    rng = np.random.default_rng(5)
    floor = 0.5 / math.sqrt(12) / 10
    assert stack_of(rng, 400, step_mm=0.5).fit.u("caliper") == pytest.approx(floor, rel=0.01)


def test_how_many_more_readings_follows_the_root_of_the_number() -> None:
    learnt = stack_of(np.random.default_rng(6), 20)
    u = expected_u(learnt, "caliper", 1.0)
    assert u == pytest.approx(learnt.fit.u("caliper"), rel=1e-9)
    need = need_of(learnt, "caliper", u / 2)
    assert need.more == pytest.approx(60, abs=2)
    assert need_of(learnt, "caliper", 2 * u).more == 0


def test_no_number_of_readings_passes_the_resolution() -> None:
    """In the middle of a step all readings are the same, and more of them will be."""
    learnt = stack_of(np.random.default_rng(6), 20, step_mm=0.5, height_mm=3.5)
    floor = 0.5 / math.sqrt(12) / 10
    need = need_of(learnt, "caliper", floor / 2)
    assert need.more is None
    assert need.floor_u == pytest.approx(floor, rel=1e-6)
