"""Boxes that were made: kept line by line, beside files from before."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from fitcheck.errors import InputError
from fitcheck.learn.boxes_file import BOXES_FILE, COLUMNS, EARLIER, add_box, read_boxes
from fitcheck.learn.made import BoxOutcome, BoxRecord, Corner, Forecast, Frozen
from fitcheck.workspace.records import records_folder


def box(
    outcome: BoxOutcome, chances: tuple[float, float, float] | None, right: float | None = None
) -> BoxRecord:
    return BoxRecord(
        "2026-11-20", "kh", "harbour", 'A "box", plain', outcome, 0.3, 0.4, "a card",
        Forecast("slides", 0.35, chances, right), "first",
    )  # fmt: skip


def test_boxes_are_kept_and_read_back(tmp_path: Path) -> None:
    one, two = box(BoxOutcome.SLID, (0.1, 0.8, 0.1)), box(BoxOutcome.BOUND, None)
    add_box(tmp_path, one)
    first = (records_folder(tmp_path) / BOXES_FILE).read_bytes()
    add_box(tmp_path, two)
    assert (records_folder(tmp_path) / BOXES_FILE).read_bytes().startswith(first)
    assert read_boxes(tmp_path) == (one, two)


def test_all_that_is_told_of_a_box_comes_back(tmp_path: Path) -> None:
    told = replace(
        box(BoxOutcome.TIGHT, (0.1, 0.8, 0.1)),
        fitted=False,
        split=(Corner.LEFT_TOP, Corner.RIGHT_BOTTOM),
        right=False,
        frozen=Frozen("forecast-harbour-0001.json", 64 * "a"),
    )
    sound = replace(told, split=(), fitted=True, right=True)
    for one in (told, sound):
        add_box(tmp_path, one)
    assert read_boxes(tmp_path) == (told, sound)


@pytest.mark.parametrize("columns", EARLIER)
def test_files_from_before_are_read_and_widened(tmp_path: Path, columns: tuple[str, ...]) -> None:
    """Before the share of right boxes was kept, and before forecasts were frozen."""
    old = box(BoxOutcome.SLID, (0.1, 0.8, 0.1))
    add_box(tmp_path, old)
    path = records_folder(tmp_path) / BOXES_FILE
    missing = len(COLUMNS) - len(columns)
    lines = path.read_text(encoding="utf-8").splitlines()
    before = [line.rsplit(",", missing)[0] for line in lines]
    assert before[0] == ",".join(columns)
    path.write_text("\n".join(before) + "\n", encoding="utf-8")
    assert read_boxes(tmp_path) == (old,)
    new = replace(box(BoxOutcome.LOOSE, (0.2, 0.5, 0.3), right=0.47), fitted=True)
    add_box(tmp_path, new)
    assert read_boxes(tmp_path) == (old, new)
    rows = path.read_text(encoding="utf-8").splitlines()
    assert rows[0] == ",".join(COLUMNS) and ",0.47,yes," in rows[2]
    assert rows[1] == before[1] + missing * ",", "what was there stays"


@pytest.mark.parametrize(
    ("column", "cell"),
    [
        ("fitted", "perhaps"),
        ("split", "left-front"),
        ("right", "YES"),
        ("frozen_forecast", "../forecast-harbour-0001.json"),
        ("frozen_sha256", "abc"),
    ],
)
def test_a_cell_that_nobody_writes_is_told(tmp_path: Path, column: str, cell: str) -> None:
    add_box(
        tmp_path,
        replace(
            box(BoxOutcome.SLID, None),
            fitted=True,
            split=(),
            right=True,
            frozen=Frozen("forecast-harbour-0001.json", 64 * "a"),
        ),
    )
    path = records_folder(tmp_path) / BOXES_FILE
    header, line = path.read_text(encoding="utf-8").splitlines()
    title, rest = line.split(' plain"', 1)
    cells = rest.split(",")
    cells[COLUMNS.index(column) - COLUMNS.index("title")] = cell
    path.write_text(f'{header}\n{title} plain"{",".join(cells)}\n', encoding="utf-8")
    with pytest.raises(InputError, match="row 2: cannot be understood"):
        read_boxes(tmp_path)


def test_a_broken_file_is_told_and_left_alone(tmp_path: Path) -> None:
    add_box(tmp_path, box(BoxOutcome.SLID, None))
    path = records_folder(tmp_path) / BOXES_FILE
    path.write_text(path.read_text() + "half a li", encoding="utf-8")
    before = path.read_bytes()
    with pytest.raises(InputError, match="row 3: cannot be understood"):
        add_box(tmp_path, box(BoxOutcome.SLID, None))
    assert path.read_bytes() == before
