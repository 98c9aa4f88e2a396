"""`fitcheck suggest` as a person runs it."""

from __future__ import annotations

from pathlib import Path

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.odds.prospect import good_chance, take_prospect
from tests.cli.commands import ROOT, fitcheck
from tests.cli.designs import TOFFEES

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
    assert "scores in grooves 5.00 mm (0.197 in) apart, cuts by 0.50 mm" in ran.out
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
