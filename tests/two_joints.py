"""A tuck flap is two joints: its own crease turns freely while the lid that carries it turns.

At some lid angles the ranges of flap angles that are free are found; where those of two lid angles
beside each other have a flap angle in common at which the lid turns freely from one to the other,
the way leads on. Where none does, a lid angle between is looked at. A way that is found is free all
along; that none is found proves nothing.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.turn import LEAST_TURN_RAD, swings
from fitcheck.fit.turn_fit import Outcome, Swing
from fitcheck.folding.hinges import chosen, refolded
from fitcheck.folding.many import FoldedParts
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pieces import Pieces
from tests.turn_ranges import Range, free_ranges

FIRST_STEPS = 12
"""A lid is first looked at in so many steps."""
ROUNDS = 8
"""Steps that lead nowhere are halved so often."""
SHARES = (0.5, 0.15, 0.85, 0.0, 1.0)
"""Where in a range that two lid angles have in common the lid is turned."""

Names = tuple[str, str]
"""What stays, what turns."""
Spot = tuple[float, float]
"""A lid's and its flap's fold angles, rad."""


@dataclass(frozen=True)
class LeadIn:
    """Whether a flap can be led in while its lid turns."""

    way: tuple[Spot, ...] | None
    """Fold angles of lid and flap, one of which changes from each to the next; None: none found."""
    stopped_at: Spot | None
    """The furthest that was come without a way."""
    pieces: Names | None
    """What is in the way there."""

    @property
    def found(self) -> bool:
        """Whether a way was found."""
        return self.way is not None


@dataclass(frozen=True)
class _Node:
    """A range of free flap angles at a lid angle."""

    lid: float
    flap: Range


class _Table:
    """What is known of one lid and its flap."""

    def __init__(
        self,
        part: FoldedPart,
        panels: tuple[str, str],
        flap: Range,
        others: Pieces | None,
        may_touch: Collection[tuple[str, str]],
        give_mm: float,
    ) -> None:
        self.part, self.others = part, others
        self.lid, self.flap = panels
        self.limits, self.may_touch, self.give_mm = flap, may_touch, give_mm
        self.nodes: dict[float, list[_Node]] = {}
        self.links: dict[_Node, dict[_Node, float]] = {}
        self.tried: set[tuple[_Node, _Node]] = set()

    def standing(self, lids: list[float], flaps: list[float]) -> FoldedParts:
        """The part with lid and flap at pairs of angles, each as a box."""
        parts = chosen(self.part.among, np.full(len(lids), self.part.box))
        return refolded(parts, {self.lid: np.array(lids), self.flap: np.array(flaps)})

    def look(self, lids: list[float]) -> None:
        """Find the free ranges of the flap at some lid angles."""
        new = [angle for angle in dict.fromkeys(lids) if angle not in self.nodes]
        if not new:
            return
        parts = self.standing(new, [self.limits[1]] * len(new))
        low, high = (np.full(len(new), end) for end in self.limits)
        found = free_ranges(
            parts, self.flap, low, high, self.others, may_touch=self.may_touch, give_mm=self.give_mm
        )
        for angle, own in zip(new, found, strict=True):
            self.nodes[angle] = [_Node(angle, one) for one in own]
            self.links.update({node: {} for node in self.nodes[angle]})

    def link(self, lids: list[float]) -> None:
        """Turn the lid between neighbouring angles of a list wherever their ranges overlap."""
        pairs = [
            (one, other)
            for here, there in itertools.pairwise(lids)
            for one in self.nodes[here]
            for other in self.nodes[there]
            if (one, other) not in self.tried and _common(one, other)
        ]
        self.tried.update(pairs)
        for share in SHARES:
            pairs = [pair for pair in pairs if pair[1] not in self.links[pair[0]]]
            if not pairs:
                return
            flaps = [_at(_common(*pair) or pair[0].flap, share) for pair in pairs]
            spots = [(pair[0].lid, flap) for pair, flap in zip(pairs, flaps, strict=True)]
            turns = self.turns(spots, [pair[1].lid for pair in pairs])
            for pair, flap, turn in zip(pairs, flaps, turns, strict=True):
                if turn.outcome is Outcome.FREE:
                    self.links[pair[0]][pair[1]] = self.links[pair[1]][pair[0]] = flap

    def turns(self, spots: list[Spot], lids: list[float]) -> tuple[Swing, ...]:
        """Turn the lid from each of some pairs of angles to other lid angles."""
        return swings(
            self.standing(*([spot[k] for spot in spots] for k in range(2))),
            self.lid,
            np.array([spot[0] for spot in spots]),
            np.array(lids),
            self.others,
            may_touch=self.may_touch,
            give_mm=self.give_mm,
            within_mm=None,
        )

    def holding(self, spot: Spot) -> _Node | None:
        """The range that a flap angle is in, at a lid angle that was looked at."""
        for node in self.nodes[spot[0]]:
            if node.flap[0] <= spot[1] <= node.flap[1]:
                return node
        return None

    def reached(self, first: _Node | None) -> dict[_Node, _Node | None]:
        """The ranges that are linked to one, each with the one before it; nearest first."""
        found: dict[_Node, _Node | None] = {} if first is None else {first: None}
        for node in (queue := list(found)):
            for other in self.links[node]:
                if other not in found:
                    found[other] = node
                    queue.append(other)
        return found


def lead_in(
    part: FoldedPart,
    lid: str,
    flap: str,
    start: Spot,
    stop: Spot,
    others: Pieces | None = None,
    *,
    flap_range: Range = (0.0, np.pi),
    may_touch: Collection[tuple[str, str]] = (),
    give_mm: float = TOUCH_MM,
) -> LeadIn:
    """A way by which lid and flap come from one pair of fold angles to another, if one is found.

    `lid` and `flap` are the panels that the two creases carry, the flap beyond the lid; the flap's
    crease is folded within `flap_range` meanwhile. The rest as `turn.swing`.
    """
    table = _Table(part, (lid, flap), flap_range, others, may_touch, give_mm)
    lids = np.linspace(start[0], stop[0], FIRST_STEPS + 1).tolist()
    lids = [*lids[:-1], stop[0]] if start[0] != stop[0] else [start[0]]
    for _ in range(ROUNDS):
        table.look(lids)
        table.link(lids)
        ahead = table.reached(table.holding(start))
        goal = table.holding(stop)
        if goal is not None and goal in ahead:
            return LeadIn(_way(table, ahead, goal, start, stop), None, None)
        if not ahead or goal is None:
            break
        lids = _closer(table, lids, set(ahead), set(table.reached(goal)))
    return _stopped(table, start, stop)


def _closer(table: _Table, lids: list[float], ahead: set[_Node], back: set[_Node]) -> list[float]:
    """Lid angles with more of them where no link leads on, from either side or between."""
    found = lids[:1]
    for here, there in itertools.pairwise(lids):
        own = [node for node in table.nodes[here] if any(n.lid == there for n in table.links[node])]
        leads = any(node in ahead for node in own), any(node in back for node in own)
        reaches = (
            any(node in ahead for node in table.nodes[here]),
            any(node in back for node in table.nodes[there]),
        )
        if not own or leads != reaches:
            found.append(0.5 * (here + there))
        found.append(there)
    return found


def _way(
    table: _Table, before: dict[_Node, _Node | None], goal: _Node, start: Spot, stop: Spot
) -> tuple[Spot, ...]:
    """From spot to spot, one angle changing at a time."""
    chain = [goal]
    while (previous := before[chain[-1]]) is not None:
        chain.append(previous)
    chain.reverse()
    found = [start]
    for one, other in itertools.pairwise(chain):
        flap = table.links[one][other]
        found += [(one.lid, flap), (other.lid, flap)]
    found.append(stop)
    kept: list[Spot] = []
    for spot in found:
        if kept and spot == kept[-1]:
            continue
        # a lid that goes on at the same flap angle goes in one turn
        if len(kept) > 1 and kept[-2][1] == kept[-1][1] == spot[1]:
            kept.pop()
        kept.append(spot)
    return tuple(kept)


def _stopped(table: _Table, start: Spot, stop: Spot) -> LeadIn:
    """How far a way leads that does not come to its end, and what is in the way there."""
    ahead = table.reached(table.holding(start))
    if not ahead:
        return LeadIn(None, start, _in_the_way(table, start))
    if table.holding(stop) is None:
        return LeadIn(None, stop, _in_the_way(table, stop))
    # the lid goes on as far as it can from where a way still leads
    last = min(abs(node.lid - stop[0]) for node in ahead)
    if last < LEAST_TURN_RAD:
        # the lid is there, but its flap is on the other side of something
        ends = [end for node in ahead if abs(node.lid - stop[0]) == last for end in node.flap]
        flap = min(ends, key=lambda end: abs(end - stop[1]))
        return LeadIn(None, (stop[0], flap), _in_the_way(table, (stop[0], flap), stop[1]))
    spots = [
        (node.lid, _at(node.flap, share))
        for node in ahead
        if abs(node.lid - stop[0]) == last
        for share in SHARES
    ]
    turns = table.turns(spots, [stop[0]] * len(spots))
    came = [
        (stop[0] if turn.angle_rad is None else turn.angle_rad, spot[1], turn.pieces)
        for spot, turn in zip(spots, turns, strict=True)
    ]
    lid, flap, pieces = min(came, key=lambda own: abs(own[0] - stop[0]))
    return LeadIn(None, (lid, flap), pieces)


def _in_the_way(table: _Table, spot: Spot, towards: float | None = None) -> Names | None:
    """What stops the flap on its way from a pair of angles, or what it stands in there."""
    if towards is None:
        towards = max(table.limits, key=lambda end: abs(end - spot[1]))
    if abs(towards - spot[1]) < LEAST_TURN_RAD:
        return None
    came = swings(
        table.standing([spot[0]], [spot[1]]),
        table.flap,
        np.array([spot[1]]),
        np.array([towards]),
        table.others,
        may_touch=table.may_touch,
        give_mm=table.give_mm,
        within_mm=None,
    )[0]
    return came.pieces


def _common(one: _Node, other: _Node) -> Range | None:
    """The flap angles that two ranges have in common."""
    low, high = max(one.flap[0], other.flap[0]), min(one.flap[1], other.flap[1])
    return (low, high) if high >= low else None


def _at(flap: Range, share: float) -> float:
    return flap[0] + share * (flap[1] - flap[0])
