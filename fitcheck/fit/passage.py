"""Bodies that stand in a base go straight up and out: what the base leaves the whole of them.

The base's pieces are convex and so is what each body sweeps, so nothing is stepped. All bodies
move as one when they are shifted sideways to the middle of their free travel. In the end every
pair of a piece and a body that might meet is asked again where the bodies then stand: what passes
does go in.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.candidates import PairTravels
from fitcheck.fit.contact import TOUCH_MM, HalfSpaces
from fitcheck.fit.frames import DIRECTIONS
from fitcheck.fit.plans import plan_above
from fitcheck.fit.rounded import Ball, Rod, RoundedBody, Upright, ball_body, rod_body, upright_body
from fitcheck.fit.walls import Walls
from fitcheck.fit.way_in import CLEAR_MM
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, Array
from fitcheck.pattern.sheet import Axis

STILL_MM = 1e-6
MOST_ROUNDS = 4
PRESS_MM = 1e-7
"""Pieces that overlap by less than this touch: rounding of lengths of some hundred millimetres."""

Body = Upright | Rod | Ball
Contact = HalfSpaces | RoundedBody


@dataclass(frozen=True, eq=False)
class Passage:
    """What a base leaves some bodies that go in together."""

    play_mm: tuple[float, float]
    """Free travel of the whole along width and length; negative when they press by that much."""
    shift: tuple[float, float]
    """How far they move from where they stood to the middle of it, mm."""
    free: bool
    """True when nothing meets there on the whole way."""


def passage(base: Walls, bodies: Sequence[Body]) -> Passage:
    """Shift bodies to the middle of their travel and prove that they go in there."""
    tallest = max(float(body.high[2]) for body in bodies)
    lowest = min(float(body.low[2]) for body in bodies)
    lift = base.height_mm + tallest - lowest + CLEAR_MM
    way = Way(base.pieces, bodies, -UP * lift)
    at = np.zeros(3)
    plays: dict[Axis, float] = {}
    for step in range(MOST_ROUNDS):
        axis = (Axis.LENGTH, Axis.WIDTH)[step % 2]
        low, high = way.travel(axis, at)
        move = 0.5 * (low + high) if np.isfinite(high - low) else 0.0
        plays[axis] = high - low
        at = at + DIRECTIONS[axis] * move
        if step > 1 and abs(move) < STILL_MM:
            break
    shift = float(at[0]), float(at[1])
    width, length = plays[Axis.WIDTH], plays[Axis.LENGTH]
    if min(width, length) < -PRESS_MM or way.meets(at):
        return Passage((width, length), shift, False)
    return Passage((max(0.0, width), max(0.0, length)), shift, True)


class Way:
    """The pieces of a base and the bodies that leave it along one path.

    As in `slide`, a piece that stands wholly on one side of the middle has to stay on that side
    of every body, and one that is freed more easily along the other axis does not count.
    """

    def __init__(self, pieces: Pieces, bodies: Sequence[Body], path: Array) -> None:
        self.pieces, self.bodies, self.path = pieces, bodies, path
        self._contacts: dict[tuple[int, int], Contact | None] = {}
        low, high = pieces.bounds
        b_low, b_high = np.array([b.low for b in bodies]), np.array([b.high for b in bodies])
        self.on_low, self.on_high = high < 0.0, low > 0.0
        # a displacement strictly between these may make the pair meet somewhere on the path
        self.least = low[:, None] - b_high[None] + np.minimum(0.0, path)
        self.most = high[:, None] - b_low[None] + np.maximum(0.0, path)

    def travel(self, axis: Axis, at: Array) -> tuple[float, float]:
        """From where to where all bodies together may move along an axis, from `at`, mm."""
        return -self._stop(axis, at, -1.0), self._stop(axis, at, 1.0)

    def travels(
        self,
        name: str,
        at: Array,
        within_mm: float,
        only: Collection[tuple[str, str]] | None = None,
    ) -> tuple[PairTravels, PairTravels]:
        """Every pair of names that stops the bodies on the low and on the high side.

        Measured and left out as by `pairs.Pairs.travels`.
        """
        low, high = (self._travels(Axis(name), at, sign, within_mm, only) for sign in (-1.0, 1.0))
        return low, high

    def _travels(
        self,
        axis: Axis,
        at: Array,
        sign: float,
        within_mm: float,
        only: Collection[tuple[str, str]] | None,
    ) -> PairTravels:
        found: PairTravels = {}
        first = float("inf")
        for bound, o, i in self._nearest(axis, at, sign):
            if bound > first + within_mm:
                break
            names = self.pieces[o].name, self.bodies[i].name
            if bound >= found.get(names, float("inf")) or (only is not None and names not in only):
                continue
            reach = self._reach(o, i, axis, at, sign)
            if reach < found.get(names, float("inf")):
                found[names] = reach
                first = min(first, reach)
        return {pair: sign * reach for pair, reach in found.items() if reach <= first + within_mm}

    def meets(self, at: Array) -> bool:
        """Whether any body meets any piece on its way from `at`."""
        near = np.all((self.least < at - PRESS_MM) & (self.most > at + PRESS_MM), axis=2)
        return any(self._overlap(int(o), int(i), at) > PRESS_MM for o, i in np.argwhere(near))

    def _overlap(self, o: int, i: int, at: Array) -> float:
        contact = self._contact(o, i)
        if contact is None:
            return -np.inf
        found = contact.depth(at)
        return found if isinstance(found, float) else found[0]

    def _stop(self, axis: Axis, at: Array, sign: float) -> float:
        """The free travel towards `sign`, negative when something presses; inf when unbounded."""
        first = float("inf")
        for bound, o, i in self._nearest(axis, at, sign):
            if bound >= first:
                break
            first = min(first, self._reach(o, i, axis, at, sign))
        return first

    def _nearest(self, axis: Axis, at: Array, sign: float) -> Iterator[tuple[float, int, int]]:
        """Pairs that may stop the travel, with the least that they can allow, nearest first."""
        k = 0 if axis is Axis.WIDTH else 1
        others = [j for j in range(3) if j != k]
        beside = np.all(
            (self.least < at - TOUCH_MM)[:, :, others] & (self.most > at + TOUCH_MM)[:, :, others],
            axis=2,
        )
        side = (self.on_high if sign > 0 else self.on_low)[:, k]
        bounds = (self.least[:, :, k] - at[k]) if sign > 0 else (at[k] - self.most[:, :, k])
        chosen = np.argwhere(beside & side[:, None])
        nearest = bounds[chosen[:, 0], chosen[:, 1]]
        for row in np.argsort(nearest, kind="stable"):
            o, i = chosen[row]
            yield float(nearest[row]), int(o), int(i)

    def _reach(self, o: int, i: int, axis: Axis, at: Array, sign: float) -> float:
        """Travel towards `sign` until a pair meets; inf where it does not count."""
        contact = self._contact(o, i)
        inside = None if contact is None else contact.along(at, DIRECTIONS[axis])
        if contact is None or inside is None:
            return float("inf")
        reach = inside[0] if sign > 0 else -inside[1]
        if reach >= 0.0:
            return reach
        other, k = (Axis.LENGTH, 1) if axis is Axis.WIDTH else (Axis.WIDTH, 0)
        across = contact.along(at, DIRECTIONS[other])
        if across is None:
            across = float(self.least[o, i, k] - at[k]), float(self.most[o, i, k] - at[k])
        ways = [-float("inf")]
        if self.on_high[o, k]:
            ways.append(across[0])
        if self.on_low[o, k]:
            ways.append(-across[1])
        return float("inf") if max(ways) > reach else reach

    def _contact(self, o: int, i: int) -> Contact | None:
        """The displacements at which a pair meets on its way; None when there are none."""
        if (o, i) not in self._contacts:
            self._contacts[o, i] = self._new_contact(o, self.bodies[i])
        return self._contacts[o, i]

    def _new_contact(self, o: int, body: Body) -> Contact | None:
        if isinstance(body, Ball):
            return ball_body(self.pieces[o], body, self.path)
        if isinstance(body, Rod):
            return rod_body(self.pieces[o], body, self.path)
        plan = plan_above(self.pieces[o], body.foot_mm)
        return None if plan is None else upright_body(plan, body)
