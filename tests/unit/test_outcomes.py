"""Boxes that were made: kept line by line, and scored as forecasts are."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from fitcheck.errors import InputError
from fitcheck.learn.outcomes import (
    BOXES_FILE,
    BoxOutcome,
    BoxRecord,
    Forecast,
    add_box,
    read_boxes,
)
from fitcheck.learn.scores import brier_of, score_of
from fitcheck.outputs.record_text import score_lines
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


def test_the_share_of_right_boxes_is_kept_beside_files_from_before_it(tmp_path: Path) -> None:
    """A file with the header that went before is read, and widened when a box is added."""
    old = box(BoxOutcome.SLID, (0.1, 0.8, 0.1))
    add_box(tmp_path, old)
    path = records_folder(tmp_path) / BOXES_FILE
    before = [line.rsplit(",", 1)[0] for line in path.read_text(encoding="utf-8").splitlines()]
    assert before[0].endswith(",note")
    path.write_text("\n".join(before) + "\n", encoding="utf-8")
    assert read_boxes(tmp_path) == (old,)
    new = box(BoxOutcome.LOOSE, (0.2, 0.5, 0.3), right=0.47)
    add_box(tmp_path, new)
    assert read_boxes(tmp_path) == (old, new)
    rows = path.read_text(encoding="utf-8").splitlines()
    assert rows[0].endswith(",note,odds_right") and rows[2].endswith(",0.47")
    assert [row.removesuffix(",") for row in rows[1:2]] == before[1:], "what was there stays"


def test_counts_in_words() -> None:
    """9 of 12 at 8 in 10, which chance allows; none of 12, which it does not (0.2 to the 12th)."""
    sure = (0.1, 0.82, 0.08)
    boxes = [box(BoxOutcome.SLID, sure)] * 9 + [box(BoxOutcome.BOUND, sure)] * 3
    lines = list(score_lines(score_of(boxes)))
    assert "  of 12 boxes predicted to slide on 8 times in 10, 9 did" in lines
    assert "nothing speaks against" in lines[-1]
    assert not [line for line in lines if "Brier" in line or "+-" in line]
    assert any("Brier" in line for line in score_lines(score_of(boxes), details=True))
    off = list(score_lines(score_of([box(BoxOutcome.BOUND, sure)] * 12)))
    assert "none did" in off[1] and "the odds are off" in off[-1]


def test_a_broken_file_is_told_and_left_alone(tmp_path: Path) -> None:
    add_box(tmp_path, box(BoxOutcome.SLID, None))
    path = records_folder(tmp_path) / BOXES_FILE
    path.write_text(path.read_text() + "half a li", encoding="utf-8")
    before = path.read_bytes()
    with pytest.raises(InputError, match="row 3: cannot be understood"):
        add_box(tmp_path, box(BoxOutcome.SLID, None))
    assert path.read_bytes() == before


def test_briers_own_bounds() -> None:
    """Brier, Monthly Weather Review 78 (1950) 1: 0 when sure and right, 2 when sure and wrong."""
    assert brier_of((0.0, 1.0, 0.0), BoxOutcome.SLID) == 0.0
    assert brier_of((1.0, 0.0, 0.0), BoxOutcome.SLID) == 2.0
    assert brier_of((1 / 3, 1 / 3, 1 / 3), BoxOutcome.LOOSE) == pytest.approx(2 / 3)


def test_the_score_of_known_boxes() -> None:
    boxes = [box(BoxOutcome.SLID, (0.1, 0.8, 0.1)), box(BoxOutcome.BOUND, (0.5, 0.5, 0.0))]
    found = score_of([*boxes, box(BoxOutcome.LOOSE, None)])
    assert found is not None and found.boxes == 2
    briers = [0.01 + 0.04 + 0.01, 0.25 + 0.25]
    assert found.brier == pytest.approx(sum(briers) / 2)
    assert found.brier_u == pytest.approx(abs(briers[0] - briers[1]) / 2)
    assert found.log == pytest.approx(-(math.log(0.8) + math.log(0.5)) / 2)
    assert score_of([box(BoxOutcome.LOOSE, None)]) is None


def test_right_odds_score_as_expected_and_wrong_ones_are_found_out() -> None:
    rng = np.random.default_rng(2)
    kinds = list(BoxOutcome)
    truth = (0.2, 0.7, 0.1)
    drawn = [kinds[k] for k in rng.choice(3, size=300, p=truth)]
    right = score_of([box(outcome, truth) for outcome in drawn])
    wrong = score_of([box(outcome, (0.02, 0.97, 0.01)) for outcome in drawn])
    assert right is not None and wrong is not None
    assert not right.surprising and wrong.surprising
    assert right.brier < wrong.brier and right.log < wrong.log
