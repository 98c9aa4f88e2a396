"""Entries that cannot belong to the others are named and set aside, one after another.

The rule: an entry is odd when the others, judging their scatter without it, would let one be as far
off in fewer than one of a hundred sets of good readings of this number (Student's t of the deleted
residual where the scatters are alike, with Bonferroni's correction). Of several odd ones it is the
one without which the others go together best. Where that is nearly as true of another one, and
nothing but these two checks either, nobody knows which is wrong: both go. At most a fifth of the
entries is set aside: with more it is not the entries that are wrong.

Few entries go one by one, each judged by a fit without those before it. Among many a single one
moves the fit so little that a twentieth of them may go at once: those that say little in it.
"""

import math
from dataclasses import dataclass

import numpy as np

from fitcheck.learn.scatter import Spread

FALSE_ALARMS = 0.01
"""Share of sets of good readings in which one is called odd."""
MOST_SHARE = 0.2
LARGEST_LEVERAGE = 0.99
"""Above it an entry is checked by no other."""
SURE = math.log(20.0)
"""One of two is the slip where it is so much less likely than the other (its logarithm)."""
MANY = 200
"""With so many entries or fewer they go one by one."""
SMALL_LEVERAGE = 0.05
"""Entries that go together have no more say than this in their own fitted value, unless it is by
their piece's error, of which one entry goes at a time."""


@dataclass(frozen=True)
class Odd:
    """One entry that was set aside."""

    entry: int
    """Its number."""
    residual_mm: float
    """Found less expected from all others."""
    chance: float
    """How rarely good readings would hold one as far off."""


def all_odd(
    spread: Spread, leverage: np.ndarray, checked: np.ndarray, piece: np.ndarray, *, most: int
) -> tuple[Odd, ...]:
    """The entries to set aside next, the oddest first: one, or at most ``most`` among many.

    All arrays (n,). ``told`` is what all others say of each; ``checked`` says which to look at. Of
    entries that share a ``piece`` (its number, or -1), one goes at a time.
    """
    open_ = checked & (leverage < LARGEST_LEVERAGE)
    chance = np.where(open_, spread.chance * int(open_.sum()), 1.0)
    odd = np.flatnonzero(chance < FALSE_ALARMS)
    if most < 1 or not len(odd):
        return ()
    in_order = [int(k) for k in odd[np.argsort(-spread.rest[odd], kind="stable")]]
    worst = in_order[0]
    chosen, pieces = [worst], {int(piece[worst])}
    together = min(most, 1 if len(leverage) <= MANY else len(leverage) // 20)
    quiet = (leverage <= SMALL_LEVERAGE) | (piece >= 0)
    for place in in_order[1:]:
        if len(chosen) >= together:
            break
        number = int(piece[place])
        if quiet[place] and (number < 0 or number not in pieces):
            chosen.append(place)
            pieces.add(number)
    return tuple(Odd(k, float(spread.away[k]), float(chance[k])) for k in chosen)


def rivals_of(
    odd: Odd, spread: Spread, leverage: np.ndarray, beside: np.ndarray
) -> tuple[int, ...]:
    """The entries that may be wrong as well as an odd one: nothing but it checks them.

    ``leverage`` (n,) is the share of each entry in its own fitted value, ``beside`` (n,) its share
    in the odd one's times the odd one's in its own.
    """
    own = odd.entry
    alone = leverage + beside / (1.0 - leverage[own])
    unchecked = (alone >= LARGEST_LEVERAGE) & (leverage < LARGEST_LEVERAGE)
    likely = spread.rest > spread.rest[own] - SURE
    return tuple(int(k) for k in np.flatnonzero(unchecked & likely) if k != own)


def most_to_set_aside(count: int) -> int:
    """How many of ``count`` entries may be called odd.

    >>> most_to_set_aside(12)
    2
    """
    return math.floor(count * MOST_SHARE)
