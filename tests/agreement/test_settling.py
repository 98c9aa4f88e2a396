"""Walls that bow while a lid sinks, against an ordinary differential equation and plain arithmetic.

The equations are the same, the route is not: here walls are let go and creep to where air and
springs hold them while the lid sinks, pressed apart by a stiff spring where they meet, on a grid of
our own, by an integrator for stiff equations (scipy). Nothing of it is solved for.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from fitcheck.design.read import read_design
from fitcheck.feel.bow import Sheet, spring
from fitcheck.feel.driving import AIR_PA_S, Driving, Giving
from fitcheck.feel.feel import feel_of
from fitcheck.feel.gap import LEAST_GAP_MM, MOST_GAP_MM, Way
from fitcheck.feel.settle import settle
from fitcheck.feel.sink import sink
from fitcheck.fit.check import check
from fitcheck.folding.pose import Array
from tests.air import PA, plain_gap

WIDE, LONG = 76.0, 108.0
PLAN = WIDE * LONG
SIDES = ((LONG, 0.42), (WIDE, 0.34))
"""Long and half play of each pair of sides, mm."""
STATIONS, HEIGHTS = 41, 240
STOPS_N_MM = 400.0
"""Of the spring between walls that meet: two micrometres or so for what they press."""
CREEPS = 3000.0
"""So much faster than the lid walls follow."""


def stiffness(height: float) -> list[float]:
    """Of the walls of each pair of sides, of card of 160 g/m2, N/mm."""
    sheet = Sheet(np.array(2.0), np.array(2.0), np.array(10.0))
    return [float(spring(sheet, long, height)) for long, _ in SIDES]


CASES = {
    "light and low": (22.0, 15.0, 0.023, 0.45),
    "low, with 50 g on it": (22.0, 15.0, 0.51, 0.45),
    "low, with 100 g on it": (22.0, 15.0, 1.0, 0.45),
    "tall": (85.0, 80.0, 0.10, 0.45),
    "tall, without friction": (85.0, 80.0, 0.10, 0.0),
}
"""Heights of base and lid, mm, weight, N, and friction."""


def integrated_s(base: float, lid: float, weight: float, friction: float, usual: float) -> float:
    """How long a lid takes from 2 mm to its height; it takes about as long as `usual`."""
    along = np.sin(np.pi * (np.arange(STATIONS) + 0.5) / STATIONS)
    springs = list(zip(stiffness(base), stiffness(lid), strict=True))

    def one_side(
        overlap: float, pressure: float, side: int, bows: Array
    ) -> tuple[float, float, Array]:
        """What it lets through over 12 mu, how its walls press, and where bows would go."""
        long, half = SIDES[side]
        step = overlap / HEIGHTS
        down = step * (np.arange(HEIGHTS) + 0.5)
        of_base, of_lid = 1.0 - down / base, 1.0 - (overlap - down) / lid
        gap = half + along[:, None] * (bows[1] * of_lid - bows[0] * of_base)
        cubes = step / np.clip(gap, LEAST_GAP_MM, MOST_GAP_MM) ** 3
        whole = cubes.sum(axis=1, keepdims=True)
        left = 1.0 - (np.cumsum(cubes, axis=1) - 0.5 * cubes) / whole
        stretch = long / STATIONS * along
        outside = float(stretch @ (left * of_base).sum(axis=1)) * step
        inside = float(stretch @ (left * of_lid).sum(axis=1)) * step
        above = float(stretch.sum()) * max(lid - overlap, 0.0) ** 2 / (2.0 * lid)
        push = (
            pressure / PA * np.array([0.5 * base * float(stretch.sum()) - outside, above + inside])
        )
        # even walls meet at the one end of what overlaps or at the other
        ends = np.array([[1.0, 1.0 - overlap / lid], [1.0 - overlap / base, 1.0]])
        near = half - LEAST_GAP_MM + ends @ (bows * np.array([-1.0, 1.0]))
        force = STOPS_N_MM * np.maximum(-near, 0.0)
        push = push + np.array([-1.0, 1.0]) * (force @ ends)
        return (
            long / STATIONS * float((1.0 / whole).sum()),
            float(force.sum()),
            push / springs[side],
        )

    def rates(_: float, state: Array) -> Array:
        overlap, walls = float(state[0]), state[1:].reshape(2, 2)
        force = sum(2.0 * one_side(overlap, 0.0, k, walls[k])[1] for k in (0, 1))
        pressure = max(weight - friction * force, 0.0) / PLAN * PA
        found = [one_side(overlap, pressure, k, walls[k]) for k in (0, 1)]
        passes = sum(2.0 * one[0] for one in found)
        pace = pressure * passes / (12.0 * AIR_PA_S) / PLAN
        goes = [CREEPS / usual * (one[2] - walls[k]) for k, one in enumerate(found)]
        return np.concatenate([[pace], *goes])

    def arrives(_: float, state: Array) -> float:
        return float(state[0]) - lid

    arrives.terminal = True  # type: ignore[attr-defined]
    start = np.array([2.0, 0.0, 0.0, 0.0, 0.0])
    found = solve_ivp(
        rates, (0.0, 20.0 * usual), start, "BDF", events=arrives, rtol=1e-5, atol=1e-7
    )
    return float(found.t_events[0][0])


def settled_parts(base: float, lid: float, weight: float, friction: float) -> tuple:  # type: ignore[type-arg]
    gap = plain_gap(WIDE, LONG, (SIDES[0][1], SIDES[1][1]), Way(2.0, lid, 64), stations=31)
    both = [np.array([np.repeat(stiffness(height), 2)]) for height in (base, lid)]
    still = np.zeros((1, 4))
    giving = Giving(both[0], both[1], still, still, base, lid)
    driving = Driving(
        np.array([weight]), np.array([PLAN]), np.zeros(1), entry_heads=0.0, friction=friction
    )
    return gap, np.zeros((1, 4)), giving, driving


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_a_lid_whose_walls_bow_takes_the_time_that_an_integrator_finds(
    case: tuple[float, float, float, float],
) -> None:
    """Both within 2 per cent: their grids differ, and walls follow the lid a little late."""
    found = float(sink(*settled_parts(*case)).seconds[0])
    assert found == pytest.approx(integrated_s(*case, usual=found), rel=0.02)


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_walls_never_pass_through_each_other(case: tuple[float, float, float, float]) -> None:
    """The gap in the middle of each wall, at both ends of what overlaps, by hand."""
    base, lid = case[:2]
    gap, *rest = settled_parts(*case)
    bows = settle(gap, *rest).bows_mm[0]
    overlap = gap.way.overlaps_mm[:, None]
    halves = np.repeat([half for _, half in SIDES], 2)
    out, away = bows[..., 0], bows[..., 1]
    top = halves + away * (1.0 - overlap / lid) - out
    bottom = halves + away - out * (1.0 - overlap / base)
    # the station next to the middle stops the wall: the middle bows by 0.05 per cent more
    assert min(top.min(), bottom.min()) > 0.9 * LEAST_GAP_MM
    if case[2] > 0.05:
        assert min(top.min(), bottom.min()) < 0.02


def heavy(tmp_path: Path, grams: float) -> tuple[float, float]:
    """How long a shallow lid takes with so much stuck on it, in a corner and in the middle."""
    path = tmp_path / "some.toml"
    path.write_text(
        'format = 1\ntitle = "Some"\nunit = "mm"\n'
        '[base]\nstyle = "tray"\nstock = "cover-65"\nfloor = [76, 108]\ndepth = 22\n'
        '[lid]\nstyle = "tray"\nstock = "cover-65"\ndepth = 15\noversize = 1.3\n'
        f"decoration_g = {grams}\n"
    )
    felt = feel_of(check(read_design(path)))
    assert felt is not None and felt.sink_s is not None
    return felt.sink_s.low, felt.sink_s.high


def test_a_heavier_lid_sinks_faster(tmp_path: Path) -> None:
    """Once its walls stop at each other nothing more closes the gap, and more pressure is left."""
    times = [heavy(tmp_path, grams)[1] for grams in (20.0, 50.0, 100.0, 200.0)]
    assert times == sorted(times, reverse=True)
    assert times[-1] < 0.5 * times[0]


def test_what_walls_carry_that_press_by_themselves_is_their_spring_times_friction() -> None:
    """A base that bows out by 0.5 mm in a gap of 0.42 and 0.34 before a lid that does not give."""
    gap, shifts, giving, driving = settled_parts(22.0, 15.0, 0.023, 0.3)
    bows, none = np.full((1, 4), 0.5), np.full((1, 4), np.inf)
    giving = Giving(giving.base_springs, none, bows, np.zeros((1, 4)), 22.0, 15.0)
    press = [
        2.0 * spring_ * (0.5 - half + LEAST_GAP_MM)
        for spring_, (_, half) in zip(stiffness(22.0), SIDES, strict=True)
    ]
    rubbing = settle(gap, shifts, giving, driving).rubbing_n[0]
    # between stations the very middle bows by 0.2 per cent more
    assert rubbing == pytest.approx(0.3 * sum(press), rel=0.01)


@pytest.mark.parametrize("grams", [0.0, 100.0, 1000.0])
def test_every_drawn_box_comes_to_rest_and_none_hangs_on_more_than_its_weight(grams: float) -> None:
    """Gaps from nothing to 1 mm and walls from soft to stiff, as papers and hands make them."""
    rng, count, weight = np.random.default_rng(3), 300, 0.1 + 0.00981 * grams
    _, _, giving, driving = settled_parts(85.0, 80.0, weight, 0.45)
    halves = SIDES[0][1], SIDES[1][1]
    gap = plain_gap(WIDE, LONG, halves, Way(2.0, 80.0, 8), stations=6)
    soft = np.exp(rng.normal(0.0, 0.5, (2, count, 1)))
    bows = rng.normal(0.0, 0.4, (2, count, 4))
    base, lid = soft[0] * giving.base_springs, soft[1] * giving.lid_springs
    drawn = Giving(base, lid, bows[0], bows[1], 85.0, 80.0)
    air = Driving(
        np.full(count, weight), np.full(count, PLAN), np.zeros(count), friction=driving.friction
    )
    found = settle(gap, rng.uniform(-0.4, 0.6, (count, 4)), drawn, air)
    assert (found.pressure_pa >= 0.0).all()
    assert (found.pressure_pa <= (1.0 + 1e-9) * weight / PLAN * PA).all()
    # what is not carried by air is carried by walls: some are, and none is where no wall presses
    assert (found.pressure_pa < 0.9 * weight / PLAN * PA).any()
