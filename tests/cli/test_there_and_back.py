"""Records that are set aside and taken back: what the profile says is what it said before.

Each expectation is the profile or the words of before the way there, or a number that stands in the
test; coupons are read from closed forms (`tests/cli/test_learn.py`, `tests/coupons.py`).
"""

from __future__ import annotations

import csv
import tomllib
from pathlib import Path
from typing import Any

import pytest

from tests.cli.commands import fitcheck
from tests.cli.test_hand_commands import fill
from tests.cli.test_learn import DESIGN, filled


def done(root: Path, *words: str) -> str:
    """What a command says; it goes well."""
    ran = fitcheck(*words, cwd=root)
    assert ran.status == 0, ran.err
    return ran.out


def profile(root: Path, name: str, shelf: str = "stocks") -> dict[str, Any]:
    text = (root / "calibration" / shelf / f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    """A workspace with the filled-in coupon of a paper, my-paper."""
    (tmp_path / "calibration").mkdir()
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "small.toml").write_text(DESIGN, encoding="utf-8")
    done(tmp_path, "coupon", "my-paper", "-o", "coupon")
    filled(tmp_path / "coupon" / "my-paper-readings.csv")
    (tmp_path / "r.csv").write_bytes((tmp_path / "coupon" / "my-paper-readings.csv").read_bytes())
    return tmp_path


def there_and_back(root: Path, name: str, record: str) -> str:
    done(root, "learn", name, "--set-aside", record)
    return done(root, "learn", name, "--take-back", record)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--joint", "0.2 mm", "--setback", "0.1 mm"), "joint 0.20 +- 0.03 mm, tab setback 0.10"),
        (("--tools", "score-board-inch"), "tools score-board-inch, joint"),
    ],
)
def test_the_only_record_comes_back_with_what_it_was_learnt_with(
    bench: Path, options: tuple[str, ...], said: str
) -> None:
    assert said in done(bench, "learn", "my-paper", "r.csv", "--new", *options)
    before = profile(bench, "my-paper")
    assert said in there_and_back(bench, "my-paper", "stock-my-paper-0001.csv")
    assert profile(bench, "my-paper") == before


def hand_readings(root: Path, name: str, *like: str) -> Path:
    """The filled-in coupon of a board of that name."""
    done(root, "coupon", name, "--hand", *like, "-o", "hand")
    return fill(root / "hand" / f"{name}-readings.csv", {"MK": 0.05}, seed=1)


def test_tools_come_back_as_those_they_were_learnt_from(bench: Path) -> None:
    like = ("--tools", "score-board-inch")
    done(bench, "learn", "our-board", str(hand_readings(bench, "our-board", *like)), *like)
    before = profile(bench, "our-board", "tools")
    assert before["grid"] == "3.175 mm"  # 1/8 in: the other shipped board has 5 mm
    there_and_back(bench, "our-board", "tools-our-board-0001.csv")
    assert profile(bench, "our-board", "tools") == before


