"""Turns of hinged lids against two general collision libraries and against arithmetic.

The libraries see the part folded anew at each angle, as whole folded parts, and are stepped: by no
more than the distance they tell over the fastest point's speed, but by a ten-thousandth of a radian
at the least. So what they find first is first to that, and their least distance is the least.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from fitcheck.fit.turn import swing
from fitcheck.fit.turn_fit import Outcome, Swing
from fitcheck.stock.crease import Crease
from tests.hinged import HingedTray
from tests.stepping import AGREE_MM, AGREE_RAD, FAR_MM, Bench

CLOSED = math.pi / 2.0


def designs(count: int, seed: int) -> list[HingedTray]:
    """Ordinary trays of uneven sizes, in half of which the lip or the lid will not pass."""
    rng = np.random.default_rng(seed)
    found = []
    for _ in range(count):
        caliper = rng.uniform(0.2, 0.6)
        if rng.random() < 0.5:
            crease = Crease(0.0, rng.uniform(0.3, 0.5), caliper)
        else:
            crease = Crease(rng.uniform(0.05, 0.6), 0.5, caliper)
        length, side = rng.uniform(25.0, 60.0), rng.uniform(10.0, 25.0)
        over = rng.random() < 0.5
        found.append(
            HingedTray(
                crease,
                width=rng.uniform(40.0, 80.0),
                length=length,
                front=side + rng.uniform(-2.0, 0.0),
                side=side,
                back=side + rng.uniform(0.3, 1.5) * caliper,
                lid=length + (rng.uniform(0.5, 3.0) if over else -rng.uniform(1.0, 3.0)) * caliper,
                lip=rng.uniform(3.0, 12.0),
                inset=rng.uniform(0.3, 1.0),
                taper=rng.uniform(0.0, 3.0),
                ear=rng.choice([0.0, 4.0]),
                lip_deg=rng.uniform(70.0, 95.0),
            )
        )
    return found


def agrees(design: HingedTray, start: float, stop: float) -> Swing:
    """One turn held against both libraries."""
    part = design.folded()
    bench = Bench(part, ["lid"])
    found = swing(part, "lid", start, stop)
    stepped = bench.stepped(start, stop)
    way = 1.0 if stop > start else -1.0
    if stepped.first_rad is None:
        assert found.outcome is Outcome.FREE
        assert found.least is not None
        apart = min(found.least.apart_mm, FAR_MM)
        assert apart == pytest.approx(stepped.least_mm, abs=AGREE_MM)
        if FAR_MM > apart > AGREE_MM:
            told = bench.distance(found.least.angle_rad)
            assert told == pytest.approx(apart, abs=AGREE_MM)
    else:
        assert found.outcome is Outcome.BLOCKED
        assert found.angle_rad is not None
        assert found.angle_rad == pytest.approx(stepped.first_rad, abs=2.0 * AGREE_RAD)
        if abs(found.angle_rad - start) > AGREE_RAD:
            assert not bench.collide(found.angle_rad - way * AGREE_RAD)
        assert bench.collide(found.angle_rad + way * AGREE_RAD)
    return found


@pytest.mark.parametrize("design", designs(2, 2), ids=lambda own: f"{own.lid:.3f}")
def test_closing_a_lid(design: HingedTray) -> None:
    agrees(design, 1.1, CLOSED)


def test_opening_a_lid_whose_lip_catches_under_the_rim() -> None:
    """It stands free inside, and is met on its way out at an angle of its own."""
    found = agrees(designs(6, 7)[5], CLOSED, 0.0)
    assert found.outcome is Outcome.BLOCKED
    assert found.angle_rad is not None
    assert 0.01 < CLOSED - found.angle_rad < 0.02


@pytest.mark.long
@pytest.mark.parametrize("design", designs(150, 11), ids=lambda own: f"{own.lid:.3f}")
@pytest.mark.parametrize("way", [(0.0, CLOSED), (CLOSED, 0.0), (0.3, 2.4)], ids=str)
def test_many_lids(design: HingedTray, way: tuple[float, float]) -> None:
    agrees(design, *way)
