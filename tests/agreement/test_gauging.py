"""Go and no-go findings, one-sided ones too, against SciPy's normal law and a general optimiser."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import norm

from fitcheck.errors import ModelError
from fitcheck.learn.likelihood import equivalent_variance, interval_residuals
from fitcheck.learn.solving import Data, Model, middle, solve

NONE_IN, ALL_IN = -np.inf, np.inf
GO = np.array([59.9, NONE_IN, 59.2, 60.4, NONE_IN])
NOGO = np.array([60.2, 60.1, ALL_IN, ALL_IN, 59.7])
S = np.array([0.15, 0.08, 0.3, 0.11, 0.2])


def log_likelihood(m: np.ndarray) -> np.ndarray:
    both = np.isfinite(GO) & np.isfinite(NOGO)
    low, high = np.where(both, GO, 0.0), np.where(both, NOGO, 1e6)
    between = np.log(norm.cdf(high, m, S) - norm.cdf(low, m, S))
    alone = np.where(np.isfinite(GO), norm.logsf(GO, m, S), norm.logcdf(NOGO, m, S))
    return np.where(both, between, alone)


@pytest.mark.parametrize("size", [59.4, 59.8, 60.05, 60.3, 60.6])
def test_roots_and_slopes_of_all_kinds_of_findings(size: float) -> None:
    m = np.full(5, size)
    root, slope = interval_residuals(m, GO, NOGO, S)
    # the best that a size can do: in the middle of two gauges, or far away from a single one
    best = np.where(np.isfinite(GO) & np.isfinite(NOGO), 2 * norm.cdf(0.15 / S) - 1, 1.0)
    assert 0.5 * root**2 == pytest.approx(np.log(best) - log_likelihood(m), rel=1e-6, abs=1e-9)
    step = 1e-5
    ahead, behind = (interval_residuals(m + d, GO, NOGO, S)[0] for d in (step, -step))
    assert slope == pytest.approx((ahead - behind) / (2 * step), rel=1e-5, abs=1e-7)


def test_a_finding_far_off_is_still_a_number() -> None:
    """Forty deviations away the likelihood is about exp(-800): SciPy's logarithms hold it."""
    go, nogo, s = np.array([10.0, NONE_IN, 10.0]), np.array([11.0, 10.0, ALL_IN]), np.full(3, 0.1)
    m = np.array([15.0, 14.0, 6.0])
    root, _ = interval_residuals(m, go, nogo, s)
    assert 0.5 * root[0] ** 2 == pytest.approx(
        np.log(2 * norm.cdf(5.0) - 1) - norm.logcdf((11.0 - 15.0) / 0.1), rel=1e-9
    )
    assert 0.5 * root[1:] ** 2 == pytest.approx([-norm.logcdf(-40.0)] * 2, rel=1e-9)


def test_what_a_finding_tells_about_the_size() -> None:
    """Two gauges: their rectangle and the noise. One gauge: the curvature of its likelihood."""
    m = np.array([60.0, 60.02, 59.3, 60.3, 59.8])
    told = equivalent_variance(m, GO, NOGO, S)
    assert told[0] == pytest.approx(0.15**2 + 0.3**2 / 12)
    step = 1e-4
    curvature = (
        2 * log_likelihood(m) - log_likelihood(m + step) - log_likelihood(m - step)
    ) / step**2
    assert told[1:] == pytest.approx(1.0 / curvature[1:], rel=1e-4)


def test_the_middle_of_a_finding() -> None:
    value = np.array([np.nan, np.nan, np.nan, 61.25])
    data = Data(
        value,
        np.array([59.9, NONE_IN, 59.2, NONE_IN]),
        np.array([60.3, 60.1, ALL_IN, ALL_IN]),
        np.zeros(4),
        np.ones(4),
        np.full(4, -1),
    )
    assert middle(data) == pytest.approx([60.1, 60.1, 59.2, 61.25])
    assert list(data.gauged) == [True, True, True, False]
    assert middle(data.take(np.array([3, 0]))) == pytest.approx([61.25, 60.1])


def mixed() -> tuple[Model, Data, np.ndarray, np.ndarray]:
    """Eight entries on a line offset + slope x; readings, two-sided and one-sided findings."""
    x = np.array([10.0, 25.0, 40.0, 55.0, 70.0, 20.0, 50.0, 65.0])
    value = np.array([10.31, 25.42, np.nan, np.nan, 70.55, np.nan, np.nan, np.nan])
    go = np.array([NONE_IN, NONE_IN, 40.2, NONE_IN, NONE_IN, 20.3, 50.55, 65.4])
    nogo = np.array([ALL_IN, ALL_IN, 40.5, 55.38, ALL_IN, ALL_IN, ALL_IN, 65.7])
    fixed = np.array([1e-3, 2e-3, 1e-3, 4e-3, 1e-3, 3e-3, 1e-3, 2e-3])
    spread = np.array([1.0, 1.0, 1.0, 1.0, 0.5, 1.0, 2.0, 0.0])
    design = np.column_stack([np.ones(8), x])
    model = Model(
        ("offset", "slope"),
        lambda p: design @ p,
        lambda p: design,
        np.array([0.0, 1.0]),
        np.array([0.25, 0.0]),
        np.array([0.2, np.inf]),
    )
    data = Data(value, go, nogo, fixed, spread, np.full(8, -1))
    return model, data, design, np.sqrt(fixed + spread * 0.1**2)


