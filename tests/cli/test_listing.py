"""What is listed says where it comes from, and what of that is not there."""

from __future__ import annotations

from pathlib import Path

from tests.cli.commands import fitcheck

STOCK = (
    'format = 1\nkind = "cover"\ngrammage_gsm = 216\ncaliper_mm = 0.3\ncaliper_u_mm = 0.01\n'
    'records = ["mine-1.csv", "mine-2.csv"]\n'
)


def test_records_that_a_profile_names_and_that_are_not_there_are_told(tmp_path: Path) -> None:
    stocks, records = (tmp_path / "calibration" / name for name in ("stocks", "records"))
    for folder in (stocks, records):
        folder.mkdir(parents=True)
    (stocks / "mine.toml").write_text(STOCK)
    (records / "mine-2.csv").write_text("date,by\n")
    ran = fitcheck("list", "stocks", cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert "    source: records mine-1.csv, mine-2.csv (not there: mine-1.csv)\n" in ran.out
    # shipped papers have sources and no records
    assert ran.out.count("not there") == 1


def test_details_of_a_list_are_those_of_records(tmp_path: Path) -> None:
    helped = " ".join(fitcheck("list", "--help", cwd=tmp_path).out.split())
    assert "statistics behind the odds" not in helped and "With records" in helped


def test_a_forecast_says_how_many_boxes_take_the_contents(tmp_path: Path) -> None:
    ran = fitcheck("record", "lantern", "--forecast", "--odds", "500", cwd=tmp_path)
    assert ran.status == 0, ran.err
    (line,) = (line for line in ran.out.splitlines() if line.strip().startswith("contents"))
    assert " ".join(line.split()).startswith("contents of 100 boxes ")
    assert line.endswith(" take them") and "in in" not in line


def test_a_check_with_a_profile_whose_readings_are_not_there_says_so(tmp_path: Path) -> None:
    stocks = tmp_path / "calibration" / "stocks"
    stocks.mkdir(parents=True)
    (stocks / "mine.toml").write_text(STOCK)
    design = ("lantern", "--stock", "lid=mine", "--no-odds")
    told = " ".join(fitcheck("check", *design, cwd=tmp_path).out.split())
    assert "mine: its file names readings that are not there, mine-1.csv and mine-2.csv:" in told
    records = stocks.parent / "records"
    records.mkdir()
    for name in ("mine-1.csv", "mine-2.csv"):
        (records / name).write_text("date,by\n")
    assert "not there" not in fitcheck("check", *design, cwd=tmp_path).out
