"""`fitcheck suggest` as a person runs it."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.odds.prospect import good_chance, take_prospect
from fitcheck.pattern.plan import scored_rules
from fitcheck.units import Unit
from tests.cli.commands import ROOT, fitcheck
from tests.cli.designs import FRAMED, TOFFEES

MODELS = [path for path in sorted((ROOT / "models").glob("*.toml")) if path.stem != "items"]
BOX = "toffees.toml"
BOXES = 4_000


def box(folder: Path) -> Path:
    """The design as a file."""
    (folder / BOX).write_text(TOFFEES, encoding="utf-8")
    return folder / BOX


def good(path: Path) -> float:
    """The odds of a design file, its own gradients taken anew."""
    prospect, forms = take_prospect(check(read_design(path, roots=[ROOT]))).asked()
    return good_chance(prospect, prospect.draw(forms, BOXES, 0)).share


def test_the_best_sizes_are_written_back_and_hold(tmp_path: Path) -> None:
    lantern = box(tmp_path)
    ran = fitcheck("suggest", BOX, "--odds", str(BOXES), "-o", "better.toml", cwd=tmp_path)
    assert ran.out.endswith("written to better.toml\n")
    assert ran.status == 0
    assert ran.err == ""
    assert "scores in grooves 5 mm (3/16 in) apart, cuts by 0.5 mm" in ran.out
    better = tmp_path / "better.toml"
    text = better.read_text(encoding="utf-8")
    assert text.startswith("# A tray with a lid for the evening lantern walk"), "comments stay"
    old, new = read_design(lantern, roots=[ROOT]), read_design(better, roots=[ROOT])
    assert old.lid is not None and new.lid is not None
    assert new.tools.on_grid(new.lid.depth_mm) and not old.tools.on_grid(old.lid.depth_mm)
    assert new.contents == old.contents
    assert "+-" not in ran.out and "seed" not in ran.out
    said = float(ran.out.split("\n  1 ")[1].split(" of 100")[0]) / 100.0
    assert good(better) > good(lantern) + 0.05
    assert abs(good(better) - said) < 0.02, "gradients carried over are as good as new ones"


def test_another_readers_paper_and_board(tmp_path: Path) -> None:
    ran = fitcheck(
        "suggest",
        box(tmp_path),
        *("--for-stock", "lid=cover-65", "--for-tools", "score-board-inch", "--odds", "500"),
        *("-o", "theirs.toml"),
        cwd=tmp_path,
    )
    assert ran.status == 0
    theirs = read_design(tmp_path / "theirs.toml", roots=[ROOT])
    assert theirs.tools.name == "score-board-inch"
    assert theirs.lid is not None and theirs.lid.stock.name == "cover-65"
    assert theirs.base.stock.name == "cover-80"
    assert "--for-tools score-board-inch --for-stock lid=cover-65 --take 1 -o FILE" in ran.out
    text = (tmp_path / "theirs.toml").read_text(encoding="utf-8")
    assert 'unit   = "in"' in text, "steps are told in what its board's grooves are in"


@pytest.mark.parametrize("name", ["tea", "slipway"])
def test_what_is_written_for_another_reader_comes_out_as_it_was_promised(
    tmp_path: Path, name: str
) -> None:
    """A file in millimetres told steps for grooves of 1/8 in as 9.5 and 22 mm: 98, then 43. And the
    first suggestion was that with the best odds as drawn: 96, and 72 as its steps round it."""
    shutil.copy(ROOT / "models" / f"{name}.toml", tmp_path / "ours.toml")
    ran = fitcheck(
        *("suggest", "ours.toml", "--for-tools", "score-board-inch", "-o", "theirs.toml"),
        cwd=tmp_path,
    )
    assert ran.status == 0, ran.err
    theirs = read_design(tmp_path / "theirs.toml", roots=[ROOT])
    assert theirs.unit is Unit.IN
    if name == "tea":
        assert 'seam   = "10 mm"' in (tmp_path / "theirs.toml").read_text(encoding="utf-8")
    promises = []
    for option in re.split(r"\n  \d {9}", ran.out)[1:]:
        rounded = re.search(r"as the steps round it: (\d+) of 100", option)
        told = re.search(r"(\d+) of 100", option)
        assert told is not None
        promises.append(int(rounded[1]) if rounded else int(told[1]))
    promised = promises[0]
    assert promised >= max(promises) - 1
    first = " ".join(fitcheck("check", "theirs.toml", cwd=tmp_path).out.split("\n\n")[0].split())
    said = [int(one) for one in re.findall(r"(\d+)(?: of 100| where)", first)]
    assert min(said) == pytest.approx(promised, abs=2)


@pytest.mark.parametrize(
    ("key", "size"),
    [
        ("inside", "inside = [69.2, 81.3]"),
        ("slack", "slack = 1.5"),
    ],
)
def test_a_size_stays_under_its_key_and_the_floor_that_follows_is_said(
    tmp_path: Path, key: str, size: str
) -> None:
    (tmp_path / BOX).write_text(TOFFEES.replace("floor  = [70, 80]", size), encoding="utf-8")
    ran = fitcheck("suggest", BOX, "--odds", "2000", "-o", "better.toml", cwd=tmp_path)
    assert ran.status == 0, ran.err
    text = (tmp_path / "better.toml").read_text(encoding="utf-8")
    table = text.split("[base]")[1].split("[lid]")[0]
    assert key in table and "floor" not in table
    better = check(read_design(tmp_path / "better.toml", roots=[ROOT]))
    assert better.fits
    recipe = better.assembly.base.recipe
    block = ran.out.split("\n  1 ")[1].split("\n  2 ")[0]
    said = re.search(r"so the base's floor is ([\d.]+) x ([\d.]+) mm \(", block)
    assert said is not None and "from score to score" in block
    floor = recipe.width_mm, recipe.length_mm
    assert [float(one) for one in said.groups()] == pytest.approx(floor, abs=0.05001)


@pytest.mark.parametrize(("text", "number"), [(FRAMED, 1), (TOFFEES, 2)])
def test_an_option_that_is_taken_is_what_it_was_said_to_be(
    tmp_path: Path, text: str, number: int
) -> None:
    """Written, read again and drawn afresh; a frame's rolls are among what is written."""
    (tmp_path / BOX).write_text(text, encoding="utf-8")
    words = ("suggest", BOX, "--odds", str(BOXES), "--take", str(number), "-o", "taken.toml")
    ran = fitcheck(*words, cwd=tmp_path)
    assert ran.status == 0, ran.err
    said = float(ran.out.split(f"\n  {number} ")[1].split(" of 100")[0]) / 100.0
    assert abs(good(tmp_path / "taken.toml") - said) < 0.02
    taken = check(read_design(tmp_path / "taken.toml", roots=[ROOT]))
    assert taken.fits
    block = " ".join(ran.out.split(f"\n  {number} ")[1].split(f"\n  {number + 1} ")[0].split())
    rules = [r.at_mm for part in taken.assembly.parts for r in scored_rules(part.pattern)]
    grooved = sum(taken.design.tools.on_grid(at) for at in rules)
    assert grooved == len(rules) and f"scores in grooves: all {len(rules)};" in block


