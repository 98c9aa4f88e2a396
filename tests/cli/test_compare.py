"""Two designs side by side: what differs is told, once each, and what both say alike is not."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fitcheck import __version__
from tests.cli.commands import fitcheck

MODELS = Path(__file__).resolve().parents[2] / "models"


def test_two_papers_for_one_design(tmp_path: Path) -> None:
    out = tmp_path / "both.json"
    ran = fitcheck(
        "compare", "lantern", "--stock", "lid=text-80", "--odds", "2000", "--json", out,
        cwd=tmp_path,
    )  # fmt: skip
    assert ran.status == 0, ran.err
    first, *_ = ran.out.splitlines()
    assert first.startswith("from lantern to lantern, lid=text-80: ")
    changed, _ = ran.out.split("what it did")
    assert "cover-80" in changed and "text-80" in changed and "caliper" in changed
    assert "base" not in changed.split("what changed")[1]  # it is as it was
    data = json.loads(out.read_text())
    assert data["fits"] == [True, True]
    said = {(row["of"], row["what"]): row["values"] for row in data["changed"]}
    assert said["lid", "stock"] == ["cover-80", "text-80"]
    # a thinner lid leaves more play, by what both its walls are thinner inside
    found = {(row["of"], row["what"]): row["values"] for row in data["results"]}
    before, after = found["lid fit", "play, width"]
    thick, thin = said["lid", "caliper"]
    # inside a wall a crease of allowance 0.6073 t (uncalibrated, design rules) gains (t - a) a wall
    assert after - before == pytest.approx(2.0 * (1.0 - 0.6073) * (thick - thin), abs=0.01)
    checked = fitcheck("check", "lantern", "--odds", "2000", "--json", "one.json", cwd=tmp_path)
    one = json.loads((tmp_path / "one.json").read_text())
    assert checked.status == 0
    assert data["right"][0] == pytest.approx(one["odds"]["good"]["share"], abs=1e-9)


def test_two_designs_that_share_little(tmp_path: Path) -> None:
    ran = fitcheck("compare", "lantern", "whist", "--no-odds", cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert ran.out.startswith("lantern: everything fits; whist: everything fits, as drawn")
    rows = [line.split() for line in ran.out.splitlines()]
    assert ["base", "style", "tray", "tuck-end"] in rows
    assert any(row[:2] == ["contents", "toffee-wrapped"] and row[-1] == "-" for row in rows)
    assert "of 100" not in ran.out


def test_a_design_beside_itself_differs_in_nothing(tmp_path: Path) -> None:
    ran = fitcheck("compare", "lantern", "lantern", "--no-odds", cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert "nothing differs in what the two say" in ran.out
    assert "what it did" not in ran.out


def test_one_that_does_not_fit_is_told_and_ends_with_one(tmp_path: Path) -> None:
    text = (MODELS / "lantern.toml").read_text()
    (tmp_path / "low.toml").write_text(text.replace("[1.5, 2]", "[0.2, 0.2]"))
    ran = fitcheck("compare", "lantern", "low.toml", "--no-odds", cwd=tmp_path)
    assert ran.status == 1
    assert "low: something does not fit" in ran.out
    assert "1.5 x 2 mm" in ran.out and " 0 mm" not in ran.out and "0.20 mm" in ran.out


def test_the_program_tells_its_version(tmp_path: Path) -> None:
    ran = fitcheck("--version", cwd=tmp_path)
    assert (ran.status, ran.out.strip()) == (0, f"fitcheck {__version__}")
