"""A lid is tucked in: what its flap has to spare when it is in, its way in, whether it holds.

When the box is closed the flap hangs down between the side walls, behind the front wall and before
the flaps that were turned in first. What it has to spare there is a length each way, read at both
ends. The way in is looked for at the lid, as hands go it: the lid is turned while its flap is bent
on, so that its edge comes down as far from the front wall as it will hang; turn by turn, each
proved free over its whole length. The bottom is drawn like the lid and goes in like it.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.hinged import turned_pairs
from fitcheck.fit.turn import swing, swings
from fitcheck.fit.turn_fit import (
    BEHIND,
    BESIDE,
    FRONT,
    WAY_MM,
    Outcome,
    Pair,
    Rooms,
    Spot,
    Swing,
    TuckFit,
)
from fitcheck.folding.hinges import Hinges, chosen, refolded
from fitcheck.folding.many import FoldedParts
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import Array, apply
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.tucks import Tuck
from fitcheck.styles.mates import Tucked

TIP_MM = 1e-6
"""Corners that reach as far as the furthest but for this are at a flap's tip."""
LED_FROM = 1.1
"""A flap is led from a lid that is open by this many times what brings its edge to the rim."""
LEADS = ((8, 0.0), (16, 0.0), (16, 0.3), (16, -0.3))
"""The ways that are tried: in how many turns, and by how much further in the edge comes down, as a
share of the smaller room before or behind it. The first alone where it presses when it is in."""
NOT_LOOKED = Swing(Outcome.UNDECIDED, None, None, None, ())
"""Of a box whose way in was not looked for."""


def tuck_of(pattern: Pattern, lid: str) -> Tuck:
    """How a lid is tucked in; StopIteration where it is not."""
    return next(tuck for tuck in pattern.tucks if tuck.lid == lid)


def tuck_fits(mate: Tucked, parts: Sequence[FoldedPart], *, way_in: bool) -> list[TuckFit]:
    """How the lid of each box is tucked in; `way_in` looks for its way, too."""
    found = []
    for part in parts:
        tuck = tuck_of(part.pattern, mate.panel)
        own = TuckFit(
            mate=mate,
            swing=lead_in(part, tuck) if way_in else NOT_LOOKED,
            closed_rad=part.angles[mate.panel],
            rim_gap_mm=min(gaps_over(part, tuck).values()),
            closed_height_mm=part.height_mm,
            tuck=tuck,
            rooms=rooms_of(part),
            catch_mm=catch_of(part, tuck),
            turned_in=turned_in(part, tuck) if way_in else {},
        )
        found.append(own)
    return found


class _Faces:
    """The corners and inside faces of a part's panels, where it stands."""

    def __init__(self, part: FoldedPart) -> None:
        self.part, self.layout = part, part.layout
        self.at = {panel.name: k for k, panel in enumerate(part.pattern.panels)}

    def pose(self, panel: str) -> Array:
        """(4, 4)."""
        found: Array = self.part.among.poses[self.part.box, self.at[panel]]
        return found

    def corners(self, panel: str) -> Array:
        """The corners of a panel on its sheet, (n, 2)."""
        found: Array = self.layout.outline(panel)[0]
        return found

    def stood(self, panel: str, corners: Array) -> Array:
        """Corners on the sheet (n, 2) as they stand, all outside before all inside, (2 n, 3)."""
        heights = np.repeat([0.0, self.part.caliper_mm], len(corners))
        return apply(self.pose(panel), np.column_stack([np.tile(corners, (2, 1)), heights]))

    def before(self, panel: str, points: Array) -> Array:
        """How far points (n, 3) stand before a panel's inside face, (n,) mm."""
        pose = self.pose(panel)
        inside, spot = pose[:3, 2], self.stood(panel, self.corners(panel)[:1])[1]
        found: Array = (points - spot) @ inside
        return found

    def front_edge(self, panel: str, forward: Array, shoulder_mm: float) -> Array:
        """The ends of a flap's edge that lies furthest forward, its shoulder left out, (2, 2)."""
        line, own = self.layout.tree.crease[panel], self.corners(panel)
        out = self.layout.outwards[0, line]
        off = (own - self.layout.origins[0, line]) @ out
        tips = own[off >= min(0.5 * (shoulder_mm + off.max()), off.max() - TIP_MM)]
        tip = tips[np.argmax(self.stood(panel, tips)[: len(tips)] @ forward)]
        far = float((tip - self.layout.origins[0, line]) @ out)
        return np.stack([tip, tip + (shoulder_mm - far) * out])

    def shoulder_end(self, panel: str, shoulder_mm: float) -> Array:
        """The corners where a flap's shoulder ends, as they stand, (n, 3)."""
        line, own = self.layout.tree.crease[panel], self.corners(panel)
        off = (own - self.layout.origins[0, line]) @ self.layout.outwards[0, line]
        return self.stood(panel, own[np.abs(off - shoulder_mm) <= np.abs(off - shoulder_mm).min()])


