"""Strips of a grid in place: where each copy stands follows from the slots that it stands in.

All strips of one way are cut alike, as a hand cuts them together. A strip's place in a drawn box is
the middle of the slot that it goes through, so that an error in a slot moves a wall of two
compartments and never jams what goes in there one by one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.folding.measure import standing
from fitcheck.folding.parts import FoldedPart, pieces_in
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import Array, translation
from fitcheck.pattern.rows import Row
from fitcheck.pattern.sheet import Axis

SUNK_MM = 1.0
SAME_DIGITS = 9
"""Corners of a strip's cells whose places agree to so many digits of a millimetre are one."""


def stood_pieces(kinds: Sequence[Sequence[FoldedPart]], *, open_: bool = False) -> Pieces:
    """The pieces of all that stands in each box as one, given kind by kind, each box by box.

    A strip stands as often as it is cut, its slots filled: what is let by there, another strip
    fills. Feet are SUNK_MM below the table, so that a floor of any caliper lifts them.
    """
    found: Pieces | None = None
    for own in kinds:
        strip = own[0].pattern.row is not None
        parts = own if open_ and not strip else [part.filled for part in own]
        poses = np.array([standing(part) for part in own])
        # sizes differ from box to box, and with them where each one's middle comes to stand
        pieces = pieces_in(parts).moved(poses[0]).shifted(poses[:, :3, 3] - poses[0, :3, 3])
        if strip:
            pieces = on_floor(pieces)
        for number, place in enumerate(places_of(own, kinds), start=1):
            copy = pieces if place is None else pieces.shifted(place).numbered(number)
            found = copy if found is None else found.beside(copy)
    assert found is not None, "something stands"
    return found


def on_floor(pieces: Pieces) -> Pieces:
    """Strips of each box with their lower edges at z = -SUNK_MM."""
    feet = np.full(int(pieces.boxes.max()) + 1, np.inf)
    np.minimum.at(feet, pieces.boxes, pieces.bounds[0][:, 2])
    return pieces.moved(np.eye(4), -feet - SUNK_MM)


def places_of(
    own: Sequence[FoldedPart], kinds: Sequence[Sequence[FoldedPart]]
) -> list[Array | None]:
    """How far each copy stands from the middle, (b, 3) mm; None for what stands once."""
    row = own[0].pattern.row
    if row is None:
        return [None]
    across = np.eye(3)[1 if row.runs is Axis.WIDTH else 0]
    crossing = [other for other in kinds if _crosses(other[0].pattern.row, row)]
    if not crossing:
        return [np.tile(at * across, (len(own), 1)) for at in row.at_mm]
    slots = np.array([slots_of(part) for part in crossing[0]])
    return [slots[:, k, None] * across for k in range(len(row.at_mm))]


def poses_of(part: FoldedPart, parts: Sequence[FoldedPart]) -> list[Array]:
    """The poses (4, 4) of all copies of one of the parts that stand in a box together."""
    pose = standing(part)
    places = places_of([part], [[own] for own in parts])
    return [pose if at is None else translation(at[0]) @ pose for at in places]


def _crosses(one: Row | None, other: Row) -> bool:
    return one is not None and one.runs is not other.runs


def slots_of(part: FoldedPart) -> list[float]:
    """The middles of a strip's slots, from its own middle, mm, in order."""
    points = np.concatenate(part.plates[0].cells)
    low, high = points[:, 1].min(), points[:, 1].max()
    inner = (points[:, 1] > low + 1e-6) & (points[:, 1] < high - 1e-6)
    sides = np.unique(points[inner, 0].round(SAME_DIGITS))
    found: list[float] = (0.5 * (sides[::2] + sides[1::2])).tolist()
    return found


@dataclass(frozen=True)
class Compartments:
    """The rooms between the strips of a grid and the walls round it, all centred."""

    columns: int
    """So many along the width."""
    rows: int
    size_mm: tuple[float, float]
    """From strip to strip, or where one way has no strips from wall to wall."""
    widths_mm: tuple[tuple[float, float], ...]
    """From where to where each column reaches, from the middle."""
    lengths_mm: tuple[tuple[float, float], ...]

    @property
    def count(self) -> int:
        """So many in all."""
        return self.columns * self.rows

    def middles(self) -> list[tuple[float, float]]:
        """The middle of each, row by row."""
        return [
            (_middle(wide), _middle(long)) for long in self.lengths_mm for wide in self.widths_mm
        ]


def _middle(span: tuple[float, float]) -> float:
    return 0.5 * (span[0] + span[1])


def compartments_in(
    inside_mm: tuple[float, float], parts: Sequence[FoldedPart]
) -> Compartments | None:
    """The compartments that the strips among some parts leave of an inside; None without strips."""
    rows = [(part.pattern.row, part) for part in parts]
    if all(row is None for row, _ in rows):
        return None
    spans = []
    for axis, inside in zip(Axis, inside_mm, strict=True):
        ends = [-0.5 * inside]
        for row, part in rows:
            if row is not None and row.runs is not axis:
                half = 0.5 * part.caliper_mm
                places = places_of([part], [[own] for own in parts])
                k = 0 if axis is Axis.WIDTH else 1
                for at in places:
                    assert at is not None, "a strip has a place"
                    ends += [float(at[0, k]) - half, float(at[0, k]) + half]
        ends.append(0.5 * inside)
        spans.append(tuple(zip(ends[::2], ends[1::2], strict=True)))
    widths, lengths = spans
    size = (
        min(high - low for low, high in widths),
        min(high - low for low, high in lengths),
    )
    return Compartments(len(widths), len(lengths), size, widths, lengths)
