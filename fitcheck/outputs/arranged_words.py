"""How the pieces of a content are arranged, in words, read from where each of them is."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from fitcheck.packing.placing import Placement

SAME_MM = 0.05
"""Undersides that differ by less are at one height."""
PAIR = 2
OFF_SHARE = 0.25
"""Of a piece's side: pieces that are off by more are not in one row."""


def arranged_words(placements: Sequence[Placement], count: int) -> str:
    """All pieces of an item; ``count`` of them are the table's that is told of.

    Rows are counted along the width, then along the length. Nothing for a piece by itself.
    """
    every = len(placements)
    if every < PAIR:
        return ""
    of_all = f"all {every}: " if every > max(count, PAIR) else ""
    return of_all + _layered(_layers(placements))


def _layers(placements: Sequence[Placement]) -> list[list[Placement]]:
    """Pieces whose undersides are at one height, from below."""
    layers: list[list[Placement]] = []
    for place in sorted(placements, key=lambda own: own.z_mm):
        if not layers or place.z_mm - layers[-1][0].z_mm > SAME_MM:
            layers.append([])
        layers[-1].append(place)
    return layers


def _layered(layers: Sequence[Sequence[Placement]]) -> str:
    counts = [len(layer) for layer in layers]
    grids = [_grid(layer) for layer in layers]
    if len(layers) == 1:
        return grids[0] or "side by side, not in rows"
    if counts == [1] * len(counts):
        return "one on the other" if len(counts) == PAIR else f"{len(counts)} on each other"
    if len(set(counts)) > 1:
        said = [f"{n}{f', {grid}' if grid else ''}" for n, grid in zip(counts, grids, strict=True)]
        return f"in {len(layers)} layers, from below: {'; '.join(said)}"
    each = f", each {grids[0]}" if grids[0] and len(set(grids)) == 1 else ""
    return f"in {len(layers)} layers of {counts[0]}{each}"


def _grid(layer: Sequence[Placement]) -> str:
    """Rows and columns where one layer has them; nothing where it has not, or is one piece."""
    if len(layer) == 1 or len({place.pose.name for place in layer}) > 1:
        return ""
    pose = layer[0].pose
    wide = _ranks([place.x_mm for place in layer], pose.width_mm)
    long = _ranks([place.y_mm for place in layer], pose.length_mm)
    if wide is None or long is None:
        return ""
    columns, rows = max(wide) + 1, max(long) + 1
    if columns * rows != len(layer) or len(set(zip(wide, long, strict=True))) != len(layer):
        return ""
    if 1 in (columns, rows):
        return f"{len(layer)} in a row along the {'length' if columns == 1 else 'width'}"
    return f"{columns} x {rows} in a grid, width x length"


def _ranks(middles: Sequence[float], side_mm: float) -> list[int] | None:
    """The row of each, counted from 0; None where they are not in rows."""
    starts: list[float] = []
    for middle in sorted(middles):
        if not starts or middle - starts[-1] > OFF_SHARE * side_mm:
            starts.append(middle)
    near = OFF_SHARE * side_mm
    if any(after - before < 2.0 * near for before, after in itertools.pairwise(starts)):
        return None
    return [max(k for k, start in enumerate(starts) if middle >= start) for middle in middles]
