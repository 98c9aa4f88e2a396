"""Small linear programmes, held against scipy's own interface (scipy.optimize.linprog)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linprog

from fitcheck.fit.programme import least_of


def test_it_finds_what_a_general_library_finds_and_prints_nothing(
    capfd: pytest.CaptureFixture[str],
) -> None:
    rng = np.random.default_rng(1)
    found = 0
    for k in range(120):
        n, m = int(rng.integers(2, 15)), int(rng.integers(5, 60))
        rows, limits, cost = rng.normal(size=(m, n)), rng.normal(size=m) + 1.0, rng.normal(size=n)
        rows[rng.random((m, n)) < 0.5] = 0.0
        ends = (-rng.random(n), rng.random(n)) if k % 2 else None
        bounds = (None, None) if ends is None else list(zip(*ends, strict=True))
        theirs = linprog(cost, A_ub=rows, b_ub=limits, bounds=bounds)
        ours = least_of(cost, rows, limits, ends)
        assert (theirs.status == 0) == (ours is not None)
        if ours is not None:
            found += 1
            assert ours.value == pytest.approx(theirs.fun, abs=1e-9)
            assert float(cost @ ours.at) == pytest.approx(theirs.fun, abs=1e-9)
            assert ours.prices == pytest.approx(theirs.ineqlin.marginals, abs=1e-7)
    assert 30 < found < 120
    assert capfd.readouterr().out == ""
