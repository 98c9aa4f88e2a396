"""Runs what the guide shows: files are written, commands are run, and what they print is compared.

`python -m tests.guide_runs` writes what the commands print now into the chapters, shortened.
"""

from __future__ import annotations

import re
import shlex
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.cli.commands import ROOT, fitcheck
from tests.other_package import described

GUIDE = ROOT / "fitcheck" / "outputs" / "guide"
BLOCK = re.compile(r"```(console|toml [^\n]+|csv [^\n]+|python [^\n]+)\n(.*?)```", re.DOTALL)
KEPT = 22
"""So many lines of an output are shown."""
ELIDED = "..."


@dataclass(frozen=True)
class Shown:
    """A command with what the guide says it prints, and what it prints."""

    command: str
    expected: list[str]
    printed: list[str]
    error: str


def run_chapter(text: str, folder: Path) -> Iterator[Shown]:
    """All commands of a chapter, one after the other, in one folder."""
    for kind, body in BLOCK.findall(text):
        if kind != "console":
            path = folder / kind.split(" ", 1)[1]
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(body)
            if path.name == "pyproject.toml":  # what is there is found as if it were installed
                project = tomllib.loads(body)["project"]
                described(folder, project["name"], project["entry-points"])
            continue
        first, *expected = body.splitlines()
        command = first.removeprefix("$ fitcheck ")
        ran = fitcheck(*shlex.split(command), cwd=folder)
        printed = ran.out.replace(str(folder), "~").splitlines()
        yield Shown(command, expected, printed, ran.err)


def agrees(shown: Shown) -> bool:
    """Whether the lines shown are those printed; a line of dots stands for some left out."""
    if ELIDED in shown.expected:
        cut = shown.expected.index(ELIDED)
        return shown.printed[:cut] == shown.expected[:cut] and len(shown.printed) > cut
    return shown.printed == shown.expected


def rewritten(text: str, folder: Path) -> str:
    """A chapter with what its commands print now."""
    runs = run_chapter(text, folder)

    def fill(block: re.Match[str]) -> str:
        if block[1] != "console":
            return block[0]
        shown = next(runs)
        assert shown.error == "", shown.error
        lines = shown.printed
        if len(lines) > KEPT + 4:
            lines = [*lines[:KEPT], ELIDED]
        return "```console\n" + "\n".join([f"$ fitcheck {shown.command}", *lines]) + "\n```"

    # files are written as the runs go past them
    return BLOCK.sub(fill, text)


if __name__ == "__main__":
    for path in sorted(GUIDE.glob("*.md")):
        with tempfile.TemporaryDirectory() as folder:
            path.write_text(rewritten(path.read_text(), Path(folder)))
        sys.stdout.write(f"{path.name}\n")
