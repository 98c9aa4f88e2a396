"""A part fits itself when no two of its panels press deeper than paper gives way."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fitcheck.fit.casts import nearest_first
from fitcheck.fit.contact import depths, depths_across
from fitcheck.fit.groups import PiecePairs, pieces_of_runs
from fitcheck.fit.remembered import MEMORY
from fitcheck.fit.trims import Trim, trim_for
from fitcheck.folding.parts import FoldedPart, pieces_in
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array, Flags, Rows
from fitcheck.folding.shifted import shifts
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.touching import touching

PRESS_SHARE = 0.25
"""Two panels may press by this share of a caliper before it is worth a word: paper gives way."""
ALIKE_DIGITS = 6
"""Presses that differ by less than this many digits of a millimetre keep the pattern's order."""
FAR_MM = 10.0
SAME_MM = 1e-10
"""Pieces further apart than this are never looked at."""
FIGHT_MM = 25.4 / 32.0
"""A part fights itself where two panels stand in each other by more than this. What is less goes
away with a snip or under the thumb, and no size that a maker gets changes by it (1/32 in, what a
hand can still cut off; common practice, no source)."""


@dataclass(frozen=True)
class Press:
    """Two pieces of one part that stand in each other."""

    pieces: tuple[str, str]
    press_mm: float
    trim: Trim | None
    """What to cut off to cure it; None when no free edge leads out."""

    @property
    def ease_mm(self) -> float:
        """How far it is from a fight of the part with itself; negative where it is one."""
        return FIGHT_MM - self.press_mm


def ease_of(presses: Sequence[Press]) -> float:
    """How far a part is from fighting itself, mm; negative where it does."""
    return min((press.ease_mm for press in presses), default=FIGHT_MM)


def self_fit(part: FoldedPart) -> tuple[Press, ...]:
    """The worst press of each pair of panels, deepest first."""
    return MEMORY.of((self_fit, part), lambda: _presses(part))


def _presses(part: FoldedPart) -> tuple[Press, ...]:
    found = [
        Press(key, met.depth_mm, trim_for(part, met.one, met.other))
        for key, met in meetings(part, PRESS_SHARE * part.caliper_mm).items()
    ]
    return tuple(sorted(found, key=lambda press: -round(press.press_mm, ALIKE_DIGITS)))


def glued_overlap(part: FoldedPart) -> float:
    """How far its glued walls stand in their own tabs, mm; 0 where they stand upright.

    A rigid wall is pushed out at its rim and leans about its foot, so below the rim it passes
    through the tab that it lies on. Paper bends there instead; no play, inside or outside size at
    the rim hangs on it, and what stands upright on the floor meets the foot in either case.
    """
    if not (joints := part.pattern.corner_joints):
        return 0.0
    names = {name for joint in joints for name in (joint.panel, joint.onto)}
    plates = {name: [p for p in part.pieces if p.panels == {name}] for name in names}
    pairs = [
        pair
        for joint in joints
        for pair in itertools.product(plates[joint.panel], plates[joint.onto])
    ]
    return float(depths(PiecePairs.of(*zip(*pairs, strict=True))).max(initial=0.0))


@dataclass(frozen=True, eq=False)
class Meeting:
    """The deepest of the pieces that two names stand for."""

    depth_mm: float
    """How deep they stand in each other; negative where they are apart."""
    one: ConvexPiece
    other: ConvexPiece


def meetings(part: FoldedPart, least_mm: float) -> dict[tuple[str, str], Meeting]:
    """Pairs of pieces of one part that stand deeper in each other than so much, by their names.

    `least_mm` may be negative: then pairs that are nearer than that count too.
    """
    pairs, deep = _depths_of([part], least_mm, None, [None])
    found: dict[tuple[str, str], Meeting] = {}
    for k in np.flatnonzero(deep > least_mm).tolist():
        key = pairs.groups.names[pairs.groups.of[k]]
        before = found.get(key)
        if before is None or deep[k] > before.depth_mm:
            own = np.array([k])
            pieces = pairs.first_pieces(own)[0], pairs.second_pieces(own)[0]
            found[key] = Meeting(float(deep[k]), *pieces)
    return found


def across_of(
    parts: Sequence[FoldedPart], least_mm: float, only: Collection[tuple[str, str]] | None = None
) -> list[dict[tuple[str, str], tuple[float, float]]]:
    """How deep pairs of names stand in each other by their faces, and square to that way, mm.

    However far one slides into the other that way they stand no deeper: a tab whose end slides past
    a wall's edge is soon as deep as both papers lie over each other. Of those that are nearer than
    `-least_mm`, in one part as it is in many boxes.
    """
    found: list[dict[tuple[str, str], tuple[float, float]]] = [{} for _ in parts]
    if not parts:
        return found
    pairs, _ = _candidates(parts, least_mm, only, [None] * len(parts))
    if not len(pairs):
        return found
    groups = pairs.groups
    most = np.full((2, len(groups.names)), -np.inf)
    for own, deep in zip(most, depths_across(pairs), strict=True):
        np.maximum.at(own, groups.of, deep)
    for box, names, both in zip(groups.boxes.tolist(), groups.names, most.T.tolist(), strict=True):
        found[box][names] = both[0], both[1]
    return found