def test_wrong_names(tmp_path: Path) -> None:
    ran = fitcheck("suggest", box(tmp_path), "--for-tools", "score-bord-inch", cwd=tmp_path)
    assert ran.status == 2
    assert "score-board-inch" in ran.err
    assert [path.name for path in tmp_path.iterdir()] == [BOX]


def test_a_deeper_lid_is_tried_although_the_lid_binds_as_drawn(tmp_path: Path) -> None:
    """A lid between grooves and too small at once: both are cured in one suggestion."""
    text = TOFFEES.split("[[content]]")[0]
    (tmp_path / "tight.toml").write_text(text.replace("oversize = 2", "oversize = 0.5"))
    ran = fitcheck("suggest", "tight.toml", "--odds", "2000", "-o", "better.toml", cwd=tmp_path)
    assert ran.status == 0, ran.err
    better = read_design(tmp_path / "better.toml", roots=[ROOT])
    assert better.lid is not None and better.tools.on_grid(better.lid.depth_mm)
    assert check(better).fits
    assert good(tmp_path / "better.toml") > 0.9


def test_details_have_the_sampling_error(tmp_path: Path) -> None:
    ran = fitcheck("suggest", box(tmp_path), "--odds", "500", "--details", cwd=tmp_path)
    assert "(500 virtual boxes each, seed 0)" in ran.out and "+-" in ran.out


@pytest.mark.parametrize("path", MODELS, ids=lambda path: path.stem)
def test_every_shipped_design_is_answered(path: Path, tmp_path: Path) -> None:
    ran = fitcheck("suggest", str(path), "--odds", "500", cwd=tmp_path)
    assert ran.status in (0, 2), ran.err  # in words, where its parts follow each other
    assert ("what to cut" in ran.out) if ran.status == 0 else ("allowed" in ran.err)
