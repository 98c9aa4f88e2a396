"""Parts of the measuring loop by themselves: pieces, odd readings, what more readings would buy."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from scipy import stats

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Kind, Reading
from fitcheck.learn.compare import lid_change
from fitcheck.learn.csv_table import table_of
from fitcheck.learn.entries import Entry, Repeats, data_of, pooled
from fitcheck.learn.evaluate import repeats, t_factor, widened
from fitcheck.learn.model_stock import Before, Given, stock_model
from fitcheck.learn.needs import expected_u, need_of
from fitcheck.learn.solving import Data, Model
from fitcheck.uncertainty import effective_dof
from tests.truth import Notebook, paper_readings


def reading(feature: Feature, value: float | None, **more: object) -> Reading:
    """One row like those that a notebook writes, with what matters here put in."""
    book = Notebook(np.random.default_rng(0))
    paper_readings(book)
    from dataclasses import replace

    return replace(book.rows[0], feature=feature, reading_mm=value, **more)  # type: ignore[arg-type]


def entry(feature: Feature, piece: object, *values: float, **more: object) -> Entry:
    rows = tuple(reading(feature, value, **more) for value in values)
    return Entry(feature, 60.0, 1, None, rows, piece)


def test_entries_of_one_piece_share_a_number_and_stacks_never_do() -> None:
    entries = [
        entry(Feature.STACK, "p", 3.3),
        entry(Feature.CHANNEL, "p", 60.4),
        entry(Feature.CHANNEL, "q", 60.5),
        entry(Feature.INSIDE, "r", 59.8),
        entry(Feature.CORNER, "p", 61.0),
        entry(Feature.INSIDE, "s", 59.7),
        entry(Feature.CORNER, "r", 60.9),
        entry(Feature.STACK, "s", 3.3),
    ]
    data, _ = data_of(entries, lambda e: None, lambda e: 2.0)
    assert data.piece.tolist() == [-1, 0, -1, 1, 0, -1, 1, -1]


def test_variances_of_entries_by_jcgm_100() -> None:
    """Steps of 0.05: 0.05^2/12 (F.2.2.1); repeats: s^2/n (4.2.3); the model's own on top."""
    entries = [
        entry(Feature.CHANNEL, "p", 60.40, 60.45, 60.50, resolution_mm=0.05),
        entry(Feature.INSIDE, "q", 59.7, resolution_mm=0.1),
    ]
    data, from_repeats = data_of(
        entries, lambda e: Repeats(0.03, 2.0), lambda e: 2.0, lambda e: 0.0004
    )
    assert from_repeats == pytest.approx([0.0009 / 3, 0.0009])
    assert data.fixed_variance == pytest.approx(
        [0.0025 / 12 + 0.0003 + 0.0004, 0.01 / 12 + 0.0009 + 0.0004]
    )
    assert data.value == pytest.approx([60.45, 59.7])
    assert data.spread.tolist() == [2.0, 2.0]


def test_repeats_are_pooled_like_analysis_of_variance() -> None:
    """Within groups, by SciPy: the pooled variance of a t-test of two groups (JCGM 100, H.3.6)."""
    one, two = [60.40, 60.47, 60.42, 60.41], [61.10, 61.02, 61.09]
    found = pooled([entry(Feature.CHANNEL, k, *v) for k, v in (("p", one), ("q", two))])
    assert found is not None and found.dof == 5.0
    test = stats.ttest_ind(one, two)
    apart = (np.mean(one) - np.mean(two)) / test.statistic
    assert found.s_mm == pytest.approx(abs(apart) / math.sqrt(1 / 4 + 1 / 3))
    assert pooled([entry(Feature.CHANNEL, "p", 60.4)]) is None


def learnt(noise: float = 0.2) -> SimpleNamespace:
    """One length, read twice and gauged once between 10.0 and 10.3; repeats are in the first."""
    nan, inf = math.nan, math.inf
    data = Data(
        value=np.array([10.1, 10.2, nan]),
        go=np.array([-inf, -inf, 10.0]),
        nogo=np.array([inf, inf, 10.3]),
        fixed_variance=np.array([0.01, 0.004, 0.001]),
        spread=np.array([1.0, 2.0, 1.0]),
        piece=np.full(3, -1),
    )
    one = np.ones((3, 1))
    model = Model(
        ("size",), lambda p: one @ p, lambda p: one, np.ones(1), np.zeros(1), np.array([np.inf])
    )
    fit = SimpleNamespace(noise=noise, day_mm=0.0, values=np.array([10.1]), kept=frozenset())
    u = 1.0 / math.sqrt(1 / 0.05 + 1 / 0.084 + 1 / (0.041 + 0.09 / 12))
    return SimpleNamespace(
        data=data,
        model=model,
        fit=fit,
        beliefs=(),
        repeats=((np.array([0.006, 0.0, 0.0]), 3.0),),
        shared_u=np.zeros(1),
        entries=tuple(SimpleNamespace(readings=(1, 2)) for _ in range(3)),
        get=lambda name: SimpleNamespace(u=u) if name == "size" else None,
    )


@pytest.mark.parametrize("times", [1.0, 2.5, 40.0, math.inf])
def test_what_more_readings_would_buy_is_a_weighted_mean(times: float) -> None:
    """JCGM 100, 5.1: 1/u^2 is the sum of 1/variance; only scatter and repeats shrink by number."""
    share = 1.0 / times
    variances = [
        0.004 + 0.006 * share + 0.04 * share,
        0.004 + 2 * 0.04 * share,
        0.001 + 0.04 * share + 0.3**2 / 12,
    ]
    expected = 1.0 / math.sqrt(sum(1.0 / v for v in variances))
    assert expected_u(learnt(), "size", times) == pytest.approx(expected)  # type: ignore[arg-type]


