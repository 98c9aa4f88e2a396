"""Arrays leave this program as copies that cannot be written to, like all its other values."""

from __future__ import annotations

from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Booleans = NDArray[np.bool_]


Member = TypeVar("Member")
SHOWN = 3
"""Members of a long row that are shown."""


class Row(tuple[Member, ...]):
    """A tuple that shows its first members and how many more it has.

    >>> Row("abcde"), Row("a")
    (('a', 'b', 'c', ... 2 more), ('a',))
    """

    __slots__ = ()

    def __repr__(self) -> str:
        more = len(self) - SHOWN
        if more <= 0:
            return repr(tuple(self))
        return f"({', '.join(map(repr, self[:SHOWN]))}, ... {more} more)"


def frozen(values: Any) -> Floats:
    """A copy of floats that cannot be written to."""
    copy = np.array(values, dtype=float)
    copy.setflags(write=False)
    return copy


def frozen_flags(values: Any) -> Booleans:
    """The same of true and false."""
    copy = np.array(values, dtype=bool)
    copy.setflags(write=False)
    return copy
