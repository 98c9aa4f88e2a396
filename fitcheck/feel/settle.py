"""Where the walls of a sinking lid and its base stand: air bows them, their gap leads the air.

Both are looked for together by Newton's method, for every box and overlap by itself. A step that
goes too far is halved. Only what does not agree yet goes on, and what never does is taken as it
stands after many rounds.

Walls that meet stop there and rub. What pushes a lid to one side only moves it away again, so that
friction is what both sides of an axis press together, and it takes from the weight that is left
for the air.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.feel.driving import PA, Driving, Giving
from fitcheck.feel.gap import LEAST_GAP_MM, Gap
from fitcheck.feel.walls import Air, Look, Rooms, Walls
from fitcheck.folding.pose import Array, Flags

AGREES_MM, AGREES_SHARE = 1e-5, 1e-5
"""Bows and pressures agree that move no more by a round; no time is off by a thousandth then."""
ROUNDS, HALVINGS = 1000, 6
LEAST = 1.0 / 64.0
"""Of a step, where walls would touch here and there in turns."""
PATIENCE, SLOWLY, SLOWEST = 60, 0.05, 1.0 / 8192.0
"""From so many rounds on walls creep to where air bows them, as they would."""
WIDER = 1.02
FAR_MM = 1e6
FEWER = 0.7
"""Boxes that agree are left out once so few are left of those that are looked at."""


@dataclass(frozen=True, eq=False)
class Settled:
    """Boxes as they stand at each overlap, (b, i, ...) each."""

    pressure_pa: Array
    """(b, i) under the lid; 0 where friction carries it."""
    rubbing_n: Array
    """(b, i) what walls carry that touch before any air presses."""
    bows_mm: Array
    """(b, i, 4, 2) of base and lid, outwards at mid-rim."""
    resists: Array
    """(b, i, 4, n) the sum of each station's heights over the cube of its gap."""
    entry_mm: Array
    """(b, i, 4, n) the gap at the base's rim."""
    ends_mm: Array
    """(b, i, 4, 2, c) the gap at the first and the last station."""


def settle(gap: Gap, shifts_mm: Array, giving: Giving, driving: Driving) -> Settled:
    """How boxes stand whose gaps differ from one that is known, side by side, by (b, 4) mm."""
    count, steps = len(shifts_mm), len(gap.way.overlaps_mm)
    air = Air.of(gap, giving)
    box, step = np.divmod(np.arange(count * steps), steps)
    plain = gap.rigid_mm[None] + shifts_mm[:, None, :, None, None]
    plain = plain.reshape(len(step), *plain.shape[2:])
    free = (np.maximum(plain - LEAST_GAP_MM, 0.0) / air.sines[:, None]).min(axis=2)
    free = np.where(gap.way.heights_mm[step][:, None] > 0.0, free, np.inf)
    lowest = gap.way.before - 1 + step
    rims = free[..., :1], free[np.arange(len(step)), :, lowest][..., None]
    rooms = Rooms(
        step=step,
        plain_mm=plain,
        room_mm=np.concatenate([free, *rims], axis=-1),
        still_mm=giving.still_mm[box],
        gives=giving.gives[box],
        weight_n=driving.weight_n[box],
        plan=driving.plan_mm2[box] / PA,
        rubs=np.broadcast_to(driving.friction, (count,))[box],
    )
    walls = Walls(air, rooms)
    rubbing = walls.carried_n(rooms.still_mm)[0]
    pressure, stand = _agreed(air, rooms, np.maximum(rooms.weight_n - rubbing, 0.0) / rooms.plan)
    found = (pressure, rubbing, *stand)
    return Settled(*(own.reshape(count, steps, *own.shape[1:]) for own in found))


