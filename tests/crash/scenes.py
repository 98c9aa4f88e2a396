"""What is killed: every command that writes, into new folders and over an older set of its own."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from fitcheck.learn.csv_rows import write_sheet
from tests.cli.designs import TOFFEES
from tests.truth import Notebook, paper_readings

Command = tuple[str, ...]
USERS = {"out/mine.txt": "the user's own", "notes.txt": "the user's own", "demo/mine.txt": "mine"}
NOTES = """
[[content]]
item   = "note-iso-a7"
lay    = "flat"
"""


def small(title: str, width: int) -> str:
    """The toffee box under another name and in another width, with notes in it."""
    box = TOFFEES[: TOFFEES.index("[[content]]")].rstrip() + "\n" + NOTES
    made = box.replace("Toffee box", title).replace("floor  = [70, ", f"floor  = [{width}, ")
    assert title in made and f"[{width}, 80]" in made
    return made


@dataclass(frozen=True)
class Scene:
    """One command as it is killed, in a workspace made ready for it."""

    name: str
    command: Command
    folders: tuple[str, ...]
    """The folders of outputs that its set lies in: the next command writes into one of them."""
    before: tuple[Command, ...] = ()
    """What was done in the workspace before."""
    users: tuple[str, ...] = ("notes.txt",)
    """The user's own files that lie about."""
    again: tuple[int, ...] = (0,)
    """How the same command may end when it is given again after a kill."""
    adds: bool = False
    """Whether the same command again adds something more."""
    removes: bool = False
    """Whether files of its own that are out of date go with its set."""
    learns: bool = False
    """Whether its set lies in calibration: the next command records a box there."""

    def make(self, root: Path) -> None:
        """The workspace before anything was done."""
        (root / "models").mkdir(parents=True)
        (root / "calibration" / "records").mkdir(parents=True)
        for name, width in (("box", 70), ("wide", 90)):
            (root / "models" / f"{name}.toml").write_text(small(f"Box {width}", width))
        (root / "models" / "toffees.toml").write_text(TOFFEES)
        for seed in (1, 2):
            book = Notebook(np.random.default_rng(seed))
            paper_readings(book)
            (root / f"taken-{seed}.csv").write_text(write_sheet(book.rows))
        for name in self.users:
            (root / name).parent.mkdir(parents=True, exist_ok=True)
            (root / name).write_text(USERS[name])


CHECK = ("--no-odds", "--json", "out/check.json", "--report", "pages/page.html")
PICTURES = ("--picture", "pictures")
PUBLISH = ("-o", "out", "--film", "--no-odds")
SVG = ("--format", "svg")
SHEET = ("-o", "out", "--json", "pages/sheet.json")
DUMMY = ("--only", "contents", "--only", "outside", "-o", "out")
SUGGEST = ("--odds", "200", "-o", "out/better.toml")
COMPARE = ("box", "--no-odds", "--json", "out/both.json")
NEW = ("new", "fresh", "--item", "chocolate-coin:2", "--style", "tray",
       "--stock", "base=cover-80", "--no-odds")  # fmt: skip
DESCRIBED = ("new", "soap-box", "--describe", "soap=block 60 x 40 x 22 mm", "--style", "tray",
             "--stock", "base=cover-80", "--no-odds")  # fmt: skip
