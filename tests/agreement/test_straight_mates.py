"""Straight mates in any frame against two collision libraries and against areas in the plane.

Drawers in sleeves, slotted strips over each other, lids: leaning, lopsided, turned anyhow. coal and
python-fcl (general collision libraries) are stepped along the path and know nothing of sweeps.
shapely (a general planar library) is given the union of what all pairs forbid, each found by qhull
(scipy) from the corners that the path sweeps, cut where the part starts.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import coal
import fcl
import numpy as np
import pytest
import shapely
from scipy.spatial import ConvexHull

from fitcheck.design.model import Bands
from fitcheck.fit.assembly import make_part
from fitcheck.fit.lid import fit_lid, sliding_pieces
from fitcheck.fit.motions import Straight
from fitcheck.fit.pairs import Pairs
from fitcheck.fit.slide import Slide
from fitcheck.fit.straight import Mating, StraightMate
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import UP
from tests.boxes import paper, tray
from tests.mated import (
    Mated,
    crossing_strips,
    drawer_in_sleeve,
    listed,
    random_turn,
    turned_mate,
)

AGREE_MM = 1e-3
PLANAR_MM = 1e-6
FAR_MM = 500.0
STEP_MM = 0.25
"""Of the collision libraries along the path."""
CLEAR_MM = 0.01


@dataclass(frozen=True, eq=False)
class Case:
    """A mate turned anyhow, and its slide."""

    mated: Mated
    mate: StraightMate
    found: Slide
    pairs: Pairs

    @property
    def outer(self) -> list[ConvexPiece]:
        return self.mated.mover if self.mate.mating is Mating.OVER else self.mated.holder

    @property
    def inner(self) -> list[ConvexPiece]:
        return self.mated.holder if self.mate.mating is Mating.OVER else self.mated.mover

    @property
    def stops(self) -> Iterator[tuple[np.ndarray, np.ndarray]]:
        """From where the inner part ends up: which way it may go, and where it is stopped."""
        place = self.mate.frame.into(self.found.place_mm)
        for name in self.mate.frame.across:
            travel = self.pairs.travels_at(name, place[None], np.array([True]))[0]
            for stop, sign in ((travel.low, -1.0), (travel.high, 1.0)):
                way = sign * self.mate.frame.direction(name)
                if stop is not None:
                    yield way, self.found.place_mm + way * abs(stop.travel_mm)


def case_of(mated: Mated, mate: StraightMate, turn: np.ndarray) -> Case:
    mated, mate = mated.turned(turn), turned_mate(mate, turn)
    mover, holder = listed(mated.mover), listed(mated.holder)
    (found,) = mate.slides(mover, holder)
    return Case(mated, mate, found, mate.pairs(mover, holder))


def drawn(kind: str, seed: int) -> Case:
    rng = np.random.default_rng(seed)
    return case_of((mated := KINDS[kind](rng)), mated.mate(), random_turn(rng))


def lid_on_tray(rng: np.random.Generator) -> Mated:
    width, length = rng.uniform(45, 70), rng.uniform(60, 90)
    base = make_part(tray(width, length, rng.uniform(14, 22), paper(0.3, rng.uniform(0.12, 0.2))))
    oversize = rng.uniform(1.4, 3.0, 2)
    lid = make_part(
        tray(width + oversize[0], length + oversize[1], 12.0, paper(0.2, 0.1), part="lid")
    )
    fit = fit_lid(base, lid, Bands(0.15, 0.20, 1.50))
    on = sliding_pieces(lid.folded, fit.seat_mm)
    way = Straight(UP, base.folded.height_mm + lid.folded.height_mm + 1.0)
    return Mated(list(on), list(base.folded.pieces), way, Mating.OVER)


KINDS: dict[str, Callable[[np.random.Generator], Mated]] = {
    "drawer": drawer_in_sleeve,
    "tight drawer": lambda rng: drawer_in_sleeve(rng, ease=(-0.4, 0.6)),
    "drawer drawn askew": lambda rng: drawer_in_sleeve(rng).shifted((0.7, 0.0, -0.9)),
    "strips": crossing_strips,
    "tight strips": lambda rng: crossing_strips(rng, slack=(-0.15, 0.12)),
    "strips drawn askew": lambda rng: crossing_strips(rng).shifted((0.45, -0.6, 0.0)),
    "strips from below, askew": lambda rng: (
        crossing_strips(rng, lean_deg=0.3)
        .turned(np.diag([1.0, -1.0, -1.0]))
        .shifted((0.45, 0.6, 0.0))
    ),
    "lid": lid_on_tray,
}
SHORT = [*((kind, seed) for kind in KINDS for seed in range(3) if kind != "lid"), ("lid", 0)]
LONG = [(kind, seed) for kind in KINDS for seed in range(100, 140)]
cases = pytest.mark.parametrize(
    ("kind", "seed"), [*SHORT, *(pytest.param(*one, marks=pytest.mark.long) for one in LONG)]
)


@cases
def test_two_collision_libraries_stepped_along_the_path(kind: str, seed: int) -> None:
    case = drawn(kind, seed)
    if not case.found.free:
        steps = Steps(case, Coal(case.outer), Coal(case.inner))
        assert steps.meet(case.found.place_mm, -AGREE_MM)
        return
    for libraries in (Coal, Fcl):
        steps = Steps(case, libraries(case.outer), libraries(case.inner))
        assert not steps.meet(case.found.place_mm, -AGREE_MM)
        for way, stop in case.stops:
            for share in (0.35, 0.8):
                between = case.found.place_mm + share * (stop - case.found.place_mm)
                assert not steps.meet(between, -AGREE_MM)
            assert not steps.meet(stop - AGREE_MM * way, 0.0)
            assert steps.meet(stop + AGREE_MM * way, 0.0)


@cases
def test_union_of_what_pairs_forbid_in_the_plane(kind: str, seed: int) -> None:
    """Free where the areas are, as far as they are, and overlapping as much as they shrink."""
    case = drawn(kind, seed)
    found, near = case.found, case.mate.near_mm
    turn = case.mate.frame.turn
    areas = np.array(
        [
            area
            for outer, inner in itertools.product(case.outer, case.inner)
            if (area := section(outer, inner, case.mate.path, turn)) is not None
        ]
    )
    forbidden, start = shapely.union_all(areas), np.zeros(2)
    room = shapely.box(-near, -near, near, near)

    def open_when_smaller(by_mm: float) -> shapely.Geometry:
        smaller = shapely.buffer(areas, -by_mm, join_style="mitre")
        return room.difference(shapely.union_all(smaller))

    opening = open_when_smaller(1e-9)
    assert found.free != opening.is_empty
    if not found.free:
        # by sides a press is measured without a pair that blocks
        if found.blocked_by is not None:
            assert open_when_smaller(found.overlap_mm - PLANAR_MM).is_empty
            assert not open_when_smaller(found.overlap_mm + PLANAR_MM).is_empty
        else:
            assert case.mate.mating is not Mating.PAST and found.play_mm < 0.0
        return
    place = turn @ found.place_mm
    if case.mate.mating is Mating.PAST:
        openings = list(shapely.get_parts(opening))
        nearest = min(openings, key=lambda one: one.distance(shapely.Point(start)))
        assert nearest.contains(shapely.Point(place[:2]))
    if not forbidden.contains(shapely.Point(start)):
        travels, ends_at = played(forbidden, start)
        assert place[:2] == pytest.approx(ends_at, abs=PLANAR_MM)
        for travel, expected in zip(found.travels, travels, strict=True):
            stops = [FAR_MM if one is None else one.travel_mm for one in (travel.low, travel.high)]
            assert stops == pytest.approx(expected, abs=PLANAR_MM)
    # whatever way it came there, from where it ends up it goes as far as the areas let it
    for way, stop in case.stops:
        assert way @ (stop - found.place_mm) == pytest.approx(
            reach(forbidden, place[:2], turn[:2] @ way), abs=PLANAR_MM
        )


def played(forbidden: shapely.Geometry, start: np.ndarray) -> tuple[list[np.ndarray], np.ndarray]:
    """The slide's own order: to the middle along the second direction, the first, the second."""
    place, travels = start, [np.zeros(2)] * 2
    for k in (1, 0, 1):
        way = np.eye(2)[k]
        travels[k] = np.array([-reach(forbidden, place, -way), reach(forbidden, place, way)])
        place = place + way * 0.5 * travels[k].sum()
    return travels, place


