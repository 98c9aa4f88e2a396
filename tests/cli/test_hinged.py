"""A tray with a hinged lid from its file to what every command says and writes of it."""

from __future__ import annotations

import json
from pathlib import Path

from tests.cli.commands import fitcheck


def test_check_tells_how_the_lid_closes(tmp_path: Path) -> None:
    ran = fitcheck("check", "cards", "--odds", "500", "--json", "cards.json", cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert "in one piece with the base: closes freely" in ran.out
    assert "close\n" in ran.out and "in 95 what turns has" in ran.out
    data = json.loads((tmp_path / "cards.json").read_text())
    (mate,) = data["mates"]
    assert (mate["mover"], mate["holder"], mate["panel"]) == ("base", "base", "lid")
    assert (mate["motion"], mate["verdict"], mate["blocked_at_deg"]) == ("turn", "free", None)
    assert mate["clearance_mm"] > 1.0 and mate["pieces"] == ["front wall", "lip"]
    (odds,) = data["odds"]["mates"]
    assert set(odds["play_mm"]) == {"swing", "rims", "side"} and odds["goes"] > 0.9


def test_a_lid_that_stops_is_told_with_its_angle(tmp_path: Path) -> None:
    design = Path(__file__).resolve().parents[2] / "models" / "cards.toml"
    text = design.read_text().replace("clear  = 1.5", "clear  = 0")
    (tmp_path / "short.toml").write_text(text)
    ran = fitcheck("check", "short.toml", "--no-odds", "--json", "short.json", cwd=tmp_path)
    assert ran.status == 1, ran.err
    assert "degrees before it is closed" in ran.out
    assert "make the lid 0.5 mm longer" in " ".join(ran.out.split())
    (mate,) = json.loads((tmp_path / "short.json").read_text())["mates"]
    assert mate["verdict"] == "blocked" and 80.0 < mate["blocked_at_deg"] < 90.0


def test_sheet_and_page_show_the_lid(tmp_path: Path) -> None:
    ran = fitcheck("sheet", "cards", "-o", "sheet", cwd=tmp_path)
    assert ran.status == 0, ran.err
    steps = (tmp_path / "sheet" / "cards-steps.txt").read_text()
    last = next(one for one in steps.splitlines() if "close the lid" in one)
    assert "Fold the lip down and close the lid until it lies on the walls" in last
    ran = fitcheck("check", "cards", "--no-odds", "--report", "page.html", cwd=tmp_path)
    assert ran.status == 0, ran.err
    page = (tmp_path / "page.html").read_text()
    assert "the lid closes with 1.17 mm to spare" in page and "with the lid open" in page