def second_session(root: Path) -> None:
    """The same coupon made and read anew a day later: all read 0.01 mm more."""
    with (root / "r.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    for row in rows:
        row["date"] = row["date"] and "2026-11-21"
        for key in ("reading_mm", "go_mm", "nogo_mm"):
            row[key] = row[key] and f"{float(row[key]) + 0.01:.2f}"
    with (root / "r2.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    done(root, "learn", "my-paper", "r.csv", "--new")
    done(root, "learn", "my-paper", "r2.csv", "--confirm", "anew")


def test_what_boxes_said_stays_when_a_record_goes_and_comes_back(bench: Path) -> None:
    second_session(bench)
    before = profile(bench, "my-paper")
    done(bench, "record", "small", "--forecast")
    for _ in range(12):
        done(bench, "record", "small", "--outcome", "bound")
    speak = "boxes of this very design speak against these odds"
    assert speak in done(bench, "check", "small")
    there_and_back(bench, "my-paper", "stock-my-paper-0001.csv")
    after = profile(bench, "my-paper")
    assert after == before  # in the order of its records, too
    assert speak in done(bench, "check", "small")
    assert "since it was frozen" not in done(bench, "record", "small", "--outcome", "bound")


def test_a_profile_that_names_its_records_in_another_order_is_the_same(bench: Path) -> None:
    """Profiles were written so by earlier versions."""
    second_session(bench)
    path = bench / "calibration" / "stocks" / "my-paper.toml"
    done(bench, "record", "small", "--forecast")
    names = [f"stock-my-paper-000{number}.csv" for number in (1, 2)]
    text = path.read_text(encoding="utf-8")
    assert f'records = ["{names[0]}", "{names[1]}"]' in text
    path.write_text(text.replace(names[0], "?").replace(names[1], names[0]).replace("?", names[1]))
    assert "since it was frozen" not in done(bench, "record", "small", "--outcome", "bound")
    path.write_text(text.replace("0.", "0.0", 1))  # another caliper is another paper
    assert "since it was frozen" in done(bench, "record", "small", "--outcome", "bound")


def test_papers_follow_the_board_that_is_measured_under_its_own_name(bench: Path) -> None:
    done(bench, "learn", "my-paper", "r.csv", "--new")
    like = ("--tools", "score-board-metric")
    told = done(bench, "learn", "our-board", str(hand_readings(bench, "our-board", *like)), *like)
    assert "papers learnt with score-board-metric count as scored on this board" in said(told)
    assert "fitcheck learn PAPER --rebuild --tools NAME" in said(told)
    assert profile(bench, "our-board", "tools")["assumed"]["tools"] == "score-board-metric"
    done(bench, "learn", "our-board", "--rebuild")
    assert profile(bench, "our-board", "tools")["assumed"]["tools"] == "score-board-metric"


def said(text: str) -> str:
    """A text whose lines are not broken."""
    return " ".join(text.split())


@pytest.mark.parametrize("joint", [(), ("--joint", "0.2 mm")])
def test_a_rebuild_with_other_tools_is_learning_with_them(
    bench: Path, joint: tuple[str, ...]
) -> None:
    """The tray's glue and setback were the coupon's own: naming the board leaves them."""
    own = (*joint, "--setback", "0.1 mm")
    done(bench, "learn", "my-paper", "r.csv", "--new", *own, "--tools", "score-board-inch")
    wanted = profile(bench, "my-paper")
    done(bench, "learn", "my-paper", "r.csv", *own, "--tools", "score-board-metric")
    assert profile(bench, "my-paper")["learnt"]["tools"] == "score-board-metric"
    done(bench, "learn", "my-paper", "--rebuild", "--tools", "score-board-inch")
    assert profile(bench, "my-paper") == wanted
    told = done(bench, "learn", "my-paper", "--rebuild", "--joint", "0.3 mm", "--setback", "0 mm")
    assert "tools score-board-inch, joint 0.30 +- 0.03 mm, tab setback 0.00 mm" in told


def test_a_rebuild_of_tools_as_others_takes_their_grid(bench: Path) -> None:
    like = ("--tools", "score-board-inch")
    done(bench, "learn", "our-board", str(hand_readings(bench, "our-board", *like)), *like)
    wanted = profile(bench, "our-board", "tools")
    done(bench, "learn", "our-board", "--rebuild", "--tools", "score-board-metric")
    assert profile(bench, "our-board", "tools")["grid"] == "5 mm"
    done(bench, "learn", "our-board", "--rebuild", *like)
    assert profile(bench, "our-board", "tools") == wanted


def test_air_that_is_noted_for_a_paper_of_unknown_swelling_is_told_and_then_used(
    bench: Path,
) -> None:
    """Read at 80 % what was made at 40 %: floors across the grain grow by 40 x 0.0001 of their
    length, along it by 40 x 0.00004 (invented swelling; the test adds it by its own arithmetic).
    """
    done(bench, "learn", "dry", "r.csv", "--new")
    with (bench / "r.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    most = 0.0
    for row in rows:
        if row["feature"] not in ("channel", "inside"):
            continue
        by = float(row["nominal_mm"]) * 40 * (0.0001 if "along" in row["note"] else 0.00004)
        most = max(most, by)
        row["note"] += ", made at 40 % rh, 80 % rh"
        for key in ("reading_mm", "go_mm", "nogo_mm"):
            row[key] = row[key] and f"{float(row[key]) + by:.4f}"
    with (bench / "damp.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    told = said(done(bench, "learn", "damp", "damp.csv", "--new"))
    assert "used as they are: nobody says how this paper swells" in told
    assert f"up to {most:.2f} mm" in told and "fitcheck learn damp --rebuild" in told
    line = "hygroexpansion = {along = 0.00004, across = 0.00010}"
    assert line in told
    path = bench / "calibration" / "stocks" / "damp.toml"
    path.write_text(path.read_text(encoding="utf-8") + line + "\n", encoding="utf-8")
    told = said(done(bench, "learn", "damp", "--rebuild"))
    assert f"led back by up to {most:.2f} mm" in told and "nobody says" not in told
    dry, damp = (profile(bench, name) for name in ("dry", "damp"))
    assert damp["board"]["scale"] == pytest.approx(dry["board"]["scale"], abs=2e-5)
    assert damp["crease_allowance_mm"] == pytest.approx(dry["crease_allowance_mm"], abs=1e-3)


def test_records_come_back_in_any_order_and_by_either_name(bench: Path) -> None:
    second_session(bench)
    one, two = "stock-my-paper-0001.csv", "stock-my-paper-0002"  # with and without its ending
    before = profile(bench, "my-paper")
    done(bench, "learn", "my-paper", "--set-aside", one, "--set-aside", two)
    assert not (bench / "calibration" / "stocks" / "my-paper.toml").exists()
    done(bench, "learn", "my-paper", "--take-back", two)
    assert profile(bench, "my-paper")["records"] == ["stock-my-paper-0002.csv"]
    done(bench, "learn", "my-paper", "--take-back", one)
    assert profile(bench, "my-paper") == before
    done(bench, "learn", "my-paper", "--take-back", one)  # it counts already
    assert profile(bench, "my-paper") == before
    ran = fitcheck("learn", "my-paper", "--set-aside", one, "--take-back", one[:-4], cwd=bench)
    assert ran.status == 2 and "with both" in ran.err
    assert profile(bench, "my-paper") == before


def test_a_record_taken_back_with_new_readings_brings_what_it_was_learnt_with(bench: Path) -> None:
    second_session(bench)
    one, two = (f"stock-my-paper-000{number}.csv" for number in (1, 2))
    done(bench, "learn", "my-paper", "--rebuild", "--joint", "0.2 mm")
    both = profile(bench, "my-paper")
    assert both["learnt"]["joint_mm"] == 0.2
    done(bench, "learn", "my-paper", "--set-aside", one)
    alone = profile(bench, "my-paper")
    done(bench, "learn", "my-paper", "--set-aside", two)
    ran = fitcheck("learn", "my-paper", "--rebuild", cwd=bench)
    assert ran.status == 2 and "all its records are set aside" in ran.err
    done(bench, "learn", "my-paper", "r2.csv", "--take-back", two)
    assert profile(bench, "my-paper") == alone
    done(bench, "learn", "my-paper", "--take-back", one)
    assert profile(bench, "my-paper") == both
