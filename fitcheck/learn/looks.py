"""A sum is looked at after every box, and the chance of a false alarm is held over all the looks.

Under right odds each box adds a step with known chances. All that may be spent on false alarms is
laid out over the looks beforehand (Lan and DeMets, Biometrika 70 (1983) 659, with the power family
of Kim and DeMets, Biometrika 74 (1987) 149: next to nothing at the first boxes), and at each look
the outermost sums are taken as alarms as far as what was laid out so far allows. The law of the sum
on the ways without an alarm is carried along exactly (Armitage, McPherson and Rowe 1969), on a grid
of whole steps: a count of boxes is exact, a sum of scores to the rounding of each score.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

Array = np.ndarray
LATE = 3
"""The power of the share of boxes by which false alarms are laid out: 3 is close to O'Brien and
Fleming's bounds."""


@dataclass(frozen=True, eq=False)
class Steps:
    """What one box adds to a sum under right odds, in whole steps of the grid."""

    first: int
    """The least step."""
    chances: Array
    """(n,) of the least step and those above it."""


@dataclass(frozen=True)
class Limits:
    """The sums that are no alarm at one look, in whole steps; there is an alarm outside."""

    low: int
    high: int

    def alarm(self, total: int) -> bool:
        """Whether a sum is an alarm."""
        return not self.low <= total <= self.high


def laid_out(share: float) -> float:
    """The part of all false alarms that may have come by a share of the boxes."""
    return float(min(max(share, 0.0), 1.0) ** LATE)


def looks(boxes: Iterable[tuple[Steps, float]]) -> Iterator[Limits]:
    """The limits after each box, given its steps and how much of false alarm is laid out for it.

    Half of it is for either side; what the grid leaves unspent is kept for later looks. The steps
    must not depend on how earlier boxes came out.
    """
    return looks_shared((((steps,), laid) for steps, laid in boxes), np.ones(1))


def looks_shared(
    boxes: Iterable[tuple[Sequence[Steps], float]], weights: Array
) -> Iterator[Limits]:
    """The same where boxes share something: the steps of each for every value that it may have.

    ``weights`` (m,) are the chances of these values; the m steps of a box lie on one grid.
    """
    first, laws = 0, [np.array([weight]) for weight in weights.tolist()]
    allowed = spent_low = spent_high = 0.0
    for steps, laid in boxes:
        allowed += 0.5 * laid
        laws = [np.convolve(law, one.chances) for law, one in zip(laws, steps, strict=True)]
        law = np.sum(laws, axis=0)
        first += steps[0].first
        low = int(np.searchsorted(np.cumsum(law), allowed - spent_low, side="right"))
        high = int(np.searchsorted(np.cumsum(law[::-1]), allowed - spent_high, side="right"))
        high = max(len(law) - high, low)
        spent_low += float(law[:low].sum())
        spent_high += float(law[high:].sum())
        yield Limits(first + low, first + high - 1)
        laws = [one[low:high] for one in laws]
        first += low
        if low == high:
            return


def alarm_chance(limits: Iterable[Limits], steps: Iterable[Steps]) -> float:
    """How often one of the looks is an alarm where boxes add these steps, exactly.

    With the steps that the limits were made for it is the rate of false alarms, with others the
    power to notice them.
    """
    first, law, found = 0, np.ones(1), 0.0
    for limit, step in zip(limits, steps, strict=False):
        law = np.convolve(law, step.chances)
        first += step.first
        low = min(max(limit.low - first, 0), len(law))
        high = min(max(limit.high + 1 - first, low), len(law))
        found += float(law[:low].sum() + law[high:].sum())
        law = law[low:high]
        first += low
        if not len(law):
            break
    return found


def yes_steps(chance: float) -> Steps:
    """A box that counts one with a chance."""
    return Steps(0, np.array([1.0 - chance, chance]))
