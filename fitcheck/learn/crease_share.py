"""What a coupon's creases add to a wall, as a share of its sheet: 0.21 to 1 is what a crease can.

A sharp crease whose neutral line lies in the middle adds 1 - pi/8 = 0.61 of the sheet, one that is
cut half through 1 - pi/16 = 0.80; where it lies at the inside face, as far as it can go, the whole
sheet, and at the outside face 1 - pi/4 of it (bend allowance of `stock.crease`). Where creases seem
to add more or less, channels were read or typed wrong, or the stack was counted wrong.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fitcheck.learn.evaluate import widened
from fitcheck.learn.fit import Fit
from fitcheck.learn.model_stock import ACROSS, ALONG, A, T
from fitcheck.stock.crease import UNCALIBRATED_U_SHARE, usual_share

MOST = 1.0
"""A sharp crease adds no more sheets than this."""
LEAST = 1 - math.pi / 4
"""No crease adds fewer."""
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
    def little(self) -> bool:
        """Whether it is less than any crease adds."""
        return self.share < LEAST

    @property
    def odd(self) -> bool:
        """Whether it is more than a sharp crease can add, or less than any does."""
        return self.little or self.share > MOST

    @property
    def looks(self) -> str:
        """What looks like that."""
        channels = "typed or read too narrow" if self.little else "read too wide"
        return f"a stack counted wrong or channels {channels} look like that"

    @property
    def cure(self) -> str:
        """What to do where it is not so."""
        if self.little:
            return (
                "check the figures behind the point of each channel, measure the channels again, "
                "outside at the crease, check nominal_mm, and count the stack's sheets"
            )
        return (
            "set the caliper to zero and measure the channels again, check nominal_mm, and count "
            "the stack's sheets"
        )

    def clear(self, known: float | None = None) -> bool:
        """Whether it is odd, and too far from what is usual to be chance.

        ``known`` is what creases of this paper were found to add, in sheets.
        """
        usual = usual_share(self.sheet_mm)
        nearest = (min if self.little else max)(usual, usual if known is None else known)
        allowed = math.hypot(self.u_mm, UNCALIBRATED_U_SHARE * self.sheet_mm)
        return self.odd and abs(self.adds_mm - nearest * self.sheet_mm) > CLEAR_U * allowed

    @property
    def words(self) -> str:
        """What was found and what is usual."""
        size = f"{abs(self.adds_mm):.2f}"
        usual = f"{usual_share(self.sheet_mm):.1f} times"
        sheet = f"the sheet's {self.sheet_mm:.3f} mm"
        if float(size) == 0.0:
            return f"a crease adds nothing to a wall, and {usual} {sheet} is usual"
        if self.adds_mm < 0:
            return f"a crease takes {size} mm from a wall, and to add {usual} {sheet} is usual"
        times = f"{self.share:.2f}" if self.little else f"{self.share:.1f}"
        return f"a crease adds {size} mm to a wall, {times} times {sheet}, and {usual} is usual"


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
