"""The exact slide against two other routes: a convex-distance library and the B-rep kernel.

Neither route sweeps anything. Both place the two parts at many heights of the path and measure the
least distance between their pieces: at the slide's stop it is nothing, a little before it it is
that little, a little beyond it the parts are in each other.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import coal
import numpy as np
import pytest

from fitcheck.design.model import Bands
from fitcheck.fit.assembly import Part, make_part
from fitcheck.fit.frames import DIRECTIONS
from fitcheck.fit.lid import LidFit, fit_lid, lid_pieces, lid_pose
from fitcheck.folding.bends import Bend
from fitcheck.folding.prisms import Plate
from fitcheck.pattern.sheet import Axis
from fitcheck.solids.folded_solids import bend_solid, plate_solid
from fitcheck.styles.walled import WalledRecipe as Recipe
from tests.boxes import paper, shadow_box, tray
from tests.stepping import hull

AGREE_MM = 1e-3
BEFORE_MM = 0.05
NEAR_MM = 0.12

BASES = [
    *(
        tray(60 + 9 * i, 50 + 14 * i, 14 + 3 * i, paper(0.2 + 0.03 * i, 0.12 + 0.03 * i), tabs=tabs)
        for i, tabs in zip(range(5), itertools.cycle(Axis))
    ),
    *(
        shadow_box(
            70 + 8 * i,
            95 + 6 * i,
            16 + 2 * i,
            paper(0.25 + 0.02 * i, 0.15 + 0.015 * i),
            frame=8 + 0.5 * i,
            tabs=tabs,
        )
        for i, tabs in zip(range(5), itertools.cycle(Axis))
    ),
]
DESIGNS = [
    (base, replace_lid)
    for base in BASES
    for replace_lid in (
        lambda base: _lid(base, 1.6, paper(0.18, 0.10), Axis.LENGTH),
        lambda base: _lid(base, 3.2, paper(0.30), Axis.WIDTH),
    )
]


def _lid(base: Recipe, oversize: float, stock: object, tabs: Axis) -> Recipe:
    lid = tray(base.width_mm + oversize, base.length_mm + oversize, 12.0, part="lid")
    return replace(lid, stock=stock, tabs=tabs)


@dataclass(frozen=True, eq=False)
class Case:
    base: Part
    lid: Part
    fit: LidFit


@pytest.fixture(scope="module", params=range(len(DESIGNS)))
def case(request: pytest.FixtureRequest) -> Case:
    base_recipe, make_lid = DESIGNS[request.param]
    base, lid = make_part(base_recipe), make_part(make_lid(base_recipe))
    return Case(base, lid, fit_lid(base, lid, Bands(0.15, 0.20, 1.50)))


def stops(case: Case) -> Iterator[np.ndarray]:
    """The four places of the base at which its travel ends."""
    for axis in Axis:
        travel = case.fit.slide.travel(axis)
        assert travel.low is not None and travel.high is not None
        yield DIRECTIONS[axis] * travel.low.travel_mm
        yield DIRECTIONS[axis] * travel.high.travel_mm


def lifts(case: Case, count: int) -> np.ndarray:
    """Heights of the lid above its seat."""
    return np.linspace(0.01, case.lid.sizes.height_mm, count)


def least(
    case: Case, shift: np.ndarray, distance: Callable[[int, int, np.ndarray], float], heights: int
) -> float:
    """The least distance over the path, of the pieces whose boxes come near each other.

    The lid's floor and the creases round it are left out: they rest on the base at the path's end.
    """
    seat = case.fit.seat_mm - case.base.sizes.corner_rise_mm
    lid, base = lid_pieces(case.lid.folded, seat), case.base.folded.pieces
    lows = np.array([p.low for p in lid]), np.array([p.low for p in base])
    highs = np.array([p.high for p in lid]), np.array([p.high for p in base])
    found = NEAR_MM
    for lift in lifts(case, heights):
        move = shift - np.array([0.0, 0.0, lift])  # the base goes down as the lid goes up
        near = np.all(
            (lows[0][:, None] < highs[1][None] + move + NEAR_MM)
            & (lows[1][None] + move < highs[0][:, None] + NEAR_MM),
            axis=2,
        )
        near[["floor" in piece.panels for piece in lid]] = False
        for i, j in np.argwhere(near):
            found = min(found, distance(int(i), int(j), move))
    return found


def test_convex_distance_library(case: Case) -> None:
    seat = case.fit.seat_mm - case.base.sizes.corner_rise_mm
    lid = [hull(p) for p in lid_pieces(case.lid.folded, seat)]
    base = [hull(p) for p in case.base.folded.pieces]
    still, moved = coal.Transform3s(), coal.Transform3s()
    ask = coal.DistanceRequest()

    def distance(i: int, j: int, move: np.ndarray) -> float:
        moved.setTranslation(move)
        result = coal.DistanceResult()
        return float(coal.distance(lid[i], still, base[j], moved, ask, result))

    at_stops = list(stops(case))
    _compare(case, distance, at_stops, heights=9)
    for stop in at_stops:
        beyond = stop * (1.0 + 0.01 / np.linalg.norm(stop))
        assert least(case, beyond, distance, 9) < 0.0


def test_brep_kernel(case: Case) -> None:
    """The kernel measures the exact rounds, not the facets."""
    occ = pytest.importorskip("netgen.occ", reason="the modeller is not made for this machine")
    seat = case.fit.seat_mm - case.base.sizes.corner_rise_mm
    pose = lid_pose(case.lid.folded, seat)
    lid = _solids(case.lid, pose)
    base = _solids(case.base, np.eye(4))
    lid_at = _owners(case.lid)
    base_at = _owners(case.base)
    asked: dict[tuple[int, int, bytes], float] = {}

    def distance(i: int, j: int, move: np.ndarray) -> float:
        key = (lid_at[i], base_at[j], move.tobytes())
        if key not in asked:
            there = base[key[1]].Move(occ.Vec(*move.tolist()))
            asked[key] = float(lid[key[0]].Distance(there))
        return asked[key]

    axes = [DIRECTIONS[axis] * _high(case, axis) for axis in Axis]
    _compare(case, distance, axes, heights=4)


def _high(case: Case, axis: Axis) -> float:
    high = case.fit.slide.travel(axis).high
    assert high is not None
    return high.travel_mm


def _compare(
    case: Case,
    distance: Callable[[int, int, np.ndarray], float],
    places: list[np.ndarray],
    *,
    heights: int,
) -> None:
    sharp = all(p.recipe.stock.crease.radius_mm < 1e-9 for p in (case.base, case.lid))
    for stop in places:
        inward = -stop / np.linalg.norm(stop)
        assert abs(least(case, stop, distance, heights)) <= AGREE_MM
        before = least(case, stop + BEFORE_MM * inward, distance, heights)
        assert before <= BEFORE_MM + AGREE_MM
        if sharp:
            assert before == pytest.approx(BEFORE_MM, abs=AGREE_MM)
        else:
            assert before > AGREE_MM


def _solids(part: Part, pose: np.ndarray) -> list[Any]:
    folded = part.folded
    return [
        *(plate_solid(replace(p, pose=pose @ p.pose)) for p in folded.plates),
        *(bend_solid(replace(b, pose=pose @ b.pose)) for b in folded.bends),
    ]


def _owners(part: Part) -> list[int]:
    """Which solid each convex piece belongs to."""
    solids: list[Plate | Bend] = [*part.folded.plates, *part.folded.bends]
    return [k for k, solid in enumerate(solids) for _ in solid.pieces()]
