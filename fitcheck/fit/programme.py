"""A small linear programme, solved by HiGHS.

The solver is loaded by itself: through `scipy.optimize` it is the same one, behind a third of a
second of loading and a millisecond for each programme.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from fitcheck.folding.pose import Array


class Least(NamedTuple):
    """The least of a linear programme."""

    value: float
    at: Array
    """(n,) where it is."""
    prices: Array
    """(m,) by how much less it would be for one more of each limit: the dual solution, negative."""


def least_of(
    cost: Array, rows: Array, limits: Array, ends: tuple[Array, Array] | None = None
) -> Least | None:
    """The least of `cost` (n,) where `rows` (m, n) are no more than `limits` (m,).

    `ends` are the least and the most of each unknown, (n,) each; free without. None where no place
    holds, or where there is no least.
    """
    import highspy
    from highspy._core import _Highs  # the solver itself: what wraps it prints when it is made

    m, n = rows.shape
    inf = highspy.kHighsInf
    low, high = ends if ends is not None else (np.full(n, -inf), np.full(n, inf))
    row, column = np.nonzero(rows)
    programme = highspy.HighsLp()
    programme.num_col_, programme.num_row_ = n, m
    programme.col_cost_ = cost
    programme.col_lower_, programme.col_upper_ = low, high
    programme.row_lower_, programme.row_upper_ = np.full(m, -inf), limits
    programme.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    programme.a_matrix_.start_ = np.searchsorted(row, np.arange(m + 1))
    programme.a_matrix_.index_ = column
    programme.a_matrix_.value_ = rows[row, column]
    solver = _Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.passModel(programme)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    found = solver.getSolution()
    value = float(solver.getInfo().objective_function_value)
    return Least(value, np.array(found.col_value), np.array(found.row_dual))
