"""A general fitting library finds the same paper from readings and go / no-go findings together."""

from __future__ import annotations

import lmfit
import numpy as np
import pytest

from fitcheck.learn.bench_readings import Feature, Kind
from fitcheck.learn.entries import entries_of
from fitcheck.learn.fit import fit
from fitcheck.learn.learning import arrays_of, learn_stock
from fitcheck.learn.likelihood import interval_residuals
from fitcheck.learn.model_stock import Before, Given, stock_model
from tests.truth import Notebook, paper_readings

GIVEN = Given("test board", 0.1, 0.05, 0.1, 0.03)
BEFORE = Before(0.3, 0.1, None, None)


def mixed() -> Notebook:
    """A coupon of which every other piece was gauged."""
    book = Notebook(np.random.default_rng(8))
    paper_readings(book)
    gauged = Notebook(np.random.default_rng(8), gauged=True)
    paper_readings(gauged)
    book.rows = [
        b if b.feature is Feature.STACK or k % 2 else g
        for k, (b, g) in enumerate(zip(book.rows, gauged.rows, strict=True))
    ]
    return book


def test_another_fitter_agrees_on_a_mixed_case() -> None:
    entries = entries_of(mixed().rows)
    data, _ = arrays_of(Kind.STOCK, entries)
    model, keep = stock_model(entries, GIVEN, BEFORE)
    ours = fit(model, data, given_noise=0.1, keep=keep)
    sd = np.sqrt(data.fixed_variance + data.spread * ours.noise**2)
    start = lmfit.Parameters()
    for k, value in enumerate(model.start):
        start.add(f"p{k}", value=value)
    believed = np.isfinite(model.prior_u)

    def residual(params: object) -> np.ndarray:
        x = np.array([params[f"p{k}"].value for k in range(len(model.start))])  # type: ignore[index]
        m = model.values(x)
        told = (m - data.value) / sd
        hit = data.gauged
        told[hit], _ = interval_residuals(m[hit], data.go[hit], data.nogo[hit], sd[hit])
        prior = (x - model.prior)[believed] / model.prior_u[believed]
        return np.concatenate([told, prior])

    theirs = lmfit.minimize(residual, start, method="leastsq", xtol=1e-12, ftol=1e-12)
    for k, name in enumerate(model.names):
        value = theirs.params[f"p{k}"].value
        assert ours.likely[k] == pytest.approx(value, abs=1e-6), name


def test_another_fitter_agrees_on_uncertainties_of_readings() -> None:
    book = Notebook(np.random.default_rng(9))
    paper_readings(book)
    learnt = learn_stock(book.rows, GIVEN, BEFORE)
    data, model, ours = learnt.data, learnt.model, learnt.fit
    sd = np.sqrt(ours.variance)
    start = lmfit.Parameters()
    for k, value in enumerate(model.start):
        start.add(f"p{k}", value=value)
    believed = np.isfinite(model.prior_u)

    def residual(params: object) -> np.ndarray:
        x = np.array([params[f"p{k}"].value for k in range(len(model.start))])  # type: ignore[index]
        prior = (x - model.prior)[believed] / model.prior_u[believed]
        return np.concatenate([(model.values(x) - data.value) / sd, prior])

    theirs = lmfit.minimize(residual, start, method="leastsq", scale_covar=False)
    for k, name in enumerate(model.names):
        assert ours.u(name) == pytest.approx(theirs.params[f"p{k}"].stderr, rel=2e-3), name


def test_the_root_of_a_finding_is_its_lost_likelihood() -> None:
    """Half its square is the log-likelihood lost, whatever the noise; SciPy's normal says so."""
    from scipy.stats import norm

    m = np.linspace(59.0, 61.0, 41)
    go, nogo, s = np.full(41, 59.9), np.full(41, 60.2), np.full(41, 0.15)
    root, slope = interval_residuals(m, go, nogo, s)
    likelihood = norm.cdf(nogo, m, s) - norm.cdf(go, m, s)
    best = 2 * norm.cdf(0.15 / 0.15) - 1
    assert root**2 / 2 == pytest.approx(np.log(best) - np.log(likelihood), rel=1e-6, abs=1e-12)
    step = 1e-6
    ahead, _ = interval_residuals(m + step, go, nogo, s)
    behind, _ = interval_residuals(m - step, go, nogo, s)
    assert slope == pytest.approx((ahead - behind) / (2 * step), rel=1e-4)
