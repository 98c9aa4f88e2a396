"""No command writes over what is the user's: inputs, models, measurements, files changed by hand.

What stands on the disk is compared byte for byte with what stood there before; `sha256sum` from
outside reads the list of what fitcheck wrote.
"""

from __future__ import annotations

import functools
import os
import shutil
import subprocess
from pathlib import Path

import pytest
import trimesh

from tests.cli.commands import ROOT, Ran, fitcheck_here
from tests.cli.designs import TOFFEES

TRAY = TOFFEES.split("[[content]]")[0]
KEPT = "nothing was written"


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    """A workspace of the user's own, with designs, items and records."""
    for top in ("models", "calibration"):
        shutil.copytree(ROOT / top, tmp_path / top)
    (tmp_path / "models" / "tray.toml").write_text(TRAY)
    records = tmp_path / "calibration" / "records"
    records.mkdir(exist_ok=True)
    (records / "boxes.csv").write_text("the only copy of a year's boxes\n")
    return tmp_path


def everything(folder: Path) -> dict[str, bytes]:
    """Every file and link, hidden or not."""
    return {
        str(path.relative_to(folder)): (
            os.readlink(path).encode() if path.is_symlink() else path.read_bytes()
        )
        for path in folder.rglob("*")
        if path.is_symlink() or path.is_file()
    }


def check(folder: Path, *options: str | Path) -> Ran:
    return fitcheck_here("check", "tray", "--no-odds", *options, cwd=folder)


def refused(ran: Ran, *words: str) -> bool:
    """One line, before anything was printed."""
    assert ran.status == 2, ran
    assert ran.out == "" and len(ran.err.splitlines()) == 1, ran
    assert KEPT in ran.err and "allowed: " in ran.err
    assert all(word in ran.err for word in words), ran.err
    return True


@pytest.mark.parametrize("option", ["--json", "--report"])
@pytest.mark.parametrize("force", [(), ("--force",)])
@pytest.mark.parametrize(
    "place",
    [
        "models/lantern.toml",
        "models/tray.toml",
        "models/items.toml",
        "models/new.json",
        "models/deeper/new.json",
        "calibration/records/boxes.csv",
        "calibration/stocks/cover-80.toml",
        "out/../models/new.json",
    ],
)
def test_nothing_goes_into_models_or_calibration(
    bench: Path, option: str, force: tuple[str, ...], place: str
) -> None:
    before = everything(bench)
    assert refused(check(bench, option, place, *force), option, place.rpartition("/")[2])
    assert everything(bench) == before


@pytest.mark.parametrize(
    "command",
    [
        ("sheet", "tray", "-o", "models"),
        ("dummy", "tray", "--only", "outside", "-o", "calibration/prints"),
        ("coupon", "index-90", "-o", "calibration/records"),
        ("gauge", "mk", "-o", "models/gauge"),
        ("suggest", "tray", "--odds", "100", "-o", "calibration/better.toml"),
        ("suggest", "tray", "--odds", "100", "--force", "-o", "models/items.toml"),
        ("suggest", "tray", "--odds", "100", "--force", "-o", "models/tray.toml"),
        ("check", "tray", "--no-odds", "--picture", "models"),
        ("demo", "models/example"),
        ("sheet", "tray", "-o", "shelf"),
    ],
    ids=" ".join,
)
def test_no_command_does(bench: Path, command: tuple[str, ...]) -> None:
    (bench / "shelf").symlink_to("models")
    before = everything(bench)
    assert refused(fitcheck_here(*command, cwd=bench))
    assert everything(bench) == before


def test_a_suggestion_is_a_design_and_may_lie_in_models(bench: Path) -> None:
    command = ("suggest", "tray", "--odds", "100", "-o", "models/better.toml")
    assert fitcheck_here(*command, cwd=bench).status == 0
    assert fitcheck_here("check", "better", "--no-odds", cwd=bench).status in (0, 1)
    assert fitcheck_here(*command, cwd=bench).status == 0, "fitcheck's own"
    better = bench / "models" / "better.toml"
    better.write_text(better.read_text() + "# mine now\n")
    assert refused(fitcheck_here(*command, cwd=bench), "--force")
    assert "mine now" in better.read_text()