def section(
    outer: ConvexPiece, inner: ConvexPiece, path: np.ndarray, turn: np.ndarray
) -> shapely.Polygon | None:
    """The displacements across the path at which two pieces meet somewhere on it."""
    body = (outer.vertices[:, None] - inner.vertices[None]).reshape(-1, 3)
    swept = np.concatenate([body, body + path]) @ turn.T
    height = swept[:, 2]
    if height.min() >= -1e-12 or height.max() <= 1e-12:
        return None
    hull = ConvexHull(swept)
    edges = np.concatenate([hull.simplices[:, pair] for pair in ((0, 1), (1, 2), (2, 0))])
    edges = edges[(height[edges[:, 0]] < 0.0) != (height[edges[:, 1]] < 0.0)]
    a, b = swept[edges[:, 0]], swept[edges[:, 1]]
    cut = a + (a[:, 2] / (a[:, 2] - b[:, 2]))[:, None] * (b - a)
    return shapely.MultiPoint(cut[:, :2]).convex_hull


def reach(forbidden: shapely.Geometry, place: np.ndarray, way: np.ndarray) -> float:
    """How far a point goes until it comes into an area; FAR_MM where it never does."""
    line = shapely.LineString([place, place + FAR_MM * way])
    met = [bit for bit in shapely.get_parts(line.intersection(forbidden)) if bit.length > 1e-7]
    ends = [(shapely.get_coordinates(bit) - place) @ way for bit in met]
    return min((float(end.min()) for end in ends), default=FAR_MM)


