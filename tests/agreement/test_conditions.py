"""The air of the day: coupons read on a damper day, and boxes that meet another air than they were
made in, against plain arithmetic (a length grows by its strain for each per cent of humidity)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitcheck.fit.check import check
from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.conditions import air_of, as_made, made_in
from fitcheck.learn.learning import learn_stock
from fitcheck.learn.model_stock import ACROSS, ALONG, Before, Given
from fitcheck.odds.inputs import Humidity, Source
from fitcheck.odds.landing import play_name
from fitcheck.odds.prospect import take_prospect
from fitcheck.pattern.sheet import Axis
from fitcheck.stock.paper import Hygroexpansion
from tests.agreement.test_odds_closed_forms import BASE_STOCK, design

STRAIN = Hygroexpansion(along=0.00003, across=0.00012)
GIVEN = Given("board", 0.05, 0.05, 0.10, 0.03)
BEFORE = Before(0.33, 0.005, None, None)
A_ALONG, A_ACROSS, T = 0.12, 0.19, 0.33


def channel(n: float, grain: str, piece: str, day: int, value: float, air: str) -> Reading:
    note = f"piece {piece}, folds {grain} the grain{air}"
    return Reading(
        "r.csv", 2, f"2026-11-{day}", "MK", "caliper", 0.01, Feature.CHANNEL, n, None,
        round(value, 2), None, None, note,
    )  # fmt: skip


def readings(rng: np.random.Generator) -> list[Reading]:
    """Channels scored and read in 40 %, and read again in 65 %."""
    found = [
        Reading(
            "r.csv", 2, "2026-11-20", "MK", "caliper", 0.01, Feature.STACK, None, 10,
            10 * T, None, None, "piece A",
        )
    ]  # fmt: skip
    for grain, a, strain in (("along", A_ALONG, 0.00012), ("across", A_ACROSS, 0.00003)):
        for k, n in enumerate((50.0, 75.0, 100.0)):
            for copy in range(2):
                piece = f"{grain[0:2]}{k}{copy}"
                made = n + 2 * a + rng.normal(0.0, 0.03)
                found.append(channel(n, grain, piece, 20, made, "; 40 % rh"))
                damp = made + n * strain * 25.0
                found.append(channel(n, grain, piece, 24, damp, "; 65 % rh"))
    return found


def test_allowances_of_a_coupon_that_was_read_on_a_damper_day() -> None:
    """Without the air the folds along the grain, whose floors lie across it, come out too large."""
    right, wrong = [], []
    for seed in range(20):
        rows = readings(np.random.default_rng(seed))
        led, told = as_made(rows, STRAIN)
        assert len(told) == 1 and "12 readings were taken in another air" in told[0]
        for kept, into in ((led, right), (tuple(rows), wrong)):
            learnt = learn_stock(kept, GIVEN, BEFORE)
            into.append([learnt.get(name).value for name in (ALONG, ACROSS)])  # type: ignore[union-attr]
    assert np.mean(right, axis=0) == pytest.approx([A_ALONG, A_ACROSS], abs=0.02)
    assert np.mean(wrong, axis=0)[0] > np.mean(right, axis=0)[0] + 0.02


def test_each_reading_is_led_back_by_its_own_strain() -> None:
    rows = [
        channel(80.0, "along", "C", 20, 80.30, "; made at 45 % rh, 45 % rh"),
        channel(80.0, "along", "C", 22, 80.50, "; 65 % rh"),
        channel(80.0, "across", "E", 22, 80.40, ", made at 50 % RH; read at 30,5 % RH"),
        channel(80.0, "along", "D", 22, 80.40, "; 65 % rh"),
        channel(80.0, "along", "F", 22, 80.40, ""),
    ]
    led, _ = as_made(rows, STRAIN)
    expected = [80.30, 80.50 - 80 * 0.00012 * 20, 80.40 + 80 * 0.00003 * 19.5, 80.40, 80.40]
    assert [one.reading_mm for one in led] == pytest.approx(expected, abs=1e-9)
    as_read, (told,) = as_made(rows, None)
    assert as_read == tuple(rows)
    assert told.startswith("2 readings were taken in another air")
    assert f"up to {80 * 0.0001 * 20:.2f} mm" in told  # across: 0.01 % for each %, no source
    assert (air_of(rows[0]), made_in(rows[0]), air_of(rows[4])) == (45.0, 45.0, None)
    assert (air_of(rows[2]), made_in(rows[2])) == (30.5, 50.0)


@pytest.mark.parametrize("made", [50.0, 35.0])
@pytest.mark.parametrize("axis", Axis)
def test_a_box_grows_from_the_air_it_was_made_in(made: float, axis: Axis) -> None:
    """Met 40 to 70 %: the base's floor is on the whole longer by its strain times 55 less that."""
    plain = design("tray", 2.0)
    paper = replace(BASE_STOCK, hygroexpansion=STRAIN)
    damp = plain.with_parts(replace(plain.base, stock=paper, grain=Axis.LENGTH))
    found = take_prospect(check(damp), Humidity(40.0, 70.0, made))
    forms = found.forms()
    (air,) = [one for one in forms.inputs if one.source is Source.HUMIDITY]
    assert air.variate.mean == 55.0 - made
    value, gradient = found.outlook.sensitivities(forms, play_name(axis))
    floor, strain = (80.0, 0.00012) if axis is Axis.WIDTH else (110.0, 0.00003)
    dry, _ = take_prospect(check(plain)).outlook.sensitivities(
        take_prospect(check(plain)).forms(), play_name(axis)
    )
    grown = value + float(gradient @ forms.means) - dry
    assert grown == pytest.approx(-floor * strain * (55.0 - made), rel=1e-3)
