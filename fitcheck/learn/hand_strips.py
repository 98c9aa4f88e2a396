"""A hand's strips: which of their readings make one fold."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature
from fitcheck.learn.entries import Entry
from fitcheck.stock.tools import ON_GRID_MM
from fitcheck.uncertainty import resolution_u


@dataclass(frozen=True, eq=False)
class Fold:
    """A score that was folded over and read from both edges, on a strip whose length was read."""

    near: Entry
    far: Entry
    cut: Entry

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All three of its readings."""
        return self.near, self.far, self.cut

    @property
    def gap_mm(self) -> float:
        """What the closed fold stands out, by its three readings."""
        return self.gap_if(None, 0.0)

    def gap_if(self, entry: Entry | None, value_mm: float) -> float:
        """What it would stand out if one entry were another value."""
        near, far, cut = (value_mm if one is entry else one.value_mm or 0.0 for one in self.entries)
        return 0.5 * (near + far - cut)

    @property
    def steps_variance(self) -> float:
        """What the instrument's steps add to its gap's variance, mm2."""
        steps = (max(one.resolution_mm for one in entry.readings) for entry in self.entries)
        return math.fsum(0.25 * resolution_u(step) ** 2 for step in steps)


@dataclass(frozen=True, eq=False)
class Strip:
    """What was read of one strip."""

    entries: tuple[Entry, ...]
    folds: tuple[Fold, ...]


def strips_of(entries: Sequence[Entry]) -> tuple[Strip, ...]:
    """Entries by strip. Raises ``InputError`` for a strip that was cut to two lengths."""
    by_piece: dict[object, list[Entry]] = defaultdict(list)
    for entry in entries:
        by_piece[entry.piece].append(entry)
    return tuple(Strip(tuple(own), tuple(_folds(own))) for own in by_piece.values())


def _folds(own: Sequence[Entry]) -> list[Fold]:
    cut = _length_of(own)
    if cut is None:
        return []
    fars = {_step(entry.nominal_mm): entry for entry in own if entry.feature is Feature.FOLD_FAR}
    sides = [
        (near, _far_side(near, cut, fars)) for near in own if near.feature is Feature.FOLD_NEAR
    ]
    return [Fold(near, far, cut) for near, far in sides if far is not None]


def _length_of(own: Sequence[Entry]) -> Entry | None:
    """The entry of a strip's length. Raises ``InputError`` for a strip that was cut to two."""
    cuts = [entry for entry in own if entry.feature is Feature.CUT]
    lengths = {entry.nominal_mm for entry in cuts if entry.readings[0].piece is not None}
    if len(lengths) > 1:
        raise InputError(
            f"{cuts[0].place}: this strip has {len(lengths)} lengths ({min(lengths):g} to "
            f"{max(lengths):g} mm in nominal_mm); allowed: one; give each strip a letter of its own"
        )
    return cuts[0] if cuts else None


def _step(mm: float) -> int:
    return round(mm / ON_GRID_MM)


def _far_side(near: Entry, cut: Entry, fars: Mapping[int, Entry]) -> Entry | None:
    """The far side's entry that goes with a near side."""
    rest = cut.nominal_mm - near.nominal_mm
    around = (fars.get(_step(rest) + by) for by in (0, -1, 1))
    close = (far for far in around if far is not None and abs(far.nominal_mm - rest) <= ON_GRID_MM)
    return next(close, None)
