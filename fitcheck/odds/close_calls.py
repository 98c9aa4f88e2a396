"""Which of many drawn boxes are nearest to another verdict, or furthest from the middle."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from fitcheck.fit.check import Check
from fitcheck.fit.right import band_edges, going_from
from fitcheck.folding.pose import Array, Rows
from fitcheck.odds.landing import PASSES
from fitcheck.odds.quantities import LID_PLAY, Outlook, is_slack, mate_play

Edges = Sequence[tuple[str, float]]
"""The lengths that verdicts hang on, each with where one ends."""


def edges_of(check: Check, outlook: Outlook) -> Edges:
    """The edges of a design's verdicts."""
    found = [(LID_PLAY, edge) for edge in band_edges(check.design.bands)] + [(PASSES, 0.0)]
    found = [one for one in found if one[0] in outlook.names]
    least = going_from(check.design.bands, check.design.want)
    found += [
        (name, least)
        for name in (mate_play(fit.mate) for fit in check.mates)
        if name in outlook.names
    ]
    return found + [(name, 0.0) for name in outlook.names if is_slack(name)]


def close_calls(edges: Edges, outlook: Outlook, expected: Array, count: int) -> Rows:
    """Which of drawn boxes (q, n) are nearest to each edge and furthest out on each side.

    So many of them, each kind in turn.
    """
    orders = [np.argsort(np.abs(expected[outlook.row(name)] - edge)) for name, edge in edges]
    for name in dict.fromkeys(name for name, _ in edges):
        order = np.argsort(expected[outlook.row(name)])
        orders += [order, order[::-1]]
    in_turn = itertools.chain.from_iterable(zip(*(own.tolist() for own in orders), strict=True))
    chosen = list(itertools.islice(dict.fromkeys(in_turn), count))
    return np.array(chosen, dtype=np.intp)
