"""Records as the person at the bench meets them: refused, set aside, taken back, listed, spoilt."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from fitcheck.learn.csv_rows import write_sheet
from tests.cli.commands import Ran, fitcheck
from tests.truth import Notebook, paper_readings


def workspace(root: Path, *seeds: int) -> Path:
    (root / "models").mkdir()
    (root / "calibration").mkdir()
    for seed in seeds:
        book = Notebook(np.random.default_rng(seed))
        paper_readings(book)
        (root / f"{seed}.csv").write_text(write_sheet(book.rows), encoding="utf-8")
    return root


def files(root: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(root)): path.read_bytes()
        for path in sorted((root / "calibration").rglob("*"))
        if path.is_file() and path.name != ".lock"
    }


ANOTHER = ("--confirm", "gap", "--confirm", "channels")
"""The second file is of another paper, which is asked about."""


def run(root: Path, *arguments: str) -> Ran:
    return fitcheck(*arguments, cwd=root)


def test_a_record_is_set_aside_listed_and_taken_back(tmp_path: Path) -> None:
    root = workspace(tmp_path, 1, 2)
    assert run(root, "learn", "card", "1.csv").status == 0
    one = (root / "calibration/stocks/card.toml").read_bytes()
    assert run(root, "learn", "card", "2.csv", *ANOTHER).status == 0
    aside = run(root, "learn", "card", "--set-aside", "stock-card-0002.csv")
    assert aside.status == 0, aside.err
    assert "stock-card-0002.csv is set aside" in aside.out
    assert (root / "calibration/stocks/card.toml").read_bytes() == one
    listed = run(root, "list", "records").out
    assert "stock-card-0002.csv\n    20 readings; set aside: does not count" in listed
    assert "stock-card-0001.csv\n    20 readings\n" in listed
    back = run(root, "learn", "card", "--take-back", "stock-card-0002.csv")
    assert back.status == 0 and "2 records" in back.out


def test_a_refused_session_says_so_and_writes_nothing(tmp_path: Path) -> None:
    """Folds three millimetres too large: no crease of a sheet of 0.3 mm does that."""
    root = workspace(tmp_path, 1)
    rows = (root / "1.csv").read_text(encoding="utf-8").splitlines()
    wrong = [rows[0]]
    for row in rows[1:]:
        cells = row.split(",")
        if cells[4] != "stack":
            cells[7] = f"{float(cells[7]) + 3.0:.2f}"
        wrong.append(",".join(cells))
    (root / "wrong.csv").write_text("\n".join(wrong) + "\n", encoding="utf-8")
    ran = run(root, "learn", "card", "wrong.csv")
    assert ran.status == 2 and "nothing was written" in ran.err
    assert files(root) == {} and not (root / "calibration/stocks").exists()


def test_spoilt_files_among_the_records_stop_nothing_else(tmp_path: Path) -> None:
    root = workspace(tmp_path, 1, 2)
    assert run(root, "learn", "card", "1.csv").status == 0
    records = root / "calibration" / "records"
    (records / "stock-zeta-0001.csv").write_bytes(b"date\n\xff\n")
    (records / "stock-eta-0001.csv").mkdir()
    (records / "stock-iota-0001.csv").symlink_to("/etc/hosts")
    listed = run(root, "list", "records")
    assert listed.status == 0, listed.err
    assert listed.out.count("cannot be read: ") == 3 and "20 readings" in listed.out
    assert "localhost" not in listed.out
    assert run(root, "learn", "card", "2.csv", *ANOTHER).status == 0
    for name in ("zeta", "eta", "iota"):
        ran = run(root, "learn", name, "2.csv")
        assert (
            ran.status == 2 and f"stock-{name}-0001.csv" in ran.err and "localhost" not in ran.err
        )


def test_a_path_in_a_profile_is_neither_read_nor_quoted(tmp_path: Path) -> None:
    root = workspace(tmp_path)
    (root / "calibration/stocks").mkdir()
    (root / "calibration/stocks/card.toml").write_text(
        'format = 1\nkind = "card"\ncaliper_mm = 0.3\ncaliper_u_mm = 0.01\n'
        'records = ["../../../../../../etc/hosts"]\n'
    )
    ran = run(root, "learn", "card", "--rebuild")
    assert ran.status == 2 and len(ran.err.splitlines()) == 1 and "localhost" not in ran.err
    assert "records[1]: is not the name of a record" in ran.err
