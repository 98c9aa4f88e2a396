"""A carton with tucked lids from its file to what every command says and writes of it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from tests.cli.commands import fitcheck

MODELS = Path(__file__).resolve().parents[2] / "models"
WHIST = MODELS / "whist.toml"


def test_check_tells_how_the_lid_goes_in_and_holds(tmp_path: Path) -> None:
    ran = fitcheck("check", "whist", "--odds", "500", "--json", "whist.json", cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert "tucked in, in one piece with the box: it goes in freely" in ran.out
    assert "holds          shoulders reach 0.96 mm over the tuck flap" in ran.out
    assert "go in\n" in ran.out and "to the flaps below" in ran.out
    data = json.loads((tmp_path / "whist.json").read_text())
    (mate,) = data["mates"]
    assert (mate["mover"], mate["holder"], mate["panel"]) == ("base", "base", "lid")
    assert (mate["motion"], mate["verdict"], mate["holds"]) == ("turn", "free", True)
    # 1.6 mm of room beside the lid, half of it on each side
    assert mate["play_mm"]["beside"] == pytest.approx(0.8, abs=1e-6)
    # lids 1.5 mm shorter than the floor, less a paper of 0.23 mm
    assert mate["play_mm"]["front"] == pytest.approx(1.5 - 0.23, abs=1e-6)
    (odds,) = data["odds"]["mates"]
    assert set(odds["play_mm"]) == {"beside", "front", "behind", "rims"} and odds["goes"] > 0.9


def test_a_lid_that_only_friction_holds_is_told(tmp_path: Path) -> None:
    text = WHIST.read_text().replace("depth  = 95", 'depth  = 95\nlock   = "none"')
    (tmp_path / "loose.toml").write_text(text)
    ran = fitcheck("check", "loose.toml", "--no-odds", cwd=tmp_path)
    assert ran.status == 0, ran.err
    said = " ".join(ran.out.split())
    assert "by friction alone: pressed from inside, it opens" in said
    assert 'make lock = "slit" for one that does' in said


def test_a_deck_too_high_does_not_fit(tmp_path: Path) -> None:
    """The deck is 88.9 mm high and the carton has its depth less 2 (t - a) inside."""
    (tmp_path / "low.toml").write_text(WHIST.read_text().replace("= 95", "= 89"))
    ran = fitcheck("check", "low.toml", "--no-odds", cwd=tmp_path)
    assert ran.status == 1, ran.err
    assert "does not fit" in ran.out or "no way in was found" in ran.out


def test_sheet_and_page_show_the_carton(tmp_path: Path) -> None:
    ran = fitcheck("sheet", "whist", "-o", "sheet", cwd=tmp_path)
    assert ran.status == 0, ran.err
    steps = (tmp_path / "sheet" / "whist-steps.txt").read_text()
    bottom, top = (one for one in steps.splitlines() if "slide it down behind" in one)
    assert "Open the tube and square it. Turn the left bottom flap and the right" in bottom
    assert "Turn the left dust flap and the right dust flap in" in top
    assert "until the shoulders beside its ends come to lie in its slits" in top
    ran = fitcheck("check", "whist", "--no-odds", "--report", "page.html", cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert "the lid closes with 0.80 mm to spare" in (tmp_path / "page.html").read_text()


def test_stand_ins_are_made_of_it(tmp_path: Path) -> None:
    ran = fitcheck("dummy", "whist", "-o", "dummy", cwd=tmp_path)
    assert ran.status == 0, ran.err
    made = {path.name for path in (tmp_path / "dummy").iterdir()}
    assert {"dummy-deck-poker.stl", "folded-base.stl", "dummy-whist-inside.stl"} <= made


@pytest.mark.parametrize(
    ("mass", "told"), [("mass_g = 900", True), ("mass_g = 250", False), ("", False)]
)
def test_what_is_heavy_wants_more_than_a_tucked_bottom(
    tmp_path: Path, mass: str, told: bool
) -> None:
    """Common practice, no source: a heavy bottle gets a glued bottom or a second one."""
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "items.toml").write_text(
        f'[stone]\nkind = "block"\nsize = [60, 16, 80]\nsource = "invented"\n{mass}\n'
    )
    text = WHIST.read_text().replace('"deck-poker"', '"stone"')
    for name, design in (("carton", text), ("tray", (MODELS / "lantern.toml").read_text())):
        one = design.replace('"toffee-wrapped"', '"stone"').replace("count  = 6", "count  = 1")
        (tmp_path / "models" / f"{name}.toml").write_text(one.replace('lay    = "flat"', ""))
        found = check(read_design(tmp_path / "models" / f"{name}.toml"))
        said = [one.message for one in found.findings if one.code == "heavy-for-bottom"]
        assert bool(said) == (told and name == "carton"), said
        if said:
            assert said[0].startswith("what goes in weighs 900 g, and the bottom is only tucked in")
            assert "glue it shut, or glue a second floor inside" in said[0]
