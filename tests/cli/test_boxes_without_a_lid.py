"""Drawers, hinged trays and cartons are forecast and recorded as boxes with a lid are.

The shipped ones are used as they are: what is said of them is held against what `check` says of the
same boxes, and a drawer's play against its section by hand (a sleeve of W, score to score, of a
paper with caliper t and allowance a is W + 2 a - 2 t wide inside, a tray F + 2 a; worked by hand).
"""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from tests.cli.commands import ROOT, Ran, fitcheck_here

SHIPPED = {"tea": "drawer", "cards": "lid", "whist": "lid"}


def bench(root: Path) -> Path:
    """A workspace with the shipped designs and no records."""
    shutil.copytree(ROOT / "models", root / "models")
    (root / "calibration").mkdir()
    return root


def run(root: Path, *arguments: str) -> Ran:
    return fitcheck_here(*arguments, cwd=root)


def frozen(root: Path, name: str) -> dict[str, object]:
    found: dict[str, object] = json.loads(
        (root / f"calibration/records/forecast-{name}-0001.json").read_text(encoding="utf-8")
    )
    return found


@pytest.mark.parametrize(("name", "called"), SHIPPED.items())
def test_what_closes_it_is_forecast_as_check_says(tmp_path: Path, name: str, called: str) -> None:
    root = bench(tmp_path)
    ran = run(root, "record", name, "--forecast")
    assert ran.status == 0, ran.err
    assert re.search(rf"^  {called} +(under|\d)", ran.out, re.MULTILINE)
    assert run(root, "check", name, "--json", "said.json").status == 0
    said = json.loads((root / "said.json").read_text(encoding="utf-8"))
    forecast = frozen(root, name)
    chances, (mate,) = forecast["chances"], said["odds"]["mates"]
    assert chances["right"] == pytest.approx(said["odds"]["good"]["share"], abs=1e-9)  # type: ignore[index]
    bands = chances["bands"]  # type: ignore[index]
    assert sum(bands.values()) == pytest.approx(1.0)
    assert 1.0 - bands["binds"] - bands["tight"] == pytest.approx(mate["goes"], abs=1e-9)
    assert forecast["closes"] == called


def test_the_play_of_a_drawer_is_that_of_its_section(tmp_path: Path) -> None:
    """Both of cardstock-270: W + 2 a - 2 t less F + 2 a is the ease less 2 t, 2 - 2 x 0.33 across;
    up it has a flap and its glue less and a more, 2 - 3 x 0.33 - 0.1 + a."""
    root = bench(tmp_path)
    assert run(root, "record", "tea", "--forecast").status == 0
    allowance = 0.2004
    up = 2.0 - 3 * 0.33 - 0.1 + allowance
    assert frozen(root, "tea")["nominal_play_mm"] == pytest.approx(min(2 - 2 * 0.33, up), abs=0.01)


def test_a_drawer_that_was_made_is_scored_and_listed(tmp_path: Path) -> None:
    root = bench(tmp_path)
    assert run(root, "record", "tea", "--forecast").status == 0
    ran = run(root, "record", "tea", "--outcome", "slid", "--play", "0.9", "--fitted", "yes")
    assert ran.status == 0, ran.err
    assert "came out  right" in ran.out and "less play than this one" in ran.out
    rattles = run(root, "record", "tea", "--outcome", "loose", "--play", "1.7")
    assert "came out  right" in rattles.out
    bound = run(root, "record", "tea", "--outcome", "bound")
    assert "came out  not right" in bound.out
    listed = run(root, "list", "records").out
    assert "3 boxes" in listed and "tea, box 3" in listed


def test_without_a_forecast_it_is_told_after_the_event(tmp_path: Path) -> None:
    ran = run(bench(tmp_path), "record", "cards", "--outcome", "slid")
    assert ran.status == 0, ran.err
    assert "slides with 1.17 mm of play" in " ".join(ran.out.split())


@pytest.mark.parametrize(
    ("name", "answers", "said"),
    [
        ("cards", ("--outcome", "loose"), "whose lid is in one piece with it"),
        ("whist", ("--outcome", "slid", "--play", "0.4"), "allowed: no play"),
        ("tea", ("--outcome", "slid", "--sink", "3 s"), "which has no [lid]"),
        ("tea", ("--outcome", "bound", "--right", "yes"), "snug or slides or loose is wanted"),
    ],
)
def test_what_it_cannot_have_done_is_refused(
    tmp_path: Path, name: str, answers: tuple[str, ...], said: str
) -> None:
    root = bench(tmp_path)
    ran = run(root, "record", name, *answers)
    assert ran.status == 2 and said in " ".join(ran.err.split())
    assert not (root / "calibration/records").exists()


def test_a_tray_that_stays_open_has_nothing_to_record(tmp_path: Path) -> None:
    root = bench(tmp_path)
    open_ = re.sub(
        r"\[sleeve\].*?(?=\[\[content\]\])", "", (root / "models/tea.toml").read_text(), flags=re.S
    )
    (root / "models/open.toml").write_text(open_, encoding="utf-8")
    ran = run(root, "record", "open", "--forecast")
    assert ran.status == 2 and "has nothing that closes it" in ran.err
