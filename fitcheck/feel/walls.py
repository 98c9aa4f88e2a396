"""What air in a gap does to the walls beside it, and how that follows where they stand.

Each station of a wall is a strip of its own: air is led down it, and what pressure is left at each
height pushes the base's wall in and the lid's out. Each wall bows in its one shape.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from fitcheck.feel.driving import PA, Giving
from fitcheck.feel.gap import Gap, clipped
from fitcheck.feel.stops import Meeting
from fitcheck.folding.pose import Array, Flags, Rows

SENSES = np.array([1.0, -1.0])
"""Of the base and the lid: air between both holds the one back and drives the other out."""


@dataclass(frozen=True, eq=False)
class Air:
    """What only depends on the overlap, (i, ...) each."""

    sines: Array
    """(n,) the shape along a wall."""
    towards: Array
    """(i, c, 2) by how much bows of base and lid narrow the gap at each height."""
    meets: Array
    """(i, c + 2, 2) the same where walls may meet: there, at the base's rim and at the lid's."""
    sums: Array
    """(i, c, 3) what makes, of each height's resistance, the whole and both walls' pushes."""
    most: Array
    """(i, 2) the push that a whole pressure from inside gives base and lid."""
    spacing_mm: Array
    """(4,)"""

    @classmethod
    def of(cls, gap: Gap, giving: Giving) -> Air:
        """The shares of both walls' bows at each height, and how pressure left there counts."""
        way, heights = gap.way, gap.way.heights_mm
        base = np.clip(1.0 - way.base_depths_mm / giving.base_height_mm, 0.0, 1.0)
        lid = np.clip(1.0 - way.lid_heights_mm / giving.lid_height_mm, 0.0, 1.0)
        lid = lid[np.maximum(way.facing, 0)]
        shares = np.stack([np.broadcast_to(base, lid.shape), lid], axis=-1)
        counts = heights[..., None] * shares
        # what is passed before the middle of a cell costs all that comes later as much
        later = np.cumsum(counts[:, ::-1], axis=1)[:, ::-1] - 0.5 * counts
        whole = counts.sum(axis=1)
        above = np.maximum(giving.lid_height_mm - way.overlaps_mm, 0.0) ** 2
        inside = np.stack(
            [
                0.5 * giving.base_height_mm - whole[:, 0],
                above / (2.0 * giving.lid_height_mm) + whole[:, 1],
            ],
            axis=-1,
        )
        sums = np.concatenate([heights[..., None], heights[..., None] * later], axis=-1)
        sines = _sines(gap.out_mm.shape[1])
        over = way.overlaps_mm
        across = (
            np.clip(1.0 - over / height, 0.0, 1.0)
            for height in (giving.lid_height_mm, giving.base_height_mm)
        )
        top, bottom = (np.stack([np.ones_like(over), share], axis=-1) for share in across)
        rims = np.stack([top, bottom[:, ::-1]], axis=1)
        meets = np.concatenate([shares, rims], axis=1)
        return cls(sines, shares * SENSES, meets * SENSES, sums, inside, gap.spacing_mm)


@dataclass(frozen=True, eq=False)
class Rooms:
    """Boxes at one overlap each, (r, ...)."""

    step: Rows
    plain_mm: Array
    """(r, 4, n, c) the gap where nothing bows."""
    room_mm: Array
    """(r, 4, c + 2) that bows have until walls meet, as `Air.meets`."""
    still_mm: Array
    gives: Array
    weight_n: Array
    plan: Array
    """Newtons for each Pa."""
    rubs: Array

    def of(self, live: Rows) -> Rooms:
        """Some of them."""
        return Rooms(*(getattr(self, own.name)[live] for own in fields(self)))


@dataclass(frozen=True, eq=False)
class Look:
    """What air makes of walls as they are said to be, (r, ...)."""

    gap_mm: Array
    """(r, 4, n, c)"""
    sums: Array
    """(r, 4, n, 3) the resistance of each station, and what both walls lose by it."""
    bows_mm: Array
    """(r, 4, 2) of walls that stop where they meet."""
    follows: Array
    """(r, 4, 2, 2) how those follow what they would be by themselves."""
    grows: Array
    """(r, 4, 2) how what carries the lid follows the same, N/mm."""
    by_pa: Array
    """(r, 4, 2) how far each pascal bows walls, mm."""
    off_mm: Array
    """(r, 4, 2) how far air would bow free walls beyond where they are said to be."""
    off_pa: Array
    """(r,) how much more pressure the weight makes that friction leaves."""

    def of(self, rows: Flags) -> Look:
        """Some of them."""
        return Look(*(getattr(self, own.name)[rows] for own in fields(self)))


