"""What a command wrote for a design before it changed goes, or is named; another's stays.

What stands on the disk is compared byte for byte with what stood there before; `sha256sum` from
outside reads the list of what fitcheck wrote.
"""

from __future__ import annotations

import hashlib
import subprocess
from pathlib import Path

import pytest

from fitcheck.workspace.digests import DIGESTS
from tests.cli.commands import Ran, fitcheck_here
from tests.cli.designs import TOFFEES
from tests.cli.test_outputs_guarded import everything

TRAY = TOFFEES.split("[lid]")[0]
LARGE = TRAY.replace("[70, 80]", "[160, 250]")
"""210 x 300 mm flat, a little longer than A4 (ISO 216: 210 x 297): two pages or more."""


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    (tmp_path / "models").mkdir()
    write(tmp_path, LARGE)
    return tmp_path


def write(folder: Path, text: str, name: str = "tray") -> None:
    (folder / "models" / f"{name}.toml").write_text(text)


def sheet(folder: Path, *more: str, name: str = "tray", status: int = 0) -> Ran:
    ran = fitcheck_here("sheet", name, "-o", "out", "--paper", "a4", *more, cwd=folder)
    assert ran.status == status, ran.err
    return ran


def there(folder: Path) -> set[str]:
    return {path.name for path in (folder / "out").iterdir() if path.name != DIGESTS}


def test_pages_of_the_older_size_go_and_it_is_said(bench: Path) -> None:
    first = sheet(bench)
    assert "removed" not in first.out
    pages = {name for name in there(bench) if "of" in name or "overview" in name}
    assert len(pages) >= 3
    write(bench, TRAY)
    second = sheet(bench)
    assert {f"out/{name}" for name in there(bench)} == set(second.out.split("removed")[0].split())
    assert not pages & there(bench) and "tray-base.svg" in there(bench)
    (line,) = [line for line in second.out.splitlines() if line.startswith("removed")]
    assert all(f"out/{name}" in line for name in pages)
    done = subprocess.run(
        ["sha256sum", "--check", "--strict", DIGESTS],
        cwd=bench / "out",
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.count(": OK") == len(there(bench))
    assert "removed" not in sheet(bench).out


def test_what_was_changed_since_stays_and_is_named(bench: Path) -> None:
    sheet(bench)
    mine, linked = bench / "out" / "tray-base-1of2.svg", bench / "out" / "tray-base-2of2.svg"
    mine.write_text("my own notes on it")
    linked.rename(bench / "kept.svg")
    linked.symlink_to(bench / "kept.svg")
    kept = (bench / "kept.svg").read_bytes()
    write(bench, TRAY)
    said = sheet(bench).out
    (left,) = [line for line in said.splitlines() if line.startswith("left")]
    assert "out/tray-base-1of2.svg" in left and "out/tray-base-2of2.svg" in left
    assert mine.read_text() == "my own notes on it"
    assert linked.is_symlink() and (bench / "kept.svg").read_bytes() == kept
    assert "left" in sheet(bench).out, "said as long as it lies there"


def test_another_format_of_the_same_size_stays(bench: Path) -> None:
    sheet(bench, "--format", "dxf")
    assert "removed" not in sheet(bench, "--format", "svg").out
    assert "tray-base.dxf" in there(bench)
    write(bench, TRAY)
    assert "tray-base.dxf" in sheet(bench, "--format", "svg").out.split("removed")[1]
    assert "tray-base.dxf" not in there(bench)


def test_other_designs_commands_and_files_named_by_the_user_stay(bench: Path) -> None:
    write(bench, LARGE, "other")
    sheet(bench, name="other")
    sheet(bench, "--json", "out/before.json", "--format", "dxf")
    for command in (("dummy", "tray", "--only", "outside", "-o", "out"),
                    ("check", "tray", "--no-odds", "--picture", "out")):  # fmt: skip
        assert fitcheck_here(*command, cwd=bench).status == 0
    (bench / "out" / "mine.txt").write_text("mine")
    before = everything(bench / "out")
    write(bench, TRAY)
    assert "removed" not in sheet(bench, "--format", "dxf").out
    after = everything(bench / "out")
    own = {"tray-base.dxf", "tray-steps.txt", "tray-steps.md", DIGESTS}
    own |= {"tray-measurements.md", "tray-measurements.csv"}
    assert {name for name in before if after.get(name) != before[name]} <= own


def test_a_design_of_that_name_elsewhere_is_another(bench: Path) -> None:
    sheet(bench)
    pages = there(bench)
    (bench / "elsewhere").mkdir()
    (bench / "elsewhere" / "tray.toml").write_text(TRAY)
    command = ("sheet", "elsewhere/tray.toml", "-o", "out", "--paper", "a4")
    assert "removed" not in fitcheck_here(*command, cwd=bench).out
    assert pages <= there(bench)


def test_a_workspace_may_be_moved_meanwhile(bench: Path) -> None:
    root = bench / "first"
    root.mkdir()
    (bench / "models").rename(root / "models")
    sheet(root)
    moved = root.rename(bench / "second")
    write(moved, TRAY)
    assert "removed" in sheet(moved).out


def test_a_list_without_remarks_is_read_and_nothing_goes_by_it(bench: Path) -> None:
    """As every version before wrote it: fitcheck's own files, and no word of who made them."""
    sheet(bench)
    listed = bench / "out" / DIGESTS
    rows = [row for row in listed.read_text().splitlines(True) if not row.startswith("#")]
    listed.write_text("".join(rows))
    before = there(bench)
    write(bench, TRAY)
    assert "removed" not in sheet(bench).out
    assert before < there(bench)


@pytest.mark.parametrize("name", ["../mine.txt", "../models/other.toml", "/etc/hostname"])
def test_a_list_that_was_made_up_reaches_nothing_outside_its_folder(bench: Path, name: str) -> None:
    (bench / "mine.txt").write_text("mine")
    write(bench, LARGE, "other")
    sheet(bench)
    listed = bench / "out" / DIGESTS
    target = bench / "out" / name
    digest = hashlib.sha256(target.read_bytes()).hexdigest()
    listed.write_text(f"{listed.read_text()}{digest}  {name}\n")
    write(bench, TRAY)
    before = target.read_bytes()
    assert name not in sheet(bench).out
    assert target.read_bytes() == before


@pytest.mark.parametrize("first", ["sheet", "publish"])
def test_a_pdf_of_another_command_is_not_replaced_unasked(bench: Path, first: str) -> None:
    second = {"sheet": "publish", "publish": "sheet"}[first]
    more = {"publish": ("--no-odds",), "sheet": ()}
    write(bench, TRAY)
    one = (first, "tray", "-o", "out", *more[first])
    other = (second, "tray", "-o", "out", *more[second])
    assert fitcheck_here(*one, cwd=bench).status == 0
    before = everything(bench)
    ran = fitcheck_here(*other, cwd=bench)
    assert ran.status == 2 and len(ran.err.splitlines()) == 1
    for words in ("'out/tray.pdf'", f"`fitcheck {first}` wrote", "allowed: ", "--force", "folder"):
        assert words in ran.err, ran.err
    assert everything(bench) == before
    assert fitcheck_here(*one, cwd=bench).status == 0, "its own it may replace"
    assert fitcheck_here(*other, "--force", cwd=bench).status == 0
    assert everything(bench)["out/tray.pdf"] != before["out/tray.pdf"]
    assert fitcheck_here(*other, cwd=bench).status == 0
