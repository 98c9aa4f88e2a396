"""Creases that give way least while faces are held together and nothing stands in anything."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence

import numpy as np

from fitcheck.folding.closure import CLOSED_MM, Closed
from fitcheck.folding.pose import Array, Flags

Conditions = Callable[[Array], tuple[Array, Array]]
"""Of angles (r, c): gaps (r, m) mm, and their slopes (r, m, c) mm for each radian."""
SETTLED_RAD = 1e-12
ROUNDS = 80
TRUSTED_RAD = 0.5
"""No crease turns further in one round."""


def settle(targets: Array, signs: Array, conditions: Conditions, held: Sequence[int]) -> Closed:
    """Angles (r, c) of least total squared departure from the targets (r, c).

    The gaps in the places `held` are 0 and the others not below it. Which of those are closed is
    sought by trying, fewest first: where a gap is closed it pushes, never pulls. A row for which
    no choice holds is not ok.
    """
    gaps, _ = conditions(targets)
    loose = [k for k in range(gaps.shape[1]) if k not in held]
    found, ok = targets.copy(), np.zeros(len(targets), dtype=bool)
    for count in range(min(targets.shape[1] - len(held), len(loose)) + 1):
        for chosen in itertools.combinations(loose, count):
            closed = sorted([*held, *chosen])
            angles, good = _closed_at(targets, signs, conditions, closed, ~ok)
            gaps, slopes = conditions(angles)
            good &= (gaps[:, loose] > -CLOSED_MM).all(axis=1)
            pulls = np.linalg.pinv(slopes[:, closed].transpose(0, 2, 1))
            pushes = np.einsum("rmc,rc->rm", pulls, angles - targets)
            pushing = [closed.index(k) for k in chosen]
            good &= (pushes[:, pushing] > -SETTLED_RAD).all(axis=1)
            found[good], ok[good] = angles[good], True
            if ok.all():
                return Closed(found, ok)
    return Closed(found, ok)


def _closed_at(
    targets: Array, signs: Array, conditions: Conditions, closed: list[int], rows: Flags
) -> tuple[Array, Flags]:
    """The least departures with some gaps closed, by least-norm steps; which rows came there."""
    angles = targets.copy()
    if not closed:
        return angles, rows.copy()
    ok, done = rows.copy(), ~rows
    for _ in range(ROUNDS):
        gaps, slopes = conditions(angles)
        gaps, slopes = gaps[:, closed], slopes[:, closed]
        departure = angles - targets
        wanted = np.einsum("rmc,rc->rm", slopes, departure) - gaps
        following = np.einsum("rcm,rm->rc", np.linalg.pinv(slopes), wanted)
        step = following - departure
        size = np.abs(step).max(axis=1)
        done |= ok & (size < SETTLED_RAD) & (np.abs(gaps).max(axis=1) < CLOSED_MM)
        going = ok & ~done
        if not going.any():
            break
        share = np.minimum(1.0, TRUSTED_RAD / np.maximum(size, SETTLED_RAD))
        angles = np.where(going[:, None], angles + share[:, None] * step, angles)
        own = angles * signs
        ok &= ((own > 0.0) & (own <= math.pi)).all(axis=1) | ~going
    return angles, ok & done & rows
