"""What a coupon's creases add to a wall, as a share of its sheet: more than one is hardly a crease.

A sharp crease whose neutral line lies in the middle adds 1 - pi/8 = 0.61 of the sheet; where it
lies at the inside face, as far as it can go, the whole sheet (bend allowance of `stock.crease`).
Where creases seem to add more, channels were read too wide or the stack was counted wrong.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fitcheck.learn.evaluate import widened
from fitcheck.learn.fit import Fit
from fitcheck.learn.model_stock import ACROSS, ALONG, A, T
from fitcheck.stock.crease import UNCALIBRATED_SHARE, UNCALIBRATED_U_SHARE

MOST = 1.0
"""A sharp crease adds no more sheets than this."""
CLEAR_U = 2.5
"""So many standard uncertainties beyond what is usual are asked about."""


@dataclass(frozen=True)
class CreaseShare:
    """What creases add on an average, along and across the grain."""

    adds_mm: float
    u_mm: float
    sheet_mm: float

    @property
    def share(self) -> float:
        """In sheets."""
        return self.adds_mm / self.sheet_mm

    @property
    def odd(self) -> bool:
        """Whether it is more than a sharp crease can add."""
        return self.share > MOST

    def clear(self, usual: float = UNCALIBRATED_SHARE) -> bool:
        """Whether it is odd, and too far from ``usual`` (in sheets) to be chance."""
        allowed = math.hypot(self.u_mm, UNCALIBRATED_U_SHARE * self.sheet_mm)
        return self.odd and self.adds_mm - usual * self.sheet_mm > CLEAR_U * allowed

    @property
    def words(self) -> str:
        """What was found and what is usual."""
        return (
            f"a crease adds {self.adds_mm:.2f} mm to a wall, {self.share:.1f} times the sheet's "
            f"{self.sheet_mm:.3f} mm, and {UNCALIBRATED_SHARE:.1f} times is usual"
        )


def crease_share(fit: Fit) -> CreaseShare | None:
    """What the folds of a paper's coupon say; None where they, or its stacks, say nothing."""
    own = [k for k, name in enumerate(fit.names) if name in (A, ALONG, ACROSS)]
    own = [k for k in own if fit.names[k] not in fit.kept]
    sheet = fit.value(T) if T in fit.names else 0.0
    if not own or not sheet > 0:
        return None
    weight = np.zeros(len(fit.names))
    weight[own] = 1.0 / len(own)
    u = math.sqrt(max(float(weight @ fit.covariance @ weight), 0.0))
    dof = min(fit.dof_of(fit.names[k]) for k in own)
    return CreaseShare(float(weight @ fit.values), widened(u, dof), sheet)
