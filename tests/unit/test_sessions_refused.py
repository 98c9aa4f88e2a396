"""A session that is refused changes nothing, and a record can be set aside and taken back."""

from __future__ import annotations

import csv
import errno
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.csv_rows import write_sheet
from fitcheck.learn.session import learn_from, rebuild, turn_records
from fitcheck.learn.session_results import Emptied, Outcome, Turn
from fitcheck.stock.profile_files import read_stock
from fitcheck.workspace.records import records_folder
from tests.unit.test_learning_sessions import TOOLS, everything, learn, paper_rows, place

ONE, TWO = "stock-card-0001.csv", "stock-card-0002.csv"


def shifted(rows: list[Reading], mm: float) -> list[Reading]:
    """Every fold read so much too large: no paper grows so."""
    return [
        row if row.count else replace(row, reading_mm=(row.reading_mm or 0.0) + mm) for row in rows
    ]


def turned(root: Path, name: str = "card", **turn: tuple[str, ...]) -> Outcome | Emptied:
    return turn_records(name, Turn(**turn), place(root), TOOLS)


def profile(root: Path, name: str = "card") -> Path:
    return root / "calibration" / "stocks" / f"{name}.toml"


def test_readings_that_no_paper_gives_leave_nothing_behind(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="nothing was written") as caught:
        learn(tmp_path, "card", shifted(paper_rows(1), 3.0))
    assert "allowed is 0 to 2 calipers" in caught.value.lines[0]
    assert [path.name for path in tmp_path.iterdir()] == ["taken.csv"]


def test_they_do_not_count_later_either(tmp_path: Path) -> None:
    good = learn(tmp_path, "card", paper_rows(1))
    before = everything(tmp_path / "calibration")
    with pytest.raises(InputError):
        learn(tmp_path, "card", shifted(paper_rows(1), 4.0))
    assert everything(tmp_path / "calibration") == before
    after = learn(tmp_path, "card", paper_rows(2))
    assert after.records == (*good.records, TWO)


def test_a_profile_that_the_reader_refuses_is_not_written(tmp_path: Path) -> None:
    """A ruler over one sheet: 0.3 mm, give or take half of it and more."""
    stack = next(row for row in paper_rows(1) if row.count)
    rows = [replace(stack, count=1, resolution_mm=1.0, reading_mm=0.3)]
    with pytest.raises(InputError, match="up to half the caliper") as caught:
        learn(tmp_path, "card", rows)
    assert "nothing was written" in caught.value.lines[-1]
    assert not (tmp_path / "calibration").exists()


@pytest.mark.parametrize("failing", ["card.toml", TWO])
def test_a_disk_that_fails_leaves_all_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: str
) -> None:
    learn(tmp_path, "card", paper_rows(1))
    before = everything(tmp_path / "calibration")
    replace_: Callable[[Path, Path], None] = os.replace

    def full(source: Path, target: Path) -> None:
        if target.name == failing:
            raise OSError(errno.ENOSPC, "no space", str(target))
        replace_(source, target)

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(InputError, match=r"no space.*nothing was written"):
        learn(tmp_path, "card", paper_rows(2))
    with pytest.raises(InputError, match=r"no space.*nothing was written"):
        learn_from("card", tmp_path / "taken.csv", place(tmp_path), TOOLS, turn=Turn(aside=(ONE,)))
    assert everything(tmp_path / "calibration") == before