def rooms_of(part: FoldedPart) -> Rooms:
    """What the flaps of both ends have to spare when they are in, at each of their corners."""
    faces = _Faces(part)
    found: dict[str, dict[Spot, float]] = {BESIDE: {}, FRONT: {}, BEHIND: {}}

    def told(way: str, pair: Pair, gaps: Array) -> None:
        found[way] |= {(*pair, k): gap for k, gap in enumerate(gaps.tolist())}

    for tuck in reversed(part.pattern.tucks):  # the lid's first
        own = faces.stood(tuck.flap, faces.corners(tuck.flap))
        for wall in tuck.beside:
            told(BESIDE, (wall, tuck.flap), faces.before(wall, own))
        told(FRONT, (tuck.behind, tuck.flap), faces.before(tuck.behind, own))
        forward = -faces.pose(tuck.behind)[:3, 2]
        for name in tuck.under:
            edge = faces.front_edge(name, forward, tuck.shoulder_mm or 0.0)
            told(BEHIND, (name, tuck.flap), faces.before(tuck.flap, faces.stood(name, edge)))
    return found


def catch_of(part: FoldedPart, tuck: Tuck) -> float | None:
    """How far shoulders reach over the flap that they hold, front to back and from its ends, where
    least, mm; None without any."""
    if tuck.shoulder_mm is None:
        return None
    faces = _Faces(part)
    flap = faces.stood(tuck.flap, faces.corners(tuck.flap))
    reaches = []
    for name in tuck.under:
        wall, own = part.pattern.crease_to(name).parent, faces.corners(name)
        stood = faces.stood(name, own)
        over = float(-faces.before(tuck.flap, stood).min())
        beside = faces.shoulder_end(name, tuck.shoulder_mm)
        along = faces.before(wall, beside).max() - faces.before(wall, flap).min()
        reaches.append(min(over, float(along)))
    return min(reaches)


def gaps_over(part: FoldedPart, tuck: Tuck) -> dict[Spot, float]:
    """How far a closed lid's inside face is above the corners of the flaps below it, mm."""
    faces = _Faces(part)
    found: dict[Spot, float] = {}
    for name in tuck.under:
        gaps = faces.before(tuck.lid, faces.stood(name, faces.corners(name)))
        found |= {(name, tuck.lid, k): gap for k, gap in enumerate(gaps.tolist())}
    return found


def turned_in(part: FoldedPart, tuck: Tuck) -> dict[str, Swing]:
    """How the flaps under a lid that stands open are turned in, the others in already."""
    hung = set(part.pattern.beyond(tuck.lid))
    lines = part.pattern.lines
    stays = hung | {one.name for one in lines if not hung.isdisjoint((one.parent, one.child))}
    return {
        name: swing(
            part,
            name,
            0.0,
            part.angles[name],
            may_touch=set(itertools.product(stays, [name, part.pattern.crease_to(name).name])),
        )
        for name in tuck.under
    }


def lead_in(part: FoldedPart, tuck: Tuck) -> Swing:
    """A way in, with the least that is left on it; the best that was tried where none is free.

    Angles are the lid's.
    """
    parts = chosen(part.among, np.array([part.box])).unlocked
    tries = []
    rooms = rooms_of(part)
    room = min(mm for way in (FRONT, BEHIND) for mm in rooms[way].values())
    for turns, share in LEADS if room >= 0.0 else LEADS[:1]:
        tries.append(_led(parts, tuck, turns, share * room))
        if _least(tries[-1]) >= WAY_MM:
            break
    return max(tries, key=lambda one: (one.outcome is Outcome.FREE, _least(one)))


def _least(one: Swing) -> float:
    return np.inf if one.least is None else one.least.apart_mm


