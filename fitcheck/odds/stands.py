"""Contents as they stand: piles between walls, what keeps them apart, and how high they come."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fitcheck.folding.pose import Array
from fitcheck.odds.bodies import AXES, Body, directions_among, reached
from fitcheck.odds.content_readings import Face
from fitcheck.odds.nestled import Nestled, Plan, nestled, spread_out
from fitcheck.odds.orders import Pair, Way, free_way, room_left, ways_of

PILED_MM = 1e-3
MOST_FREE = 60
"""Stands up to which the pairs that no order holds are looked at one by one."""
TYPICAL_U_MM = 0.3
"""About how far sizes and walls are off; only says which proofs are worth having."""


@dataclass(frozen=True, eq=False)
class Drawn:
    """The contents and the walls of m boxes."""

    sizes: Array
    """(n, 3, m) width, length and height of each body in its pose, mm."""
    least: Mapping[str, Array]
    """(m,) the least member of each family of the walls."""

    def of(self, boxes: Array) -> Drawn:
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
        return np.array(
            [
                [
                    [self.reach(stand, sign * way, sizes) for stand in range(len(self.members))]
                    for way in AXES
                ]
                for sign in (-1.0, 1.0)
            ]
        )

    def reach(self, stand: int, way: Array, sizes: Array) -> Array:
        """How far one stand reaches along a direction (2,), (m,) mm."""
        own = self.members[stand]
        found = reached(self.bodies[own[0]].reach(way), sizes[own[0]])
        for body in own[1:]:
            np.maximum(found, reached(self.bodies[body].reach(way), sizes[body]), out=found)
        return found

    def walls(self, drawn: Drawn) -> Array:
        """Where the walls are, (2, 2, s, m) mm: on which side, along which axis."""
        return np.array(
            [
                [[one.at_mm + one.sign * drawn.least[one.family] for one in row] for row in side]
                for side in self.faces
            ]
        )

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

        Where bodies nestle, both are the growth that all of them could still have; where a pair
        that no order holds has run into each other, both are minus infinity.
        """
        walls, reaches = self.walls(drawn), self.reaches(drawn.sizes)
        if way.nestled:
            growths = self._driven(walls, reaches, drawn)
            return np.array([growths, growths])
        extents = reaches.sum(axis=0)
        found = np.empty((2, drawn.sizes.shape[2]))
        begins = []
        for axis in (0, 1):
            order = way.orders[axis]
            first = order.begins(walls[0, axis], extents[axis])
            found[axis] = room_left(order, first, extents[axis], walls[1, axis])
            if way.unheld:
                last = -order.turned().begins(-walls[1, axis], extents[axis]) - extents[axis]
                begins.append(0.5 * (first + last))
        for pair in way.unheld:
            found[:, self._meet(pair, begins, reaches)] = -np.inf
        return found

    def _meet(self, pair: Pair, begins: Sequence[Array], reaches: Array) -> Array:
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
        sizes = self.designed
        faces = np.array([[[one.designed_mm for one in row] for row in side] for side in self.faces])
        held = self.ways[0].orders[2]
        piled = {(i, j) for j, own in enumerate(held.reached) for i in own}
        count = len(self.members)
        pairs = [
            (i, j)
            for i in range(count)
            for j in range(i + 1, count)
            if not {(i, j), (j, i)} & piled
        ]

        def reach(stand: int, way: Array) -> float:
            return float(self.reach(stand, way, sizes)[0])

        lowest = [self.bodies[own[0]] for own in self.members]
        at, contacts = spread_out(self.middles, pairs, reach, directions_among(lowest), faces)
        plan = Plan(count, contacts)
        needs = self._needs(plan, faces[..., None], self.reaches(sizes), sizes)[:, 0]
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

    def _driven(self, walls: Array, reaches: Array, drawn: Drawn) -> Array:
        """The growth that nestled stands could still have, (m,) mm."""
        own = self.nestled
        designed = np.array(
            [[[one.designed_mm for one in row] for row in side] for side in self.faces]
        )
        at = own.at.reshape(-1, 2).T
        share = ((at - designed[0]) / (designed[1] - designed[0]))[..., None]
        moved = walls - designed[..., None]
        begin = at[..., None] + (1.0 - share) * moved[0] + share * moved[1]
        flat = begin.transpose(1, 0, 2).reshape(2 * len(self.members), -1)
        return own.growths(self._needs(own.plan, walls, reaches, drawn.sizes), flat)
