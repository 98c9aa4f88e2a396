"""How many parts and kits come out of bought sheets with a trimmer, and how many sheets to buy.

Only cuts from edge to edge count. A bought sheet's grain is taken along the side that is named
second, as the trade writes it (common practice, no source).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.pattern.sheet import Axis
from fitcheck.sheet.guillotine import (
    Counts,
    Size,
    TooManyPositions,
    at_least,
    in_steps,
    mixtures,
    most_pieces,
    unbeaten,
)
from fitcheck.sheet.shared import good_mixtures
from fitcheck.stock.bought_sheets import Bought

MOST_POSITIONS = 2500
"""Pairs of positions up to which all mixtures of parts of one stock are counted."""
MOST_SUMS = 40_000_000
"""Sums up to which a single part is counted exactly; about a second."""
GRAIN_OF_SHEETS = Axis.LENGTH
"""Of a bought sheet: along the side that is named second."""
SAME = 1e-9
"""Shares of a sheet that differ by less are the same."""


@dataclass(frozen=True)
class Piece:
    """A part as a rectangle to be cut out."""

    part: str
    stock: str
    width_mm: float
    length_mm: float
    grain: Axis | None
    """How the grain must run in it; None when any way will do."""
    count: int = 1
    """How many of it one box takes."""


@dataclass(frozen=True)
class PartYield:
    """One part from one kind of bought sheet."""

    piece: Piece
    bought: Bought
    any_way: int
    """Parts to a sheet when the grain is ignored."""
    with_grain: int | None
    """Parts to a sheet when it is honoured; None when the part asks for none."""
    exact: bool = True
    """False for parts so small that only full strips of them were counted: at least so many."""


@dataclass(frozen=True)
class Purchase:
    """Sheets of one stock for so many kits."""

    stock: str
    bought: Bought
    parts: tuple[str, ...]
    kits_per_sheet: int
    """Whole kits of these parts from a single sheet, as far as was found."""
    sheets: int | None
    """Sheets for all kits; None when a part does not go on this sheet."""
    mixed: bool
    """Whether different parts share a sheet."""
    exact: bool = True
    """False where fewer may do: they are the least that was found."""


@dataclass(frozen=True)
class Yields:
    """All counts for a design."""

    kits: int
    parts: tuple[PartYield, ...]
    purchases: tuple[Purchase, ...]


def yields_for(pieces: Sequence[Piece], bought: Sequence[Bought], kits: int) -> Yields:
    """Counts of every piece from every bought sheet, and what to buy for so many kits."""
    stocks = dict.fromkeys(piece.stock for piece in pieces)
    return Yields(
        kits=kits,
        parts=tuple(part_yield(piece, sheet) for piece in pieces for sheet in bought),
        purchases=tuple(
            purchase([p for p in pieces if p.stock == stock], sheet, kits)
            for stock in stocks
            for sheet in bought
        ),
    )


def part_yield(piece: Piece, bought: Bought) -> PartYield:
    """How many of a piece one bought sheet gives."""
    size = _size(bought)
    free, exact = _count(size, _ways(piece, None))
    if piece.grain is None:
        return PartYield(piece, bought, free, None, exact)
    grained, also = _count(size, _ways(piece, GRAIN_OF_SHEETS))
    return PartYield(piece, bought, free, grained, exact and also)


def _count(size: Size, ways: list[Size]) -> tuple[int, bool]:
    """Pieces to a sheet, and whether no more can be had."""
    try:
        return most_pieces(size, ways, MOST_SUMS), True
    except TooManyPositions:
        return at_least(size, ways), False


def purchase(pieces: Sequence[Piece], bought: Bought, kits: int) -> Purchase:
    """Sheets for so many kits of pieces of one stock, their grain honoured.

    Pieces share a sheet when that saves one. Where not all mixtures can be counted in reasonable
    time, the fewest sheets are known only where a bound says so.
    """
    size = _size(bought)
    ways = [_ways(piece, GRAIN_OF_SHEETS) for piece in pieces]
    counted = [_count(size, way) for way in ways]
    alone, each = [count for count, _ in counted], tuple(piece.count for piece in pieces)
    stock, names = pieces[0].stock, tuple(piece.part for piece in pieces)
    if 0 in alone:
        return Purchase(stock, bought, names, 0, None, mixed=False)
    apart = [math.ceil(kits * own / count) for own, count in zip(each, alone, strict=True)]
    if len(pieces) == 1:
        (most, exact), (sheets,) = counted[0], apart
        return Purchase(stock, bought, names, most // each[0], sheets, mixed=False, exact=exact)
    try:
        mixed, exact = mixtures(size, ways, MOST_POSITIONS), True
        sheets = fewest_sheets(mixed, kits, each)
    except TooManyPositions:
        # no mixture is known to be the best: these are some that can be cut
        mixed = good_mixtures(size, ways, each, kits) | _unmixed(alone)
        rows = in_rows(size, ways, [kits * own for own in each])
        sheets = min(fewest_sheets(unbeaten(mixed), kits, each), rows)
        exact = sheets == _at_least(pieces, bought, kits, counted)
    whole = max(
        min(count // own for count, own in zip(counts, each, strict=True)) for counts in mixed
    )
    return Purchase(stock, bought, names, whole, sheets, mixed=sheets < sum(apart), exact=exact)


def _unmixed(alone: Sequence[int]) -> frozenset[Counts]:
    """Sheets of one kind of piece alone."""
    return frozenset(
        tuple(count if own == n else 0 for own in range(len(alone)))
        for n, count in enumerate(alone)
    )


def _at_least(
    pieces: Sequence[Piece], bought: Bought, kits: int, counted: Sequence[tuple[int, bool]]
) -> int:
    """Sheets that no packing undercuts: by area, and by the most of one piece on a sheet."""
    area = sum(piece.width_mm * piece.length_mm * piece.count for piece in pieces)
    bounds = [math.ceil(kits * area / (bought.width_mm * bought.length_mm) - SAME)]
    for piece, (most, exact) in zip(pieces, counted, strict=True):
        if exact:
            bounds.append(math.ceil(kits * piece.count / most))
    return max(bounds)


def in_rows(size: Size, ways: Sequence[list[Size]], counts: Sequence[int]) -> int:
    """Sheets for so many of each piece, laid in rows, the tallest first; each goes on a sheet.

    First fit decreasing height (Coffman, Garey, Johnson and Tarjan 1980): every cut of a row and in
    it runs from edge to edge. Of the ways that a piece may lie it lies in the flattest.
    """
    lying = [
        min((way for way in own if way[0] <= size[0] and way[1] <= size[1]), key=lambda w: w[1])
        for own in ways
    ]
    order = sorted(range(len(lying)), key=lambda n: -lying[n][1])
    rows: list[list[int]] = []  # what is left of each row's width, by sheet
    heights: list[int] = []  # what is left of each sheet's height
    for n in order:
        wide, tall = lying[n]
        for _ in range(counts[n]):
            if _into_row(rows, wide):
                continue
            sheet = next((k for k, left in enumerate(heights) if left >= tall), None)
            if sheet is None:
                rows.append([])
                heights.append(size[1])
                sheet = len(heights) - 1
            rows[sheet].append(size[0] - wide)
            heights[sheet] -= tall
    return len(heights)


def _into_row(rows: list[list[int]], wide: int) -> bool:
    """Put a piece into the first row that has room; rows are as tall as what was put in first."""
    for row in rows:
        for k, left in enumerate(row):
            if left >= wide:
                row[k] = left - wide
                return True
    return False


def fewest_sheets(mixed: frozenset[Counts], kits: int, each: Sequence[int] | None = None) -> int:
    """The fewest sheets that give so many kits together, by an exact integer program.

    A kit takes `each` of the pieces; one of every kind where that is not said.
    """
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    patterns = sorted(mixed)
    taken = [1] * len(patterns[0]) if each is None else each
    uses = [model.new_int_var(0, kits * sum(taken), f"pattern {n}") for n in range(len(patterns))]
    for number in range(len(patterns[0])):
        made = sum(use * counts[number] for use, counts in zip(uses, patterns, strict=True))
        model.add(made >= kits * taken[number])
    model.minimize(sum(uses))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    if solver.solve(model) != cp_model.OPTIMAL:
        raise ValueError("each piece must go on a sheet at least once")
    sheets: float = solver.objective_value
    return round(sheets)


def _size(bought: Bought) -> Size:
    return in_steps(bought.width_mm), in_steps(bought.length_mm)


def _ways(piece: Piece, sheet_grain: Axis | None) -> list[Size]:
    """In which directions a piece may lie on a sheet of that grain (None: ignored)."""
    size = in_steps(piece.width_mm), in_steps(piece.length_mm)
    if sheet_grain is None or piece.grain is None:
        return [size, (size[1], size[0])]
    return [size] if piece.grain is sheet_grain else [(size[1], size[0])]