def test_a_profile_that_cannot_be_removed_leaves_its_records_counting(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    learn(tmp_path, "card", paper_rows(1))
    before = everything(tmp_path / "calibration")
    unlink: Callable[..., None] = Path.unlink

    def shut(path: Path, missing_ok: bool = False) -> None:
        if path.name == "card.toml":
            raise PermissionError(errno.EACCES, "permission denied", str(path))
        unlink(path, missing_ok=missing_ok)

    monkeypatch.setattr(Path, "unlink", shut)
    with pytest.raises(InputError, match=r"permission denied.*nothing was written"):
        turned(tmp_path, aside=(ONE,))
    assert everything(tmp_path / "calibration") == before


def test_what_was_said_already_is_not_said_again(tmp_path: Path) -> None:
    learn(tmp_path, "card", paper_rows(1))
    learn(tmp_path, "card", paper_rows(2))
    turned(tmp_path, aside=(TWO,))
    before = everything(tmp_path / "calibration")
    turned(tmp_path, aside=(TWO,))
    turned(tmp_path, back=(ONE,))
    assert everything(tmp_path / "calibration") == before


def test_a_kill_between_record_and_profile_loses_and_doubles_nothing(tmp_path: Path) -> None:
    learn(tmp_path, "card", paper_rows(1))
    first = profile(tmp_path).read_bytes()
    both = learn(tmp_path, "card", paper_rows(2))
    wanted = profile(tmp_path).read_bytes()
    profile(tmp_path).write_bytes(first)  # killed: the record stands, the profile is the old one
    again = learn(tmp_path, "card", paper_rows(2))
    assert again.record is None and again.records == both.records
    assert profile(tmp_path).read_bytes() == wanted
    profile(tmp_path).unlink()  # killed in the very first session of a name
    assert rebuild("card", place(tmp_path), TOOLS).records == both.records


def test_a_record_set_aside_counts_no_more_and_stays_as_it_is(tmp_path: Path) -> None:
    learn(tmp_path, "card", paper_rows(1))
    alone = profile(tmp_path).read_bytes()
    learn(tmp_path, "card", paper_rows(2))
    kept = (records_folder(tmp_path) / TWO).read_bytes()
    outcome = turned(tmp_path, aside=(TWO,))
    assert isinstance(outcome, Outcome) and outcome.records == (ONE,)
    assert any(TWO in note and "set aside" in note for note in outcome.notes)
    assert profile(tmp_path).read_bytes() == alone, "as if it had never been"
    assert (records_folder(tmp_path) / TWO).read_bytes() == kept
    assert not rebuild("card", place(tmp_path), TOOLS).changed
    profile(tmp_path).unlink()
    rebuild("card", place(tmp_path), TOOLS)
    assert profile(tmp_path).read_bytes() == alone, "a lost profile does not bring it back"
    with pytest.raises(InputError, match=r"--take-back stock-card-0002\.csv"):
        (tmp_path / "calibration/stocks/card.toml").unlink()
        (records_folder(tmp_path) / ONE).unlink()
        rebuild("card", place(tmp_path), TOOLS)


def test_it_is_taken_back_and_the_list_only_grows(tmp_path: Path) -> None:
    learn(tmp_path, "card", paper_rows(1))
    learn(tmp_path, "card", paper_rows(2))
    both = profile(tmp_path).read_bytes()
    listed = records_folder(tmp_path) / "stock-card-set-aside.csv"
    turned(tmp_path, aside=("stock-card-0002",))
    first = listed.read_bytes()
    outcome = turned(tmp_path, back=(TWO,))
    assert isinstance(outcome, Outcome) and outcome.records == (ONE, TWO)
    assert profile(tmp_path).read_bytes() == both
    assert listed.read_bytes().startswith(first)
    with listed.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.reader(stream))
    assert [row[1:] for row in rows[1:]] == [
        [TWO, "pieces made anew"], [TWO, "set aside"], [TWO, "taken back"],
    ]  # fmt: skip


def test_the_same_readings_again_do_not_bring_it_back(tmp_path: Path) -> None:
    learn(tmp_path, "card", paper_rows(1))
    learn(tmp_path, "card", paper_rows(2))
    turned(tmp_path, aside=(TWO,))
    before = everything(tmp_path / "calibration")
    again = learn(tmp_path, "card", paper_rows(2))
    assert again.record is None and again.records == (ONE,)
    assert any("--take-back" in note for note in again.notes)
    assert everything(tmp_path / "calibration") == before


def test_what_it_told_is_not_believed_any_more(tmp_path: Path) -> None:
    """A stack of another paper, 0.40 mm, with folds of the right one: then 0.33 counts again."""
    stack = [row for row in paper_rows(1) if row.count]
    folds = [r for r in paper_rows(1) if not r.count and r.feature is not Feature.INSIDE]
    wrong = [replace(row, reading_mm=4.0 + k / 100) for k, row in enumerate(stack)]
    learn(tmp_path, "cardstock-270", folds)
    learn(tmp_path, "cardstock-270", wrong)
    name = "cardstock-270"
    assert read_stock(profile(tmp_path, name)).caliper_mm == pytest.approx(0.4, abs=0.005)
    turned(tmp_path, name, aside=(f"stock-{name}-0002.csv",))
    found = read_stock(profile(tmp_path, name))
    assert (found.caliper_mm, found.caliper_u_mm) == pytest.approx((0.33, 0.019))


