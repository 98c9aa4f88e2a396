"""Boxes that were made: kept line by line, beside files from before."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from fitcheck.errors import InputError
from fitcheck.learn.boxes_file import (
    BOXES_FILE,
    COLUMNS,
    EARLIER,
    add_box,
    read_boxes,
    turn_box,
)
from fitcheck.learn.made import BoxOutcome, BoxRecord, Corner, Forecast, Frozen
from fitcheck.learn.scored_boxes import SET_ASIDE, beside
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


def test_a_box_that_was_recorded_by_mistake_counts_no_more(tmp_path: Path) -> None:
    """Two rows alike but for their places: only the one that is named goes, and comes back."""
    told = replace(
        box(BoxOutcome.SLID, (0.1, 0.8, 0.1)), frozen=Frozen("forecast-harbour-0001.json", 64 * "a")
    )
    for _ in range(2):
        add_box(tmp_path, told)
    before = (records_folder(tmp_path) / BOXES_FILE).read_bytes()
    turn_box(tmp_path, "harbour", 1, aside=True)
    assert [one.aside for one in read_boxes(tmp_path)] == [True, False]
    _, apart = beside(read_boxes(tmp_path), {})
    assert next((one.box.number, one.why) for one in apart) == (1, SET_ASIDE)
    for number in (0, 1):
        turn_box(tmp_path, "harbour", number, aside=number == 0)
    assert [one.aside for one in read_boxes(tmp_path)] == [False, True]
    assert (records_folder(tmp_path) / BOXES_FILE).read_bytes() == before


@pytest.mark.parametrize(("design", "number"), [("lantern", 1), ("harbour", 3), ("harbour", 1)])
def test_what_is_no_box_that_counts_is_not_set_aside(
    tmp_path: Path, design: str, number: int
) -> None:
    add_box(tmp_path, box(BoxOutcome.SLID, None))
    turn_box(tmp_path, "harbour", 1, aside=True)
    add_box(tmp_path, box(BoxOutcome.BOUND, None))
    with pytest.raises(InputError, match="--set-aside: read"):
        turn_box(tmp_path, design, number, aside=True)


def test_rows_moved_by_hand_set_no_other_box_aside(tmp_path: Path) -> None:
    add_box(tmp_path, box(BoxOutcome.SLID, None))
    add_box(tmp_path, replace(box(BoxOutcome.BOUND, None), date="2026-11-21"))
    turn_box(tmp_path, "harbour", 2, aside=True)
    path = records_folder(tmp_path) / BOXES_FILE
    header, first, second = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join((header, second, first)) + "\n", encoding="utf-8")
    with pytest.raises(InputError, match="box 2 is one of 2026-11-20"):
        read_boxes(tmp_path)
