"""Files among the records that are no records get a line; whatever has another name goes on."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from fitcheck.errors import InputError
from fitcheck.learn.boxes_file import BOXES_FILE, add_box, read_boxes
from fitcheck.learn.counted_records import summary_of
from fitcheck.learn.made import BoxOutcome, BoxRecord, Forecast
from fitcheck.learn.session import rebuild
from fitcheck.stock.profile_files import read_stock
from fitcheck.workspace.names import check_new_name
from fitcheck.workspace.records import find_records, records_folder
from tests.unit.test_learning_sessions import TOOLS, learn, paper_rows, place

SECRET = "root:x:0:0:root:/root:/bin/sh\n"


def spoil(path: Path, how: str, root: Path) -> None:
    path.unlink(missing_ok=True)
    if how == "folder":
        path.mkdir()
    elif how == "bytes":
        path.write_bytes(b"date,by\n\xff\xfe")
    elif how == "pipe":
        os.mkfifo(path)
    elif how == "link":
        (root / "outside.csv").write_text(SECRET)
        path.symlink_to(root / "outside.csv")
    elif how == "dangling":
        path.symlink_to(root / "nowhere.csv")


HOWS = ["folder", "bytes", "pipe", "link", "dangling"]


@pytest.mark.parametrize("how", HOWS)
def test_one_spoilt_record_stops_its_own_name_only(tmp_path: Path, how: str) -> None:
    learn(tmp_path, "card", paper_rows(1))
    learn(tmp_path, "other", paper_rows(2))
    path = records_folder(tmp_path) / "stock-card-0001.csv"
    spoil(path, how, tmp_path)
    with pytest.raises(InputError) as caught:
        rebuild("card", place(tmp_path), TOOLS)
    assert "stock-card-0001.csv" in caught.value.lines[0]
    assert "--set-aside stock-card-0001.csv" in caught.value.lines[-1]
    assert "root" not in " ".join(caught.value.lines).replace(str(tmp_path), "")
    assert learn(tmp_path, "other", paper_rows(3)).record == "stock-other-0002.csv"
    told = dict(summary_of(tmp_path))
    assert told["stock-card-0001.csv"].startswith("cannot be read: ")
    assert told["stock-other-0001.csv"] == "20 readings"


@pytest.mark.parametrize("how", [how for how in HOWS if how != "dangling"])
def test_spoilt_boxes_are_told_and_left_alone(tmp_path: Path, how: str) -> None:
    records_folder(tmp_path).mkdir(parents=True)
    spoil(records_folder(tmp_path) / BOXES_FILE, how, tmp_path)
    with pytest.raises(InputError, match=r"boxes\.csv: "):
        read_boxes(tmp_path)
    with pytest.raises(InputError, match=r"boxes\.csv: "):
        add_box(tmp_path, box())
    assert (
        not (tmp_path / "outside.csv").exists() or (tmp_path / "outside.csv").read_text() == SECRET
    )


def box(note: str = "", title: str = "Box") -> BoxRecord:
    forecast = Forecast("slides", 0.35, (0.1, 0.8, 0.1))
    return BoxRecord(
        "2026-11-20", "kh", "d", title, BoxOutcome.SLID, None, None, "", forecast, note
    )


def test_texts_of_boxes_come_back_to_the_letter(tmp_path: Path) -> None:
    boxes = tuple(
        box(note, title) for note, title in [("=1+1", "-b"), ("\t@x", "'=t"), ("a\nb", "")]
    )
    for one in boxes:
        add_box(tmp_path, one)
    assert read_boxes(tmp_path) == boxes


@pytest.mark.parametrize("note", ["\udcff bytes", "x" * 200_000])
def test_a_box_that_could_not_be_read_again_is_not_kept(tmp_path: Path, note: str) -> None:
    add_box(tmp_path, box("first"))
    with pytest.raises(InputError, match="nothing was written"):
        add_box(tmp_path, box(note))
    assert [one.note for one in read_boxes(tmp_path)] == ["first"]


STOCK = 'format = 1\nkind = "card"\ncaliper_mm = 0.3\ncaliper_u_mm = 0.01\n'
OUTSIDE = [
    "../../../../etc/passwd",
    "../secret.csv",
    "/etc/hosts.csv",
    "sub/../../x.csv",
    "..",
    ".",
    "C:\\\\x.csv",
    ".lock",
    "a" * 4000 + ".csv",
]


@pytest.mark.parametrize("name", OUTSIDE)
def test_a_profile_names_nothing_outside_the_records(tmp_path: Path, name: str) -> None:
    (tmp_path / "secret.csv").write_text(SECRET)
    folder = tmp_path / "calibration" / "stocks"
    folder.mkdir(parents=True)
    (folder / "card.toml").write_text(f'{STOCK}records = ["{name}"]\n')
    for read in (
        lambda: read_stock(folder / "card.toml"),
        lambda: rebuild("card", place(tmp_path), TOOLS),
    ):
        with pytest.raises(
            InputError, match=r"records\[1\]: is not the name of a record"
        ) as caught:
            read()
        (line,) = caught.value.lines
        assert "root" not in line.replace(str(tmp_path), "") and len(line) < 500 + len(
            str(tmp_path)
        )
    with pytest.raises(InputError, match="no such record"):
        find_records([name.replace("\\\\", "\\")], [tmp_path])


@pytest.mark.parametrize(
    "name",
    ["CON", "nul", "nul.card", "Com1", "card.", "a" * 81, "-card", "", "a b", "x/y", "kärtchen"],
)
def test_names_that_some_system_cannot_store_are_not_learnt(tmp_path: Path, name: str) -> None:
    """Reserved device names and trailing dots: Microsoft, "Naming Files, Paths, and Namespaces"."""
    with pytest.raises(InputError, match="NAME: read") as caught:
        learn(tmp_path, name, paper_rows(1))
    assert len(caught.value.lines[0]) < 300 and not (tmp_path / "calibration").exists()


def test_twins_but_for_capitals_are_not_learnt(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="'cardstock-270' already"):
        learn(tmp_path, "Cardstock-270", paper_rows(1))
    check_new_name("NAME", "card-2", ["card-1"])


CREASE = "crease_allowance_mm = 0.3\ncrease_allowance_u_mm = {u}\n"


@pytest.mark.parametrize("u", [0.31, 3.5])
def test_a_crease_known_worse_than_its_paper_is_refused(tmp_path: Path, u: float) -> None:
    """From 0 to 2 calipers it lies anyhow: a rectangle of that width has 0.58 (JCGM 100, 4.3.7)."""
    path = tmp_path / "card.toml"
    path.write_text(f'{STOCK}{CREASE.format(u=u)}source = "invented"\n')
    with pytest.raises(
        InputError, match=f"crease_allowance_u_mm is {u}; allowed: up to one caliper"
    ):
        read_stock(path)
    path.write_text(f'{STOCK}{CREASE.format(u=0.17)}source = "invented"\n')
    assert read_stock(path).crease_allowance_u_mm == 0.17


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("along_u_mm = 0.02", "along_u_mm = 0.4"),
        ("across_mm = 0.22", "across_mm = 0.7"),
        ("u = 0.1}", "u = 50}"),
    ],
)
def test_other_uncertainties_out_of_all_reason_are_refused(
    tmp_path: Path, old: str, new: str
) -> None:
    grain = "{along_mm = 0.2, along_u_mm = 0.02, across_mm = 0.22, across_u_mm = 0.02}"
    text = (
        f'{STOCK}{CREASE.format(u=0.02)}source = "invented"\ncrease_allowance_by_grain = {grain}\n'
        "corner_give = {value = 0.9, u = 0.1}\n"
    )
    path = tmp_path / "card.toml"
    path.write_text(text)
    assert read_stock(path).corner_give_u == 0.1
    path.write_text(text.replace(old, new))
    with pytest.raises(InputError):
        read_stock(path)


def test_few_readings_of_a_long_strip_still_make_a_profile_that_is_read(tmp_path: Path) -> None:
    """The board's scale alone (0.3 %) leaves a metre's allowance unknown by 1.5 mm: it is known as
    by the rule of thumb, to 0.15 calipers."""
    from dataclasses import replace

    rows = paper_rows(1)
    long = [
        replace(r, nominal_mm=900.0, reading_mm=(r.reading_mm or 0) + 900.0 - (r.nominal_mm or 0))
        for r in rows
        if r.feature == "channel"
    ]
    outcome = learn(tmp_path, "card", [*(r for r in rows if r.count), *long[:3]])
    found = read_stock(outcome.profile)
    assert found.crease_allowance_u_mm == pytest.approx(0.15 * found.caliper_mm, rel=0.01)