def test_the_only_record_gives_way_to_what_was_there_before(tmp_path: Path) -> None:
    learn(tmp_path, "cardstock-270", paper_rows(1))
    outcome = turned(tmp_path, "cardstock-270", aside=("stock-cardstock-270-0001.csv",))
    assert isinstance(outcome, Emptied) and outcome.base is not None
    assert not profile(tmp_path, "cardstock-270").exists()
    back = turned(tmp_path, "cardstock-270", back=("stock-cardstock-270-0001.csv",))
    assert isinstance(back, Outcome) and read_stock(back.profile).grammage_gsm == 270


def test_what_no_record_gives_back_is_not_taken_away(tmp_path: Path) -> None:
    folder = tmp_path / "calibration" / "stocks"
    folder.mkdir(parents=True)
    typed = 'format = 1\nkind = "card"\ngrammage_gsm = 300\ncaliper_mm = 0.33\n'
    (folder / "card.toml").write_text(f'{typed}caliper_u_mm = 0.01\nsource = "invented"\n')
    learn(tmp_path, "card", paper_rows(1))
    before = everything(tmp_path / "calibration")
    with pytest.raises(InputError, match=r"READINGS.csv --set-aside stock-card-0001"):
        turned(tmp_path, aside=(ONE,))
    assert everything(tmp_path / "calibration") == before
    (tmp_path / "new.csv").write_text(write_sheet(paper_rows(2)), encoding="utf-8")
    done = learn_from("card", tmp_path / "new.csv", place(tmp_path), TOOLS, turn=Turn(aside=(ONE,)))
    assert done.records == (TWO,) and read_stock(profile(tmp_path)).grammage_gsm == 300


def test_a_record_that_is_spoilt_or_gone_can_be_set_aside(tmp_path: Path) -> None:
    learn(tmp_path, "card", paper_rows(1))
    learn(tmp_path, "card", paper_rows(2))
    (records_folder(tmp_path) / TWO).write_bytes(b"\xff\xfe spoilt")
    with pytest.raises(InputError, match=r"learn card --set-aside stock-card-0002\.csv"):
        rebuild("card", place(tmp_path), TOOLS)
    turned(tmp_path, aside=(TWO,))
    assert not rebuild("card", place(tmp_path), TOOLS).changed
    learn(tmp_path, "card", paper_rows(3))
    (records_folder(tmp_path) / "stock-card-0003.csv").unlink()
    outcome = turned(tmp_path, aside=("stock-card-0003.csv",))
    assert isinstance(outcome, Outcome) and outcome.records == (ONE,)


def test_what_is_no_record_cannot_be_turned(tmp_path: Path) -> None:
    learn(tmp_path, "card", paper_rows(1))
    for turn, words in (
        (Turn(aside=("stock-card-0009.csv",)), "--set-aside: read 'stock-card-0009.csv'"),
        (Turn(back=(TWO,)), "--take-back: read 'stock-card-0002.csv'"),
        (Turn(aside=("../../../etc/passwd",)), "--set-aside: read"),
    ):
        with pytest.raises(InputError, match=words.replace(".", r"\.")):
            turn_records("card", turn, place(tmp_path), TOOLS)


def test_the_same_rows_in_another_order_are_nothing_new(tmp_path: Path) -> None:
    learn(tmp_path, "card", paper_rows(1))
    again = learn(tmp_path, "card", paper_rows(1)[::-1])
    assert again.record is None and again.records == (ONE,)


def test_a_setting_aside_that_was_killed_half_way_is_finished_by_the_same_command(
    tmp_path: Path,
) -> None:
    """The list is written first: then the profile still holds what should not count."""
    learn(tmp_path, "card", paper_rows(1))
    stale = profile(tmp_path).read_bytes()
    turned(tmp_path, aside=(ONE,))
    profile(tmp_path).write_bytes(stale)
    outcome = turned(tmp_path, aside=(ONE,))
    assert isinstance(outcome, Emptied) and not profile(tmp_path).exists()
    turned(tmp_path, back=(ONE,))
    assert profile(tmp_path).read_bytes() == stale
    profile(tmp_path).unlink()
    turned(tmp_path, back=(ONE,))
    assert profile(tmp_path).read_bytes() == stale
