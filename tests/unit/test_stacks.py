"""A stack whose sheets come out implausibly thin or thick is refused with what was read."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitcheck.errors import InputError
from fitcheck.learn.csv_rows import parse_sheet
from fitcheck.learn.session import learn_from
from fitcheck.stock.tools import Tools
from fitcheck.workspace.paths import Workplace, shipped_workspace
from fitcheck.workspace.records import records_folder

HEAD = "date,by,instrument,resolution_mm,feature,nominal_mm,count,reading_mm,go_mm,nogo_mm,note\n"
TOOLS = Tools("test board", 5.0, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)


def stack(count: int, reading: float) -> str:
    return f"2026-11-20,kh,caliper,0.01,stack,,{count},{reading},,,\n"


def learnt(folder: Path, name: str, *rows: str) -> None:
    file = folder / "taken.csv"
    file.write_text(HEAD + "".join(rows), encoding="utf-8")
    learn_from(name, file, Workplace(folder, (folder, shipped_workspace())), TOOLS)


def refused(folder: Path, name: str, *rows: str) -> list[str]:
    with pytest.raises(InputError) as error:
        learnt(folder, name, *rows)
    assert not list(records_folder(folder).glob("*.csv")), "nothing is kept of it"
    assert not (folder / "calibration" / "stocks" / f"{name}.toml").exists()
    return list(error.value.lines)


def test_a_single_sheet_read_as_a_stack_of_ten_is_no_paper() -> None:
    """0.4 mm for ten sheets would be 0.04 mm a sheet: a third of office paper (0.1 mm)."""
    with pytest.raises(InputError) as error:
        parse_sheet(HEAD + stack(10, 0.4), "r.csv")
    (line,) = error.value.lines
    assert "r.csv: row 2: reading_mm: read 0.4 for 10 sheets, 0.040 mm a sheet" in line
    assert "allowed: 0.5 to 30 mm (0.05 to 3 mm a sheet)" in line
    assert "looks like one sheet: write 1 in count" in line


def test_a_stack_is_held_against_the_paper_that_is_known(tmp_path: Path) -> None:
    """cardstock-270 is 0.330 mm thick: 0.9 mm is no ten sheets of it and no one either."""
    (line,) = refused(tmp_path, "cardstock-270", stack(10, 0.9))
    assert "0.090 mm a sheet" in line and "cardstock-270 is known as 0.330 mm" in line
    assert "about 3 sheets" in line and "another name" in line
    (line,) = refused(tmp_path, "cardstock-270", stack(4, 0.34))
    assert "looks like one sheet: write 1 in count" in line


def test_stacks_of_a_new_paper_are_held_against_each_other(tmp_path: Path) -> None:
    rows = [stack(10, 3.9), stack(20, 7.9), stack(10, 0.8), stack(10, 3.95)]
    (line,) = refused(tmp_path, "new-board", *rows)
    assert "row 4" in line and "0.080 mm a sheet" in line
    assert "the other stacks come to 0.395 mm" in line


def test_a_paper_a_little_thicker_than_it_was_is_learnt(tmp_path: Path) -> None:
    learnt(tmp_path, "cardstock-270", stack(10, 3.6), stack(1, 0.36), stack(20, 7.0))
    assert (tmp_path / "calibration" / "stocks" / "cardstock-270.toml").is_file()
