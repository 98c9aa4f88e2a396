"""Shares, cures and gains: by correlation, by name and by what is worth it."""

from __future__ import annotations

from collections.abc import Sequence
from types import SimpleNamespace

import numpy as np
import pytest

from fitcheck.odds.inputs import Input, Source
from fitcheck.odds.intervals import Chance
from fitcheck.odds.propagate import sample
from fitcheck.odds.shares import Cure, Share, cures_for, gains_of, shares_of
from fitcheck.odds.variates import Law, Variate
from fitcheck.odds.weather import possible_grains
from fitcheck.pattern.sheet import Axis


def one(name: str, u: float, source: Source, **more: object) -> Input:
    return Input(Variate(name, u), source, **more)  # type: ignore[arg-type]


def test_shares_are_squared_correlations_the_largest_first() -> None:
    inputs = [
        Input(Variate("a", 0.1), Source.CUT),
        Input(Variate("b", 0.4, Law.RECTANGULAR, 2.0), Source.CUT),
        Input(Variate("c", 0.2), Source.CUT),
        Input(Variate("idle", 0.3), Source.CUT),
    ]
    variates = [i.variate for i in inputs]
    samples = sample(
        variates,
        lambda x: np.array([2.0 * x[0] - x[1] + 0.5 * x[2], 0.0 * x[0]]),
        20_000,
        np.random.default_rng(3),
    )
    drawn = sample(variates, lambda x: x.copy(), 20_000, np.random.default_rng(3)).outcomes
    units = drawn / np.array([v.u for v in variates])[:, None]
    table = np.cov(np.vstack([units, samples.outcomes[:1]]), bias=True)
    table = table[-1, :-1] ** 2 / table[-1, -1]
    found = shares_of(samples, 0, inputs)
    assert [share.name for share in found] == ["b", "a", "c"]
    assert [share.share for share in found] == pytest.approx(table[[1, 0, 2]], rel=1e-6)
    # 0.2^2, 0.4^2 and 0.1^2 of 0.21
    assert [share.share for share in found] == pytest.approx([16 / 21, 4 / 21, 1 / 21], abs=0.02)
    assert shares_of(samples, 1, inputs) == ()


INPUTS = [
    one("base score on", 0.1, Source.SCORE, parts=("base",), in_groove=True),
    one("base score off", 0.25, Source.SCORE, parts=("base",)),
    one("lid score off", 0.25, Source.SCORE, parts=("lid",)),
    one("lid score fine", 0.05, Source.SCORE, parts=("lid",)),
    one("base cut", 0.2, Source.CUT, parts=("base",)),
    one("lid cut", 0.3, Source.CUT, parts=("lid",)),
    one("thin caliper", 0.002, Source.CALIPER, parts=("lid",), item="thin"),
    one("thick caliper", 0.02, Source.CALIPER, parts=("base",), item="thick"),
    one("thick crease", 0.05, Source.CREASE, parts=("base",), item="thick"),
    one("card width", 0.06, Source.CONTENT, item="card", side=0),
    one("card height", 0.04, Source.CONTENT, item="card", side=2),
    one("coin across", 0.1, Source.CONTENT, item="coin", side=0),
    one("joint", 0.03, Source.JOINT, parts=("base", "lid")),
]


def test_each_cure_betters_its_own_inputs_and_no_others() -> None:
    """Half of what a hand's error is; 0.003 mm for a stack of ten, 0.02 mm for coupons."""
    found = [cure.changed for cure in cures_for(INPUTS)]
    assert found == [
        {"base cut": 0.1},
        {"lid cut": 0.15},
        {"thick caliper": 0.003},
        {"thick crease": 0.02},
        {"card width": 0.03, "card height": 0.02},
        {"coin across": 0.05},
        {"joint": 0.015},
    ]
    whats = [cure.what for cure in cures_for(INPUTS)]
    for what, word in zip(whats, ("base", "lid", "thick", "thick", "card", "coin"), strict=False):
        assert word in what


def test_only_what_is_worth_it_is_tried_and_the_best_comes_first() -> None:
    shares = [Share("a", 0.5), Share("b", 0.015), Share("c", 0.01), Share("d", 0.019)]
    boxes = np.arange(100)
    after = {"one": boxes < 60, "two": boxes < 80, "idle": boxes < 52}
    tried: list[str] = []

    def again(cures: Sequence[Cure]) -> list[np.ndarray]:
        tried.extend(cure.what for cure in cures)
        return [after[cure.what] for cure in cures]

    cures = [
        Cure("one", {"a": 0.1}),
        Cure("two", {"b": 0.1, "c": 0.1}),
        Cure("three", {"d": 0.1}),
        Cure("idle", {"a": 0.2}),
    ]
    gains = gains_of(cures, shares, boxes < 50, again)
    assert tried == ["one", "two", "idle"]
    assert [(gain.what, gain.after.hits) for gain in gains] == [("two", 80), ("one", 60)]
    assert [gain.share for gain in gains] == pytest.approx([0.025, 0.5])
    assert {gain.before for gain in gains} == {Chance(50, 100)}


def assembly(
    base_swells: bool, lid_swells: bool, grains: tuple[Axis | None, Axis | None]
) -> object:
    def part(name: str, swells: bool) -> SimpleNamespace:
        stock = SimpleNamespace(name=name, hygroexpansion=object() if swells else None)
        return SimpleNamespace(recipe=SimpleNamespace(part=name, stock=stock))

    specs = [SimpleNamespace(grain=grain) for grain in grains]
    return SimpleNamespace(
        parts=[part("base", base_swells), part("lid", lid_swells)],
        design=SimpleNamespace(part=dict(zip(("base", "lid"), specs, strict=True)).get),
    )


def test_every_way_that_the_grain_may_run() -> None:
    wide, long = Axis.WIDTH, Axis.LENGTH
    both = possible_grains(assembly(True, True, (None, None)))  # type: ignore[arg-type]
    assert {tuple(way.values()) for way in both} == {(a, b) for a in Axis for b in Axis}
    given = possible_grains(assembly(True, True, (wide, None)))  # type: ignore[arg-type]
    assert given == ({"base": wide, "lid": wide}, {"base": wide, "lid": long})
    lid = possible_grains(assembly(False, True, (wide, long)))  # type: ignore[arg-type]
    assert lid == ({"lid": long},)
    assert possible_grains(assembly(False, False, (None, None))) == ({},)  # type: ignore[arg-type]
