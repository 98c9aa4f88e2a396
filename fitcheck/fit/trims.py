"""What has to be cut off a panel's free edge so that it no longer stands in another piece."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.programme import least_of
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.pose import Array, apply


@dataclass(frozen=True)
class Trim:
    """A cut that frees a panel."""

    panel: str
    by_mm: float


def trim_for(part: FoldedPart, a: ConvexPiece, b: ConvexPiece) -> Trim | None:
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
    layout = part.layout
    outline, own = layout.outline(panel)[0], layout.tree.around[layout.tree.panel[panel]]
    folds = [(layout.origins[0, k], layout.outwards[0, k]) for k in own[own >= 0].tolist()]
    for start, stop in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        along = (stop - start) / np.linalg.norm(stop - start)
        outward = np.array([along[1], -along[0]])
        creased = any(
            abs(abs(outward @ across) - 1.0) < 1e-9 and abs(outward @ (start - origin)) < 1e-6
            for origin, across in folds
        )
        if not creased:
            yield start, outward


def _deepest(piece: ConvexPiece, other: ConvexPiece, direction: Array) -> float | None:
    """The least reach along a direction of what two pieces share, mm."""
    normals = np.vstack([piece.normals, other.normals])
    limits = np.concatenate([(p.vertices @ p.normals.T).max(axis=0) for p in (piece, other)])
    found = least_of(direction, normals, limits)
    return None if found is None else found.value
