"""Contents as they stand: piles between walls, what keeps them apart, and how high they come."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fitcheck.folding.pose import Array
from fitcheck.odds.bodies import AXES, Body, directions_among, reached
from fitcheck.odds.content_readings import Face
from fitcheck.odds.nestled import Contacts, Nestled, Plan, nestled, spread_out
from fitcheck.odds.orders import CLEAR_MM, Pair, Way, free_way, room_left, ways_of

PILED_MM = 1e-3
MOST_FREE = 40
"""Stands up to which the pairs that no order holds are looked at one by one."""
NEAR_SHARE = 0.5
"""Pairs that are clear by more than this share of the smallest of their sizes never meet."""
TYPICAL_U_MM = 0.3
"""About how far sizes and walls are off; only says which proofs are worth having."""


Walls = list[list[list[Array]]]


@dataclass(frozen=True, eq=False)
class Drawn:
    """The contents and the walls of m boxes."""

    sizes: Array
    """(n, 3, m) width, length and height of each body in its pose, mm."""
    least: Mapping[str, Array]
    """(m,) the least member of each family of the walls."""

    def of(self, boxes: NDArray[np.intp]) -> Drawn:
        """Some of the boxes."""
        least = {family: row[boxes] for family, row in self.least.items()}
        return Drawn(self.sizes[:, :, boxes], least)


def piles_of(bodies: Sequence[Body]) -> tuple[tuple[int, ...], ...]:
    """Bodies in one pose that stand right on each other, from below."""
    found: list[list[int]] = []
    for index in sorted(range(len(bodies)), key=lambda one: bodies[one].place.z_mm):
        place = bodies[index].place
        for pile in found:
            below = bodies[pile[-1]].place
            same = (below.pose, below.turn_deg) == (place.pose, place.turn_deg)
            off = (below.x_mm - place.x_mm, below.y_mm - place.y_mm, below.top_mm - place.z_mm)
            if same and max(map(abs, off)) <= PILED_MM:
                pile.append(index)
                break
        else:
            found.append([index])
    return tuple(tuple(pile) for pile in found)


@dataclass(frozen=True, eq=False)
class Stands:
    """Bodies taken as piles, or each by itself, and the ways to order those."""

    bodies: tuple[Body, ...]
    members: tuple[tuple[int, ...], ...]
    """The bodies of each stand, from below."""
    faces: tuple[tuple[tuple[Face, ...], ...], ...]
    """The walls that each may move up to: by side, axis and stand."""
    upwards_first: tuple[bool, ...]

    @cached_property
    def middles(self) -> Array:
        """(s, 2) mm, as designed."""
        return np.array([self.bodies[own[0]].middle for own in self.members])

    @cached_property
    def designed(self) -> Array:
        """(n, 3, 1) the sizes of the bodies as designed."""
        return np.array([body.size for body in self.bodies])[:, :, None]

    @cached_property
    def spans(self) -> Array:
        """(s, 3, 2) what each takes up as designed."""
        reaches = self.reaches(self.designed)[:, :, :, 0]
        found = np.empty((len(self.members), 3, 2))
        for side, sign in enumerate((-1.0, 1.0)):
            found[:, :2, side] = self.middles + sign * reaches[side].T
        for stand, own in enumerate(self.members):
            found[stand, 2] = self.bodies[own[0]].place.z_mm, self.bodies[own[-1]].place.top_mm
        return found

    @cached_property
    def ways(self) -> tuple[Way, ...]:
        """The ways to keep order that are worth trying."""
        return ways_of(self.spans, self.upwards_first)

    @cached_property
    def free(self) -> Way | None:
        """The way whose pairs have to be looked at in each box."""
        return free_way(self.spans) if len(self.members) <= MOST_FREE else None

    def reaches(self, sizes: Array) -> Array:
        """How far stands reach from their middles, (2, 2, s, m) mm: to which side, along what."""
        found = np.empty((2, 2, len(self.members), sizes.shape[2]))
        for stand, own in enumerate(self.members):
            alike = self.bodies[own[0]].symmetric
            for axis, way in enumerate(AXES):
                found[1, axis, stand] = far = self.reach(stand, way, sizes)
                found[0, axis, stand] = far if alike else self.reach(stand, -way, sizes)
        return found

    def reach(self, stand: int, way: Array, sizes: Array) -> Array:
        """How far one stand reaches along a direction (2,), (m,) mm."""
        own = self.members[stand]
        found = reached(self.bodies[own[0]].reach(way), sizes[own[0]])
        for body in own[1:]:
            np.maximum(found, reached(self.bodies[body].reach(way), sizes[body]), out=found)
        return found

    def walls(self, drawn: Drawn) -> Walls:
        """Where the walls are, (m,) mm each: on which side, along which axis, for which stand."""
        known = {
            one: one.at_mm + one.sign * drawn.least[one.family]
            for side in self.faces
            for row in side
            for one in row
        }
        return [[[known[one] for one in row] for row in side] for side in self.faces]

    def tops(self, way: Way, sizes: Array, lines: int) -> Array:
        """The height that each line of the contents comes to, (lines, m) mm."""
        heights = sizes[:, 2]
        whole = np.array([heights[list(own)].sum(axis=0) for own in self.members])
        begins = way.orders[2].begins(np.zeros_like(whole), whole)
        found = np.zeros((lines, sizes.shape[2]))
        for begin, own in zip(begins, self.members, strict=True):
            top = begin.copy()
            for body in own:
                top += heights[body]
                line = found[self.bodies[body].line]
                np.maximum(line, top, out=line)
        return found

    def sideways(self, way: Way, drawn: Drawn) -> Array:
        """The room that is left along the width and the length, (2, m) mm.

        Where bodies nestle, both are the growth that all of them could still have.
        """
        walls, reaches = self.walls(drawn), self.reaches(drawn.sizes)
        if way.nestled:
            places = np.array(walls)
            at = self._carried(places)
            growths = self._driven(self.nestled, at, places, reaches, drawn.sizes)
            return np.array([growths, growths])
        extents = reaches.sum(axis=0)
        found = np.empty((2, drawn.sizes.shape[2]))
        begins = np.empty_like(extents)
        for axis in (0, 1):
            order = way.orders[axis]
            begins[axis] = order.begins(walls[0][axis], extents[axis])
            found[axis] = room_left(order, begins[axis], extents[axis], walls[1][axis])
            if way.unheld:
                far = [-wall for wall in walls[1][axis]]
                last = -order.turned().begins(far, extents[axis]) - extents[axis]
                begins[axis] = 0.5 * (begins[axis] + last)
        if way.unheld:
            self._part(way, begins, found, drawn)
        return found

    def _part(self, way: Way, begins: Array, found: Array, drawn: Drawn) -> None:
        """Drive pairs apart that no order holds, where the orders leave room for it."""
        reaches = self.reaches(drawn.sizes)
        met = np.zeros(found.shape[1], dtype=bool)
        for pair in way.unheld:
            met |= self._meet(pair, begins, reaches)
        open_ = np.flatnonzero(met & (found.min(axis=0) >= 0.0))
        if len(open_):
            some = drawn.of(open_)
            at = (begins + reaches[0])[:, :, open_].transpose(1, 0, 2)
            flat = at.reshape(2 * len(self.members), -1)
            growths = self._driven(
                self.parted, flat, np.array(self.walls(some)), reaches[..., open_], some.sizes
            )
            found[:, open_] = np.minimum(found[:, open_], growths)

    def _meet(self, pair: Pair, begins: Array, reaches: Array) -> Array:
        """(m,) whether a pair meets where it stands; discs are round, others their extents."""
        i, j = pair
        middles = [begin + low for begin, low in zip(begins, reaches[0], strict=True)]
        apart = [np.abs(middle[i] - middle[j]) for middle in middles]
        if all(self.bodies[self.members[one][0]].round for one in pair):
            meet: Array = np.hypot(*apart) < reaches[0, 0, i] + reaches[0, 0, j]
            return meet
        gaps = [
            np.maximum(begin[i] - begin[j] - wide[j], begin[j] - begin[i] - wide[i])
            for begin, wide in zip(begins, reaches.sum(axis=0), strict=True)
        ]
        meet = np.maximum(*gaps) < 0.0
        return meet

    @cached_property
    def nestled(self) -> Nestled:
        """The stands driven apart as designed, where they nestle."""
        held = self.ways[0].orders[2]
        piled = {(i, j) for j, own in enumerate(held.reached) for i in own}
        pairs = [
            (i, j)
            for i, j in itertools.combinations(range(len(self.members)), 2)
            if not {(i, j), (j, i)} & piled
        ]
        lowest = [self.bodies[own[0]] for own in self.members]
        at, contacts = spread_out(
            self.middles,
            pairs,
            self._designed_reach,
            directions_among(lowest),
            self._designed_walls,
        )
        return self._trained(Plan(len(at), contacts), at)

    @cached_property
    def parted(self) -> Nestled:
        """The stands held by the orders of the free way, and near pairs across their corners."""
        assert self.free is not None, "there are pairs that no order holds"
        held = [
            (i, j, *AXES[axis])
            for axis in (0, 1)
            for j, own in enumerate(self.free.orders[axis].before)
            for i in own
        ]
        for i, j in self.free.unheld:
            gaps = self.spans[j, :2, 0] - self.spans[i, :2, 1]
            back = self.spans[i, :2, 0] - self.spans[j, :2, 1]
            apart, sign = np.maximum(gaps, back), np.where(gaps >= back, 1.0, -1.0)
            sizes = self.spans[[i, j], :2, 1] - self.spans[[i, j], :2, 0]
            if apart.max() > NEAR_SHARE * sizes.min():
                continue
            way = sign * np.maximum(apart, CLEAR_MM)
            if all(self.bodies[self.members[one][0]].round for one in (i, j)):
                way = self.middles[j] - self.middles[i]
            held.append((i, j, *(way / np.linalg.norm(way))))
        table = np.array(held).reshape(-1, 4)
        contacts = Contacts(table[:, 0].astype(int), table[:, 1].astype(int), table[:, 2:])
        return self._trained(Plan(len(self.members), contacts), self.middles)

    def _designed_reach(self, stand: int, way: Array) -> float:
        return float(self.reach(stand, way, self.designed)[0])

    @cached_property
    def _designed_walls(self) -> Array:
        """(2, 2, s) as `walls`, as designed."""
        return np.array([[[one.designed_mm for one in row] for row in side] for side in self.faces])

    def _trained(self, plan: Plan, at: Array) -> Nestled:
        sizes, walls = self.designed, self._designed_walls[..., None]
        needs = self._needs(plan, walls, self.reaches(sizes), sizes)[:, 0]
        return nestled(plan, at, needs, np.full(len(needs), TYPICAL_U_MM))

    def _needs(self, plan: Plan, walls: Array, reaches: Array, sizes: Array) -> Array:
        """The right-hand side of the plan, (rows, m): pairs, then walls by axis and side."""
        contacts = plan.contacts
        triples = zip(contacts.first, contacts.second, contacts.directions, strict=True)
        apart = [
            self.reach(int(i), way, sizes) + self.reach(int(j), -way, sizes)
            for i, j, way in triples
        ]
        ends = [
            sign * walls[side, axis] + reaches[side, axis]
            for axis in (0, 1)
            for side, sign in enumerate((1.0, -1.0))
        ]
        return np.concatenate([np.array(apart).reshape(-1, sizes.shape[2]), *ends])

    def _carried(self, walls: Array) -> Array:
        """The middles of nestled stands carried along with the walls, (2s, m)."""
        at = self.nestled.at.reshape(-1, 2).T
        low, high = self._designed_walls
        share = ((at - low) / (high - low))[..., None]
        moved = walls - self._designed_walls[..., None]
        begin = at[..., None] + (1.0 - share) * moved[0] + share * moved[1]
        flat: Array = begin.transpose(1, 0, 2).reshape(2 * len(self.members), -1)
        return flat

    def _driven(self, own: Nestled, at: Array, walls: Array, reaches: Array, sizes: Array) -> Array:
        """The growth that stands could still have when they are driven apart, (m,) mm."""
        return own.growths(self._needs(own.plan, walls, reaches, sizes), at)
