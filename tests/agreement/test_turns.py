"""Turns of hinged lids against two general collision libraries and against arithmetic.

The libraries see the part folded anew at each angle, as whole folded parts, and are stepped: by no
more than the distance they tell over the fastest point's speed, but by a ten-thousandth of a radian
at the least. So what they find first is first to that, and their least distance is the least.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import coal
import fcl
import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from fitcheck.fit.turn import Outcome, Swing, swing
from fitcheck.folding.bends import Bend
from fitcheck.folding.hinges import Hinges, chosen, refolded
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.pose import apply
from fitcheck.stock.crease import Crease
from tests.hinged import HingedTray

AGREE_RAD = 1e-4
AGREE_MM = 1e-3
CLOSED = math.pi / 2.0
FAR_MM = 0.6
"""Pieces whose boxes are further apart than this are not asked for their distance."""


@dataclass(frozen=True)
class Stepped:
    """What a general library finds when it is stepped along a turn."""

    first_rad: float | None
    """Where it first sees pieces in each other, to a step."""
    least_mm: float
    """The least distance up to there."""


class Bench:
    """A part whose panel stands at any angle, and its pieces as a general library's hulls."""

    def __init__(self, part: FoldedPart, panel: str, others: Pieces | None = None) -> None:
        self.alone = chosen(part.among, np.array([part.box]))
        self.panel, self.others = panel, list(others or [])
        pattern = part.pattern
        self.moving = set(pattern.beyond(panel))
        self.hinge = pattern.crease_to(panel).name
        pairs = {(line.parent, line.child) for line in pattern.creases}
        pairs |= {(joint.tab, joint.wall) for joint in pattern.corner_joints}
        pairs |= {(one.name, one.name) for one in pattern.panels}
        self.neighbours = pairs | {(b, a) for a, b in pairs}
        points = np.concatenate([piece.vertices for piece in part.pieces])[None]
        self.speed = float(Hinges(self.alone, panel).speeds_mm(points).max())

    def sides(self, angle: float) -> tuple[list[ConvexPiece], list[ConvexPiece], list[ConvexPiece]]:
        """What stays, what turns, and the bend between as fine slices of the true round."""
        still, turned = [], []
        part = refolded(self.alone, {self.panel: np.array([angle])}).part(0)
        for piece in part.pieces:
            if piece.name != self.hinge:
                (still if piece.panels.isdisjoint(self.moving) else turned).append(piece)
        bend = [one for own in part.bends if own.name == self.hinge for one in _fine(own)]
        return still, turned, bend

    def close(self, angle: float, within_mm: float) -> Iterator[tuple[ConvexPiece, ConvexPiece]]:
        """The pairs that have to pass each other and whose boxes are near."""
        still, turned, bend = self.sides(angle)
        turned = turned + bend
        for mine, own in ((still, True), (self.others, False)):
            if not mine:
                continue
            low, high = (np.array([getattr(p, k) for p in mine]) for k in ("low", "high"))
            for piece in turned:
                apart = np.maximum(piece.low - high, low - piece.high).max(axis=1)
                for k in np.flatnonzero(apart < within_mm).tolist():
                    meant = own and any(
                        pair in self.neighbours
                        for pair in itertools.product(mine[k].panels, piece.panels)
                    )
                    if not meant:
                        yield mine[k], piece

    def apart(self, angle: float, within_mm: float = FAR_MM) -> float:
        """The least distance at an angle, negative where pieces stand in each other."""
        hulls: dict[int, object] = {}
        here = coal.Transform3s()
        ask = coal.DistanceRequest()
        least = within_mm
        for one, other in self.close(angle, within_mm):
            both = [hulls.setdefault(id(p), _hull(p)) for p in (one, other)]
            told = coal.DistanceResult()
            least = min(least, float(coal.distance(both[0], here, both[1], here, ask, told)))
        return least

    def stepped(self, start: float, stop: float) -> Stepped:
        """Walk from one angle to another."""
        way = 1.0 if stop > start else -1.0
        at, least, where = start, math.inf, start
        step = 0.0
        while True:
            apart = self.apart(at)
            if apart < -1e-7:
                return Stepped(at, least)
            if apart < least:
                least, where, step = apart, at, 0.0
            if at == stop:
                break
            step = max(AGREE_RAD, min(apart / self.speed, 0.05))
            at = min(at + step, stop) if way > 0.0 else max(at - step, stop)
        near = [min(max(where + by, min(start, stop)), max(start, stop)) for by in (-0.03, 0.03)]
        found = minimize_scalar(self.apart, bounds=near, method="bounded", options={"xatol": 1e-7})
        return Stepped(None, min(least, float(found.fun)))

    def collide(self, angle: float) -> bool:
        """Whether the other library sees any two pieces in each other."""
        for one, other in self.close(angle, 0.0):
            found = fcl.CollisionResult()
            if fcl.collide(_fcl_hull(one), _fcl_hull(other), fcl.CollisionRequest(), found):
                return True
        return False

    def distance(self, angle: float) -> float:
        """The least distance that the other library tells."""
        least = FAR_MM
        for one, other in self.close(angle, FAR_MM):
            found = fcl.DistanceResult()
            least = min(
                least, fcl.distance(_fcl_hull(one), _fcl_hull(other), fcl.DistanceRequest(), found)
            )
        return least


def _fine(bend: Bend) -> Iterator[ConvexPiece]:
    """Slices between angles of a bend, their corners on the round."""
    count = max(2, math.ceil((bend.stop_rad - bend.start_rad) / 0.02))
    none = np.zeros((0, 3))
    places = []
    for share in np.linspace(0.0, 1.0, count + 1):
        at = bend.start_rad + share * (bend.stop_rad - bend.start_rad)
        ends = np.array(bend.ends_start) + share * np.subtract(bend.ends_stop, bend.ends_start)
        radii = (max(bend.radius_mm, 1e-9), bend.outer_mm)
        local = [(r * math.sin(at), y, -r * math.cos(at)) for r in radii for y in ends]
        places.append(apply(bend.pose, np.array(local)))
    for one, other in itertools.pairwise(places):
        yield ConvexPiece(bend.name, bend.panels, np.concatenate([one, other]), none, none)


def _hull(piece: ConvexPiece) -> object:
    points = coal.StdVec_Vec3s()
    for point in piece.vertices:
        points.append(point)
    return coal.Convex.convexHull(points, True, "Qt")


def _fcl_hull(piece: ConvexPiece) -> object:
    from scipy.spatial import ConvexHull

    hull = ConvexHull(piece.vertices)
    faces = []
    for corners, plane in zip(hull.simplices, hull.equations, strict=True):
        a, b, c = piece.vertices[corners]
        out = float(np.cross(b - a, c - a) @ plane[:3]) > 0.0
        faces.append([3, *(corners if out else corners[::-1])])
    return fcl.CollisionObject(
        fcl.Convex(piece.vertices, len(faces), np.array(faces).reshape(-1)), fcl.Transform()
    )


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
    bench = Bench(part, "lid")
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
