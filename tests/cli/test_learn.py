"""The measuring loop as a new user goes through it, in fresh processes."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from tests.cli.commands import fitcheck

STRANGER = """\
date;by;instrument;resolution_mm;feature;nominal_mm;count;reading_mm;go_mm;nogo_mm;note
20.11.2026;kh;caliper;0,01;stack;;10;3,31;;;
2026-11-20;kh;caliper;0,01;channel;60;;2,378 ft;;;
2026-11-20;;caliper;0,01;channel;60;;60,41;;;
2026-11-20;kh;caliper;0,01;channel;;;60,41;;;
"""
DESIGN = """\
format = 1
title = "Small box"
unit = "mm"
[base]
style = "tray"
stock = "my-paper"
floor = [60, 80]
depth = 20
[lid]
style = "tray"
stock = "my-paper"
oversize = 2.5
depth = 12
"""
T, A = 0.31, 0.21


@pytest.fixture(scope="module")
def workspace(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("bench")
    (root / "models").mkdir()
    (root / "calibration").mkdir()
    (root / "models" / "small.toml").write_text(DESIGN, encoding="utf-8")
    return root


def filled(path: Path) -> None:
    """Fill in a coupon's empty readings as its maker would."""
    with path.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    grown = {
        "channel": 2 * A,
        "inside": -2 * (T - A),
        "hem": 0.2146 * T,
        "corner": 2 * A + 2 * (T + 0.1),
    }
    for k, row in enumerate(rows):
        if row["feature"] == "rim":
            continue  # no coin was at hand
        row |= {"date": "2026-11-20", "by": "kh", "instrument": "caliper", "resolution_mm": "0.01"}
        if row["feature"] == "stack":
            row["reading_mm"] = f"{10 * T + 0.01 * (k % 3 - 1):.2f}"
            continue
        size = float(row["nominal_mm"]) + grown[row["feature"]] + 0.02 * (k % 3 - 1)
        if row["feature"] == "inside":
            row |= {"go_mm": f"{size - 0.05:.2f}", "nogo_mm": f"{size + 0.05:.2f}"}
        else:
            row["reading_mm"] = f"{size:.2f}"
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)


def test_a_new_paper_from_coupon_to_lid(workspace: Path) -> None:
    made = fitcheck("coupon", "my-paper", "-o", "coupon", cwd=workspace)
    assert made.status == 0, made.err
    names = {path.name for path in (workspace / "coupon").iterdir()}
    assert {"my-paper-coupon.pdf", "my-paper-coupon.dxf", "my-paper-readings.csv"} <= names
    assert {"my-paper-coupon.svg", "my-paper-how-to.svg", "folding-block.stl"} <= names
    readings = workspace / "coupon" / "my-paper-readings.csv"
    filled(readings)
    learnt = fitcheck("learn", "my-paper", readings, "--design", "small", cwd=workspace)
    assert learnt.status == 0, learnt.err
    assert "caliper                 0.3098" in learnt.out
    assert "allowance along" in learnt.out and "allowance across" in learnt.out
    assert "not known before" in learnt.out and "the lid of Small box:" in learnt.out
    profile = workspace / "calibration" / "stocks" / "my-paper.toml"
    before = profile.read_bytes()
    again = fitcheck("learn", "my-paper", "--rebuild", cwd=workspace)
    assert again.status == 0 and "unchanged, byte for byte" in again.out
    # all that a profile holds was known before, what it says of the board too
    assert "board scale" in again.out and "not known before" not in again.out
    assert profile.read_bytes() == before
    assert fitcheck("check", "models/small.toml", "--no-odds", cwd=workspace).status == 0
    listed = fitcheck("list", "stocks", cwd=workspace).out
    assert "records stock-my-paper-0001.csv" in listed


def test_a_strangers_csv_gets_a_line_for_each_fault_and_writes_nothing(tmp_path: Path) -> None:
    (tmp_path / "calibration").mkdir()
    (tmp_path / "theirs.csv").write_text(STRANGER, encoding="utf-8")
    ran = fitcheck("learn", "cardstock-270", "theirs.csv", cwd=tmp_path)
    assert ran.status == 2 and ran.out == ""
    lines = ran.err.splitlines()
    wanted = (
        "write 2026-11-20",
        "read '2,378 ft'",
        "by: read nothing",
        "nominal_mm: read nothing",
    )
    assert len(lines) == len(wanted)
    for number, (line, words) in enumerate(zip(lines, wanted, strict=True), 2):
        assert line.startswith(f"fitcheck: theirs.csv: row {number}: ") and words in line, line
    assert not list((tmp_path / "calibration").rglob("*.csv"))
    assert not list((tmp_path / "calibration").rglob("*.toml"))


