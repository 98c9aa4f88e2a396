"""Records are only added, profiles name them and come out of them again byte for byte."""

from __future__ import annotations

import math
import threading
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.csv_rows import write_sheet
from fitcheck.learn.questions import Doubt
from fitcheck.learn.session import Outcome, learn_from, rebuild
from fitcheck.stock.profile_files import read_printer, read_stock
from fitcheck.stock.tools import Tools
from fitcheck.workspace.locking import locked
from fitcheck.workspace.paths import Workplace, shipped_workspace
from fitcheck.workspace.records import records_folder
from tests.truth import Notebook, paper_readings, printer_readings

TOOLS = Tools("test board", 5.0, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)


def place(root: Path) -> Workplace:
    return Workplace(root, (root, shipped_workspace()))


def paper_rows(seed: int) -> list[Reading]:
    book = Notebook(np.random.default_rng(seed))
    paper_readings(book)
    return book.rows


def learn(root: Path, name: str, rows: Sequence[Reading]) -> Outcome:
    file = root / "taken.csv"
    file.write_text(write_sheet(rows), encoding="utf-8")
    return learn_from(name, file, place(root), TOOLS, confirmed=tuple(Doubt))


def everything(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_a_profile_is_rebuilt_byte_for_byte(tmp_path: Path) -> None:
    first = learn(tmp_path, "cardstock-270", paper_rows(1))
    before = first.profile.read_bytes()
    assert b'records = ["stock-cardstock-270-0001.csv"]' in before
    again = rebuild("cardstock-270", place(tmp_path), TOOLS)
    assert not again.changed and first.profile.read_bytes() == before
    first.profile.unlink()
    assert rebuild("cardstock-270", place(tmp_path), TOOLS).profile.read_bytes() == before


def test_a_second_session_adds_a_record_and_keeps_the_first(tmp_path: Path) -> None:
    one = learn(tmp_path, "cardstock-270", paper_rows(1))
    kept = everything(records_folder(tmp_path))
    two = learn(tmp_path, "cardstock-270", paper_rows(2))
    assert two.records == ("stock-cardstock-270-0001.csv", "stock-cardstock-270-0002.csv")
    after = everything(records_folder(tmp_path))
    assert all(after[name] == data for name, data in kept.items())
    caliper = [outcome.learnt.get("caliper") for outcome in (one, two)]
    assert caliper[0] and caliper[1] and caliper[0].value != caliper[1].value
    before = two.profile.read_bytes()
    assert not rebuild("cardstock-270", place(tmp_path), TOOLS).changed
    assert two.profile.read_bytes() == before


def test_the_same_file_twice_counts_once(tmp_path: Path) -> None:
    one = learn(tmp_path, "cardstock-270", paper_rows(1))
    before = one.profile.read_bytes()
    again = learn(tmp_path, "cardstock-270", paper_rows(1))
    assert again.record is None and "nothing new" in again.notes[-1]
    assert one.profile.read_bytes() == before


def test_a_file_that_grew_counts_its_older_rows_once(tmp_path: Path) -> None:
    rows = paper_rows(1)
    learn(tmp_path, "cardstock-270", rows[:12])
    grown = learn(tmp_path, "cardstock-270", rows)
    assert "counted once" in grown.notes[-1]
    assert sum(len(entry.readings) for entry in grown.learnt.entries) == len(rows)


def test_what_readings_cannot_tell_stays_as_it_was(tmp_path: Path) -> None:
    stack_only = [row for row in paper_rows(1) if row.count]
    outcome = learn(tmp_path, "cardstock-270", stack_only)
    assert set(outcome.learnt.fit.kept) == {"crease allowance", "corner give"}
    new = read_stock(outcome.profile)
    assert not new.calibrated and new.grammage_gsm == 270 and new.corner_give_u is None
    # A channel's inside and outside differ by two calipers: without its inside nothing tells one.
    folds = [r for r in paper_rows(1) if not r.count and r.feature is not Feature.INSIDE]
    apart = learn(tmp_path, "index-110", folds)
    assert apart.learnt.fit.kept == ("caliper",)
    assert read_stock(apart.profile).caliper_mm == pytest.approx(0.23)
    before = apart.profile.read_bytes()
    rebuild("index-110", place(tmp_path), TOOLS)
    assert apart.profile.read_bytes() == before


def test_a_measured_crease_stays_as_it_was_when_only_a_stack_is_read(tmp_path: Path) -> None:
    """0.29 mm with 0.013 were measured; by the rule for unmeasured papers it would be 0.6 t."""
    folder = tmp_path / "calibration" / "stocks"
    folder.mkdir(parents=True)
    known = ["format = 1", 'kind = "cardstock"', "caliper_mm = 0.33", "caliper_u_mm = 0.01"]
    known += ["crease_allowance_mm = 0.29", "crease_allowance_u_mm = 0.013"]
    known += ['source = "invented for tests"', "[corner_give]", "value = 0.81", "u = 0.04"]
    (folder / "measured.toml").write_text("\n".join(known) + "\n", encoding="utf-8")
    outcome = learn(tmp_path, "measured", [row for row in paper_rows(1) if row.count])
    kept = {one.name: (one.value, one.u) for one in outcome.learnt.properties if one.kept}
    assert kept["crease allowance"] == pytest.approx((0.29, 0.013))
    assert kept["corner give"] == pytest.approx((0.81, 0.04))
    new = read_stock(outcome.profile)
    assert new.calibrated and new.crease_allowance_mm == pytest.approx(0.29)


def test_a_printer_is_learnt_and_rebuilt(tmp_path: Path) -> None:
    book = Notebook(np.random.default_rng(4))
    truth = printer_readings(book)
    outcome = learn(tmp_path, "mk", book.rows)
    found = read_printer(outcome.profile)
    assert found.scale_x == pytest.approx(1 + truth["scale_x"], abs=4 * found.scale_x_u)
    assert found.covered.outside_mm == (18.0, 106.0) and found.covered.inside_mm == (12.0, 100.0)
    before = outcome.profile.read_bytes()
    assert not rebuild("mk", place(tmp_path), TOOLS).changed
    assert outcome.profile.read_bytes() == before


def test_grain_is_told_apart_where_folds_say_how_they_run(tmp_path: Path) -> None:
    rows = paper_rows(1)
    named = [
        row if row.count else _noted(row, f"{row.note}, {'along' if k % 2 else 'across'} the grain")
        for k, row in enumerate(rows)
    ]
    both = read_stock(learn(tmp_path, "both", named).profile)
    assert both.by_grain is not None
    assert both.by_grain.along_mm != both.by_grain.across_mm
    middle = (both.by_grain.along_mm + both.by_grain.across_mm) / 2
    assert both.crease_allowance_mm == pytest.approx(middle, abs=2e-5)
    one_way = [row if row.count else _noted(row, f"{row.note}, along") for row in rows]
    one = read_stock(learn(tmp_path, "one", one_way).profile)
    assert one.by_grain is not None and one.by_grain.not_measured == "across"
    rule = (1 - math.pi / 8) * one.caliper_mm, 0.15 * one.caliper_mm
    assert one.allowance(False) == pytest.approx(rule, rel=0.01)
    assert one.how_known == "rule of thumb across the grain" and both.how_known == "measured"
    before = learn(tmp_path, "one", one_way).profile.read_bytes()
    assert rebuild("one", place(tmp_path), TOOLS).profile.read_bytes() == before
    plain = read_stock(learn(tmp_path, "plain-card", rows).profile)
    assert plain.by_grain is None


def _noted(row: Reading, note: str) -> Reading:
    return Reading(**{**row.__dict__, "note": note})


def test_too_few_readings_and_wrong_names_are_told(tmp_path: Path) -> None:
    folds = [row for row in paper_rows(1) if not row.count]
    with pytest.raises(InputError, match="too few readings: there is no stack"):
        learn(tmp_path, "new-paper", folds)
    learn(tmp_path, "mk", _printer_rows())
    with pytest.raises(InputError, match="which is a printer"):
        learn(tmp_path, "mk", paper_rows(1))
    with pytest.raises(InputError, match="no such stock, tools or printer"):
        rebuild("cardstok", place(tmp_path), TOOLS)
    with pytest.raises(InputError, match="has no records"):
        rebuild("index-110", place(tmp_path), TOOLS)
    with pytest.raises(InputError, match="letters a to z, large or small, digits"):
        rebuild("../x", place(tmp_path), TOOLS)


def _printer_rows() -> list[Reading]:
    book = Notebook(np.random.default_rng(4))
    printer_readings(book)
    return book.rows


def test_a_lost_record_is_told(tmp_path: Path) -> None:
    outcome = learn(tmp_path, "cardstock-270", paper_rows(1))
    (records_folder(tmp_path) / outcome.records[0]).unlink()
    with pytest.raises(InputError, match=r"no such record; read 'stock-cardstock-270-0001\.csv'"):
        rebuild("cardstock-270", place(tmp_path), TOOLS)


def test_two_learners_at_once_do_not_mix(tmp_path: Path) -> None:
    failed: list[BaseException] = []

    def work(seed: int) -> None:
        file = tmp_path / f"{seed}.csv"
        file.write_text(write_sheet(paper_rows(seed)), encoding="utf-8")
        try:
            learn_from("cardstock-270", file, place(tmp_path), TOOLS, confirmed=tuple(Doubt))
        except BaseException as error:  # a thread's errors are lost otherwise
            failed.append(error)

    threads = [threading.Thread(target=work, args=(seed,)) for seed in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not failed
    named = read_stock(tmp_path / "calibration/stocks/cardstock-270.toml").records
    kept = sorted(p.name for p in records_folder(tmp_path).glob("stock-cardstock-270-0*.csv"))
    assert list(named) == kept and len(kept) == 6


def test_a_lock_that_stays_taken_is_told(tmp_path: Path) -> None:
    with (
        locked(tmp_path),
        pytest.raises(InputError, match="another program"),
        locked(tmp_path, 0.1),
    ):
        pass
