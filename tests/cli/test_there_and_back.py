"""Records that are set aside and taken back: what the profile says is what it said before.

Each expectation is the profile or the words of before the way there, or a number that stands in the
test; coupons are read from closed forms (`tests/cli/test_learn.py`, `tests/coupons.py`).
"""

from __future__ import annotations

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