class Walls:
    """The walls of some boxes."""

    def __init__(self, air: Air, rooms: Rooms) -> None:
        self._air, self._rooms = air, rooms
        self._towards = air.towards[rooms.step]
        self._sums, self._most = air.sums[rooms.step], air.most[rooms.step]
        self._sides = self._meeting(rooms.room_mm, rooms.gives)
        # both sides of an axis as one, in the middle between them
        self._pairs = self._meeting(_halved(rooms.room_mm), _halved(rooms.gives))

    def _meeting(self, room: Array, gives: Array) -> Meeting:
        sides = room.shape[1]
        flat = room.reshape(-1, room.shape[-1]), gives.reshape(-1, 2)
        meets = self._air.meets[self._rooms.step]
        return Meeting(flat[0], np.repeat(meets, sides, axis=0), flat[1])

    def carried_n(self, free_mm: Array) -> tuple[Array, Array]:
        """What walls carry by friction, (r,), and how that follows each one's bow (r, 4, 2).

        Of walls that would bow by so much (r, 4, 2) by themselves.
        """
        pairs = self._pairs.stopped(_halved(free_mm).reshape(-1, 2))
        count, rubs = len(free_mm), self._rooms.rubs
        force = pairs.force_n.reshape(count, 2).sum(axis=-1)
        grows = np.repeat(pairs.grows.reshape(count, 2, 2), 2, axis=1)
        return 2.0 * rubs * force, rubs[:, None, None] * grows

    def look(self, free_mm: Array, pressure: Array) -> Look:
        """At walls that would bow so much (r, 4, 2) by themselves, under so many Pa (r,)."""
        air, rooms = self._air, self._rooms
        stopped = self._sides.stopped(free_mm.reshape(-1, 2))
        bows = stopped.bows_mm.reshape(free_mm.shape)
        nearer = bows @ np.swapaxes(self._towards, 1, 2)
        gap = clipped(rooms.plain_mm - nearer[:, :, None] * air.sines[:, None])
        flat = len(gap), -1, gap.shape[-1]
        sums = ((1.0 / (gap * gap * gap)).reshape(flat) @ self._sums).reshape(*gap.shape[:3], 3)
        lost = air.sines @ (sums[..., 1:] / sums[..., :1])
        push = air.sines.sum() * self._most[:, None] + lost * SENSES
        by_pa = rooms.gives * (air.spacing_mm / PA)[:, None] * push
        carried, grows = self.carried_n(free_mm)
        left = rooms.weight_n - carried
        return Look(
            gap_mm=gap,
            sums=sums,
            bows_mm=bows,
            follows=stopped.follows.reshape(*free_mm.shape, 2),
            grows=np.where((left > 0.0)[:, None, None], grows, 0.0),
            by_pa=by_pa,
            off_mm=rooms.still_mm + by_pa * pressure[:, None, None] - free_mm,
            off_pa=np.maximum(left, 0.0) / rooms.plan - pressure,
        )

    def step(self, look: Look, pressure: Array) -> tuple[Array, Array]:
        """Newton's: by how much to change bows (r, 4, 2) and pressures (r,) that were looked at.

        Where walls snap on, as each bow makes for more than itself, they are followed instead.
        """
        by_pressure = -look.grows / self._rooms.plan[:, None, None]
        left = np.eye(2) - self._by_bow(look, pressure) @ look.follows
        (a, b), (c, d) = ((left[..., k, 0], left[..., k, 1]) for k in (0, 1))
        rests = (a + d > 0.0) & (a * d - b * c > 0.0)
        left = np.where(rests[..., None, None], left, np.eye(2))
        both = _solved(left, np.stack([look.off_mm, look.by_pa], axis=-1))
        alone, along = both[..., 0], both[..., 1]
        slope = 1.0 - (by_pressure * along).sum(axis=(1, 2))
        change = (look.off_pa + (by_pressure * alone).sum(axis=(1, 2))) / _from_zero(slope)
        return alone + along * change[:, None, None], change

    def _by_bow(self, look: Look, pressure: Array) -> Array:
        """(r, 4, 2, 2) how far air bows walls for each millimetre that they stand nearer."""
        air, gap = self._air, look.gap_mm
        square = gap * gap
        flat = len(gap), -1, gap.shape[-1]
        slopes = self._sums[..., None] * self._towards[:, :, None]
        slopes = slopes.reshape(*slopes.shape[:2], 6)
        steep = ((1.0 / (square * square)).reshape(flat) @ slopes).reshape(*gap.shape[:3], 3, 2)
        whole = look.sums[..., :1]
        change = steep[..., 1:, :] - (look.sums[..., 1:] / whole)[..., None] * steep[..., :1, :]
        weights = 3.0 * air.sines**2 / whole[..., 0]
        # sum over stations
        change = (weights[..., None, :] @ change.reshape(*change.shape[:3], 4)).reshape(
            *change.shape[:2], 2, 2
        )
        area = self._rooms.gives * (air.spacing_mm / PA)[:, None] * pressure[:, None, None]
        found: Array = (area * SENSES)[..., None] * change
        return found


def _solved(matrix: Array, right: Array) -> Array:
    """(..., 2, k) of (..., 2, 2) times it being (..., 2, k)."""
    (a, b), (c, d) = ((matrix[..., k, 0, None], matrix[..., k, 1, None]) for k in (0, 1))
    one, two = right[..., 0, :], right[..., 1, :]
    span = _from_zero(a * d - b * c)
    return np.stack([(d * one - b * two) / span, (a * two - c * one) / span], axis=-2)


def _from_zero(values: Array) -> Array:
    """Values that can be divided by."""
    return np.where(np.abs(values) < 1e-6, np.copysign(1e-6, values), values)


def _halved(own: Array) -> Array:
    """(r, 4, ...) to (r, 2, ...), the mean of both sides of each axis."""
    return 0.5 * (own[:, 0::2] + own[:, 1::2])


def _sines(count: int) -> Array:
    """The shape along a wall at so many stations, their mean that of a half sine, (n,)."""
    at = np.sin(np.pi * (np.arange(count) + 0.5) / count)
    found: Array = at * (2.0 / np.pi) / at.mean()
    return found