def test_how_many_more_by_counting_up() -> None:
    known = learnt()
    for wanted in (0.1, 0.07, 0.05):
        more = 1
        while expected_u(known, "size", 1 + more / 6) > wanted:  # type: ignore[arg-type]
            more += 1
        found = need_of(known, "size", wanted)  # type: ignore[arg-type]
        assert found.more == more and found.wanted_u == wanted
        pieces = 1
        while expected_u(known, "size", 1 + pieces / 3) > wanted:  # type: ignore[arg-type]
            pieces += 1
        # reading the three pieces without end leaves their scatter: 1/u^2 by hand
        left = 1.0 / math.sqrt(1 / 0.044 + 1 / 0.084 + 1 / (0.041 + 0.09 / 12))
        assert found.pieces == (pieces if left > wanted else None)
    floor = 1.0 / math.sqrt(1 / 0.004 + 1 / 0.004 + 1 / (0.001 + 0.09 / 12))
    assert found.floor_u == pytest.approx(floor)
    assert need_of(known, "size", floor * 1.0001).more is None  # type: ignore[arg-type]
    assert need_of(known, "size", found.u + 1e-9).more == 0  # type: ignore[arg-type]
    with pytest.raises(KeyError):
        need_of(known, "colour", 0.1)  # type: ignore[arg-type]


def test_a_printer_changes_no_lid() -> None:
    with pytest.raises(InputError, match="a printer does not change a lid"):
        lid_change(SimpleNamespace(new=Kind.PRINTER, old=None), Path("x.toml"))  # type: ignore[arg-type]


def test_repeats_are_numpy_s_with_one_degree_less() -> None:
    values = [10.31, 10.27, 10.40, 10.33, 10.29]
    found = repeats(values)
    assert found.mean == pytest.approx(np.mean(values))
    assert found.s == pytest.approx(np.std(values, ddof=1))
    assert found.u == pytest.approx(stats.sem(values)) and found.dof == 4
    with pytest.raises(ValueError, match="at least two"):
        repeats([1.0])


def test_effective_degrees_by_welch_s_test() -> None:
    """SciPy's Welch test of two means uses the same sum."""
    one, two = [1.0, 1.4, 0.9, 1.2, 1.1], [3.0, 3.9, 2.2]
    parts = [(stats.sem(one), 4.0), (stats.sem(two), 2.0)]
    assert effective_dof(parts) == pytest.approx(stats.ttest_ind(one, two, equal_var=False).df)
    assert effective_dof([*parts, (0.0, 1.0)]) == effective_dof(parts)
    assert effective_dof([(0.2, math.inf), (0.0, 3.0)]) == math.inf
    known = effective_dof([parts[0], (0.3, math.inf)])
    assert known == pytest.approx((parts[0][0] ** 2 + 0.09) ** 2 / (parts[0][0] ** 4 / 4))


@pytest.mark.parametrize("dof", [3.0, 8.5, 40.0, math.inf])
def test_few_readings_widen_by_student_s_factor(dof: float) -> None:
    factor = stats.norm.ppf(0.975) if math.isinf(dof) else stats.t(dof).ppf(0.975)
    assert t_factor(dof) == pytest.approx(factor)
    assert widened(0.02, dof) == pytest.approx(0.02 * factor / stats.norm.ppf(0.975))
    tail = stats.norm.ppf(0.95) if math.isinf(dof) else stats.t(dof).ppf(0.95)
    assert t_factor(dof, 0.9) == pytest.approx(tail)


def test_what_is_wrong_with_a_header_is_said_with_its_row() -> None:
    """Two empty rows before it: the header is the third."""
    with pytest.raises(InputError, match="row 3"):
        table_of("\n\ndate,by,colour\n", "readings.csv")


def test_what_is_believed_of_a_paper_starts_from_its_own_stacks() -> None:
    """Stacks of ten at 3.2, 3.4 and 3.9: 0.34 a sheet in the middle, and a = 0.6073 t of that.

    A closed hem stands (1 - pi/4) t out, known to a fifth of t; the board's scale to 0.3 %.
    """
    stacks = [
        Entry(Feature.STACK, 0.0, 10, None, (reading(Feature.STACK, value),), value)
        for value in (3.2, 3.4, 3.9)
    ]
    given = Given("board", 0.1, 0.05, 0.12, 0.03)
    model, beliefs = stock_model(stacks, given, Before(0.5, 0.02, None, None))
    believed = {name: (value, u) for name, value, u in beliefs}
    share = 1.0 - math.pi / 8.0
    assert believed["caliper"] == (0.5, 0.02)
    assert believed["crease allowance"] == pytest.approx((share * 0.34, 0.15 * 0.34))
    assert believed["corner give"] == (1.0, 0.5)
    prior = dict(zip(model.names, zip(model.prior, model.prior_u, strict=True), strict=True))
    assert prior["hem extent"] == pytest.approx(((1.0 - math.pi / 4.0) * 0.34, 0.2 * 0.34))
    assert prior["joint"] == (0.12, 0.03) and prior["fence offset"] == (0.0, 0.05)
    assert prior["board scale"] == (0.0, 0.003)
    start = dict(zip(model.names, model.start, strict=True))
    assert (start["caliper"], start["corner give"]) == pytest.approx((0.34, 1.0))
    # no stack: as it was known before; and what was measured before is kept
    _, beliefs = stock_model([], given, Before(0.5, 0.02, 0.3, 0.04, 0.8, 0.1))
    assert {name: (value, u) for name, value, u in beliefs} == {
        "caliper": (0.5, 0.02),
        "corner give": (0.8, 0.1),
        "crease allowance": (0.3, 0.04),
    }
