"""A coin on a wall's edge, held against the beam of the textbook and a profile that keeps it."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.possible_readings import problems
from fitcheck.learn.rim_coin import crease_length
from fitcheck.stock.gives import GRAM_N, NOTHING_SAID, gives_of
from fitcheck.stock.gives_files import said_tables
from fitcheck.stock.profile_files import stock_from
from tests.cli.commands import fitcheck

GIVES = gives_of(NOTHING_SAID, 160.0, 0.18)
HIGH, WIDE, COIN = 15.0, 20.0, 3.6
SAID = {
    "format": 1,
    "kind": "cover",
    "caliper_mm": 0.2,
    "caliper_u_mm": 0.01,
    "grammage_gsm": 200.0,
    "source": "invented for tests",
    "air_permeance": {"gurley_s": 80.0, "u": 10.0, "source": "a data sheet"},
    "crease_rest": {"deg": 89.0, "u_deg": 0.5, "source": "a protractor"},
}


def reading(
    sinks_mm: float, note: str = "folds along the grain, wide 20 mm, coin 3.6 g"
) -> Reading:
    return Reading(
        "x.csv",
        2,
        "2026-11-26",
        "",
        "rule",
        0.5,
        Feature.RIM,
        HIGH,
        None,
        sinks_mm,
        None,
        None,
        note,
    )


def sinks(length_mm: float, stiffness: float) -> float:
    """A cantilever's end, F h^3 / (3 E I) (any textbook), and a wall that turns as a whole."""
    force = COIN * GRAM_N
    beam = force * HIGH**3 / (3.0 * stiffness * WIDE)
    turned = HIGH * (force * HIGH) / (stiffness / length_mm * WIDE)
    return beam + turned


def test_the_length_comes_back_from_what_a_coin_does() -> None:
    """Folds along the grain bend the sheet across it."""
    found = crease_length([reading(sinks(8.0, GIVES.across.value))], GIVES)
    assert found is not None and found[0] == pytest.approx(8.0)
    along = reading(sinks(8.0, GIVES.along.value), "folds across the grain, wide 20 mm, coin 3,6 g")
    again = crease_length([along], GIVES)
    assert again is not None and again[0] == pytest.approx(8.0)


def test_more_readings_leave_what_the_stiffness_leaves() -> None:
    one = reading(sinks(8.0, GIVES.across.value))
    first, many = crease_length([one], GIVES), crease_length([one] * 20, GIVES)
    assert first is not None and many is not None
    assert many[1] < first[1]
    assert many[1] > GIVES.across.log_u * 8.0
    assert crease_length([replace(one, feature=Feature.HEM)], GIVES) is None


def test_a_coin_that_nobody_weighed_is_asked_for() -> None:
    (problem,) = problems(reading(2.0, "piece C, wide 20 mm, coin ? g"))
    assert problem[0] == "note" and "weigh the coin" in problem[3]
    assert not list(problems(reading(2.0)))


def test_a_profile_says_again_what_its_file_said() -> None:
    said = stock_from(SAID, Path("own.toml")).said
    again = stock_from({**SAID, **said_tables(said)}, Path("own.toml")).said
    assert again.permeance is not None and said.permeance is not None
    assert again.permeance.value == pytest.approx(said.permeance.value)
    assert again.permeance.log_u == pytest.approx(said.permeance.log_u)
    assert (again.rest_deg, again.rest_u_deg) == (89.0, 0.5)


def test_a_learnt_paper_keeps_its_properties_and_learns_the_spring(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    stocks = tmp_path / "calibration/stocks"
    stocks.mkdir(parents=True)
    (stocks / "own.toml").write_text(
        'format = 1\nkind = "cover"\ngrammage_gsm = 160\ncaliper_mm = 0.18\ncaliper_u_mm = 0.01\n'
        'source = "invented"\nair_permeance = {gurley_s = 80, u = 10, source = "a data sheet"}\n'
    )
    head = "date,by,instrument,resolution_mm,feature,nominal_mm,count,reading_mm,go_mm,nogo_mm,note"
    sunk = sinks(6.0, GIVES.across.value)
    rows = [f"2026-11-25,kh,caliper,0.01,stack,,10,{own},,,piece A" for own in (1.8, 1.81, 1.8)]
    rows += [
        f'2026-11-25,kh,rule,0.5,rim,15,,{sunk:.2f},,,"piece C, folds along the grain, wide 20 mm, '
        f'coin 3.6 g"'
    ] * 3
    (tmp_path / "own.csv").write_text("\n".join([head, *rows]) + "\n")
    ran = fitcheck("learn", "own", "own.csv", cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert "coins at rims" in ran.out
    data = tomllib.loads((stocks / "own.toml").read_text())
    assert data["air_permeance"]["source"] == "a data sheet"
    assert data["crease_length"]["mm"] == pytest.approx(6.0, rel=0.1)
    again = fitcheck("learn", "own", "--rebuild", cwd=tmp_path)
    assert again.status == 0, again.err
    assert tomllib.loads((stocks / "own.toml").read_text()) == data
