"""Convex pieces that change a little while something turns: their corners go straight ways."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fitcheck.folding.flat import Flat, joined
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.places import Places
from fitcheck.folding.pose import Array, Flags, Rows
from fitcheck.folding.tables import Flats


@dataclass(frozen=True, eq=False)
class Shapes:
    """Pieces box by box in a frame of each box, as functions of an angle theta."""

    pieces: Pieces
    """As they are at theta = 0, or would be."""
    rates: Flat
    """How far their corners go for each radian, mm; their faces stay parallel to themselves."""
    spins: Flags
    """(q,) which of them turn with what hangs on the hinge; their places are those on the sheet."""
    slices: Array
    """(q, 8) what a slice of the hinge's bend is of, nan for the rest: from and to which angle it
    lies; the shares of the whole bend between which its ends go straight; how far it reaches along
    the axis at both, first the one way, then the other, mm."""

    @property
    def sliced(self) -> Flags:
        """(q,) which are slices of the hinge's bend."""
        found: Flags = ~np.isnan(self.slices[:, 0])
        return found

    @property
    def present_rad(self) -> tuple[Array, Array]:
        """From and to which angle of the hinge each is there, (q,) each."""
        low, high, first, last = self.slices[:, :4].T
        with np.errstate(divide="ignore", invalid="ignore"):
            since, until = low / last, high / first
        return np.nan_to_num(since, nan=0.0), np.nan_to_num(until, nan=np.inf, posinf=np.inf)

    @classmethod
    def of(cls, pieces: Pieces, rates: Flat | None = None) -> Shapes:
        """Pieces that stay, there at all angles; without rates they keep their form."""
        count = len(pieces)
        ends = pieces.vertices.ends
        rates = rates or Flat(np.zeros((3, int(ends[-1]))), ends)
        return cls(pieces, rates, np.zeros(count, dtype=bool), np.full((count, 8), np.nan))

    def take(self, rows: Rows) -> Shapes:
        """Some of them."""
        return Shapes(
            self.pieces.take(rows), self.rates.take(rows), self.spins[rows], self.slices[rows]
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
        placed = Pieces.listed(pieces.boxes, pieces.kinds, pieces.names, Flats(moved[0], *turned))
        return replace(self, pieces=placed, rates=moved[1])

    def with_others(self, other: Shapes) -> Shapes:
        """Both together, box by box."""
        one, two = self.pieces, other.pieces
        every = Shapes(
            Pieces(
                np.concatenate([one.boxes, two.boxes]),
                np.concatenate([one.kinds, two.kinds + len(one.names)]),
                [*one.names, *two.names],
                Places.joined([one.places, two.places]),
            ),
            joined([self.rates, other.rates]),
            np.concatenate([self.spins, other.spins]),
            np.concatenate([self.slices, other.slices]),
        )
        return every.take(np.argsort(every.pieces.boxes, kind="stable"))


def _turned(flat: Flat, poses: Array, boxes: Rows) -> Flat:
    whose = boxes.repeat(np.diff(flat.ends))
    return Flat(np.einsum("mij,jm->im", poses[whose, :3, :3], flat.values), flat.ends)
