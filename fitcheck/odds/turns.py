"""The turns that limits take: where a crease opens a radius, where what is folded closes otherwise.

A crease that grows more than a sharp fold does is round (design rules of the crease model), and
from there on pairs of pieces meet that did not meet before: a round beside the floor meets the
foot of what stands there. A paper that was never measured stands right at that turn, so both
sides of it have to be looked at by themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from fitcheck.folding.pose import Array
from fitcheck.odds.inputs import Input, Source, u_of
from fitcheck.odds.making import Offsets, Workshop
from fitcheck.odds.readings import InCorners, Member, Readings
from fitcheck.odds.slopes import followed
from fitcheck.stock.crease import sharp_share, usual_share

STRAIGHT_MM = 1e-3
"""What bends by less than this over a standard uncertainty counts as straight."""
TURN_REACH = 6.0
"""A turn further off than this many standard uncertainties is never taken."""


class Roll(NamedTuple):
    """What of which rolled side turns."""

    part: str
    at: int
    """Its place among the part's."""
    tip: bool
    """Its flap's tip meets the outer wall; else its inner wall stands upright."""


class Level(NamedTuple):
    """A tube whose top lies level, and tilts either way."""

    part: str


class Foot(NamedTuple):
    """A wall folded down inside another one, just as high as it can be: higher it lifts its rim."""

    part: str
    at: int
    """Its place among the part's."""


@dataclass(frozen=True, eq=False)
class Turn:
    """Where limits turn: at weights . offsets = at."""

    weights: Array
    """(k,) by each input."""
    at: float
    column: int
    """The input that is moved to look at both sides."""
    u: float
    """Its standard uncertainty."""
    roll: Roll | Level | Foot | None = None
    """None for a crease that becomes round."""

    def beyond(self, offsets: Array) -> Array:
        """How far boxes (k, m) are beyond the turn, less what the designed box is, (m,)."""
        by = np.flatnonzero(self.weights)
        far: Array = np.maximum(self.weights[by] @ offsets[by] - self.at, 0.0)
        return far - max(-self.at, 0.0)

    @property
    def step(self) -> float:
        """By how much the moved input's standard uncertainty changes weights . offsets."""
        return abs(float(self.weights[self.column])) * self.u

    def offset_at(self, steps: float) -> float:
        """How far off the moved input is so many steps beyond the turn."""
        return (self.at + steps * self.step) / float(self.weights[self.column])

    def shares(self, u: Array) -> tuple[Array, Array]:
        """What it adds to each input's middle slope and to its kink over u (k,), for each unit."""
        ends = [
            np.maximum(s * self.weights * u - self.at, 0.0) - max(-self.at, 0.0) for s in (1, -1)
        ]
        each = np.divide(0.5, u, out=np.zeros_like(u), where=u > 0.0)
        return (ends[0] - ends[1]) * each, (ends[0] + ends[1]) * each


@dataclass(frozen=True, eq=False)
class Limit:
    """One member of a family: a pair that may stop a travel, or a length."""

    family: str
    member: Member
    value: float
    """As designed, mm."""
    gradient: Array
    """(k,) by each input, before any turn."""
    turned: Array
    """(e,) how much steeper it gets beyond each turn."""
    kinks: Array
    """(k,) by how much it is steeper on the high side of each input than in the middle of both, and
    as much flatter on the low side."""


def crease_turns(workshop: Workshop) -> tuple[Turn, ...]:
    """One turn for each paper whose crease may or may not be round."""
    found = []
    stocks = {part.recipe.stock.name: part.recipe.stock for part in workshop.assembly.parts}
    names = [(one.source, one.item) for one in workshop.inputs]
    for column, one in enumerate(workshop.inputs):
        if one.source is not Source.CREASE:
            continue
        stock = stocks[one.item]
        weights = np.zeros(len(workshop.inputs))
        weights[column] = 1.0
        sharp = sharp_share(half_cut=stock.half_cut)
        at = sharp * stock.caliper_mm - stock.allowance(one.along)[0]
        # an allowance that was never measured follows the caliper
        measured = stock.calibrated or one.along is not None
        by_caliper = sharp - (0.0 if measured else usual_share(stock.caliper_mm))
        if by_caliper and (Source.CALIPER, one.item) in names:
            weights[names.index((Source.CALIPER, one.item))] = -by_caliper
        if stock.board is not None and stock.calibrated and (Source.SCALE, "") in names:
            weights[names.index((Source.SCALE, ""))] = stock.board.by_scale_mm(one.along)
        if abs(at) <= TURN_REACH * one.variate.u:
            found.append(Turn(weights, at, column, one.variate.u))
    return tuple(found)


