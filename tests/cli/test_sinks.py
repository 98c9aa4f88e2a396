"""Timed sinks as a maker gives them: read, kept as the play they tell, and said."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from fitcheck.cli.sink_options import timed_of
from fitcheck.errors import InputError
from fitcheck.feel.stopwatch import How
from tests.cli.commands import fitcheck

DESIGN = (
    'format = 1\ntitle = "Some"\nunit = "mm"\n'
    '[base]\nstyle = "tray"\nstock = "cover-80"\nfloor = [76, 108]\ndepth = 22\n'
    '[lid]\nstyle = "tray"\nstock = "cover-80"\ndepth = 18\noversize = 1.4\n'
)
READ = {
    "6.2 s": (How.LEVEL, (6.2,), 0.0),
    "6,2 5,9 s": (How.LEVEL, (6.2, 5.9), 0.0),
    "level 6 s 7 s": (How.LEVEL, (6.0, 7.0), 0.0),
    "Leaning 1.6s": (How.LEANING, (1.6,), 0.0),
    "coin 7.5 g 2.1 s": (How.COIN, (2.1,), 7.5),
    "coin 7.5 g: 2.1 2.2 s": (How.COIN, (2.1, 2.2), 7.5),
    "upper 1.9 s": (How.UPPER, (1.9,), 0.0),
    "lower 4 s": (How.LOWER, (4.0,), 0.0),
}


@pytest.mark.parametrize("text", READ)
def test_times_are_read_as_they_are_written(text: str) -> None:
    (one,) = timed_of([text])
    assert (one.how, one.seconds, one.grams) == READ[text]


@pytest.mark.parametrize(
    "text", ["6", "s", "six s", "1..2 s", "coin 2.1 s", "coin 900 g 2 s", "-3 s", "6 s down", ""]
)
def test_what_is_no_time_is_refused_with_what_to_write(text: str) -> None:
    with pytest.raises(InputError, match="allowed: "):
        timed_of([text])


def test_a_timed_box_is_kept_with_the_play_that_the_time_tells(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    (tmp_path / "calibration").mkdir()
    (tmp_path / "models/some.toml").write_text(DESIGN)
    timing = ("--sink", "2.2 2.4 2.1 s", "--sink", "leaning 0.9 s", "--before", "1.8 s")
    made = fitcheck("record", "some", "--outcome", "slid", *timing, cwd=tmp_path)
    assert made.status == 0, made.err
    assert "stopwatch level 2.2 2.4 2.1 s; leaning 0.9 s" in made.out
    assert "between both timings its play changed by -0.0" in made.out
    rows = list(csv.DictReader((tmp_path / "calibration/records/boxes.csv").open()))
    low, high = float(rows[0]["play_go_mm"]), float(rows[0]["play_nogo_mm"])
    assert 0.0 <= low < high < 1.2
    assert rows[0]["note"] == "sank: level 2.2 2.4 2.1 s; leaning 0.9 s"


def test_a_play_that_was_measured_counts_before_one_that_was_timed(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    (tmp_path / "calibration").mkdir()
    (tmp_path / "models/some.toml").write_text(DESIGN)
    both = ("--play", "0.4", "--sink", "2.2 s")
    made = fitcheck("record", "some", "--outcome", "slid", *both, cwd=tmp_path)
    assert made.status == 0, made.err
    rows = list(csv.DictReader((tmp_path / "calibration/records/boxes.csv").open()))
    assert (rows[0]["play_go_mm"], rows[0]["play_nogo_mm"]) == ("0.4", "0.4")
