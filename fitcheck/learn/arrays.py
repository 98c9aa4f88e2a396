"""The pieces of one stock or printer as arrays, each with what is known of its variance."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fitcheck.learn.bench_readings import Feature, Kind
from fitcheck.learn.entries import Entry, Repeats, data_of, hand_scatter, shared_pieces
from fitcheck.learn.model_stock import SCORES, grain_doubt
from fitcheck.learn.solving import Data
from fitcheck.learn.stack_size import SheetSize, sheet_size

FEEL_MM = 0.01
"""A gauge goes in or does not, give or take what the hand calls going in."""
UNHEARD_MM2 = 1e4
"""Variance of an entry that is to have no say."""
_OF_ONE_GRAIN = frozenset({Feature.CHANNEL, Feature.INSIDE, Feature.CORNER})


def arrays_of(
    kind: Kind, entries: Sequence[Entry], unheard: frozenset[int] = frozenset()
) -> tuple[Data, tuple[tuple[np.ndarray, float], ...]]:
    """The entries as arrays, and the estimated parts of their variance by class.

    The entries at the places ``unheard`` are to have no say.
    """
    stacks = np.array([entry.feature is Feature.STACK for entry in entries])
    heard = [entry for k, entry in enumerate(entries) if k not in unheard]
    size = sheet_size(heard) if kind is Kind.STOCK else None
    of_stacks = None if size is None else Repeats(size.hand_mm, math.inf)
    of_folds = hand_scatter([e for e in heard if e.feature is not Feature.STACK])
    sure = math.isfinite(of_folds.dof)
    shared = set() if sure else shared_pieces(entries)

    def repeats(entry: Entry) -> Repeats | None:
        if entry.feature is Feature.STACK:
            return of_stacks
        # What was read once scatters with its piece, unless that piece was read otherwise too.
        return of_folds if sure or entry.piece in shared else None

    doubt = grain_doubt(entries) if kind is Kind.STOCK else 0.0
    data, from_repeats = data_of(
        entries,
        repeats,
        (lambda entry: SCORES.get(entry.feature, 0.0)) if kind is Kind.STOCK else lambda entry: 1.0,
        lambda entry: _model_variance(entry, size, doubt),
        by_day=kind is Kind.STOCK,
    )
    data.fixed_variance[list(unheard)] += UNHEARD_MM2
    apart2 = 0.0 if size is None else size.apart_mm**2
    return data, (
        (np.where(stacks, 0.0, from_repeats), of_folds.dof),
        (np.where(stacks, from_repeats + apart2, 0.0), math.inf),
    )


def _model_variance(entry: Entry, size: SheetSize | None, doubt: float) -> float:
    if entry.feature is Feature.STACK:
        return 0.0 if size is None else size.apart_mm**2
    feel = FEEL_MM**2 if entry.value_mm is None else 0.0
    return feel + (doubt if entry.grain is None and entry.feature in _OF_ONE_GRAIN else 0.0)
