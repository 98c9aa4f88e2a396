"""How much a hand scatters: a standard deviation with its 95 % interval, never a bare point."""

from __future__ import annotations

import enum
import math
from dataclasses import dataclass

from fitcheck.learn.evaluate import COVERAGE, widened
from fitcheck.uncertainty import width_variance

LEAST_DOF = 3.0
"""With fewer degrees of freedom an interval reaches over more than a decade."""
FINE = 2.0
"""A scatter of at least half an instrument's step is read as if the steps were not there: steps
then add their own variance and nothing else (Sheppard's correction, exact to 1 % from there on)."""


LEAST_TOLD = 1.0
"""A scatter whose square has fewer degrees of freedom is more uncertain than it is large: noise may
be all that was seen."""


class Told(enum.Enum):
    """Whether readings tell a scatter, and if not, why."""

    YES = enum.auto()
    FEW = enum.auto()
    """They are too few."""
    STEPS = enum.auto()
    """The instrument's steps may hide it."""
    NOISE = enum.auto()
    """Repeats of one reading differ so much that they may be all that was seen."""


@dataclass(frozen=True)
class MeanSquare:
    """A mean of squares with its degrees of freedom; inf for a variance that is known."""

    value: float
    """mm2."""
    dof: float


@dataclass(frozen=True)
class Scatter:
    """A standard deviation, mm, with its 95 % interval."""

    s_mm: float
    """0 where the reading's own noise explains all that was seen."""
    low_mm: float
    high_mm: float
    """Above 0: of what was seen some may always be scatter."""
    dof: float
    """Effective degrees of freedom of its square."""
    told: Told

    @property
    def estimated(self) -> bool:
        """Whether the readings tell it."""
        return self.told is Told.YES

    @property
    def used_mm(self) -> float:
        """What odds take: wider as readings are fewer, but never more than its own interval has."""
        return min(widened(self.s_mm, max(self.dof, 1.0)), self.high_mm)


def scatter_of(seen: MeanSquare, noise: MeanSquare, share: float, step_mm: float = 0.0) -> Scatter:
    """The scatter in a mean square that holds ``share`` of a reading's noise variance besides.

    The interval is the modified large-sample one for the difference of two mean squares (Ting,
    Burdick, Graybill, Jeyaratnam and Lu, 1990); without noise it is the chi-square interval of one
    variance. ``step_mm`` is the instrument's step in what was squared: steps far coarser than the
    scatter hide it, and then only the upper end is told.

    >>> found = scatter_of(MeanSquare(13.97**2, 9), MeanSquare(0.0, math.inf), 0.0)
    >>> round(found.low_mm, 2), round(found.high_mm, 2)
    (9.61, 25.5)
    """
    few = seen.dof < LEAST_DOF
    if seen.dof <= 0:
        return Scatter(0.0, 0.0, math.inf, 0.0, Told.FEW)
    if step_mm > 0.0 and FINE * math.sqrt(seen.value) < step_mm * math.sqrt(1 + FINE**2 / 12):
        # The steps may hide all of it: what could be there is what the steps leave unseen.
        most = MeanSquare(max(seen.value, width_variance(step_mm)), seen.dof)
        return Scatter(0.0, 0.0, _most(most), seen.dof, Told.FEW if few else Told.STEPS)
    taken = share * noise.value
    best = seen.value - taken
    if best <= 0.0:
        # Noise that is larger than all that was seen is not the noise of these: none is taken off.
        return Scatter(0.0, 0.0, _most(seen), seen.dof, Told.FEW if few else Told.NOISE)
    low, high = _ends(seen, taken, noise.dof)
    loss = seen.value**2 / seen.dof + (taken**2 / noise.dof if math.isfinite(noise.dof) else 0.0)
    dof = min(best**2 / loss, seen.dof)
    told = Told.NOISE if dof < LEAST_TOLD else Told.YES
    if taken > 0.0 and math.isinf(noise.dof) and dof < LEAST_DOF:
        told = Told.STEPS  # next to nothing of it is left beside the steps
    return Scatter(
        math.sqrt(best),
        math.sqrt(max(0.0, low)),
        math.sqrt(high),
        dof,
        Told.FEW if few else told,
    )


def _most(seen: MeanSquare) -> float:
    """The upper end of a scatter that is all that was seen, mm."""
    return math.sqrt(_ends(seen, 0.0, math.inf)[1])


def _ends(seen: MeanSquare, taken: float, dof: float) -> tuple[float, float]:
    """Both ends for ``seen`` less ``taken``, mm2; ``taken`` was estimated with ``dof``."""
    tail = (1.0 - COVERAGE) / 2.0
    n, m, big, small = seen.dof, dof, seen.value, taken
    upper, lower = _f(tail, n, math.inf), _f(1.0 - tail, n, math.inf)
    g1, h1 = 1.0 - 1.0 / upper, 1.0 / lower - 1.0
    g2 = h2 = g12 = h12 = 0.0
    if math.isfinite(m):
        g2, h2 = 1.0 - 1.0 / _f(tail, m, math.inf), 1.0 / _f(1.0 - tail, m, math.inf) - 1.0
        ratio = _f(tail, n, m)
        g12 = ((ratio - 1.0) ** 2 - g1**2 * ratio**2 - h2**2) / ratio
        ratio = _f(1.0 - tail, n, m)
        h12 = ((1.0 - ratio) ** 2 - h1**2 * ratio**2 - g2**2) / ratio
    below = g1**2 * big**2 + h2**2 * small**2 + g12 * big * small
    above = h1**2 * big**2 + g2**2 * small**2 + h12 * big * small
    best = big - small
    return best - math.sqrt(max(0.0, below)), best + math.sqrt(max(0.0, above))


def _f(tail: float, n: float, m: float) -> float:
    """What an F ratio with n and m degrees of freedom exceeds with that chance."""
    from scipy.special import chdtri, fdtri

    if math.isinf(m):
        return float(chdtri(n, tail)) / n
    return float(fdtri(n, m, 1.0 - tail))


def spread_apart(one: MeanSquare, other: MeanSquare) -> bool:
    """Whether two mean squares differ by more than chance makes them, 19 times in 20 (F test)."""
    if min(one.dof, other.dof) < LEAST_DOF or min(one.value, other.value) <= 0:
        return False
    ratio, tail = one.value / other.value, (1.0 - COVERAGE) / 2.0
    return not _f(1.0 - tail, one.dof, other.dof) <= ratio <= _f(tail, one.dof, other.dof)


def dof_to_know(share: float) -> int:
    """Degrees of freedom at which a scatter's upper end is no more than that share above it.

    >>> dof_to_know(0.25)
    48
    """
    return next(dof for dof in range(3, 10_000) if _f(0.975, dof, math.inf) >= 1 / (1 + share) ** 2)
