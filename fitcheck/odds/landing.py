"""A lid that goes over a neck and past its base's rim lands on that where it cannot pass it.

It plays round the neck then, and does not press on the base. Whether it passes is told by what the
base's walls alone leave it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.right import enough
from fitcheck.folding.pose import Array
from fitcheck.pattern.sheet import Axis

PASSES = "lid play where it passes the rim"
"""The smaller play that the base's rim leaves it: it lands on the rim below 0."""


def play_name(axis: Axis) -> str:
    """The lid's play along an axis."""
    return f"lid play, {axis}"


def over_name(axis: Axis) -> str:
    """The play of a lid that has passed the rim, along an axis."""
    return f"lid play over neck and base, {axis}"


def past_name(axis: Axis) -> str:
    """The play that the base's rim leaves it, along an axis."""
    return f"{PASSES}, {axis}"


def round_name(axis: Axis) -> str:
    """The play of a lid that lies on the rim, along an axis."""
    return f"lid play round the neck, {axis}"


@dataclass(frozen=True)
class Landing:
    """The plays of a lid that passes its base's rim, or lands on it."""

    @property
    def names(self) -> tuple[str, ...]:
        """The rows of `evaluate`."""
        return tuple(play_name(axis) for axis in Axis)

    @property
    def of(self) -> tuple[str, ...]:
        """The quantities that they are worked out from."""
        return tuple(name(axis) for name in (over_name, past_name, round_name) for axis in Axis)

    def evaluate(self, names: Sequence[str], found: Array) -> Array:
        """The plays (2, m) mm of boxes whose quantities are known, (q, m) in rows of some names."""
        over, past, beside = (
            found[[names.index(name(axis)) for axis in Axis]]
            for name in (over_name, past_name, round_name)
        )
        plays: Array = np.where(enough(past.min(axis=0)), over, beside)
        return plays
