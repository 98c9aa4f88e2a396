"""Odd terminals, odd names and folders without rights: a line and status 2, or an answer.

The terminal's own encodings are those of the interpreter's standard library; what a maker's file
or option holds is shown with marks for what cannot be shown, and never steers the terminal.
"""

from __future__ import annotations

import csv
import ctypes
import json
import os
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from pypdf import PdfReader

from fitcheck.cli.common_options import free_text
from fitcheck.learn.boxes_file import COLUMNS
from tests.cli.called import Call, caller
from tests.cli.commands import ROOT, Ran
from tests.cli.designs import FRAMED, TOFFEES
from tests.unit.test_plain import steers

STEERING = "\\u001b[2J\\u001b]0;mine\\u0007\\n  lid       slides\\u202e"
"""Clears the screen, names the window, adds a line of its own, turns the writing round (TOML)."""
ODD = TOFFEES.replace('"Toffee box"', f'"\u65e5\u672c \u00e9 \u2192 box{STEERING}"')


MANY = """
import io, json, os, shutil, sys
from fitcheck.cli.main import run
if sys.argv[1] == "gone":
    shutil.rmtree(os.getcwd())
told = []
for words in json.loads(sys.argv[2]):
    streams = [io.TextIOWrapper(io.BytesIO(), "utf-8") for _ in range(2)]
    before = sys.stdout, sys.stderr
    sys.stdout, sys.stderr = streams
    sys.argv = ["fitcheck", *words.split()]
    try:
        run()
    except SystemExit as stopped:
        status = stopped.code or 0
    finally:
        sys.stdout, sys.stderr = before
    told.append([status, *(stream.buffer.getvalue().decode() for stream in streams)])
print(json.dumps(told))
"""
"""Runs one command after another in one process; its folder may be gone by then."""


def fresh(*arguments: str | bytes, cwd: Path, **environment: str) -> tuple[int, bytes, bytes]:
    """Run the program in a fresh process."""
    done = subprocess.run(
        [sys.executable, "-c", "from fitcheck.cli.main import run; run()", *arguments],
        cwd=cwd,
        env=os.environ | {"PYTHONPATH": str(ROOT)} | environment,
        capture_output=True,
        timeout=300,
        check=False,
    )
    return done.returncode, done.stdout, done.stderr


def one_after_another(commands: list[str], cwd: Path, *, gone: bool = False) -> list[Ran]:
    """What the commands said in one fresh process without the rights that root has over files."""
    done = subprocess.run(
        [sys.executable, "-c", MANY, "gone" if gone else "", json.dumps(commands)],
        cwd=cwd,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        capture_output=True,
        timeout=300,
        check=True,
        preexec_fn=_without_root_s_rights if os.geteuid() == 0 else None,
    )
    return [Ran(*told) for told in json.loads(done.stdout)]


def _without_root_s_rights() -> None:
    """Give up to read, write and enter all that belongs to anyone (capabilities(7): 1 and 2)."""
    drop_from_bounding_set = 24  # PR_CAPBSET_DROP of prctl(2)
    for capability in (1, 2):
        if ctypes.CDLL(None).prctl(drop_from_bounding_set, capability, 0, 0, 0) != 0:
            raise OSError("the rights cannot be given up here")


