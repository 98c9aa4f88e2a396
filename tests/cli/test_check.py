"""`fitcheck check`: verdict on stdout, JSON in a file, statuses 0 to 3, nothing half-written."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from tests.cli.commands import fitcheck
from tests.cli.designs import FRAMED


def changed(tmp_path: Path, old: str, new: str) -> Path:
    """The framed box with one line changed."""
    assert old in FRAMED
    path = tmp_path / "box.toml"
    path.write_text(FRAMED.replace(old, new))
    return path


def framed(tmp_path: Path) -> Path:
    """The framed box as it is."""
    return changed(tmp_path, "format = 1", "format = 1")


@pytest.mark.parametrize("name", ["harbour", "lantern", "rope"])
def test_every_shipped_design_fits(name: str, tmp_path: Path) -> None:
    ran = fitcheck("check", name, "--no-odds", cwd=tmp_path)
    assert ran.status == 0, ran.err
    assert "everything fits" in ran.out
    assert ran.err == ""


def test_a_lid_that_binds(tmp_path: Path) -> None:
    design = changed(tmp_path, 'oversize = "1/16"', 'oversize = "1/32"')
    ran = fitcheck("check", design, "--no-odds", "--json", "out.json", cwd=tmp_path)
    assert ran.status == 1
    assert "something does not fit" in ran.out and "presses by" in ran.out
    data = json.loads((tmp_path / "out.json").read_text())
    assert data["verdict"] == "does not fit"
    assert data["lid"]["verdict"] == "binds"
    assert data["lid"]["play_mm"]["width"] < 0 < data["lid"]["play_mm"]["length"]


def test_json_keys_of_the_format(tmp_path: Path) -> None:
    options = ("--no-odds", "--json", tmp_path / "deep" / "out.json")
    ran = fitcheck("check", framed(tmp_path), *options, cwd=tmp_path)
    assert ran.status == 0
    data = json.loads((tmp_path / "deep" / "out.json").read_text())
    assert data["format"] == 1 and data["verdict"] == "fits"
    for part in ("base", "lid"):
        found = data["parts"][part]
        assert set(found["outside_mm"]) == {"width", "length", "height"}
        assert set(found["inside_mm"]) == {"width", "length", "depth"}
        assert set(found["sheet_mm"]) == set(found["floor_outside_mm"]) == {"width", "length"}
        assert found["self_fit"] == [] and found["stock"]
        assert found["caliper_mm"] > found["crease_allowance_mm"] > 0
    assert data["parts"]["base"]["corner_rise_mm"] == pytest.approx(0.43)
    lid = data["lid"]
    assert set(lid["play_mm"]) == {"width", "length"}
    assert set(lid["limiting"]) == {"axis", "pieces", "at_mm"}
    assert lid["overlap_mm"] > 0 and lid["reveal_mm"] > 0 and lid["closed_height_mm"] > 0
    assert "odds" not in data and "advice" not in data
    (content,) = data["contents"]
    assert set(content) >= {
        "item", "count", "verdict", "slack_mm", "orientation", "turn_deg", "protrudes_mm",
        "finger_gap_mm", "notch_radius_mm", "way_out", "missing_mm", "cure",
    }  # fmt: skip
    assert set(content["slack_mm"]) == {"width", "length", "height"}


@pytest.mark.parametrize(
    ("inside", "item", "count", "width", "length"),
    [
        ("[60, 90]", "card-id1", 1, 53.98, 85.60),
        ("[90, 60]", "card-id1", 3, 85.60, 53.98),
        # turned by about 45 degrees it takes 130 / sqrt 2 = 91.92 mm each way
        ("[95, 95]", "ruler", 1, 120.0, 10.0),
    ],
)
def test_a_script_reads_how_a_piece_lies_from_its_sizes(
    inside: str, item: str, count: int, width: float, length: float, tmp_path: Path
) -> None:
    """A card of ISO/IEC 7810, 85.60 x 53.98 mm, lies along the longer side of its base; of what is
    turned beyond how it lies the sizes are those before the turn."""
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "items.toml").write_text(
        '[ruler]\nkind = "block"\nsize = [120, 10, 3]\nsource = "invented for tests"\n'
    )
    (tmp_path / "models" / "box.toml").write_text(
        'format = 1\ntitle = "Box"\nunit = "mm"\n[base]\nstyle = "tray"\nstock = "cover-80"\n'
        f'inside = {inside}\ndepth = 9\n[[content]]\nitem = "{item}"\ncount = {count}\n'
        'lay = "flat"\n'
    )
    fitcheck("check", "models/box.toml", "--no-odds", "--json", "out.json", cwd=tmp_path)
    (content,) = json.loads((tmp_path / "out.json").read_text())["contents"]
    assert len(content["placements"]) == count
    for place in content["placements"]:
        size, turn = place["size_mm"], math.radians(place["turn_deg"])
        assert size == {
            "width": pytest.approx(width),
            "length": pytest.approx(length),
            "height": pytest.approx(3.0 if item == "ruler" else 0.76),
        }
        # the walls are further apart than the tabs by less than 0.7 mm
        cos, sin, most = abs(math.cos(turn)), abs(math.sin(turn)), json.loads(inside)
        assert width * cos + length * sin <= most[0] + 0.7
        assert width * sin + length * cos <= most[1] + 0.7


def test_rolls_of_a_framed_base_are_given_by_axis(tmp_path: Path) -> None:
    """Closed forms: a level frame's inner wall is upright, its face w + a from the floor's score
    where the outer wall stands a outside it, its edge h + 2a - t above the floor."""
    fitcheck("check", framed(tmp_path), "--no-odds", "--json", "out.json", cwd=tmp_path)
    parts = json.loads((tmp_path / "out.json").read_text())["parts"]
    assert "rolls" not in parts["lid"]
    rolls = parts["base"]["rolls"]
    assert set(rolls) == {"width", "length"}
    allowance, caliper = parts["base"]["crease_allowance_mm"], parts["base"]["caliper_mm"]
    for axis in ("width", "length"):
        found = rolls[axis]
        assert set(found) == {"top_mm", "foot_mm", "edge_height_mm", "tip_gap_mm", "trim_mm"}
        opening = parts["base"]["inside_mm"][axis]
        assert found["top_mm"] == pytest.approx((parts["base"]["floor_mm"][axis] - opening) / 2)
        assert found["edge_height_mm"] == pytest.approx(22.225 + 2 * allowance - caliper, abs=0.01)
        assert found["tip_gap_mm"] >= 0.0 and found["trim_mm"] <= 0.0
    assert rolls["length"]["top_mm"] == pytest.approx(9.525 + allowance, abs=1e-4)
    assert rolls["length"]["foot_mm"] == pytest.approx(rolls["length"]["top_mm"], abs=1e-4)


def test_a_roll_that_stands_in_on_one_side_is_the_one_that_is_given(tmp_path: Path) -> None:
    """A flap as wide as its frame: the foot stands further in than the top."""
    design = changed(tmp_path, 'flap   = "11/32"', 'flap   = "3/8"')
    fitcheck("check", design, "--no-odds", "--json", "out.json", cwd=tmp_path)
    rolls = json.loads((tmp_path / "out.json").read_text())["parts"]["base"]["rolls"]
    for found in rolls.values():
        assert found["foot_mm"] > found["top_mm"] and found["trim_mm"] > 0.0
        assert found["tip_gap_mm"] == pytest.approx(0.0, abs=1e-6)


def test_a_tight_lid_is_said_to_go_on_with_a_push(tmp_path: Path) -> None:
    design = changed(tmp_path, 'oversize = "1/16"', 'oversize = "1.30 mm"')
    ran = fitcheck("check", design, "--no-odds", "--json", "out.json", cwd=tmp_path)
    data = json.loads((tmp_path / "out.json").read_text())
    assert data["lid"]["verdict"] == "tight" and ran.status == 1
    assert "lid fit   tight: it goes on with a push" in ran.out


def test_another_paper_changes_the_answer(tmp_path: Path) -> None:
    options = ("--no-odds", "--stock", "lid=tag-165", "--json", "a.json")
    ran = fitcheck("check", framed(tmp_path), *options, cwd=tmp_path)
    data = json.loads((tmp_path / "a.json").read_text())
    assert data["parts"]["lid"]["stock"] == "tag-165"
    assert data["lid"]["verdict"] in ("binds", "snug") and ran.status in (0, 1)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('style  = "shadow-box"', 'style  = "shadow-bx"', "shadow-box"),
        ('frame  = "3/8"', 'fram  = "3/8"', "frame"),
        ('stock  = "cardstock-270"', 'stock  = "cardstock-271"', "cardstock-270"),
        ('item   = "card-id1"', 'item   = "card-idl"', "card-id1"),
        ('depth  = "7/8"', 'depth  = "-7/8"', "base.depth"),
        ('frame  = "3/8"', 'frame  = "2"', "base.frame"),
        ("format = 1", "format = 2", "format"),
    ],
)
def test_wrong_input_is_one_clear_line_and_nothing_is_written(
    tmp_path: Path, old: str, new: str, said: str
) -> None:
    design = changed(tmp_path, old, new)
    ran = fitcheck("check", design, "--no-odds", "--json", "out.json", cwd=tmp_path)
    assert ran.status == 2
    assert ran.out == ""
    assert said in ran.err and "box.toml" in ran.err and "Traceback" not in ran.err
    assert not (tmp_path / "out.json").exists()


def test_a_design_that_is_not_there(tmp_path: Path) -> None:
    ran = fitcheck("check", "harbor", cwd=tmp_path)
    assert ran.status == 2 and "nearest known: 'harbour'" in ran.err
    ran = fitcheck("check", tmp_path / "none.toml", cwd=tmp_path)
    assert ran.status == 2 and "none.toml" in ran.err


def test_a_stock_option_of_another_form(tmp_path: Path) -> None:
    ran = fitcheck("check", framed(tmp_path), "--no-odds", "--stock", "lid", cwd=tmp_path)
    assert ran.status == 2 and "PART=NAME" in ran.err


def test_failing_is_status_three(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A flap so long that the roll cannot close is no input error: the model gives up."""
    from fitcheck.cli import main
    from fitcheck.errors import ModelError

    def fail() -> None:
        raise ModelError("the roll cannot be closed")

    monkeypatch.setattr(main, "app", fail)
    with pytest.raises(SystemExit) as stopped:
        main.run()
    assert stopped.value.code == 3


