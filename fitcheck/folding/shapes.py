"""Convex pieces that change a little while something turns: their corners go straight ways."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fitcheck.folding.pieces import Flat, Pieces, joined
from fitcheck.folding.pose import Array, Flags, Rows


@dataclass(frozen=True, eq=False)
class Shapes:
    """Pieces box by box in a frame of each box, as functions of an angle theta."""

    pieces: Pieces
    """As they are at theta = 0, or would be."""
    rates: Flat
    """How far their corners go for each radian, mm; their faces stay parallel to themselves."""
    spins: Flags
    """(q,) which of them turn with what hangs on the hinge; their places are those on the sheet."""
    since_rad: Array
    """(q,) from which angle on each is there."""

    @classmethod
    def of(cls, pieces: Pieces, rates: Flat | None = None) -> Shapes:
        """Pieces that stay, there at all angles; without rates they keep their form."""
        count = len(pieces)
        ends = pieces.vertices.ends
        rates = rates or Flat(np.zeros((3, int(ends[-1]))), ends)
        return cls(pieces, rates, np.zeros(count, dtype=bool), np.zeros(count))

    def take(self, rows: Rows) -> Shapes:
        """Some of them."""
        return Shapes(
            self.pieces.take(rows), self.rates.take(rows), self.spins[rows], self.since_rad[rows]
        )

    def turning(self) -> Shapes:
        """The same as pieces that turn."""
        return replace(self, spins=np.ones(len(self.pieces), dtype=bool))

    def carried(self, poses: Array) -> Shapes:
        """The same, those of each box elsewhere by its own pose, (b, 4, 4)."""
        pieces = self.pieces
        moved = [_turned(own, poses, pieces.boxes) for own in (pieces.vertices, self.rates)]
        turned = [_turned(own, poses, pieces.boxes) for own in (pieces.normals, pieces.edges)]
        whose = pieces.boxes.repeat(np.diff(pieces.vertices.ends))
        moved[0].values[:] += poses[whose, :3, 3].T
        placed = replace(pieces, vertices=moved[0], normals=turned[0], edges=turned[1])
        return replace(self, pieces=placed, rates=moved[1])

    def with_others(self, other: Shapes) -> Shapes:
        """Both together, box by box."""
        one, two = self.pieces, other.pieces
        forms = [
            joined([getattr(one, key), getattr(two, key)]) for key in ("vertices", "normals", "edges")
        ]
        every = Shapes(
            Pieces(
                np.concatenate([one.boxes, two.boxes]),
                np.concatenate([one.kinds, two.kinds + len(one.names)]),
                [*one.names, *two.names],
                *forms,
            ),
            joined([self.rates, other.rates]),
            np.concatenate([self.spins, other.spins]),
            np.concatenate([self.since_rad, other.since_rad]),
        )
        return every.take(np.argsort(every.pieces.boxes, kind="stable"))


def _turned(flat: Flat, poses: Array, boxes: Rows) -> Flat:
    whose = boxes.repeat(np.diff(flat.ends))
    return Flat(np.einsum("mij,jm->im", poses[whose, :3, :3], flat.values), flat.ends)