def offsets_at(turn: Turn, one: Input) -> list[Offsets]:
    """The boxes that a turn is looked at with: before it, at it, beyond it, and twice as far."""
    return [{one.name: turn.offset_at(steps)} for steps in (-1.0, 0.0, 1.0, 2.0)]


def with_turn(
    limits: Sequence[Limit],
    turns: Sequence[Turn],
    index: int,
    inputs: Sequence[Input],
    looked: Sequence[Readings],
    beyond: Sequence[Readings],
) -> list[Limit]:
    """The limits with what they turn by at one of the turns, and those that are met beyond only.

    Those at the turns before it are known. `looked` are the same pairs read before the turn, at it
    and beyond it, `beyond` all pairs of the last two boxes of `offsets_at`, or nothing where none
    is met beyond alone.
    """
    below, there, known = looked
    here, further = beyond or ({}, {})
    turn, shares = turns[index], turns[index].shares(u_of(inputs))
    past = np.zeros((len(inputs), 3))
    past[turn.column] = [turn.offset_at(steps) for steps in (-1.0, 0.0, 1.0)]
    moved_mm = float(np.abs(past).max()) * inputs[turn.column].lever_mm
    bends = np.array([float(one.beyond(past) @ [1.0, -2.0, 1.0]) for one in turns])
    bends[index:] = 0.0
    turned = []
    for limit in limits:
        at = [
            followed(limit.value, r.get(limit.family, {}).get(limit.member), moved_mm)
            for r in (below, there, known)
        ]
        turned.append(_turned(limit, turn, index, at, shares, bends))
    # a box that is past the turn as designed was read there: what it does not meet is out of reach
    sides = here if turn.at >= 0.0 else {}
    if not sides:
        return turned
    corners = [(InCorners.of(limit.family), limit.member) for limit in limits]
    read = {(one.family, member) for one, member in corners if one is not None}
    read |= {(limit.family, limit.member) for limit in limits}
    met = [
        new
        for family, own in sides.items()
        for member in own
        if (family, member) not in read
        and (new := _met_beyond(turned, family, member, (here, further), turn, index))
    ]
    return turned + met


def _turned(
    limit: Limit,
    turn: Turn,
    index: int,
    at: Sequence[float | None],
    shares: tuple[Array, Array],
    bends: Array,
) -> Limit:
    """A limit with its turn; one that is not there on a side keeps the middle slope.

    What the slopes of both sides held of the turn is taken out of them. `bends` (e,) are what
    other turns, known before, bend by on the way past this one.
    """
    below, there, beyond = at
    if below is None or there is None or beyond is None:
        return limit
    by = (beyond - 2.0 * there + below - float(limit.turned @ bends)) / turn.step
    if by == 0.0:
        return limit
    turned = limit.turned.copy()
    turned[index] = by
    return replace(
        limit,
        gradient=limit.gradient - by * shares[0],
        turned=turned,
        kinks=limit.kinks - by * shares[1],
    )


def _met_beyond(
    limits: Sequence[Limit],
    family: str,
    member: Member,
    read: tuple[Readings, Readings],
    turn: Turn,
    index: int,
) -> Limit | None:
    """A pair that is met beyond the turn only; but for the turn it goes with its neighbour.

    The neighbour is the pair of the same family with the same inner piece, or the first one: the
    round stands on the wall that it meets.
    """
    own = [limit for limit in limits if limit.family == family]
    if not own:
        return None
    like = [limit for limit in own if limit.member[1] == member[1]] or own

    def at_turn(limit: Limit) -> float:
        return limit.value + float(limit.gradient[turn.column]) * turn.at

    neighbour = min(like, key=at_turn)
    here, further = read[0][family][member], read[1].get(family, {}).get(member)
    u, start = turn.u, at_turn(neighbour)
    if further is not None:
        start = max(start, 2.0 * here - further)
    slope = (here - start) / u if further is None else (further - start) / (2.0 * u)
    before = float(neighbour.gradient[turn.column])
    turned = neighbour.turned.copy()
    turned[index] = slope - before
    value = start - before * turn.at
    return Limit(family, member, value, neighbour.gradient, turned, neighbour.kinks)