def test_an_unexpected_error_is_status_three_and_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from fitcheck.cli import main

    def fail() -> None:
        raise ZeroDivisionError("oh")

    monkeypatch.setattr(main, "app", fail)
    monkeypatch.delenv(main.DEBUG, raising=False)
    with pytest.raises(SystemExit) as stopped:
        main.run()
    assert stopped.value.code == 3
    assert capsys.readouterr().err.count("\n") == 1


def test_list_and_schema(tmp_path: Path) -> None:
    for kind, name in (
        ("stocks", "cardstock-270"),
        ("tools", "score-board-inch"),
        ("items", "card-id1"),
        ("styles", "shadow-box"),
    ):
        ran = fitcheck("list", kind, cwd=tmp_path)
        assert ran.status == 0 and name in ran.out
        assert kind == "styles" or "source:" in ran.out
    schema = json.loads(fitcheck("schema", cwd=tmp_path).out)
    assert schema["$schema"].startswith("https://json-schema.org/")


def test_the_design_itself_is_never_overwritten(tmp_path: Path) -> None:
    design = framed(tmp_path)
    before = design.read_bytes()
    for option in ("--json", "--report"):
        ran = fitcheck("check", design, option, design, cwd=tmp_path)
        assert ran.status == 2 and "an input of this command" in ran.err
    assert design.read_bytes() == before


def test_a_design_in_this_folder_is_found_by_its_name(tmp_path: Path) -> None:
    framed(tmp_path)
    assert fitcheck("check", "box", "--no-odds", cwd=tmp_path).status == 0


def test_a_base_alone_is_not_called_fitting(tmp_path: Path) -> None:
    path = tmp_path / "box.toml"
    path.write_text(FRAMED.split("[lid]")[0])
    ran = fitcheck("check", path, "--no-odds", cwd=tmp_path)
    assert ran.status == 0 and "no lid and no content to try" in ran.out


def test_a_file_where_a_folder_is_meant(tmp_path: Path) -> None:
    (tmp_path / "there").write_text("")
    ran = fitcheck("sheet", framed(tmp_path), "-o", "there", cwd=tmp_path)
    assert ran.status == 2 and "not a folder" in ran.err


def test_the_sheet_of_a_box_that_does_not_fit_says_so(tmp_path: Path) -> None:
    design = changed(tmp_path, 'oversize = "1/16"', 'oversize = "1/32"')
    ran = fitcheck("sheet", design, "-o", "s", cwd=tmp_path)
    assert ran.status == 1 and "something does not fit" in ran.out