def _led(parts: FoldedParts, tuck: Tuck, turns: int, inward_mm: float) -> Swing:
    """One way in, in so many turns of the lid: the flap is bent on between them."""
    lids, flaps = lead_of(parts, tuck, turns, inward_mm)
    alike = chosen(parts, np.zeros(turns + 1, dtype=np.intp))
    may_touch = turned_pairs(parts.pattern, tuck.lid, None)
    starts = np.concatenate([[0.0], lids[:-1]])
    bends = np.concatenate([flaps[:1], flaps])
    stood = refolded(alike, {tuck.lid: starts, tuck.flap: bends})
    found = list(swings(stood, tuck.lid, starts, lids, may_touch=may_touch))
    least = np.array([np.inf if one.least is None else one.least.apart_mm for one in found])
    # between two turns the flap is bent on: free where what is left before it and after it is more
    # than its furthest corner moves
    after = np.append(flaps[1:], refolded_angle(parts, tuck.flap))
    stood = refolded(chosen(parts, np.zeros(turns, dtype=np.intp)), {tuck.lid: lids[1:]})
    moves = Hinges(stood, tuck.flap).speeds_mm(_corners(stood, tuck.flap)).max(axis=1)
    spare = least[1:] + np.append(least[2:], 0.0)
    doubtful = np.flatnonzero(spare - np.abs(after - flaps) * moves < -TOUCH_MM)
    if len(doubtful):
        own = refolded(
            chosen(parts, np.zeros(len(doubtful), dtype=np.intp)),
            {tuck.lid: lids[1:][doubtful], tuck.flap: flaps[doubtful]},
        )
        bent = swings(own, tuck.flap, flaps[doubtful], after[doubtful], may_touch=may_touch)
        found += [_at_lid(one, float(lids[1 + k])) for k, one in zip(doubtful, bent, strict=True)]
    return _together(found)


def refolded_angle(parts: FoldedParts, panel: str) -> float:
    """The angle by which a crease is folded in the first box, rad."""
    return float(parts.angles[0, parts.layout.tree.crease[panel]])


def lead_of(parts: FoldedParts, tuck: Tuck, turns: int, inward_mm: float) -> tuple[Array, Array]:
    """The lid's angles after each turn (turns + 1,), and the flap's in all but the first (turns,).

    The first turn brings the lid to where its flap's edge is about to come down. A lid of length L
    that is open by d has its end L (1 - cos d) further back than closed; its flap of depth h
    reaches as far as it will when it leans out by a, sin a = L (1 - cos d) / h.
    """
    layout = parts.layout
    long, deep = (
        float(np.ptp(layout.outline(name)[0] @ layout.outward(name)[0]))
        for name in (tuck.lid, tuck.flap)
    )
    shut, bent = refolded_angle(parts, tuck.lid), refolded_angle(parts, tuck.flap)
    opened = np.linspace(min(LED_FROM * deep / long, 0.5 * shut), 0.0, turns + 1)
    middle = 0.5 * (opened[1:] + opened[:-1])
    lean = np.arcsin(np.clip((long * (1.0 - np.cos(middle)) - inward_mm) / deep, -1.0, 1.0))
    return shut - opened, np.clip(bent + middle - lean, 0.0, np.pi)


def _corners(parts: FoldedParts, panel: str) -> Array:
    """The corners of a panel's plate where it stands, both faces, (b, n, 3) mm."""
    k = parts.layout.tree.panel[panel]
    outline = parts.layout.outline(panel)
    calipers = parts.layout.creases.caliper_mm
    faces = []
    for high in (np.zeros_like(calipers), calipers):
        flat = np.concatenate(
            [outline, np.broadcast_to(high[:, None, None], (*outline.shape[:2], 1))], axis=2
        )
        pose = parts.poses[:, k]
        faces.append(np.einsum("bij,bnj->bni", pose[:, :3, :3], flat) + pose[:, None, :3, 3])
    return np.concatenate(faces, axis=1)


def _at_lid(one: Swing, lid_rad: float) -> Swing:
    """A turn of the flap as one at the lid's angle."""
    angle = None if one.angle_rad is None else lid_rad
    return Swing(one.outcome, angle, one.pieces, one.at_mm, one.clearances)


def _together(turns: Sequence[Swing]) -> Swing:
    """Turns one after the other as one: the first that is not free ends it."""
    clearances = sorted(
        (own for one in turns for own in one.clearances), key=lambda own: own.apart_mm
    )
    stopped = [one for one in turns if one.outcome is not Outcome.FREE]
    if not stopped:
        return Swing(Outcome.FREE, None, None, None, tuple(clearances))
    first = min(stopped, key=lambda one: one.angle_rad or 0.0)
    blocked = [one for one in stopped if one.outcome is Outcome.BLOCKED]
    first = min(blocked, key=lambda one: one.angle_rad or 0.0) if blocked else first
    return Swing(first.outcome, first.angle_rad, first.pieces, first.at_mm, tuple(clearances))
