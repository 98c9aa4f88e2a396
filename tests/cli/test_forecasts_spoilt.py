"""Forecasts that were changed, and odds that turn out to be off."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest

from tests.cli.test_forecasts import PAPER, bench, rows, run


@pytest.mark.parametrize("how", ["changed", "other", "gone", "broken"])
def test_a_forecast_that_was_changed_scores_nothing(tmp_path: Path, how: str) -> None:
    root = bench(tmp_path)
    record = ("record", "toffees", "--outcome", "slid")
    assert run(root, "record", "toffees", "--forecast", "--odds", "500").status == 0
    assert run(root, *record).status == 0
    path = root / "calibration" / "records" / "forecast-toffees-0001.json"
    if how == "changed":
        said = json.loads(path.read_text())
        said["chances"]["right"] = 0.5
        path.write_text(json.dumps(said))
    elif how == "broken":
        path.write_text(path.read_text()[:-80])
    elif how == "gone":
        path.unlink()
    else:  # a sound forecast put in its place
        assert run(root, "record", "toffees", "--forecast", "--odds", "600").status == 0
        path.with_name("forecast-toffees-0002.json").replace(path)
    listed = run(root, "list", "records")
    assert listed.status == 0, listed.err
    assert "kept apart, in no score: 1 box" in listed.out and "nothing to score" in listed.out
    again = run(root, *record)
    if how in ("changed", "broken"):
        assert again.status == 2 and again.err.count("\n") == 1 and "--against none" in again.err
        assert len(rows(root)) == 1
        assert run(root, *record, "--against", "none").status == 0


def test_odds_that_are_off_are_told_with_what_would_explain_them(tmp_path: Path) -> None:
    """The paper really folds out by 0.30 mm and not by 0.18: boxes drawn from a bench of that paper
    are recorded on the other one, until the list says what is off."""
    root, truth = bench(tmp_path / "said"), bench(tmp_path / "true", 0.30)
    for place in (root, truth):
        assert run(place, "record", "toffees", "--forecast").status == 0
    path = "calibration/records/forecast-toffees-0001.json"
    table = json.loads((truth / path).read_text())["play_mm"]
    rng = np.random.default_rng(12)
    for number in range(14):
        play = float(np.interp(rng.random(), table["levels"], table["values"]))
        outcome = ("slid", "--play", f"{play:.2f}") if play > 0 else ("bound",)
        ran = run(root, "record", "toffees", "--outcome", *outcome, "--fitted", "yes")
        assert ran.status == 0, ran.err
        if number == 0:
            assert "nothing speaks against the odds" in run(root, "list", "records").out
    told = run(root, "list", "records").out
    after = told[told.index("the odds are off") :]
    flowed = " ".join(after.split())
    assert "what would explain it best" in after
    found = re.search(r"the crease allowance of bench-card \(base\): ([0-9.]+) mm more", flowed)
    assert found is not None and 0.05 < float(found[1]) < 0.17, flowed
    assert "to learn it: fitcheck coupon " in flowed
    assert "fitcheck coupon bench-card -o DIR" in flowed
    assert "fitcheck learn bench-card READINGS.csv" in flowed
    for word in ("variance", "likelihood", "Brier", "sigma", "standard uncertainty", "CRPS"):
        assert word not in told, word
    coupon = run(root, "coupon", "bench-card", "-o", "coupon")
    assert coupon.status == 0, "what is offered can be done"
    # it was measured, and the next forecast knows it: nothing more is offered for that paper
    (root / "calibration" / "stocks" / "bench-card.toml").write_text(PAPER.replace("0.18", "0.30"))
    assert run(root, "record", "toffees", "--forecast").status == 0
    ran = run(root, "record", "toffees", "--outcome", "slid", "--play", "0.25", "--fitted", "yes")
    assert "scored against forecast-toffees-0002" in ran.out
    flowed = " ".join(run(root, "list", "records").out.split())
    assert "bench-card was changed since then" in flowed
    assert "fitcheck coupon bench-card" not in flowed
