"""The fit in blocks is the dense least squares, and grows with the number of readings, not faster.

The other route is a general library on the matrix written out in full: NumPy's ``lstsq`` and
``pinv`` for readings, SciPy's ``least_squares`` where findings make it curved.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import least_squares, minimize_scalar
from scipy.stats import ttest_1samp

from fitcheck.learn.evaluate import NORMAL_FACTOR, widened
from fitcheck.learn.fit import fit
from fitcheck.learn.likelihood import interval_residuals
from fitcheck.learn.nested import Rows
from fitcheck.learn.solving import Data, Model, solve
from tests.cli.commands import ROOT

CPU_S, RSS_MB = 15.0, 300.0
"""Five seconds are allowed on a machine of one's own; the tests share theirs with others."""


def scene(seed: int, *, gauged: bool = False) -> tuple[Model, Data]:
    """Forty entries of a crooked plane; seven pieces of two to four entries, the rest alone.

    Sizes, spreads and the pieces' members are all unlike, and one parameter is believed.
    """
    rng = np.random.default_rng(seed)
    count = 40
    slopes = np.column_stack([np.ones(count), rng.uniform(5, 100, count), rng.normal(0, 2, count)])
    piece = np.full(count, -1)
    members = rng.permutation(count)
    for number, size in enumerate((2, 3, 4, 2, 3, 2, 4)):
        piece[members[:size]], members = number, members[size:]
    spread = np.where(piece >= 0, 1.0 + (piece % 3), rng.uniform(0.5, 2.5, count))
    fixed = rng.uniform(1e-4, 4e-3, count)
    error = np.append(rng.normal(0, 0.15, 7), 0.0)[piece]
    size = slopes @ [0.4, 1.002, -0.05] + error + rng.normal(0, np.sqrt(fixed))
    size = size + np.where(piece < 0, rng.normal(0, 0.12, count), 0.0)
    hit = np.zeros(count, dtype=bool)
    if gauged:
        hit[rng.permutation(count)[:15]] = True
    go = np.where(hit, np.floor(size * 5) / 5, -np.inf)
    nogo = np.where(hit, go + 0.2, np.inf)
    nogo[np.flatnonzero(hit)[:2]] = np.inf
    model = Model(
        ("offset", "scale", "tilt"),
        lambda x: slopes @ x,
        lambda x: slopes,
        np.array([0.0, 1.0, 0.0]),
        np.array([0.3, 0.0, 0.0]),
        np.array([0.25, np.inf, np.inf]),
    )
    return model, Data(np.where(hit, np.nan, size), go, nogo, fixed, spread, piece)