@pytest.fixture
def call(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], tmp_path: Path
) -> Call:
    (tmp_path / "models").mkdir()
    (tmp_path / "odd.toml").write_text(ODD, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return caller(monkeypatch, capfd)


@pytest.mark.parametrize(
    "environment",
    [
        {"PYTHONIOENCODING": "ascii"},
        {"PYTHONIOENCODING": "cp1252:strict"},
        {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
    ],
    ids=str,
)
def test_a_title_that_the_terminal_cannot_show(tmp_path: Path, environment: dict[str, str]) -> None:
    (tmp_path / "odd.toml").write_text(ODD, encoding="utf-8")
    status, out, err = fresh("check", "odd.toml", "--no-odds", cwd=tmp_path, **environment)
    assert (status, err) == (0, b"")
    assert out.startswith(b"?? ") and b" box" in out.split(b"\n")[0]
    status, out, err = fresh("check", "\u65e5\u672c.toml", cwd=tmp_path, **environment)
    assert (status, out) == (2, b"") and err.count(b"\n") == 1 and b"no such file" in err


def test_a_name_that_is_no_utf8_is_checked_and_named(call: Call, tmp_path: Path) -> None:
    name = os.fsdecode(b"caf\xe9.toml")
    (tmp_path / name).write_text(FRAMED)
    ran = call("check", name, "--no-odds", "--json", "c.json", "--report", "r.html")
    assert (ran.status, ran.err) == (0, "") and ran.out.startswith("Framed box")
    assert "caf\\xe9.toml" in (tmp_path / "r.html").read_text(encoding="utf-8")
    ran = call("sheet", name, "-o", os.fsdecode(b"sh\xe9"))
    assert ran.status == 0 and "sh\\xe9/caf-xe9" in ran.out
    ran = call("check", os.fsdecode(b"n\xf6.toml"))
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith("fitcheck: n\\xf6.toml: no such file")


@pytest.mark.parametrize("option", ["--note", "--by", "--contents"])
def test_a_text_to_keep_that_is_no_utf8_is_refused(call: Call, tmp_path: Path, option: str) -> None:
    text = os.fsdecode(b"n\xfctig \xff")
    ran = call("record", "odd.toml", "--outcome", "slid", option, text)
    assert (ran.status, ran.out) == (2, "") and ran.err.count("\n") == 1
    assert ran.err.startswith(f"fitcheck: {option}: read ") and "not UTF-8" in ran.err
    assert not (tmp_path / "calibration").exists()


linux = pytest.mark.skipif(sys.platform != "linux", reason="uses Linux's rights")


@linux
@pytest.mark.parametrize(
    ("shell", "status", "out", "err"),
    [
        ("check odd.toml --no-odds >&-", 0, "", ""),
        ("list stocks >&- 2>&-", 0, "", ""),
        ("check nosuch 2>&-", 2, "", ""),
        ("check nosuch 2>/dev/full", 2, "", ""),
    ],
)
def test_streams_that_are_closed_or_full(
    tmp_path: Path, shell: str, status: int, out: str, err: str
) -> None:
    """POSIX shells close a stream with >&-; Linux's /dev/full takes nothing (full(4))."""
    (tmp_path / "odd.toml").write_text(ODD, encoding="utf-8")
    program = f"{sys.executable} -c 'from fitcheck.cli.main import run; run()'"
    done = subprocess.run(
        f"{program} {shell}",
        shell=True,
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert (done.returncode, done.stdout, done.stderr) == (status, out, err)


LONG_NAMES = [
    "check {}",
    "check {}.toml",
    "check odd.toml --stock base={}",
    "suggest odd.toml --for-tools {}",
    "coupon {} -o out",
    "gauge {} -o out",
    "learn {} --rebuild",
    "learn mine {}.csv",
    "dummy odd.toml -o out --printer {}",
]


@pytest.mark.parametrize("length", [251, 300, 100_000])
@pytest.mark.parametrize("words", LONG_NAMES)
def test_a_name_that_no_system_stores_is_a_short_line(
    call: Call, tmp_path: Path, words: str, length: int
) -> None:
    ran = call(*(word.format("x" * length) for word in words.split()))
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith("fitcheck: ") and ran.err.count("\n") == 1 and len(ran.err) < 1100
    assert sorted(path.name for path in tmp_path.iterdir()) == ["models", "odd.toml"]


def test_the_root_of_all_folders_is_no_design(call: Call) -> None:
    for place in ("/", ".", "..", ""):
        ran = call("check", place)
        assert (ran.status, ran.out) == (2, "") and ran.err.count("\n") == 1


def plainly(ran: Ran) -> Ran:
    """What was said, if it steers nothing."""
    assert not steers(ran.out) and not steers(ran.err)
    assert "\n  lid       slides" not in ran.out.replace("  lid       slides by", "")
    return ran


def test_no_title_or_name_steers_the_terminal_or_breaks_a_file(call: Call, tmp_path: Path) -> None:
    """Every text that the program writes is read back: by a parser of XML, of PDF and of CSV."""
    (tmp_path / "models" / "items.toml").write_text(
        f'["toffee{STEERING}"]\nkind = "block"\nsize = [20, 20, 10]\nsource = "a{STEERING}"\n'
    )
    (tmp_path / "odd.toml").write_text(
        ODD.replace('"toffee-wrapped"', f'"toffee{STEERING}"'), encoding="utf-8"
    )
    first = "\u65e5\u672c \u00e9 \u2192 box [2J ]0;mine lid slides: "
    checked = plainly(
        call("check", "odd.toml", "--no-odds", "--json", "c.json", "--report", "r.html")
    )
    assert checked.status == 0 and checked.out.startswith(first)
    assert plainly(call("list", "items")).status == 0
    sheets = plainly(call("sheet", "odd.toml", "-o", "sheets"))
    assert sheets.status == 0
    records = tmp_path / "calibration" / "records"
    records.mkdir(parents=True)
    told = "a\x1b[2J\u202e"
    with (records / "boxes.csv").open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(
            [COLUMNS, ["2026-11-20", told, told, told, "slid", *(2 * [""]), told, "slides", "0.3"]]
        )
    text = (records / "boxes.csv").read_text(encoding="utf-8").rstrip("\r\n")
    (records / "boxes.csv").write_text(f"{text},0.1,0.8,0.1,{told},0.8,,,,,\n", encoding="utf-8")
    listed = plainly(call("list", "records", "--details"))
    assert listed.status == 0 and "2026-11-20 a [2J , box 1\n    slid, with a [2J" in listed.out
    (records / "boxes.csv").unlink()
    refused = call("check", "odd.toml", "--stock", f"base={chr(27)}[2J\u202e")
    assert plainly(refused).status == 2

    drawn = [*tmp_path.rglob("*.svg")]
    assert len(drawn) >= 2
    for path in drawn:
        ET.parse(path)
    for path in tmp_path.rglob("*.pdf"):
        assert len(PdfReader(path).pages) >= 1
    texts = [p for p in tmp_path.rglob("*") if p.suffix in (".txt", ".md", ".csv", ".html", ".svg")]
    assert len(texts) >= 7
    for path in texts:
        assert not steers(path.read_text(encoding="utf-8").replace("\r\n", "\n")), path
    for path in tmp_path.rglob("*.csv"):
        rows = list(csv.reader(path.open(encoding="utf-8", newline="")))
        assert len({len(row) for row in rows}) == 1, path


def test_a_board_whose_grooves_lie_on_each_other_is_refused(call: Call, tmp_path: Path) -> None:
    folder = tmp_path / "calibration" / "tools"
    folder.mkdir(parents=True)
    known = (ROOT / "calibration" / "tools" / "score-board-metric.toml").read_text()
    (tmp_path / "odd.toml").write_text(ODD.replace("[base]", 'tools = "mine"\n[base]', 1))
    for grid in ("5e-324", "1e-300", '"0.4 mm"', "2001"):
        (folder / "mine.toml").write_text(known.replace('"5 mm"', grid))
        ran = call("suggest", "odd.toml", "--odds", "100")
        assert (ran.status, ran.out) == (2, "")
        assert "grid: " in ran.err and "allowed: a length from 0.5 mm up to 2000 mm" in ran.err


def test_tools_that_no_box_stands_are_a_line(call: Call, tmp_path: Path) -> None:
    """Scores that are off by two thirds of the wall's height make boxes that nobody can fold."""
    folder = tmp_path / "calibration" / "tools"
    folder.mkdir(parents=True)
    known = (ROOT / "calibration" / "tools" / "score-board-metric.toml").read_text()
    (folder / "mine.toml").write_text(known.replace("0.10, off_grid = 0.25", "2, off_grid = 2"))
    low = ODD.replace("depth  = 25", "depth = 3").replace("depth  = 18", "depth = 3")
    (tmp_path / "odd.toml").write_text(low.replace("[base]", 'tools = "mine"\n[base]', 1))
    for command in ("check", "suggest"):
        ran = call(command, "odd.toml")
        assert (ran.status, ran.out) == (2, "") and ran.err.count("\n") == 1
        assert "boxes as far off as mine and its papers make them cannot be folded" in ran.err
    assert call("check", "odd.toml", "--no-odds").status in (0, 1)


def test_a_text_to_keep_is_a_plain_line() -> None:
    assert free_text("--note", "=cmd\x1b[31m\n\u202enote") == "=cmd [31m note"
    assert free_text("--by", "  K. H\u00e5nd ") == "K. H\u00e5nd"


def test_what_cannot_be_read_hides_nothing_else_that_is_listed(call: Call, tmp_path: Path) -> None:
    stocks = tmp_path / "calibration" / "stocks"
    (stocks / "index-110.toml").mkdir(parents=True)
    (stocks / "mine.toml").write_text("kind = 3\n")
    ran = call("list", "stocks")
    assert ran.status == 2 and "index-90\n" in ran.out and "text-80\n" in ran.out
    assert "stocks/index-110.toml: is a folder" in ran.err
    assert "stocks/mine.toml: kind: wrong type; read 3" in ran.err
