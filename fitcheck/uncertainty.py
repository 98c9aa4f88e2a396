"""What is known of a value by its limits or by parts becomes a standard uncertainty (JCGM 100)."""

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Width = TypeVar("Width", float, "NDArray[np.float64]")


def rectangular_u(half_width: float) -> float:
    """Of a value that is anywhere within ``half_width``. Source: JCGM 100, 4.3.7.

    >>> round(rectangular_u(4.0), 4)
    2.3094
    """
    return half_width / math.sqrt(3)


def resolution_u(step: float) -> float:
    """Of a display that moves in steps: within half a step. Source: JCGM 100, F.2.2.1.

    >>> round(resolution_u(0.05), 6)
    0.014434
    """
    return rectangular_u(step / 2)


def width_variance(width: Width) -> Width:
    """Variance of a value that is anywhere within a stretch so wide. Source: JCGM 100, 4.3.7.

    >>> width_variance(6.0)
    3.0
    """
    return width**2 / 12


def effective_dof(parts: Iterable[tuple[float, float]]) -> float:
    """Degrees of freedom of a sum of (u, dof) parts, by Welch and Satterthwaite.

    Source: JCGM 100, G.4.1.

    >>> effective_dof([(1.0, 4.0), (1.0, 4.0)])
    8.0
    """
    listed = [(u, dof) for u, dof in parts if u > 0]
    total = math.fsum(u * u for u, _ in listed) ** 2
    loss = math.fsum(u**4 / dof for u, dof in listed if dof > 0 and math.isfinite(dof))
    return total / loss if loss > 0 else math.inf