def test_options_that_are_wrong_are_told(tmp_path: Path) -> None:
    for arguments, words in (
        (("learn", "cardstock-270"), "READINGS.csv or --rebuild"),
        (("learn", "cardstock-270", "r.csv", "--want", "calliper=1"), "nearest known: 'caliper'"),
        (("learn", "cardstock-270", "r.csv", "--joint", "1 ft"), "--joint: read '1 ft'"),
        (("coupon", "a/b", "-o", "x"), "STOCK: read 'a/b'"),
        (("gauge", "mk", "-o", "x", "--want", "0.001 mm"), "finer steps than a printer makes"),
        (("record", "harbour", "--outcome", "slid", "--date", "today"), "--date: read 'today'"),
        (("record", "harbour", "--outcome", "slid", "--play", "0.4:0.3"), "smaller plug first"),
    ):
        ran = fitcheck(*arguments, cwd=tmp_path)
        assert ran.status == 2 and words in ran.err, (arguments, ran.err)
    assert not list(tmp_path.iterdir())


def test_a_box_is_recorded_and_scored(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    design = DESIGN.replace("my-paper", "index-110")
    (tmp_path / "models" / "small.toml").write_text(design, encoding="utf-8")
    ran = fitcheck(
        "record", "small", "--outcome", "slid", "--play", "0.3:0.4", "--by", "kh",
        "--contents", "a card", "--date", "2026-11-21", cwd=tmp_path,
    )  # fmt: skip
    assert ran.status == 0, ran.err
    assert "of 100 made by hand" in ran.out and "come out right" in ran.out
    listed = fitcheck("list", "records", cwd=tmp_path)
    assert listed.status == 0
    assert "slid, play above 0.30 mm below 0.40 mm, with a card" in listed.out
    assert "1 box" in listed.out and "Brier" not in listed.out


PRINTER = """\
format = 1
scale_x = 0.998
scale_x_u = 0.0005
scale_y = 0.998
scale_y_u = 0.0005
scale_z = 1.0
scale_z_u = 0.0005
outside_offset_mm = 0.1
outside_offset_u_mm = 0.01
hole_offset_mm = 0.1
hole_offset_u_mm = 0.01
first_layer_mm = 0.2
first_layer_u_mm = 0.02
height_offset_mm = 0.0
height_offset_u_mm = 0.02
covered_mm = {outside = [18.0, 70.0], inside = [12.0, 100.0], height = [8.0, 30.0]}
source = "invented for tests"
"""


def test_a_dummy_is_corrected_for_a_named_printer_and_says_so(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    none = fitcheck("list", "printers", cwd=tmp_path).out
    assert none.count("\n") == 1 and "fitcheck gauge NAME -o DIR" in none
    (tmp_path / "calibration" / "printers").mkdir(parents=True)
    (tmp_path / "calibration" / "printers" / "mk.toml").write_text(PRINTER, encoding="utf-8")
    design = DESIGN.replace("my-paper", "index-110")
    (tmp_path / "models" / "small.toml").write_text(design, encoding="utf-8")
    command = ("dummy", "small", "-o", "out", "--only", "inside", "--printer")
    ran = fitcheck(*command, "mk", cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert "corrected for the printer mk" in ran.out
    assert "beyond what the gauge measured (it covered 18 to 70 mm)" in " ".join(ran.out.split())
    wrong = fitcheck(*command, "km", cwd=tmp_path)
    assert wrong.status == 2 and "--printer: no such printer; read 'km'" in wrong.err
    assert "scale x -0.20 %" in fitcheck("list", "printers", cwd=tmp_path).out


def test_a_hem_without_a_nominal_is_kept_and_told_and_counts_for_nothing(tmp_path: Path) -> None:
    """It is read from cut edge to fold (the record's format): 25.1 mm of a score at 25."""
    head = "date,by,instrument,resolution_mm,feature,nominal_mm,count,reading_mm,go_mm,nogo_mm,note"
    start = "2026-11-20,ada,caliper,0.01"
    stacks = [f"{start},stack,,10,{mm},,,piece A" for mm in (3.01, 2.99)]
    hem = f"{start},hem,,,25.1,,,piece H"
    (tmp_path / "readings.csv").write_text("\n".join([head, hem, *stacks]) + "\n")
    ran = fitcheck("learn", "plain", "readings.csv", "--new", cwd=tmp_path)
    assert ran.status == 0, ran.err
    told = " ".join(ran.out.split())
    assert "a hem of 25.1 mm without a nominal is kept, nothing is fitted from it" in told
    (kept,) = (tmp_path / "calibration" / "records").glob("*.csv")
    assert "25.1" in kept.read_text()
    # ten sheets of 0.3 mm are 3.00 mm
    assert "0.300" in told
