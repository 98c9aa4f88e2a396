"""Arrays leave this program as copies that cannot be written to, like all its other values."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Booleans = NDArray[np.bool_]


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