@pytest.mark.parametrize("kind", ["the file", "a link", "a hard link"])
def test_an_input_is_no_output_whatever_leads_to_it(bench: Path, kind: str) -> None:
    """Not the design given by its path, and not what it names: here the mesh of its content."""
    trimesh.creation.box((30, 20, 10)).export(bench / "thing.stl")
    thing = '\n[thing]\nkind = "mesh"\nfile = "../thing.stl"\nsource = "made here"\n'
    with (bench / "models" / "items.toml").open("a") as items:
        items.write(thing)
    text = TRAY + '\n[[content]]\nitem = "thing"\nlay = "any"\n'
    (bench / "design.toml").write_text(text)
    for name in ("design.toml", "thing.stl"):
        path = bench / name
        if kind == "a link":
            path = bench / f"link-{name}"
            path.symlink_to(name)
        elif kind == "a hard link":
            path = bench / f"hard-{name}"
            path.hardlink_to(bench / name)
        before = everything(bench)
        options = ("--no-odds", "--force", "--json", path.name)
        ran = fitcheck_here("check", "design.toml", *options, cwd=bench)
        assert refused(ran, path.name, "link" if kind == "a link" else "an input of"), ran
        assert everything(bench) == before


def test_a_link_in_the_output_folder_leads_nowhere(bench: Path) -> None:
    (bench / "treasure.txt").write_text("mine")
    (bench / "out").mkdir()
    (bench / "out" / "tray-steps.txt").symlink_to(bench / "treasure.txt")
    before = everything(bench)
    sheet = ("sheet", "tray", "--format", "dxf", "-o", "out")
    assert refused(fitcheck_here(*sheet, cwd=bench), "tray-steps.txt", "link")
    assert refused(fitcheck_here(*sheet, "--force", cwd=bench), "link")
    assert refused(check(bench, "--json", "out/tray-steps.txt"), "link")
    (bench / "out" / "tray-steps.txt").unlink()
    (bench / "out" / "tray-steps.txt").symlink_to(bench / "not-yet.txt")
    assert refused(fitcheck_here(*sheet, cwd=bench), "link")
    assert everything(bench) == before | {"out/tray-steps.txt": str(bench / "not-yet.txt").encode()}


def test_a_folder_that_the_user_named_by_a_link_is_fine(bench: Path) -> None:
    (bench / "disk").mkdir()
    (bench / "desk").symlink_to("disk")
    assert check(bench, "--json", "desk/tray.json").status == 0
    sheet = ("sheet", "tray", "--format", "dxf", "-o", "desk")
    assert fitcheck_here(*sheet, cwd=bench).status == 0
    assert (bench / "disk" / "tray.json").is_file() and (bench / "disk/tray-steps.txt").is_file()


@pytest.mark.parametrize(
    "options",
    [
        ("--json", "a.json", "--report", "a.json"),
        ("--json", "a.json", "--report", "./a.json"),
        ("--json", "a.json", "--report", "A.JSON"),
        ("--json", "caf\u00e9.json", "--report", "cafe\u0301.json"),
        ("--json", "out", "--picture", "out"),
        ("--json", "out", "--report", "out/page.html"),
    ],
    ids=" ".join,
)
def test_two_outputs_never_share_a_place(bench: Path, options: tuple[str, ...]) -> None:
    before = everything(bench)
    assert refused(check(bench, *options))
    assert everything(bench) == before and not (bench / "out").exists()


def test_nor_does_an_option_with_one_of_a_set(bench: Path) -> None:
    command = ("sheet", "tray", "-o", "sheet", "--json", "sheet/Tray-steps.txt")
    assert refused(fitcheck_here(*command, cwd=bench), "--json")
    assert not (bench / "sheet").exists()


def test_what_is_not_fitchecks_is_kept_unless_forced(bench: Path) -> None:
    (bench / "mine.json").write_text("{}")
    for option in ("--json", "--report"):
        assert refused(check(bench, option, "mine.json"), "mine.json", "--force")
    assert (bench / "mine.json").read_text() == "{}"
    assert check(bench, "--json", "mine.json", "--force").status == 0
    assert (bench / "mine.json").read_text() != "{}"
    assert check(bench, "--json", "mine.json").status == 0, "now it is fitcheck's"