def deepest_of(
    parts: Sequence[FoldedPart],
    least_mm: float,
    only: Collection[tuple[str, str]] | None = None,
    known: Sequence[Flags | None] | None = None,
) -> list[dict[tuple[str, str], float]]:
    """How deep pairs of names stand in each other, mm, in one part as it is in many boxes.

    Those deeper than so much alone; `known` (k, k) says for each box which pairs of its panels and
    creases need not be looked at.
    """
    found: list[dict[tuple[str, str], float]] = [{} for _ in parts]
    pairs, deep = _depths_of(parts, least_mm, only, known or [None] * len(parts))
    groups = pairs.groups
    most = np.full(len(groups.names), -np.inf)
    np.fmax.at(most, groups.of, deep)
    for box, names, depth in zip(groups.boxes.tolist(), groups.names, most.tolist(), strict=True):
        if depth > least_mm:
            found[box][names] = depth
    return found


def _depths_of(
    parts: Sequence[FoldedPart],
    least_mm: float,
    only: Collection[tuple[str, str]] | None,
    known: Sequence[Flags | None],
) -> tuple[PiecePairs, Array]:
    """Pairs of pieces and how deep they stand in each other; nan where others are deeper."""
    pairs, overlap = _candidates(parts, least_mm, only, known)

    def apart(rows: Rows) -> Array:
        return -depths(pairs.take(rows))

    # no piece stands deeper in another than their boxes overlap
    return pairs, -nearest_first(-overlap, apart, np.inf, pairs.groups.of)


def _candidates(
    parts: Sequence[FoldedPart],
    slack: float,
    only: Collection[tuple[str, str]] | None,
    known: Sequence[Flags | None],
) -> tuple[PiecePairs, Array]:
    """Pairs whose boxes overlap by more than so much and that nothing lets touch, and by how much.

    At least one of each is a plate. Whole bends are looked at first, and then their pieces.
    """
    may = _kinds_that_may(parts[0].pattern, None if only is None else frozenset(only))
    pieces = pieces_in(parts)
    least = max(slack, -FAR_MM)
    runs = pieces.stretches
    place = np.full((len(parts), len(may)), -1)
    place[runs.boxes, runs.kinds] = np.arange(len(runs.boxes))
    one, other = np.nonzero(np.triu(may | may.T))
    asked = np.ones((len(parts), len(one)), dtype=bool)
    for row, left_out in enumerate(known):
        if left_out is not None:
            asked[row] = ~left_out[one, other]
    boxes, which = np.nonzero(asked)
    a, b = place[boxes, one[which]], place[boxes, other[which]]
    near = np.flatnonzero((a >= 0) & (b >= 0))
    a, b = a[near], b[near]
    near = np.flatnonzero(
        _overlap((runs.low[a], runs.high[a]), (runs.low[b], runs.high[b])) > least
    )
    a, b = a[near], b[near]
    first, second = pieces_of_runs(runs, runs, a, b)
    overlap = _overlap(pieces.bounds_of(first), pieces.bounds_of(second))
    close = np.flatnonzero(overlap > least)
    close = close[np.lexsort((second[close], first[close]))]
    return PiecePairs(pieces, pieces, first[close], second[close]), overlap[close]


def _overlap(one: tuple[Array, Array], other: tuple[Array, Array]) -> Array:
    """By how much boxes, given by their ends (n, 3), overlap where they do so least, (n,) mm."""
    found: Array = np.minimum(other[1] - one[0], one[1] - other[0]).min(axis=1)
    return found


@lru_cache(maxsize=64)
def _kinds_that_may(pattern: Pattern, only: frozenset[tuple[str, str]] | None) -> Flags:
    """Which names among the pattern's panels and creases stand for pieces not meant to touch.

    (k, k); where `only` is given, those pairs of names and their mirrors alone.
    """
    panels = {panel.name: place for place, panel in enumerate(pattern.panels)}
    named = [(name, [name]) for name in panels]
    named += [(line.name, [line.parent, line.child]) for line in pattern.lines]
    owns = np.zeros((len(named), len(panels)))
    for k, (_, own) in enumerate(named):
        owns[k, [panels[name] for name in own]] = 1.0
    touch = np.zeros((len(panels), len(panels)))
    # what is left round a flap that is tucked in is the mate's to say
    caught = {
        (name, tuck.flap)
        for tuck in pattern.tucks
        for name in (*tuck.under, *tuck.beside, tuck.behind)
    }
    for one, other in touching(pattern) | caught:
        touch[panels[one], panels[other]] = touch[panels[other], panels[one]] = 1.0
    plates = owns.sum(axis=1) == 1.0
    may: Flags = (plates[:, None] | plates) & (owns @ touch @ owns.T == 0.0)
    # a lid that it brings is judged as it turns
    hung = np.array([not pattern.hung.isdisjoint(own) for _, own in named])
    may &= hung[:, None] == hung
    if only is not None:
        asked = np.array([[(one, other) in only for other, _ in named] for one, _ in named])
        may &= asked | asked.T
    return may


def stand_alike(parts: Sequence[FoldedPart], other: FoldedPart) -> Flags:
    """Which pairs of a part's panels and creases stand to each other as in another box, (b, k, k).

    Both are shifted alike and neither is turned: as deep in each other as there. Some of those
    that do may be missed, as where a round has another number of facets.
    """
    shift = shifts(pieces_in(parts), other.pieces)
    found = np.ones((*shift.shape[:2], shift.shape[1]), dtype=bool)
    for own in np.moveaxis(shift, 2, 0):
        found &= np.abs(own[:, :, None] - own[:, None]) < SAME_MM  # nan is not
    return found