def dense(model: Model, data: Data, noise: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Every row and column: entries, the belief, and one column and one row for each piece."""
    pieces = int(data.piece.max()) + 1
    shared = data.piece >= 0
    sd = np.sqrt(data.fixed_variance + np.where(shared, 0.0, data.spread * noise**2))
    own = np.zeros((len(sd), pieces))
    own[np.flatnonzero(shared), data.piece[shared]] = 1.0
    piece_u = [noise * np.sqrt(data.spread[data.piece == k].max()) for k in range(pieces)]
    top = np.hstack([model.slopes(model.start), own]) / sd[:, None]
    belief = np.zeros((1, 3 + pieces))
    belief[0, 0] = 1 / model.prior_u[0]
    held = np.hstack([np.zeros((pieces, 3)), np.diag(1 / np.array(piece_u))])
    right = np.concatenate([data.value / sd, [model.prior[0] / model.prior_u[0]], np.zeros(pieces)])
    return np.vstack([top, belief, held]), right, sd


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_readings_of_shared_pieces_are_the_dense_least_squares(seed: int) -> None:
    model, data = scene(seed)
    ours = solve(model, data, 0.11, model.start)
    design, right, _ = dense(model, data, 0.11)
    values = np.linalg.lstsq(design, right, rcond=None)[0]
    assert ours.values == pytest.approx(values[:3], rel=1e-9)
    assert ours.errors == pytest.approx(values[3:], rel=1e-9, abs=1e-12)
    inverse = np.linalg.pinv(design)
    covariance = (inverse @ inverse.T)[:3, :3]
    assert ours.inverse @ ours.inverse.T == pytest.approx(covariance, rel=1e-9)
    assert ours.leverage() == pytest.approx(np.diag(design @ inverse), rel=1e-9, abs=1e-12)
    hat = np.diag(design @ inverse)
    noisy = np.ones(len(hat), dtype=bool)
    noisy[len(data.value)] = False  # the belief says nothing of the noise
    assert ours.noise_dof() == pytest.approx((noisy - hat * noisy).sum(), rel=1e-9)


@pytest.mark.parametrize("seed", [4, 5])
def test_the_scatter_is_where_the_dense_restricted_likelihood_is_greatest(seed: int) -> None:
    model, data = scene(seed)
    slopes = model.slopes(model.start)
    believed = np.diag([1 / model.prior_u[0] ** 2, 0.0, 0.0])
    found = data.value - model.values(model.prior)

    def lost(noise: float) -> float:
        variance = covariance_of(data, noise)
        normal = slopes.T @ np.linalg.solve(variance, slopes) + believed
        step = np.linalg.solve(normal, slopes.T @ np.linalg.solve(variance, found))
        rest = found @ np.linalg.solve(variance, found) - step @ normal @ step
        return float(np.linalg.slogdet(variance)[1] + np.linalg.slogdet(normal)[1] + rest)

    best = minimize_scalar(lost, bounds=(0.01, 0.5), method="bounded", options={"xatol": 1e-12})
    ours = fit(model, data, given_noise=0.1)
    assert ours.noise == pytest.approx(best.x, rel=1e-5)
    design, right, _ = dense(model, data, ours.noise)
    values = np.linalg.lstsq(design, right, rcond=None)[0]
    assert ours.likely == pytest.approx(values[:3], rel=1e-9)


def covariance_of(data: Data, noise: float) -> np.ndarray:
    """Of all entries, every element written out."""
    shared = data.piece >= 0
    found = np.diag(data.fixed_variance + np.where(shared, 0.0, data.spread * noise**2))
    for number in range(int(data.piece.max()) + 1):
        of = np.flatnonzero(data.piece == number)
        found[np.ix_(of, of)] += noise**2 * data.spread[of].max()
    return found


@pytest.mark.parametrize(("noise", "day"), [(0.1, 0.0), (0.2, 0.15), (0.0, 0.05)])
def test_pieces_nested_in_days_are_the_dense_normal_law(noise: float, day: float) -> None:
    """Steps, covariance, likelihood and what the others expect, by NumPy on whole matrices."""
    model, data = scene(3)
    days = np.array([3, 1, 7])[np.where(data.piece >= 0, data.piece % 3, np.arange(40) % 3)]
    slopes, shifted = model.slopes(model.start), np.where(np.arange(40) % 7 == 0, 0.0, 1.0)
    weight, prior = np.array([16.0, 0.0, 0.0]), np.array([0.05, 0.0, 0.0])
    found = data.value - slopes @ [0.4, 1.0, 0.0]
    rows = Rows(
        slopes, found, data.fixed_variance, data.spread, data.piece, days, shifted, prior, weight
    )
    variance = covariance_of(data, noise)
    for number in (1, 3, 7):
        of = np.flatnonzero(days == number)
        variance[np.ix_(of, of)] += day**2 * np.outer(shifted[of], shifted[of])
    inverse = np.linalg.inv(variance)
    normal = slopes.T @ inverse @ slopes + np.diag(weight)
    covariance = np.linalg.inv(normal)
    step = covariance @ (slopes.T @ inverse @ found + weight * prior)
    rest = found @ inverse @ found + weight @ prior**2 - step @ normal @ step
    dets = np.linalg.slogdet(variance)[1] + np.linalg.slogdet(normal)[1]
    beside = inverse - inverse @ slopes @ covariance @ slopes.T @ inverse
    ours = rows.with_noise(noise).at(np.array([day]))
    assert ours.steps[0] == pytest.approx(step, rel=1e-9)
    assert ours.covariance[0] == pytest.approx(covariance, rel=1e-8)
    assert ours.likelihood[0] == pytest.approx(-0.5 * (dets + rest), rel=1e-10)
    away, their_variance = ours.expected(0)
    assert their_variance == pytest.approx(1 / np.diag(beside), rel=1e-8)
    assert away == pytest.approx(inverse @ (found - slopes @ step) / np.diag(beside), abs=1e-10)
    h = 1e-6
    squared = [np.sqrt(noise**2 + 0.01 + d) for d in (-h, 0.0, h)]
    below, _, above = (rows.with_noise(n).at(np.array([day])).likelihood[0] for n in squared)
    slope = rows.with_noise(squared[1]).at(np.array([day])).score(0)
    assert slope == pytest.approx((above - below) / (2 * h), rel=1e-4)


@pytest.mark.parametrize("count", [4, 5, 9, 40])
def test_a_mean_of_equal_readings_has_student_s_interval(count: int) -> None:
    """Without any belief of the scatter: SciPy's t of n - 1 degrees of freedom."""
    y = np.random.default_rng(count).normal(60.0, 0.13, count)
    one = np.ones((count, 1))
    model = Model(
        ("size",), lambda x: one @ x, lambda x: one, np.zeros(1), np.zeros(1), np.full(1, np.inf)
    )
    far = np.full(count, np.inf)
    alone = Data(y, -far, far, np.zeros(count), np.ones(count), np.full(count, -1))
    ours = fit(model, alone, given_noise=None)
    interval = ttest_1samp(y, 0.0).confidence_interval(0.95)
    half = NORMAL_FACTOR * widened(ours.u("size"), ours.dof_of("size"))
    assert ours.value("size") == pytest.approx((interval.low + interval.high) / 2)
    assert half == pytest.approx((interval.high - interval.low) / 2, rel=1e-3)


@pytest.mark.parametrize("seed", [6, 7])
def test_findings_and_readings_of_shared_pieces_are_the_dense_curved_fit(seed: int) -> None:
    model, data = scene(seed, gauged=True)
    design, right, sd = dense(model, data, 0.11)
    hit = np.flatnonzero(data.gauged)

    def residual(x: np.ndarray) -> np.ndarray:
        found = design @ x - np.nan_to_num(right)
        sizes = (design[hit] @ x) * sd[hit]
        found[hit], _ = interval_residuals(sizes, data.go[hit], data.nogo[hit], sd[hit])
        return found

    start = np.append(model.start, np.zeros(7))
    best = least_squares(residual, start, xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale="jac")
    ours = solve(model, data, 0.11, model.start)
    assert ours.values == pytest.approx(best.x[:3], rel=1e-6)
    assert ours.errors == pytest.approx(best.x[3:], abs=1e-6)
    loss = (residual(np.append(ours.values, ours.errors)) ** 2).sum()
    assert loss <= 2 * best.cost * (1 + 1e-12)


def rows_of(count: int) -> str:
    """A paper of 0.31 mm, its allowance 0.21 mm: pieces read once, twice or gauged; 25 slips."""
    rng = np.random.default_rng(11)
    t, a, lines = 0.31, 0.21, []
    for _ in range(7):
        lines.append(f"stack,,10,{10 * t + rng.normal(0, 0.015):.2f},,,")
    size, error = 0.0, 0.0
    for k in range(count - 7):
        second = k % 11 == 5  # the piece before once more, from inside
        if not second:
            size = (25.0, 50.0, 80.0, 130.0, 31.0 + k % 977 / 7)[k % 5]
            error = rng.normal(0, 0.14)
        if second:
            lines.append(f"inside,{size:.4f},,{size - 2 * (t - a) + error:.2f},,,piece P{k // 11}")
        elif k % 11 in (1, 7):
            go = np.floor(10 * (size - 2 * (t - a) + error)) / 10
            lines.append(f"inside,{size:.4f},,,{go:.1f},{go + 0.1:.1f},piece G{k}")
        else:
            note = f"piece P{k // 11}" if k % 11 == 4 else f"piece Q{k}"
            slip = 2.0 if k % 4015 == 20 else 0.0
            lines.append(f"channel,{size:.4f},,{size + 2 * a + error + slip:.2f},,,{note}")
    head = "date,by,instrument,resolution_mm,feature,nominal_mm,count,reading_mm,go_mm,nogo_mm,note"
    return "\n".join([head, *(f"2026-11-20,kh,caliper,0.01,{line}" for line in lines)]) + "\n"


def test_a_hundred_thousand_readings_are_learnt_in_seconds_and_little_memory(
    tmp_path: Path,
) -> None:
    (tmp_path / "calibration").mkdir()
    (tmp_path / "many.csv").write_text(rows_of(100_000), encoding="utf-8")
    program = (
        "import resource, sys\n"
        "from fitcheck.cli.main import app\n"
        "try:\n    app(['learn', 'many', 'many.csv'])\n"
        "except SystemExit as end:\n    status = end.code\n"
        "used = resource.getrusage(resource.RUSAGE_SELF)\n"
        "state = open('/proc/self/status').read()\n"
        "most = int(state.split('VmHWM:')[1].split()[0]) / 1024\n"
        "print(status, used.ru_utime + used.ru_stime, most, file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program],
        cwd=tmp_path,
        env={"PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    status, cpu_s, rss_mb = done.stderr.split()[-3:]
    assert status in ("0", "None"), done.stderr
    assert "set aside, not used:" in done.stdout and "more of this sort" in done.stdout
    fitted = int(done.stdout.split("fitted from ")[1].split()[0])
    assert 99_965 <= fitted <= 99_975, "25 slips, and next to none of the good ones"
    assert float(cpu_s) < CPU_S and float(rss_mb) < RSS_MB, (cpu_s, rss_mb)
    line = next(line for line in done.stdout.splitlines() if "caliper" in line)
    assert float(line.split()[1]) == pytest.approx(0.31, abs=0.003)


def test_no_array_of_a_fit_grows_with_the_square_of_its_entries() -> None:
    """Six thousand entries in 1500 pieces: the dense design alone would be 90 MB."""
    import tracemalloc

    rng = np.random.default_rng(2)
    count = 6000
    slopes = np.column_stack([np.ones(count), rng.uniform(5, 100, count)])
    piece = np.where(np.arange(count) < 3000, np.arange(count) // 2, -1)
    error = rng.normal(0, 0.1, count)
    error[:3000] = error[piece[:3000]] + rng.normal(0, 0.03, 3000)
    value = slopes @ [0.4, 1.001] + error
    model = Model(
        ("offset", "scale"), lambda x: slopes @ x, lambda x: slopes, np.array([0.0, 1.0]),
        np.zeros(2), np.full(2, np.inf),
    )  # fmt: skip
    infinite = np.full(count, np.inf)
    data = Data(value, -infinite, infinite, np.full(count, 1e-3), np.ones(count), piece)
    fit(model, data, given_noise=0.1)  # what is imported on the way does not count
    tracemalloc.start()
    fit(model, data, given_noise=0.1)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert most < 8e6