class Coal:
    """Pieces as hulls of the one library."""

    def __init__(self, pieces: list[ConvexPiece]) -> None:
        self.hulls = []
        for piece in pieces:
            points = coal.StdVec_Vec3s()
            for point in piece.vertices:
                points.append(point)
            self.hulls.append(coal.Convex.convexHull(points, True, "Qt"))
        self.still, self.moved = coal.Transform3s(), coal.Transform3s()

    def meet(self, k: int, other: Coal, i: int, move: np.ndarray, deeper_mm: float) -> bool:
        self.moved.setTranslation(move)
        # a result of its own for each query: a stale value comes back otherwise
        gap = coal.distance(
            self.hulls[k],
            self.still,
            other.hulls[i],
            self.moved,
            coal.DistanceRequest(),
            coal.DistanceResult(),
        )
        return float(gap) < deeper_mm


class Fcl:
    """Pieces as skins of the other library, which is asked near to touching only, never at it."""

    def __init__(self, pieces: list[ConvexPiece]) -> None:
        self.skins = []
        for piece in pieces:
            hull = ConvexHull(piece.vertices, qhull_options="Qt")
            model = fcl.BVHModel()
            model.beginModel(len(piece.vertices), len(hull.simplices))
            model.addSubModel(piece.vertices, hull.simplices)
            model.endModel()
            self.skins.append(model)

    def meet(self, k: int, other: Fcl, i: int, move: np.ndarray, deeper_mm: float) -> bool:
        if deeper_mm < 0.0:
            return False
        one, two = fcl.CollisionObject(self.skins[k]), fcl.CollisionObject(other.skins[i])
        two.setTranslation(move)
        return fcl.collide(one, two, fcl.CollisionRequest(), fcl.CollisionResult()) > 0


class Steps:
    """The outer part of a mate at many places of its path."""

    def __init__(self, case: Case, outer: Coal | Fcl, inner: Coal | Fcl) -> None:
        self.outer, self.inner = outer, inner
        count = int(np.ceil(case.mate.motion.length_mm / STEP_MM)) + 1
        # a lid's floor touches the rim at the very end, where neither library is asked
        first = CLEAR_MM / case.mate.motion.length_mm
        self.moves = -np.linspace(first, 1.0, count)[:, None] * case.mate.path
        self.turn = case.mate.frame.turn
        self.ends = [
            (np.array([(p.vertices @ self.turn.T).min(axis=0) for p in own]),
             np.array([(p.vertices @ self.turn.T).max(axis=0) for p in own]))
            for own in (case.outer, case.inner)
        ]  # fmt: skip

    def meet(self, place: np.ndarray, deeper_mm: float) -> bool:
        """Whether a pair meets at some step, or stands deeper in each other than that."""
        (low, high), (own_low, own_high) = self.ends
        moves = (self.moves + place) @ self.turn.T
        near = np.all(
            (low[None, :, None] < own_high[None, None] + moves[:, None, None])
            & (own_low[None, None] + moves[:, None, None] < high[None, :, None]),
            axis=3,
        )
        for step, k, i in np.argwhere(near):
            if self.outer.meet(int(k), self.inner, int(i), self.moves[step] + place, deeper_mm):
                return True
        return False