def test_the_fit_is_the_most_likely_by_a_general_optimiser() -> None:
    """Nelder and Mead's simplex on the likelihood written out."""
    model, data, design, sd = mixed()

    def lost(p: np.ndarray) -> float:
        m = design @ p
        read = ~data.gauged
        found = 0.5 * np.sum(((m - data.value)[read] / sd[read]) ** 2)
        inside = np.maximum(norm.cdf(data.nogo, m, sd) - norm.cdf(data.go, m, sd), 1e-300)
        belief = 0.5 * ((p[0] - 0.25) / 0.2) ** 2
        return float(found - np.sum(np.log(inside[data.gauged])) + belief)

    best = minimize(
        lost,
        np.array([0.2, 1.0]),
        method="Nelder-Mead",
        options={"xatol": 1e-10, "fatol": 1e-14, "maxiter": 4000},
    )
    ours = solve(model, data, 0.1, model.start)
    assert ours.values == pytest.approx(best.x, abs=2e-6)


def test_rows_of_one_sided_findings_tell_no_noise_and_leave_no_residual() -> None:
    model, data, design, sd = mixed()
    ours = solve(model, data, 0.1, model.start)
    m = design @ ours.values
    one_sided = np.array([False, False, False, True, False, True, True, False])
    two_sided = data.gauged & ~one_sided
    assert list(ours.noisy) == [True, True, True, False, True, False, False, False, False]
    weighted = ours.total[: len(data.value)]
    assert weighted[one_sided] == pytest.approx(0.0)
    told = sd**2 + np.where(two_sided, data.nogo - data.go, 0.0) ** 2 / 12
    between = 0.5 * (data.go[two_sided] + data.nogo[two_sided])
    assert ours.variance[two_sided] == pytest.approx(told[two_sided])
    assert weighted[two_sided] == pytest.approx((between - m[two_sided]) / np.sqrt(told[two_sided]))
    read = ~data.gauged
    assert weighted[read] == pytest.approx((m - data.value)[read] / sd[read])
    assert ours.variance[read] == pytest.approx(sd[read] ** 2)
    alone = equivalent_variance(
        m[one_sided], data.go[one_sided], data.nogo[one_sided], sd[one_sided]
    )
    assert ours.variance[one_sided] == pytest.approx(alone)
    assert ours.design[:8] == pytest.approx(design / np.sqrt(ours.variance)[:, None])


def test_errors_that_entries_of_one_piece_share_are_generalised_least_squares() -> None:
    """Readings alone: NumPy's own solution with the covariance that a shared error makes."""
    x = np.array([10.0, 25.0, 40.0, 55.0, 70.0, 20.0, 50.0])
    value = np.array([10.31, 25.42, 40.20, 55.61, 70.55, 20.05, 50.33])
    fixed = np.array([1e-3, 2e-3, 1e-3, 4e-3, 1e-3, 3e-3, 1e-3])
    spread = np.array([2.0, 1.0, 1.0, 1.0, 1.0, 2.0, 2.0])
    piece = np.array([0, 1, -1, 1, 2, 0, 2])
    design = np.column_stack([np.ones(7), x])
    open_ = np.full(2, np.inf)
    start = np.array([0.0, 1.0])
    model = Model(
        ("offset", "slope"), lambda p: design @ p, lambda p: design, start, np.zeros(2), open_
    )
    infinite = np.full(7, np.inf)
    noise = 0.2
    ours = solve(model, Data(value, -infinite, infinite, fixed, spread, piece), noise, model.start)
    covariance = np.diag(fixed + np.where(piece < 0, spread * noise**2, 0.0))
    for number in range(3):
        members = piece == number
        covariance += noise**2 * spread[members].max() * np.outer(members, members)
    weight = np.linalg.inv(covariance)
    best = np.linalg.solve(design.T @ weight @ design, design.T @ weight @ value)
    assert ours.values[:2] == pytest.approx(best, abs=1e-8)
    normal = np.linalg.inv(ours.design.T @ ours.design)[:2, :2]
    assert normal == pytest.approx(np.linalg.inv(design.T @ weight @ design), rel=1e-6)
    assert list(ours.noisy) == [True] * 7 + [True] * 3


def one_reading(value: float, fixed: float, spread: float) -> Data:
    none = np.array([-1])
    infinite = np.array([np.inf])
    return Data(np.array([value]), -infinite, infinite, np.array([fixed]), np.array([spread]), none)


def test_too_few_entries_are_refused() -> None:
    design = np.array([[1.0, 2.0]])
    model = Model(
        ("a", "b"),
        lambda p: design @ p,
        lambda p: design,
        np.zeros(2),
        np.zeros(2),
        np.full(2, np.inf),
    )
    with pytest.raises(ModelError, match="fewer readings than things to learn"):
        solve(model, one_reading(3.0, 0.0, 1.0), 0.1, model.start)
    (believed,) = (Model(*(*vars(model).values(),)[:-1], np.array([0.5, 0.5])),)
    found = solve(believed, one_reading(3.0, 0.01, 0.0), 0.1, model.start)
    # the nearest to the belief (0, 0), both as sure: along (1, 2), held back by 0.01 in 1.26
    assert found.values == pytest.approx(np.array([1.0, 2.0]) * 3.0 * 0.25 / (5 * 0.25 + 0.01))
