"""What is bought for a job counts for the whole of its sheets: its pieces, its cautions, its count.

A tray of floor W x L and depth H is cut from (W + 2 H) x (L + 2 H). A3 is 297 x 420 mm (ISO 216).
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.commands import Ran, fitcheck_here

PEN_CASE = """
format = 1
title = "Pen case"
unit = "mm"
[base]
style = "tray"
stock = "cover-100"
floor = [40, 378]
depth = 20
[lid]
style = "tray"
stock = "cover-100"
oversize = [1.5, 2]
depth = 15
"""
"""Its sheets: 80 x 418 mm, and 71.5 x 410 mm; on no square of 304.8 mm, on A3."""
RING = """
format = 1
title = "Ring"
unit = "mm"
[base]
style = "tray"
stock = "cover-100"
floor = [150, 120]
depth = 30
[collar]
style = "collar"
stock = "cover-80"
ease = 1
rise = 12
seam = 12.7
[lid]
style = "tray"
stock = "cover-100"
oversize = 0
depth = 20
"""
"""Its ring: 2 x (149 + 119) and a flap of 12.7 mm are 548.7 mm; half of it 280.7 mm."""


def sheets(folder: Path, text: str, *more: str) -> tuple[Ran, dict[str, object], str]:
    """What is printed, the JSON and the steps."""
    (folder / "models").mkdir(exist_ok=True)
    (folder / "models" / "one.toml").write_text(text)
    ran = fitcheck_here("sheet", "one", "-o", "out", "--json", "one.json", *more, cwd=folder)
    data = json.loads((folder / "one.json").read_text())
    return ran, data, (folder / "out" / "one-steps.txt").read_text()


def bought(data: dict[str, object]) -> dict[tuple[str, str], int]:
    return {
        (row["part"], row["bought"]): row["grain_ignored"]
        for row in data["yields"]["parts"]  # type: ignore[index]
    }


def test_a_sheet_that_is_bought_is_not_said_to_be_missing(tmp_path: Path) -> None:
    """297 / 80 is 3.7 and 297 / 71.5 is 4.2, both 420 mm long at the most."""
    ran, data, steps = sheets(tmp_path, PEN_CASE, "--bought", "a3")
    assert ran.status == 0, ran.err
    assert "cannot be cut" not in ran.out + steps
    assert bought(data) == {("base", "a3"): 3, ("lid", "a3"): 4}


def test_a_sheet_that_is_bought_and_too_small_says_what_is_missing(tmp_path: Path) -> None:
    ran, _, steps = sheets(tmp_path, PEN_CASE, "--bought", "300x400")
    said = "the largest that is bought or that most have at hand: A3 holds it, and from smaller"
    assert ran.out.count(said) == 2 and said in steps


def test_who_says_nothing_is_told_which_sheet_in_common_use_holds_it(tmp_path: Path) -> None:
    ran, data, _ = sheets(tmp_path, PEN_CASE)
    assert "12 x 12 in is the largest that most have at hand: A3 holds it" in ran.out
    assert "if you have A3, write in calibration/tools/my-sheets.toml the lines" in ran.out
    assert 'sheets = ["a4", "a3"], and in the design tools = "my-sheets"' in ran.out
    assert bought(data)["base", "A3"] == 3 and bought(data)["base", "12 x 12 in"] == 0


def test_a_sheet_that_no_part_needs_is_not_counted(tmp_path: Path) -> None:
    _, data, _ = sheets(tmp_path, PEN_CASE.replace("378", "78"))
    assert {name for _, name in bought(data)} == {"letter", "A4", "12 x 12 in"}


@pytest.mark.parametrize(
    ("more", "width", "copies"), [((), 280.7, 2), (("--bought", "500x700"), 548.7, None)]
)
def test_a_ring_is_cut_in_one_piece_from_what_is_bought(
    tmp_path: Path, more: tuple[str, ...], width: float, copies: int | None
) -> None:
    """The floor less 1 mm each way, twice round, and a flap; 548.7 mm go on 700."""
    ran, data, steps = sheets(tmp_path, RING, *more)
    ring = data["parts"]["collar"]  # type: ignore[index]
    assert ring["sheet_mm"]["width"] == pytest.approx(width)
    assert ring.get("copies") == copies
    for words in (ran.out, steps):
        assert ("two strips" in words) == (copies is not None)


def test_drawings_of_two_strips_go_where_one_strip_is_drawn(tmp_path: Path) -> None:
    """A strip of 280.7 mm goes on one page of A4 on its side, 548.7 mm on no single one."""
    sheets(tmp_path, RING)
    assert (tmp_path / "out" / "one-collar.svg").exists()
    ran, _, _ = sheets(tmp_path, RING, "--bought", "500x700")
    assert not (tmp_path / "out" / "one-collar.svg").exists()
    assert "one-collar.svg" in ran.out
