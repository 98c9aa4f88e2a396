"""A maker measures hand and board: coupon, readings, profile, and surer odds."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path

import numpy as np
import pytest

from fitcheck.workspace.paths import shipped_workspace
from tests.cli.called import Call, caller
from tests.cli.commands import Ran

NAME = "score-board-metric"
DESIGN = """\
format = 1
title = "Lopsided box"
unit = "mm"
tools = "score-board-metric"
[base]
style = "tray"
stock = "index-110"
floor = [60, 85]
depth = 20
[lid]
style = "tray"
stock = "index-110"
floor = [61.8, 87]
depth = 12
"""


@pytest.fixture
def call(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], tmp_path: Path
) -> Call:
    (tmp_path / "models").mkdir()
    (tmp_path / "calibration").mkdir()
    (tmp_path / "box.toml").write_text(DESIGN)
    monkeypatch.chdir(tmp_path)
    return caller(monkeypatch, capfd)


def fill(path: Path, people: dict[str, float], seed: int) -> Path:
    """Fill in a coupon's rows by plain arithmetic: each person's scores scatter by so much."""
    rng = np.random.default_rng(seed)
    with path.open(encoding="utf-8", newline="") as stream:
        empty = list(csv.DictReader(stream))
    done: list[dict[str, str]] = []
    for person, s in people.items():
        long: dict[str, tuple[float, float]] = {}
        places: dict[tuple[str, float], float] = {}
        off = 0.0
        for row in empty:
            piece, nominal = re.findall(r"piece (\w+)", row["note"])[0], float(row["nominal_mm"])
            match row["feature"]:
                case "cut":
                    made = nominal - 0.10 + rng.normal(0.0, 0.06)
                    value = long.setdefault(piece, (nominal, made))[1]
                case "knife":
                    off, before = rng.normal(0.0, 0.2), 0.0 if piece == "K1" else off
                    value = nominal + off - before
                case side:
                    asked, made = long[piece]
                    at = nominal if side == "fold-near" else asked - nominal
                    place = at * 1.001 + 0.05 + rng.normal(0.0, s)
                    lies = places.setdefault((piece, round(at, 2)), place)
                    value = (lies if side == "fold-near" else made - lies) + 0.1
            told = {"date": "2026-11-20", "by": person, "instrument": "caliper"}
            note = f"{row['note']}, {person}".replace(f"piece {piece}", f"piece {piece}{person}")
            done.append(
                row | told | {"resolution_mm": "0.01", "reading_mm": f"{value:.2f}", "note": note}
            )
    filled = path.with_name("filled.csv")
    with filled.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(empty[0]))
        writer.writeheader()
        writer.writerows(done)
    return filled


def share(call: Call, *more: object) -> tuple[float, Ran, dict[str, object]]:
    ran = call("check", "box.toml", "--json", "out.json", "--odds", "4000", "--force", *more)
    assert ran.status in (0, 1), ran.err
    data = json.loads(Path("out.json").read_text(encoding="utf-8"))["odds"]
    return data["good"]["share"], ran, data


def test_from_the_coupon_to_surer_odds_and_back(call: Call, tmp_path: Path) -> None:
    before, ran, _ = share(call)
    assert "the hand you measured" not in ran.out

    ran = call("coupon", NAME, "-o", "made")
    assert ran.status == 0 and "score-board-metric-readings.csv" in ran.out
    assert "cut away from the hand" in ran.out
    filled = fill(tmp_path / "made" / f"{NAME}-readings.csv", {"MK": 0.04}, seed=1)
    ran = call("learn", NAME, filled)
    assert ran.status == 0, ran.err
    assert "sheets come out 0." in ran.out and "mm too small (" in ran.out
    assert "variance" not in ran.out and "standard uncertainty" not in ran.out
    profile = tmp_path / "calibration" / "tools" / f"{NAME}.toml"
    text = profile.read_bytes()

    after, ran, data = share(call)
    assert after > before
    assert "as your tools were measured to make it: sheets 0." in ran.out
    assumed = data["assumed_hand"]
    assert isinstance(assumed, dict) and assumed["share"] == pytest.approx(before, abs=1e-9)
    assert f"instead of {100 * before:.0f} with the assumed hand" in ran.out
    assert after > 0.995 and "with the hand you measured: over 99 of 100 instead" in ran.out

    ran = call("learn", NAME, "--rebuild")
    assert ran.status == 0 and "unchanged, byte for byte" in ran.out
    assert profile.read_bytes() == text
    assert f"records tools-{NAME}-0001.csv" in call("list", "tools").out
    again = call("learn", NAME, filled)
    assert "nothing new" in again.out and profile.read_bytes() == text

    ran = call("learn", NAME, "--set-aside", f"tools-{NAME}-0001.csv")
    assert ran.status == 0 and not profile.exists()
    assert str(shipped_workspace()) in ran.out
    assert share(call)[0] == before
    assert call("learn", NAME, "--take-back", f"tools-{NAME}-0001.csv").status == 0
    assert profile.read_bytes() == text


def test_the_only_one_who_was_measured_may_be_named(call: Call, tmp_path: Path) -> None:
    """Else she would be told that nobody measured her, and cut the same strips again."""
    assert call("coupon", NAME, "--hand", "-o", "made").status == 0
    filled = fill(tmp_path / "made" / f"{NAME}-readings.csv", {"MK": 0.05}, seed=2)
    assert call("learn", NAME, filled).status == 0
    named, _, _ = share(call, "--by", "mk")
    without, _, _ = share(call)
    assert named == without


def test_people_are_told_apart(call: Call, tmp_path: Path) -> None:
    call("coupon", NAME, "-o", "made")
    people = {"MK": 0.03, "ab": 0.30}
    filled = fill(tmp_path / "made" / f"{NAME}-readings.csv", people, seed=2)
    ran = call("learn", NAME, filled)
    assert ran.status == 0, ran.err
    assert "MK's hand is surer than ab's" in ran.out
    assert "MK, ab apart, with --by" in ran.out
    sure, _, _ = share(call, "--by", "mk")
    rough, _, _ = share(call, "--by", "ab")
    anybody, _, _ = share(call)
    assert rough < anybody < sure
    ran = call("check", "box.toml", "--by", "someone")
    assert (ran.status, ran.out) == (2, "")
    assert "--by: read 'someone'; allowed: 'MK', 'ab'" in ran.err


def test_new_tools_begin_as_those_they_are_like(call: Call, tmp_path: Path) -> None:
    assert call("coupon", "my-board", "--hand", "--tools", NAME, "-o", "made").status == 0
    filled = fill(tmp_path / "made" / "my-board-readings.csv", {"MK": 0.04}, seed=3)
    assert call("learn", "my-board", filled, "--tools", NAME).status == 0
    assert 'grid = "5 mm"' in (tmp_path / "calibration/tools/my-board.toml").read_text()
    ran = call("learn", "workshop-two", filled, "--tools", NAME, "--joint", "0.1")
    assert ran.status == 2 and "--joint, --setback: read for a coupon of tools" in ran.err
    assert not (tmp_path / "calibration/tools/workshop-two.toml").exists()


def test_readings_that_no_hand_gives_change_nothing(call: Call, tmp_path: Path) -> None:
    call("coupon", NAME, "-o", "made")
    filled = fill(tmp_path / "made" / f"{NAME}-readings.csv", {"MK": 3.0}, seed=4)
    text = filled.read_text().splitlines()
    kept = [line for line in text if not any(word in line for word in ("fold", "knife"))]
    filled.write_text(
        "\n".join([kept[0], *(line.replace(",cut,", ",fold-near,") for line in kept[1:])])
    )
    ran = call("learn", NAME, filled)
    assert (ran.status, ran.out) == (2, "")
    assert "there is no cut or score to learn from" in ran.err
    assert not (tmp_path / "calibration" / "tools").exists()
    assert not (tmp_path / "calibration" / "records").exists()


def test_readings_of_a_paper_under_the_name_of_tools_are_refused(
    call: Call, tmp_path: Path
) -> None:
    (tmp_path / "r.csv").write_text(
        "date,by,instrument,resolution_mm,feature,nominal_mm,count,reading_mm,go_mm,nogo_mm,note\n"
        "2026-11-20,MK,caliper,0.01,cut,100,,99.9,,,piece P\n"
    )
    ran = call("learn", "index-110", "r.csv")
    assert ran.status == 2
    assert "which is a stock, and the readings are of tools" in ran.err
