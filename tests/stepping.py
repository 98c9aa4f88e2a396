"""Folded parts with hinged panels, stepped through general collision libraries.

They see the part folded anew at each angle. A walk goes by no more than the distance that a library
tells over the speed of the fastest point, but by a ten-thousandth of a radian at the least: so what
it finds first is first to that.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import coal
import fcl
import numpy as np
from scipy.optimize import minimize_scalar
from scipy.spatial import ConvexHull

from fitcheck.folding.bends import Bend
from fitcheck.folding.hinges import Hinges, chosen, refolded
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.pose import apply

AGREE_RAD = 1e-4
AGREE_MM = 1e-3
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
    """A part of which some panels stand at any angles, as a general library's hulls."""

    def __init__(
        self, part: FoldedPart, panels: Sequence[str], others: Pieces | None = None
    ) -> None:
        self.alone = chosen(part.among, np.array([part.box]))
        self.panels, self.others = tuple(panels), list(others or [])
        pattern = part.pattern
        self.moving = [set(pattern.beyond(panel)) for panel in panels]
        self.hinges = [pattern.crease_to(panel).name for panel in panels]
        pairs = {(line.parent, line.child) for line in pattern.creases}
        pairs |= {(joint.panel, joint.onto) for joint in pattern.corner_joints}
        pairs |= {(one.name, one.name) for one in pattern.panels}
        self.neighbours = pairs | {(b, a) for a, b in pairs}
        self.meant: dict[tuple[frozenset[str], frozenset[str]], bool] = {}
        self.hulls: dict[bytes, object] = {}
        points = np.concatenate([piece.vertices for piece in part.pieces])[None]
        self.speed = float(Hinges(self.alone, panels[0]).speeds_mm(points).max())

    def sides(self, angles: Sequence[float]) -> list[list[ConvexPiece]]:
        """What stays, and what turns with each panel, bends between as fine slices of the round."""
        at = {panel: np.array([own]) for panel, own in zip(self.panels, angles, strict=True)}
        part = refolded(self.alone, at).part(0)
        sides: list[list[ConvexPiece]] = [[] for _ in range(len(self.panels) + 1)]
        for piece in part.pieces:
            if piece.name not in self.hinges:
                sides[sum(not piece.panels.isdisjoint(own) for own in self.moving)].append(piece)
        for bend in part.bends:
            if bend.name in self.hinges:
                sides[1 + self.hinges.index(bend.name)] += _fine(bend)
        return sides

    def close(
        self, angles: Sequence[float], within_mm: float
    ) -> list[tuple[ConvexPiece, ConvexPiece]]:
        """The pairs that have to pass each other and whose boxes are near, nearest first."""
        sides = self.sides(angles)
        pairs = [(*two, True) for two in itertools.combinations(sides, 2)]
        pairs += [(self.others, side, False) for side in sides[1:] if self.others]
        found: list[tuple[float, ConvexPiece, ConvexPiece]] = []
        for mine, others, own in pairs:
            low, high = (np.array([getattr(p, k) for p in mine]) for k in ("low", "high"))
            lows, highs = (np.array([getattr(p, k) for p in others]) for k in ("low", "high"))
            apart = np.maximum(lows[:, None] - high, low - highs[:, None]).max(axis=2)
            for j, piece in enumerate(others):
                found += [
                    (apart[j, k], mine[k], piece)
                    for k in np.flatnonzero(apart[j] < within_mm).tolist()
                    if not (own and self._meant(mine[k].panels, piece.panels))
                ]
        return [(one, other) for _, one, other in sorted(found, key=lambda own: own[0])]

    def _meant(self, one: frozenset[str], other: frozenset[str]) -> bool:
        if (one, other) not in self.meant:
            pairs = itertools.product(one, other)
            self.meant[one, other] = any(pair in self.neighbours for pair in pairs)
        return self.meant[one, other]

    def apart(self, *angles: float, within_mm: float = FAR_MM) -> float:
        """The least distance at some angles, negative where pieces stand in each other."""
        here = coal.Transform3s()
        ask = coal.DistanceRequest()
        least = within_mm
        for one, other in self.close(angles, within_mm):
            if _boxes_apart(one, other) >= least:
                continue
            told = coal.DistanceResult()
            hulls = self.hull(one), self.hull(other)
            least = min(least, float(coal.distance(hulls[0], here, hulls[1], here, ask, told)))
        return least

    def hull(self, piece: ConvexPiece) -> object:
        key = piece.vertices.tobytes()
        if key not in self.hulls:
            self.hulls[key] = hull(piece)
        return self.hulls[key]

    def stepped(self, start: float, stop: float) -> Stepped:
        """Walk from one angle of the only panel to another."""
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
        for one, other in self.close([angle], 0.0):
            found = fcl.CollisionResult()
            if fcl.collide(_fcl_hull(one), _fcl_hull(other), fcl.CollisionRequest(), found):
                return True
        return False

    def distance(self, angle: float) -> float:
        """The least distance that the other library tells."""
        least = FAR_MM
        for one, other in self.close([angle], FAR_MM):
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


def _boxes_apart(one: ConvexPiece, other: ConvexPiece) -> float:
    return float(np.maximum(one.low - other.high, other.low - one.high).max())


def hull(piece: ConvexPiece) -> object:
    points = coal.StdVec_Vec3s()
    for point in piece.vertices:
        points.append(point)
    return coal.Convex.convexHull(points, True, "Qt")


def _fcl_hull(piece: ConvexPiece) -> object:
    hull = ConvexHull(piece.vertices)
    faces = []
    for corners, plane in zip(hull.simplices, hull.equations, strict=True):
        a, b, c = piece.vertices[corners]
        out = float(np.cross(b - a, c - a) @ plane[:3]) > 0.0
        faces.append([3, *(corners if out else corners[::-1])])
    return fcl.CollisionObject(
        fcl.Convex(piece.vertices, len(faces), np.array(faces).reshape(-1)), fcl.Transform()
    )
