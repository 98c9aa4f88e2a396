"""Parts that go into or over each other, drawn as convex pieces: no part of ours folds them.

Nothing is symmetric: walls have other thicknesses, lean a little, and stand off the middle.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fitcheck.fit.frames import PathFrame
from fitcheck.fit.motions import Straight
from fitcheck.fit.straight import NEAR_MM, Mating, StraightMate, straight_mate
from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.pose import translation
from fitcheck.folding.prisms import prism

Range = tuple[float, float]


def block(name: str, x: Range, y: Range, z: Range) -> ConvexPiece:
    """An upright block between two places along each axis, mm."""
    outline = np.array([[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]], dtype=float)
    return prism(name, frozenset([name]), outline, float(z[0]), float(z[1]))


def listed(*boxes: list[ConvexPiece]) -> Pieces:
    """The pieces of boxes behind each other."""
    return Pieces.joined(boxes)


@dataclass(frozen=True, eq=False)
class Mated:
    """A mover and a holder in place, and how the one leaves the other."""

    mover: list[ConvexPiece]
    holder: list[ConvexPiece]
    motion: Straight
    mating: Mating

    def mate(self, near_mm: float = NEAR_MM) -> StraightMate:
        """The mate of both, in the frame that the motion asks for."""
        return straight_mate(
            self.motion, listed(self.mover), listed(self.holder), self.mating, near_mm
        )

    def shifted(self, by: tuple[float, float, float]) -> Mated:
        """The same with the mover somewhere else, mm."""
        mover = [one.moved(translation(np.array(by))) for one in self.mover]
        return replace(self, mover=mover)

    def turned(self, turn: np.ndarray) -> Mated:
        """The same elsewhere: all of it turned by a rotation (3, 3)."""
        pose = np.eye(4)
        pose[:3, :3] = turn
        mover, holder = ([one.moved(pose) for one in own] for own in (self.mover, self.holder))
        motion = Straight(turn @ self.motion.direction, self.motion.length_mm)
        return Mated(mover, holder, motion, self.mating)


def turned_mate(mate: StraightMate, turn: np.ndarray) -> StraightMate:
    """A mate of parts that were turned by a rotation (3, 3)."""
    return StraightMate(
        Straight(turn @ mate.motion.direction, mate.motion.length_mm),
        PathFrame(mate.frame.turn @ turn.T, mate.frame.across),
        mate.mating,
        None if mate.middle is None else turn @ mate.middle,
        mate.near_mm,
    )


def random_turn(rng: np.random.Generator) -> np.ndarray:
    """Any rotation, evenly."""
    turn, upper = np.linalg.qr(rng.normal(size=(3, 3)))
    turn = turn * np.sign(np.diag(upper))
    return turn if np.linalg.det(turn) > 0.0 else turn[:, [1, 0, 2]]


def leaning(piece: ConvexPiece, rng: np.random.Generator, degrees: float) -> ConvexPiece:
    """A piece turned a little about its own middle, any way."""
    axis = rng.normal(size=3)
    axis /= np.linalg.norm(axis)
    angle = np.radians(degrees) * rng.uniform(-1.0, 1.0)
    x, y, z = axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    pose = np.eye(4)
    pose[:3, :3] += np.sin(angle) * cross + (1.0 - np.cos(angle)) * cross @ cross
    middle = piece.vertices.mean(axis=0)
    pose[:3, 3] = middle - pose[:3, :3] @ middle
    return piece.moved(pose)


def drawer_in_sleeve(
    rng: np.random.Generator, ease: tuple[float, float] = (1.0, 0.8), lean_deg: float = 0.15
) -> Mated:
    """A drawer that leaves a sleeve along y; `ease` is about its play across and upwards."""
    width, length, height = rng.uniform(40, 70), rng.uniform(60, 90), rng.uniform(14, 24)
    t = rng.uniform(0.25, 0.5, 9)
    x0, z0 = rng.uniform(-8, 8, 2)
    x1, z1 = x0 + width, z0 + height
    long = (0.0, length)
    sleeve = [
        block("sleeve left", (x0 - t[0], x0), long, (z0 - t[2], z1 + t[3])),
        block("sleeve right", (x1, x1 + t[1]), long, (z0 - t[2], z1 + t[3])),
        block("sleeve floor", (x0, x1), long, (z0 - t[2], z0)),
        block("sleeve roof", (x0, x1), long, (z1, z1 + t[3])),
    ]
    off = rng.uniform(0.3, 0.7, 2) * ease
    a, b = x0 + off[0], x1 - ease[0] + off[0]
    c, d = z0 + off[1], z1 - ease[1] + off[1]
    rims = d - rng.uniform(0.0, 0.2, 4)
    deep = (rng.uniform(0.5, 1.5), length - rng.uniform(0.5, 1.5))
    drawer = [
        block("floor", (a, b), deep, (c, c + t[4])),
        block("left wall", (a, a + t[5]), deep, (c, rims[0])),
        block("right wall", (b - t[6], b), deep, (c, rims[1])),
        block("front", (a, b), (deep[1] - t[7], deep[1]), (c, rims[2])),
        block("back", (a + t[5], b - t[6]), (deep[0], deep[0] + t[8]), (c, rims[3])),
    ]
    sleeve, drawer = ([leaning(one, rng, lean_deg) for one in own] for own in (sleeve, drawer))
    return Mated(drawer, sleeve, Straight(np.array([0.0, 1.0, 0.0]), length + 5.0), Mating.INTO)


def strip(
    name: str, along: int, at: float, thick: float, ends: Range, slots: list[Range], z: Range,
    up: bool,
) -> list[ConvexPiece]:  # fmt: skip
    """A strip with slots half its height, open upwards or downwards, as cells of one name."""
    middle = 0.5 * (z[0] + z[1])
    whole, teeth = ((z[0], middle), (middle, z[1])) if up else ((middle, z[1]), (z[0], middle))
    stops = [ends[0], *(edge for slot in sorted(slots) for edge in slot), ends[1]]
    spans = [
        (ends, whole),
        *(((a, b), teeth) for a, b in zip(stops[::2], stops[1::2], strict=True)),
    ]
    across = (at - 0.5 * thick, at + 0.5 * thick)
    return [
        block(name, span, across, heights) if along == 0 else block(name, across, span, heights)
        for span, heights in spans
    ]


def crossing_strips(
    rng: np.random.Generator, slack: Range = (0.1, 0.4), lean_deg: float = 0.1
) -> Mated:
    """One or two strips along x go down over one to three along y, slots over slots."""
    mine, theirs = int(rng.integers(1, 3)), int(rng.integers(1, 4))
    height = rng.uniform(15, 25)
    ys, xs = (np.cumsum(rng.uniform(12, 25, n)) - 20.0 for n in (mine, theirs))
    t_mine, t_theirs = rng.uniform(0.25, 0.6, mine), rng.uniform(0.25, 0.6, theirs)
    reach_x, reach_y = (xs[0] - 15, xs[-1] + 12), (ys[0] - 14, ys[-1] + 17)

    def slots(at: np.ndarray, thick: np.ndarray) -> list[Range]:
        room = rng.uniform(*slack, len(at))
        left = room * rng.uniform(0.3, 0.7, len(at))
        low = at - 0.5 * thick - left
        return [(float(a), float(b)) for a, b in zip(low, low + thick + room, strict=True)]

    upper, lower = [], []
    for y, t in zip(ys, t_mine, strict=True):
        upper += strip("mover", 0, y, t, reach_x, slots(xs, t_theirs), (0, height), up=False)
    for k, (x, t) in enumerate(zip(xs, t_theirs, strict=True)):
        lower += strip(f"strip {k}", 1, x, t, reach_y, slots(ys, t_mine), (0, height), up=True)
    upper, lower = ([leaning(one, rng, lean_deg) for one in own] for own in (upper, lower))
    mated = Mated(upper, lower, Straight(np.array([0.0, 0.0, 1.0]), height + 2.0), Mating.PAST)
    return mated.shifted((0.0, 0.0, 0.3))
