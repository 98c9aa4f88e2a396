"""Several contents in drawn boxes: they fit where there are places for them, each with its size.

They were arranged as designed. In a drawn box they keep the order in which they stand, in rows,
in columns or in layers, and move up to each other and to the walls; where they nestle they are
driven apart. Each way of it is a way to put them in, so a box for which one of them does is a
box in which they fit; one that only another arrangement would fill counts as one that fails.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from fitcheck.fit.contents import Cavity, ContentFit
from fitcheck.folding.pose import Array, Rows
from fitcheck.odds.bodies import LEAST_SIZE_MM, Body, bodies_of
from fitcheck.odds.content_readings import HERE, Beside, Face, Faces, WallsReader, walls_reader
from fitcheck.odds.inputs import Input
from fitcheck.odds.orders import Way
from fitcheck.odds.readings import BASE_CALIPER, BASE_RISE, SEAT, SIDES
from fitcheck.odds.stands import Drawn, Stands, piles_of
from fitcheck.pattern.sheet import Axis

AT_ONCE = 400_000
"""Pieces in boxes that are held at a time: some 10 MB of sizes, and a few times that around."""
CEILING = ((-1.0, SEAT), (1.0, BASE_RISE), (-1.0, BASE_CALIPER))
"""Families that the height under the lid is the sum of, with their signs."""


ByPiece = Mapping[tuple[int, int, int | None], int]
"""By line, piece and side."""


def room_name(axis: Axis) -> str:
    """The name of the room that the contents leave along an axis, all of them together."""
    return f"the contents' room to spare, {axis}"


@dataclass(frozen=True, eq=False)
class Arranged:
    """What is asked about several contents that were arranged."""

    bodies: tuple[Body, ...]
    taken: tuple[Stands, ...]
    """The bodies as piles and, where there are layers, each by itself."""
    heights: tuple[str, ...]
    """The name of each line's room to spare upwards; none without a lid."""

    ceiling: tuple[tuple[float, str], ...] = CEILING
    """Families that the height over what they stand on is the sum of, with their signs."""
    beside: tuple[Arranged, ...] = ()
    """The same in each other compartment of a grid: pieces and walls of their own."""

    @property
    def names(self) -> tuple[str, ...]:
        """The rows of `evaluate`."""
        return (*(room_name(axis) for axis in Axis), *self.heights)

    @property
    def families(self) -> frozenset[str]:
        """The families that are needed."""
        return self._families.union(*(one.families for one in self.beside))

    @cached_property
    def _families(self) -> frozenset[str]:
        walls = {one.family for side in self.taken[0].faces for row in side for one in row}
        ceiling = {family for _, family in self.ceiling} if self.heights else set()
        return frozenset(walls | ceiling)

    @property
    def stands(self) -> int:
        """So many bodies and piles are moved about in a box."""
        return len(self.taken[0].members) * (1 + len(self.beside))

    @cached_property
    def _tries(self) -> tuple[tuple[Stands, Way], ...]:
        """What is tried; contents that nestle are driven apart in one way only."""
        tries = [(stands, way) for stands in self.taken for way in stands.ways]
        if tries[0][1].nestled:
            return tuple(tries[:1])
        free = self.taken[0].free
        return (*tries, *([(self.taken[0], free)] if free is not None else []))

    def evaluate(
        self, least: Mapping[str, Array], offsets: Array, inputs: Sequence[Input]
    ) -> Array:
        """All rows, (q, m) mm, of boxes with inputs off by (k, m) and these least members.

        Of several compartments it is what the fullest has, row by row.
        """
        by_piece = _by_piece(inputs)
        found = self._here(least, offsets, by_piece)
        for one in self.beside:
            np.minimum(found, one._here(least, offsets, by_piece), out=found)
        return found

    def fullest(
        self, least: Mapping[str, Array], offsets: Array, inputs: Sequence[Input], most: int
    ) -> Rows:
        """At most so many compartments (f, m) of the same boxes, those with the least room first.

        By their numbers: this one's is 0.
        """
        by_piece = _by_piece(inputs)
        every = (self, *self.beside)
        room = [one._here(least, offsets, by_piece).min(axis=0) for one in every]
        return np.argsort(room, axis=0, kind="stable")[:most]

    def _here(self, least: Mapping[str, Array], offsets: Array, by_piece: ByPiece) -> Array:
        """All rows, (q, m) mm, of the same boxes, without the other compartments."""
        boxes = offsets.shape[1]
        found = np.empty((len(self.names), boxes))
        columns = self._columns(by_piece)
        stride = max(256, AT_ONCE // len(self.bodies))
        for start in range(0, boxes, stride):
            part = slice(start, start + stride)
            rows = {family: least[family][part] for family in self._families}
            drawn = Drawn(self._sizes(columns, offsets[:, part]), rows)
            found[:, part] = self._best(drawn)
        return found

    def _best(self, drawn: Drawn) -> Array:
        """The rows of the first way in which the contents go in, or of the one that comes nearest.

        What fails one way is tried the next; most boxes need the first one only.
        """
        (stands, way), *others = self._tries
        found = self._room(stands, way, drawn)
        for stands, way in others:
            failed = np.flatnonzero(found.min(axis=0) < 0.0)
            if not len(failed):
                break
            better = found[:, failed]
            _keep_better(better, self._room(stands, way, drawn.of(failed)))
            found[:, failed] = better
        return found

    def _room(self, stands: Stands, way: Way, drawn: Drawn) -> Array:
        sideways = stands.sideways(way, drawn)
        if not self.heights:
            return sideways
        ceiling = sum(sign * drawn.least[family] for sign, family in self.ceiling)
        tops = stands.tops(way, drawn.sizes, len(self.heights))
        return np.concatenate([sideways, ceiling - tops])

    def _columns(self, by_piece: ByPiece) -> Array:
        """(n, 3) the input that each body's width, length and height hangs on; -1 for none."""
        return np.array(
            [
                [by_piece.get((body.line, body.piece, side), -1) for side in body.sides]
                for body in self.bodies
            ]
        )

    def _sizes(self, columns: Array, offsets: Array) -> Array:
        designed = np.array([body.size for body in self.bodies])
        sizes = np.repeat(designed[:, :, None], offsets.shape[1], axis=2)
        moved = columns >= 0
        sizes[moved] += offsets[columns[moved]]
        np.maximum(sizes, LEAST_SIZE_MM, out=sizes)
        return sizes


def _by_piece(inputs: Sequence[Input]) -> ByPiece:
    """The input that each side of each piece of each line hangs on."""
    return {
        (line, piece, one.side): column
        for column, one in enumerate(inputs)
        for line, piece in one.pieces
    }


def _keep_better(found: Array, other: Array) -> None:
    """Put the columns of `other` in place of those whose least row is less."""
    better = other.min(axis=0) > found.min(axis=0)
    found[:, better] = other[:, better]


def arranged(
    cavity: Cavity,
    fits: Sequence[ContentFit],
    heights: tuple[str, ...],
    round_it: tuple[str, ...],
    ceiling: tuple[tuple[float, str], ...] = CEILING,
    rooms: Sequence[tuple[float, float]] = (),
) -> tuple[WallsReader, Arranged]:
    """The reader of the walls of some parts round contents that were placed, and what is asked.

    `rooms` are where the middles of further compartments lie, from that in which they were placed.
    """
    bodies = bodies_of(fits, cavity.room)
    piles = piles_of(bodies)
    columns, rows = (list(dict.fromkeys(room[k] for room in rooms if room[k])) for k in range(2))
    places = [
        HERE,
        *(Beside((x, 0.0), (Axis.WIDTH,)) for x in columns),
        *(Beside((0.0, y), (Axis.LENGTH,)) for y in rows),
    ]
    reader, found = walls_reader(
        cavity.base, [[bodies[i] for i in own] for own in piles], round_it, places
    )
    pile_of = {body: pile for pile, own in enumerate(piles) for body in own}
    layered = any(body.place.z_mm > 0.0 for body in bodies) and len(piles) > 1

    def asked(own: tuple[Body, ...], walls: Faces) -> Arranged:
        taken = [Stands(own, piles, _faces(walls, range(len(piles))), (False,))]
        if layered:
            alone = tuple((body,) for body in range(len(own)))
            faces = _faces(walls, [pile_of[body] for body in range(len(own))])
            taken.append(Stands(own, alone, faces, (True,)))
        return Arranged(own, tuple(taken), heights, ceiling)

    here, *there = found
    in_column = {0.0: here} | dict(zip(columns, there, strict=False))
    in_row = {0.0: here} | dict(zip(rows, there[len(columns) :], strict=True))
    beside = tuple(
        asked(of_room(bodies, fits, number), _crossed(in_column[x], in_row[y]))
        for number, (x, y) in enumerate(rooms, start=1)
    )
    return reader, replace(asked(bodies, here), beside=beside)


def of_room(bodies: Sequence[Body], fits: Sequence[ContentFit], number: int) -> tuple[Body, ...]:
    """The bodies as the further pieces that stand in a compartment."""
    counts = [fit.content.count for fit in fits]
    return tuple(replace(body, piece=body.piece + number * counts[body.line]) for body in bodies)


def _crossed(column: Faces, row: Faces) -> Faces:
    """The faces where a column of compartments crosses a row."""
    return {
        key: face
        for own, along in ((column, Axis.WIDTH), (row, Axis.LENGTH))
        for key, face in own.items()
        if key[1] is along
    }


def _faces(faces: Faces, piles: Sequence[int]) -> tuple[tuple[tuple[Face, ...], ...], ...]:
    return tuple(
        tuple(tuple(faces[pile, axis, side] for pile in piles) for axis in Axis) for side in SIDES
    )
