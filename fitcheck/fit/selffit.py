"""A part fits itself when no two of its panels press deeper than paper gives way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.contact import difference_body
from fitcheck.folding.fold import FoldedPart
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array, apply
from fitcheck.pattern.pattern import Pattern

PRESS_SHARE = 0.25
"""Two panels may press by this share of a caliper before it counts: paper gives way that much."""


@dataclass(frozen=True)
class Trim:
    """A cut that frees a panel."""

    panel: str
    by_mm: float


@dataclass(frozen=True)
class Press:
    """Two pieces of one part that stand in each other."""

    pieces: tuple[str, str]
    press_mm: float
    trim: Trim | None
    """What to cut off to cure it; None when no free edge leads out."""


def self_fit(part: FoldedPart) -> tuple[Press, ...]:
    """The worst press of each pair of panels, deepest first."""
    worst: dict[tuple[str, str], tuple[float, ConvexPiece, ConvexPiece]] = {}
    for a, b in _candidates(part):
        depth, _ = difference_body(a, b).depth(np.zeros(3))
        key = (a.name, b.name)
        if depth > PRESS_SHARE * part.caliper_mm and depth > worst.get(key, (0.0,))[0]:
            worst[key] = (depth, a, b)
    found = [Press(key, depth, cure(part, a, b)) for key, (depth, a, b) in worst.items()]
    return tuple(sorted(found, key=lambda press: -press.press_mm))


def _candidates(part: FoldedPart) -> Iterator[tuple[ConvexPiece, ConvexPiece]]:
    """Pairs whose boxes overlap and that nothing lets touch; at least one of them a plate."""
    pieces = part.pieces
    allowed = _allowed(part.pattern)
    low = np.array([p.low for p in pieces])
    high = np.array([p.high for p in pieces])
    slack = PRESS_SHARE * part.caliper_mm
    meet = np.all((low[:, None] + slack < high[None]) & (low[None] + slack < high[:, None]), axis=2)
    for i, j in np.argwhere(np.triu(meet, k=1)):
        a, b = pieces[i], pieces[j]
        is_plate = len(a.panels) == 1 or len(b.panels) == 1
        if is_plate and not any((p, q) in allowed for p in a.panels for q in b.panels):
            yield a, b


def _allowed(pattern: Pattern) -> set[tuple[str, str]]:
    """Pairs of panels that touch by intent: neighbours at a crease, glued corners, laps."""
    pairs = [(line.parent, line.child) for line in pattern.creases]
    pairs += [(joint.tab, joint.wall) for joint in pattern.corner_joints]
    pairs += [(lap.over, under) for lap in pattern.laps for under in pattern.beyond(lap.under)]
    pairs += [(panel.name, panel.name) for panel in pattern.panels]
    return set(pairs) | {(b, a) for a, b in pairs}


def cure(part: FoldedPart, a: ConvexPiece, b: ConvexPiece) -> Trim | None:
    """The smallest cut along one free edge of either panel that takes it out of the other piece."""
    trims = [
        trim
        for piece, other in ((a, b), (b, a))
        if len(piece.panels) == 1
        for trim in _edge_trims(part, piece, other)
    ]
    return min(trims, key=lambda trim: trim.by_mm, default=None)


def _edge_trims(part: FoldedPart, piece: ConvexPiece, other: ConvexPiece) -> Iterator[Trim]:
    (panel,) = piece.panels
    plate = part.plate(panel)
    for edge, outward in _free_edges(part, panel):
        ends = apply(plate.pose, np.array([[*edge, 0.0]]))
        direction = plate.pose[:3, :3] @ np.append(outward, 0.0)
        deepest = _deepest(piece, other, direction)
        if deepest is not None:
            yield Trim(panel, float(ends[0] @ direction) - deepest)


def _free_edges(part: FoldedPart, panel: str) -> Iterator[tuple[Array, Array]]:
    """A corner and the outward direction of each cut edge of a panel."""
    outline = part.layout.outlines[panel]
    folds = part.layout.around(panel)
    for start, stop in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        along = (stop - start) / np.linalg.norm(stop - start)
        outward = np.array([along[1], -along[0]])
        creased = any(
            abs(abs(outward @ fold.outward) - 1.0) < 1e-9
            and abs(outward @ (start - fold.origin)) < 1e-6
            for fold in folds
        )
        if not creased:
            yield start, outward


def _deepest(piece: ConvexPiece, other: ConvexPiece, direction: Array) -> float | None:
    """The least reach along a direction of what two pieces share, mm."""
    from scipy.optimize import linprog

    normals = np.vstack([piece.normals, other.normals])
    limits = np.concatenate([(p.vertices @ p.normals.T).max(axis=0) for p in (piece, other)])
    found = linprog(direction, A_ub=normals, b_ub=limits, bounds=(None, None))
    return float(found.fun) if found.success else None
