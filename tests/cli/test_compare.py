"""Two designs side by side: what differs is told, once each, and what both say alike is not."""

from __future__ import annotations

import json
import re
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


@pytest.mark.parametrize("names", [("ferry", "harbour"), ("harbour", "ferry")])
def test_sizes_stand_in_each_designs_own_unit(names: tuple[str, str], tmp_path: Path) -> None:
    """As their files say them, an inch being 25.4 mm: 75 mm is no fraction of an inch."""
    ran = fitcheck("compare", *names, "--no-odds", cwd=tmp_path)
    assert ran.status == 0, ran.err
    drawn, _ = ran.out.split("what it did")
    said = {
        "floor": {"ferry": "75 x 155 mm", "harbour": "3 1/4 x 4 1/2 in (82.55 x 114.3 mm)"},
        "depth": {"ferry": "20 mm", "harbour": "7/8 in (22.23 mm)"},
        "inner wall": {"ferry": "-", "harbour": "7/8 in (22.23 mm)"},
    }
    for what, own in said.items():
        row = next(line for line in drawn.splitlines() if line.strip().startswith(what))
        assert re.split(r" {2,}", row.strip()) == [what, *(own[name] for name in names)]
    # no fraction of an inch stands alone beside millimetres
    assert not re.search(r"[0-9] in\b(?! \()", ran.out)


def test_one_box_in_two_units_differs_in_its_unit_alone(tmp_path: Path) -> None:
    """2 in are 50.8 mm and 3 in 76.2 mm, exactly: nothing that is drawn differs."""
    plain = 'format = 1\ntitle = "One box"\nunit = "UNIT"\ntools = "score-board-inch"\n'
    plain += '[base]\nstyle = "tray"\nstock = "cover-80"\n'
    (tmp_path / "inch.toml").write_text(plain.replace("UNIT", "in") + "floor = [2, 3]\ndepth = 1\n")
    metric = plain.replace("UNIT", "mm") + "floor = [50.8, 76.2]\ndepth = 25.4\n"
    (tmp_path / "metric.toml").write_text(metric)
    ran = fitcheck("compare", "inch.toml", "metric.toml", "--no-odds", cwd=tmp_path)
    assert "nothing differs in what the two say" in ran.out, ran.out + ran.err