def _agreed(air: Air, rooms: Rooms, pressure: Array) -> tuple[Array, tuple[Array, ...]]:
    """Pressures (r,) from first ones, and what stands under them, by `_stand`."""
    whole, free = np.maximum(rooms.weight_n, 0.0) / rooms.plan, rooms.still_mm.copy()
    live, stand = np.arange(len(free)), tuple[Array, ...]()
    walls, search, edge = Walls(air, rooms), _Search.of(free), _Edge.of(pressure)
    for count in range(ROUNDS):
        look = walls.look(free[live], pressure[live])
        now = _stand(look)
        stand = stand or tuple(own.copy() for own in now)
        for own, part in zip(stand, now, strict=True):
            own[live] = part
        moves = np.abs(look.off_mm).max(axis=(1, 2)) > AGREES_MM
        by = look.off_pa if count < PATIENCE else edge.crept(look.off_pa)
        moves |= np.abs(by) > AGREES_SHARE * whole[live]
        if not moves.any():
            break
        if moves.sum() < FEWER * len(live):
            live, search, look = live[moves], search.of_rows(moves), look.of(moves)
            walls, edge, by = Walls(air, rooms.of(live)), edge.of_rows(moves), by[moves]
        if count < PATIENCE:
            step, change = walls.step(look, pressure[live])
            free[live] = search.next(look.off_mm, free[live], step)
        else:
            free[live], change = search.crept(look.off_mm, free[live]), by
        pressure[live] = np.clip(pressure[live] + change, 0.0, whole[live])
    return pressure, stand


def _stand(look: Look) -> tuple[Array, ...]:
    """What is kept of a look: bows, resistances, entries and ends."""
    gap = look.gap_mm
    return look.bows_mm, look.sums[..., 0], gap[..., 0], gap[:, :, [0, -1]]


class _Edge:
    """Pressures of walls that touch all along at once: more parts them, less joins them.

    There friction jumps, and no pressure is as much as it leaves: the jump itself is closed in on.
    """

    def __init__(self, share: Array, off: Array) -> None:
        self._share, self._off = share, off

    @classmethod
    def of(cls, pressure: Array) -> _Edge:
        """At the start."""
        return cls(np.full_like(pressure, SLOWLY), np.zeros_like(pressure))

    def of_rows(self, rows: Flags) -> _Edge:
        """Of some boxes."""
        return _Edge(self._share[rows], self._off[rows])

    def crept(self, off: Array) -> Array:
        """By how much to change pressures (r,) that are off by so much."""
        self._share = _paced(self._share, off * self._off < 0.0, WIDER, SLOWLY)
        self._off = off
        found: Array = self._share * off
        return found


class _Search:
    """Where each side was looked at, and the step that is tried from there."""

    def __init__(self, *kept: Array) -> None:
        self._free, self._step, self._off, self._tries, self._share = kept

    @classmethod
    def of(cls, free: Array) -> _Search:
        """At the start."""
        sides = free.shape[:2]
        return cls(free, 0.0 * free, np.full_like(free, FAR_MM), np.zeros(sides), np.ones(sides))

    def of_rows(self, rows: Flags) -> _Search:
        """Of some boxes."""
        kept = self._free, self._step, self._off, self._tries, self._share
        return _Search(*(own[rows] for own in kept))

    def next(self, off: Array, free: Array, step: Array) -> Array:
        """Bows (r, 4, 2) to look at next, by what those are off by that were looked at."""
        far, before = (off**2).sum(axis=-1), (self._off**2).sum(axis=-1)
        too_far = (off * self._off).sum(axis=-1) < 0.0
        goes_on = (far < before) | ~too_far | (self._tries >= HALVINGS)
        share = np.where(too_far & (far > 0.25 * before), 0.5, 2.0) * self._share
        self._share = np.where(goes_on, np.clip(share, LEAST, 1.0), self._share)
        wide = goes_on[..., None]
        self._free = np.where(wide, free, self._free)
        self._step = np.where(wide, self._share[..., None] * step, 0.5 * self._step)
        self._off = np.where(wide, off, self._off)
        self._tries = np.where(goes_on, 0.0, self._tries + 1.0)
        return self._free + self._step

    def crept(self, off: Array, free: Array) -> Array:
        """Bows (r, 4, 2) to look at next, a share of the way that they are off by."""
        turns = (off * self._off).sum(axis=-1) < 0.0
        self._share = _paced(self._share, turns, 1.2, 0.5)
        self._off = off
        return free + self._share[..., None] * off


def _paced(share: Array, turns: Flags, wider: float, most: float) -> Array:
    """The shares of the way to creep: half where it led too far, else a little more, up to most."""
    return np.clip(np.where(turns, 0.5, wider) * share, SLOWEST, most)
