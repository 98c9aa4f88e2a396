"""Walls that bow stop where they meet: neither passes through the other, and both press there.

Each wall has its one shape, so that a side is a point in the plane of two bows, the base's and the
lid's, and every height at which they may meet is a straight limit in it. They come to rest within
all limits at the point nearest to where they would stand by themselves, by their springs' energy.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from fitcheck.folding.pose import Array, Rows

MEETS_MM = 1e-9
NONE = -1
LOOKS = 20
"""More than were ever needed: a limit that is met is hardly ever let go again."""


@dataclass(frozen=True, eq=False)
class Stopped:
    """Walls as they come to rest, (s, ...) each."""

    bows_mm: Array
    """(s, 2)"""
    force_n: Array
    """(s,) by which they press each other."""
    follows: Array
    """(s, 2, 2) how bows follow what they would be by themselves."""
    grows: Array
    """(s, 2) how the force does."""


@dataclass(frozen=True, eq=False)
class Meeting:
    """Sides s where a base's wall and a lid's face each other at heights c."""

    room_mm: Array
    """(s, c) by how much they may bow towards each other; inf where nothing faces."""
    towards: Array
    """(s, c, 2) by how much a millimetre of each one's bow brings it nearer the other."""
    gives: Array
    """(s, 2) mm for each newton at mid-rim; 0 where a wall does not give."""

    def stopped(self, free_mm: Array) -> Stopped:
        """Walls that would bow by so much (s, 2) by themselves."""
        into = _nearer(self.towards, free_mm) - self.room_mm
        found = Stopped(
            free_mm.copy(),
            np.zeros(len(free_mm)),
            np.tile(np.eye(2), (len(free_mm), 1, 1)),
            np.zeros_like(free_mm),
        )
        gives = self.gives.any(axis=-1)
        hit = np.flatnonzero(gives & (into > MEETS_MM).any(axis=-1))
        if len(hit):
            pressed = _Pressed(self.towards[hit], self.gives[hit], into[hit]).stopped(free_mm[hit])
            for field in fields(Stopped):
                getattr(found, field.name)[hit] = getattr(pressed, field.name)
        return found


@dataclass(frozen=True, eq=False)
class _Pressed:
    """Sides that meet: the nearest point within all limits touches one of them, or two."""

    towards: Array
    gives: Array
    into: Array
    """(s, c) how far walls would stand in each other."""

    def stopped(self, free_mm: Array) -> Stopped:
        """The limit that is passed furthest is met, alone or with one that was, until none is."""
        count = len(free_mm)
        soft = (self.towards**2 * self.gives[:, None]).sum(axis=-1)
        # heights that bows do not move stand as they are
        far = self.into / np.sqrt(np.where(soft > 0.0, soft, np.inf))
        held = np.stack([np.full(count, NONE), np.argmax(far, axis=-1)], axis=-1)
        sides = np.arange(count)
        for _ in range(LOOKS):
            here = self.of(sides)
            left = here.into - _nearer(here.towards, here.moved_mm(held[sides]))
            worst = np.argmax(left, axis=-1)
            over = left[np.arange(len(sides)), worst] > MEETS_MM
            if not over.any():
                break
            sides, worst = sides[over], worst[over]
            held[sides] = self.of(sides).met(held[sides], worst)
        one, two, rates, force = self._forces(held)
        first, both, second = (rate[:, None] for rate in rates)
        first, second = first * one + both * two, both * one + second * two
        moved = one[..., None] * first[:, None] + two[..., None] * second[:, None]
        follows = np.eye(2) - self.gives[..., None] * moved
        bows = free_mm - self.moved_mm(held)
        return Stopped(bows, force[0] + force[1], follows, first + second)

    def of(self, sides: Rows) -> _Pressed:
        """Some of them."""
        if len(sides) == len(self.into):
            return self
        return _Pressed(self.towards[sides], self.gives[sides], self.into[sides])

    def met(self, held: Rows, worst: Rows) -> Rows:
        """The limits (s, 2) that are touched once another one (s,) is kept too."""
        best, chosen = np.full(len(held), np.inf), held.copy()
        for one in (np.full(len(held), NONE), held[:, 0], held[:, 1]):
            pair = np.stack([one, worst], axis=-1)
            bad = self._bad(pair, held)
            better = bad < best - MEETS_MM
            best, chosen = np.where(better, bad, best), np.where(better[:, None], pair, chosen)
        return chosen

    def moved_mm(self, pair: Rows) -> Array:
        """How far walls (s, 2) are held back that touch at two heights."""
        one, two, _, force = self._forces(pair)
        found: Array = self.gives * (force[0][:, None] * one + force[1][:, None] * two)
        return found

    def _at(self, where: Rows) -> tuple[Array, Array]:
        """Shares (s, 2) at one height of each side, and how far walls stand in each other there."""
        sides, at = np.arange(len(where)), np.maximum(where, 0)
        none = where == NONE
        shares = np.where(none[:, None], 0.0, self.towards[sides, at])
        return shares, np.where(none, 0.0, self.into[sides, at])

    def _forces(self, pair: Rows) -> tuple[Array, Array, tuple[Array, ...], tuple[Array, Array]]:
        """Of two heights: the shares of each, N for each mm of one, both and two, and N of each."""
        (one, deep), (two, deeper) = self._at(pair[:, 0]), self._at(pair[:, 1])
        own, both, other = (
            (self.gives * a * b).sum(axis=-1) for a, b in ((one, one), (one, two), (two, two))
        )
        own, other = own + (pair[:, 0] == NONE), other + (pair[:, 1] == NONE)
        span = own * other - both * both
        # heights at which both walls give alike are one
        span = np.where(span > 1e-12 * own * other, span, np.inf)
        rates = other / span, -both / span, own / span
        force = rates[0] * deep + rates[1] * deeper, rates[1] * deep + rates[2] * deeper
        return one, two, rates, force

    def _bad(self, pair: Rows, held: Rows) -> Array:
        """(s,) by how much walls that touch there would have to pull, or pass the limits held."""
        force = self._forces(pair)[3]
        moved = self.moved_mm(pair)
        past = [into - (shares * moved).sum(axis=-1) for shares, into in map(self._at, held.T)]
        pulls = -np.minimum(*force) * self.gives.max(axis=-1)
        nothing = np.where((force[0] == 0.0) & (force[1] == 0.0), np.inf, 0.0)
        found: Array = np.maximum.reduce([*past, pulls, nothing])
        return found


def _nearer(towards: Array, bows_mm: Array) -> Array:
    """By how much bows (s, 2) bring walls nearer each other at heights, (s, c) mm."""
    found: Array = towards[..., 0] * bows_mm[:, None, 0] + towards[..., 1] * bows_mm[:, None, 1]
    return found