def test_an_empty_file_holds_nothing_to_lose(bench: Path) -> None:
    (bench / "made-by-mktemp.json").touch()
    assert check(bench, "--json", "made-by-mktemp.json").status == 0


def test_a_filled_in_coupon_is_kept(bench: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from fitcheck.outputs.coupon_files import folding_block

    once = functools.cache(folding_block)  # it is the same block each time
    monkeypatch.setattr("fitcheck.outputs.coupon_files.folding_block", once)
    command = ("coupon", "index-90", "-o", "coupon")
    assert fitcheck_here(*command, cwd=bench).status == 0
    readings = bench / "coupon" / "index-90-readings.csv"
    readings.write_text(readings.read_text().replace(",,", ",kh,", 1))
    before = everything(bench)
    assert refused(fitcheck_here(*command, cwd=bench), "index-90-readings.csv", "--force")
    assert everything(bench) == before
    assert fitcheck_here(*command, "--force", cwd=bench).status == 0
    assert readings.read_text() != before["coupon/index-90-readings.csv"].decode()


def test_a_sheet_with_a_remark_is_kept(bench: Path) -> None:
    command = ("sheet", "tray", "-o", "sheet", "--format", "dxf")
    assert fitcheck_here(*command, cwd=bench).status == 0
    steps = bench / "sheet" / "tray-steps.txt"
    steps.write_text(steps.read_text() + "cut two\n")
    before = everything(bench)
    assert refused(fitcheck_here(*command, "--stock", "lid=cover-65", cwd=bench), "tray-steps.txt")
    assert everything(bench) == before


@pytest.mark.parametrize(
    "place", ["/dev/null", "/dev/stdout", "pipe", "models", ".fitcheck.x", "-"]
)
def test_what_is_no_plain_file_is_no_output(bench: Path, place: str) -> None:
    os.mkfifo(bench / "pipe")
    assert refused(check(bench, "--json", place, "--force"), place)


def test_the_list_is_one_that_sha256sum_checks(bench: Path) -> None:
    name = "a \\ b\n'c' \u00e9.json"
    ran = check(bench, "--json", f"out/{name}", "--picture", "out", "--report", "page.html")
    assert ran.status == 0, ran.err
    assert (bench / "out" / name).is_file()
    command = ["sha256sum", "--check", "--strict", ".fitcheck.sha256"]
    for folder, count in ((bench / "out", 7), (bench, 1)):
        done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=True)
        assert done.stdout.count(": OK") == count


def test_refusals_come_before_the_work(bench: Path) -> None:
    """A million boxes are not counted first: no odds are begun before the line comes."""
    (bench / "mine.json").write_text("{}")
    ran = fitcheck_here("check", "tray", "--odds", "1000000", "--json", "mine.json", cwd=bench)
    assert refused(ran)


def test_a_demo_that_was_stopped_goes_on_and_keeps_what_was_changed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As after a kill between the copy and the stand-ins: the mark that says so is there."""
    from fitcheck.cli.odds_options import odds_with_advice
    from fitcheck.workspace.example import UNFINISHED, copy_example
    from tests.crash.warm import contents_alone

    folder = tmp_path / "bench"
    copy_example(folder)
    design = folder / "models" / "harbour.toml"
    design.write_text(design.read_text().replace("Harbour", "My own"))
    (folder / "models" / "items.toml").unlink()
    monkeypatch.setattr("fitcheck.cli.demo.odds_with_advice", lambda c: odds_with_advice(c, 200))
    monkeypatch.setattr("fitcheck.cli.demo._order", contents_alone)
    again = fitcheck_here("demo", "bench", cwd=tmp_path)
    assert again.status == 0 and "My own" in again.out, again.err
    assert "My own" in design.read_text() and (folder / "models" / "items.toml").is_file()
    assert list((folder / "dummies").glob("*.stl"))
    assert not (folder / UNFINISHED).exists()
    assert fitcheck_here("demo", "bench", cwd=tmp_path).status == 2