LEARN = ("learn", "cover-80")
SURE = ("--confirm", "gap", "--confirm", "channels", "--confirm", "stacks")
"""The two files are of two papers, which is asked about."""
FIRST = "stock-cover-80-0001"
RECORD = ("record", "box", "--outcome", "slid", "--date", "2026-11-20")
FREEZE = ("record", "box", "--forecast", "--odds", "200")
OUT = ("out",)
PAGES = ("out", "pages", "pictures")
OWN = ("out/mine.txt", "notes.txt")
SCENES = (
    Scene("check", ("check", "box", *CHECK, *PICTURES), PAGES),
    Scene("check again", ("check", "box", "--stock", "lid=cover-65", *CHECK, *PICTURES), PAGES,
          (("check", "box", *CHECK, *PICTURES),), OWN),
    Scene("sheet", ("sheet", "box", *SHEET), PAGES),
    Scene("sheet again", ("sheet", "box", "--stock", "base=cover-65", *SHEET), PAGES,
          (("sheet", "box", *SHEET),), OWN),
    Scene("sheet, pages gone", ("sheet", "box", "--stock", "base=cover-65", "-o", "out", *SVG), OUT,
          (("sheet", "box", "-o", "out", *SVG, "--format", "machine"),), OWN, removes=True),
    Scene("publish again", ("publish", "box", "--stock", "base=cover-65", *PUBLISH), OUT,
          (("publish", "box", *PUBLISH),), OWN),
    Scene("dummy", ("dummy", "box", *DUMMY), OUT),
    Scene("dummy again", ("dummy", "box", "--stock", "base=index-170", *DUMMY), OUT,
          (("dummy", "box", *DUMMY),), OWN),
    Scene("coupon", ("coupon", "index-90", "-o", "out"), OUT),
    Scene("coupon again", ("coupon", "index-90", "--paper", "letter", "-o", "out"), OUT,
          (("coupon", "index-90", "-o", "out"),), OWN),
    Scene("gauge", ("gauge", "mk", "-o", "out"), OUT),
    Scene("gauge again", ("gauge", "mk", "--want", "0.06 mm", "-o", "out"), OUT,
          (("gauge", "mk", "-o", "out"),), OWN),
    Scene("suggest", ("suggest", "toffees", *SUGGEST), OUT),
    Scene("suggest again", ("suggest", "toffees", "--take", "2", *SUGGEST), OUT,
          (("suggest", "toffees", *SUGGEST),), OWN),
    Scene("compare", ("compare", "box", *COMPARE), OUT),
    Scene("compare again", ("compare", "box", "--stock", "lid=cover-65", *COMPARE), OUT,
          (("compare", "box", *COMPARE),), OWN),
    Scene("new", NEW, (), again=(0, 2)),
    Scene("new, described", DESCRIBED, (), again=(0, 2)),
    Scene("demo", ("demo", "demo"), (), again=(0, 2)),
    Scene("demo beside", ("demo", "demo"), (), users=("demo/mine.txt",), again=(0, 2)),
    Scene("learn", (*LEARN, "taken-1.csv", *SURE), (), learns=True),
    Scene("learn again", (*LEARN, "taken-2.csv", *SURE), (),
          ((*LEARN, "taken-1.csv", *SURE),), learns=True),
    Scene("learn, one aside", (*LEARN, "taken-2.csv", *SURE, "--set-aside", FIRST), (),
          ((*LEARN, "taken-1.csv", *SURE),), learns=True),
    Scene("learn, all aside", (*LEARN, "--set-aside", FIRST), (),
          ((*LEARN, "taken-1.csv", *SURE),), learns=True),
    Scene("record", RECORD, (), adds=True),
    Scene("record again", (*RECORD, "--by", "kh"), (), (RECORD,), adds=True),
    Scene("record, frozen", ("record", "box", "--outcome", "slid"), (), (FREEZE,), adds=True),
    Scene("record, aside", ("record", "box", "--set-aside", "last"), (), (RECORD,), again=(0, 2)),
    Scene("forecast", FREEZE, (), adds=True),
    Scene("forecast again", (*FREEZE, "--seed", "2"), (), (FREEZE, RECORD), adds=True),
)  # fmt: skip


def copy_of(made: Path, root: Path) -> None:
    """A fresh copy of a workspace made ready."""
    if root.exists():
        shutil.rmtree(root)
    shutil.copytree(made, root, symlinks=True)


def kept(root: Path, without: Sequence[str] = ()) -> dict[str, bytes]:
    """What a person sees in a workspace: every file that is not hidden, by its place."""
    return {
        str(path.relative_to(root)): path.read_bytes()
        for path in root.rglob("*")
        if path.is_file()
        and not any(part.startswith(".") for part in path.relative_to(root).parts)
        and path.name not in without
    }


def hidden(root: Path) -> set[str]:
    """The hidden files and folders that a program left, but for what it means to keep."""
    stay = {".fitcheck.sha256", ".lock"}
    return {str(path.relative_to(root)) for path in root.rglob(".*") if path.name not in stay}
