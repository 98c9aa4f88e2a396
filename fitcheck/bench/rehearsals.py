"""Readings are tried in a copy of the workspace: what they teach is told before any of them counts.

The copy lies in the bench's own folder and holds what learning reads: plain files of calibration
and models, up to a size. Of what one page asks only the newest is answered.
"""

from __future__ import annotations

import asyncio
import os
import re
import shutil
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fitcheck.bench.commands import Given, arguments_of
from fitcheck.bench.desk import Desk, Superseded
from fitcheck.bench.known import What, compared, known_rows
from fitcheck.bench.measure import FILE, Taken, placed, plainly, sheet_of
from fitcheck.bench.runs import Run
from fitcheck.errors import InputError
from fitcheck.learn.csv_rows import parse_sheet
from fitcheck.workspace.paths import CALIBRATION, MODELS, search_roots
from fitcheck.workspace.records import next_record

READ = (".toml", ".csv", ".json")
"""Endings of what learning reads."""
MOST_FILES, MOST_BYTES = 5_000, 60_000_000
TOO_LARGE = (
    f"the workspace is too large to try readings in a copy of it; allowed: {MOST_FILES} files and "
    f"{MOST_BYTES // 1_000_000} MB; keep the readings at once, records can be set aside"
)
_ASKED = re.compile(r"(?P<text>.*: is that so\?) if not, (?P<cure>.*); if it is, add --confirm "
                    r"(?P<word>\w+)")  # fmt: skip
_OTHER = re.compile(r"add confirm (?P<word>\w+), for (?P<what>.*)")
"""The other answer to a question, as the cure that names it."""
_NEW = re.compile(r"NAME: (?P<read>read .*): add --new .* or (?P<near>did you mean .*\?) then")
NEW = "new"
"""The word that confirms that a name is a new one."""
ASIDE, NOTED, BETTER, LID = "set aside, not used:", "noted:", "to know ", "the lid of "
"""What stands over the lines of an answer."""
CALLED = {"caliper": "how thick one sheet is"}
CALLED |= {
    f"{name}allowance{grain}": f"what a fold takes up{way}"
    for name, grain, way in (
        ("crease ", "", ""),
        ("", " along", " along the grain"),
        ("", " across", " across the grain"),
    )
}
_HEAD = re.compile(r" fitted from \d+ readings in ")


@dataclass(frozen=True)
class Order:
    """What is learnt, from which readings, and what is said beside them."""

    what: What
    name: str
    taken: Taken
    options: Given
    """By the names that the command `learn` has for them on the page."""


def copied(root: Path, into: Path) -> Path:
    """A folder with the files of a workspace that learning reads; links are not followed.

    Raises InputError for a workspace that is too large.
    """
    files = size = 0
    for shelf in (CALIBRATION, MODELS):
        (into / shelf).mkdir()
        if (root / shelf).is_symlink():
            continue
        for place, _, names in os.walk(root / shelf, followlinks=False):
            here = into / Path(place).relative_to(root)
            here.mkdir(exist_ok=True)
            for name in names:
                path = Path(place) / name
                if not name.endswith(READ) or path.is_symlink() or not path.is_file():
                    continue
                files, size = files + 1, size + path.stat().st_size
                if files > MOST_FILES or size > MOST_BYTES:
                    raise InputError(TOO_LARGE)
                shutil.copyfile(path, here / name, follow_symlinks=False)
    return into


@dataclass(eq=False)
class Rehearsals:
    """The rehearsals of one bench, and what is kept after them."""

    desk: Desk
    _newest: dict[str, int] = field(default_factory=dict)
    _going: dict[str, Run] = field(default_factory=dict)

    async def rehearse(self, page: str, order: Order) -> dict[str, Any]:
        """What readings would teach; nothing of the workspace changes.

        Raises Superseded where the page has asked anew since, InputError for what cannot be tried.
        """
        mine = self._newest[page] = self._newest.get(page, 0) + 1
        before = self._going.pop(page, None)
        if before is not None:
            self.desk.later(self.desk.runs.stop(before))
        wrong = await asyncio.to_thread(_wrong_cells, order.taken)
        if wrong:
            return told(wrong, sheet_of(order.taken)[1])
        scratch = self.desk.runs.scratch()
        try:
            place = await asyncio.to_thread(copied, self.desk.root, scratch)
            if self._newest[page] != mine:
                raise Superseded
            run = self._begun(order, place, place)
            self._going[page] = run
            found = await self._learnt(run, order, place, place)
        finally:
            await asyncio.to_thread(shutil.rmtree, scratch, ignore_errors=True)
        if self._newest[page] != mine:
            raise Superseded
        return found

    async def keep(self, order: Order) -> dict[str, Any]:
        """Learn from readings in the workspace itself; `kept` says whether it was done."""
        wrong = await asyncio.to_thread(_wrong_cells, order.taken)
        if wrong:
            return told(wrong, sheet_of(order.taken)[1]) | {"kept": False}
        scratch = self.desk.runs.scratch()
        try:
            run = self._begun(order, scratch, self.desk.root)
            found = await self._learnt(run, order, scratch, self.desk.root)
        finally:
            await asyncio.to_thread(shutil.rmtree, scratch, ignore_errors=True)
        return found | {"kept": run.events[-1]["kind"] == "done" or _kept_all_the_same(run)}

    def _begun(self, order: Order, folder: Path, cwd: Path) -> Run:
        """The command, begun, with its readings in a file of its own."""
        text, _ = sheet_of(order.taken)
        file = folder / FILE
        file.write_text(text, encoding="utf-8")
        given = {**order.options, "name": order.name, "readings": str(file)}
        return self.desk.runs.command("learning", arguments_of("learn", given), cwd=cwd)

    async def _learnt(self, run: Run, order: Order, folder: Path, root: Path) -> dict[str, Any]:
        """How the command ended, beside what was known before it."""
        runs, own = self.desk.runs, self.desk.root
        record = next_record(root, order.what.kind, order.name).name
        before = await asyncio.to_thread(_known, order, own)
        async for _ in run.follow():
            pass
        runs.forget(run)
        last = run.events[-1]
        if last["kind"] == "stopped":
            raise Superseded
        _, where = sheet_of(order.taken)
        said = [_plain(line, folder, root) for line in last["lines"]]
        if last["kind"] == "failed":
            return told(said, where)
        after = await asyncio.to_thread(_known, order, root)
        lines = [_plain(line, folder, root) for line in last["text"].splitlines()]
        found = told([*said, *lines], where, record)
        return found | {"learnt": compared(before, after), "record": record}


def _kept_all_the_same(run: Run) -> bool:
    """Whether the profile was written though something asked beside it could not be shown."""
    return any("is written all the same" in line for line in run.events[-1].get("lines", ()))


def _known(order: Order, root: Path) -> tuple[tuple[str, str], ...]:
    try:
        return known_rows(order.what, order.name, search_roots(cwd=root))
    except InputError:
        return ()  # the command has said what is wrong with it


def _wrong_cells(taken: Taken) -> list[str]:
    """What cannot be read of what was typed, found without a process."""
    text, _ = sheet_of(taken)
    try:
        parse_sheet(text, FILE)
    except InputError as error:
        return [*error.lines]
    return []


def _plain(line: str, *folders: Path) -> str:
    """A line without the folders of this machine that it names."""
    for folder in folders:
        for place in dict.fromkeys((str(folder), str(folder.resolve()))):
            line = line.replace(f"{place}{os.sep}", "")
    return line


def told(lines: Sequence[str], where: Sequence[int], record: str = "") -> dict[str, Any]:
    """What learning said, as the page shows it: each thing beside the reading that it is about.

    `where` has the number of the form's line for each row, `record` the name under which the rows
    are told of once they were fitted.
    """
    sections = _sections(lines)
    again = any("are in this file" in line for line in sections[NOTED])
    files = (FILE,) if again or not record else (FILE, record)
    asked = [one for line in sections[""] if (one := _question(line, where)) is not None]
    asked = [each for one in asked for each in _both_answers(one)]
    wrong = [line for line in sections[""] if _question(line, where) is None]
    return {
        "problems": placed(wrong, where, files),
        "questions": asked,
        "aside": placed(sections[ASIDE], where, files),
        "notes": placed(sections[NOTED], where, files),
        "better": [_more(line) for line in sections[BETTER]],
        "lid": sections[LID],
        "learnt": [],
    }


def _sections(lines: Sequence[str]) -> dict[str, list[str]]:
    """The lines of an answer by the heading that they stand under; those of errors under "".

    What stands under no heading of an answer that came is told otherwise.
    """
    found: dict[str, list[str]] = {heading: [] for heading in ("", ASIDE, NOTED, BETTER, LID)}
    answered = any(_HEAD.search(line) for line in lines)
    here: list[str] | None = None if answered else found[""]
    for line in lines:
        heading = next((one for one in (ASIDE, NOTED, BETTER, LID) if line.startswith(one)), None)
        if heading is not None:
            here = found[heading]
        elif not line.strip():
            here = None if answered else here
        elif line.startswith("--"):  # what is complained of beside an answer
            found[""].append(line)
        elif here is not None:
            here.append(line.strip())
    return found


def _more(line: str) -> str:
    """What more readings would tell of a thing, which is called as it is known on the page."""
    label, gap, words = line.partition("  ")
    return f"{CALLED.get(label, label)}: {words.strip()}" if gap else line


def _both_answers(asked: dict[str, str]) -> list[dict[str, str]]:
    """A question, or the two to tick one of where the cure of it is another answer."""
    other = _OTHER.fullmatch(asked["cure"])
    if other is None:
        return [asked]
    text = f"These are {other['what']}: is that so?"
    return [
        asked | {"cure": "tick the other one"},
        {"key": asked["key"], "text": text, "word": other["word"], "cure": "tick the other one"},
    ]


def _question(line: str, where: Sequence[int]) -> dict[str, str] | None:
    """What is asked, with the word that confirms it; None where a line asks nothing."""
    asked = _ASKED.fullmatch(line)
    if asked is not None:
        beside = placed([asked["text"]], where)[0]
        return beside | {"word": asked["word"], "cure": plainly(asked["cure"])}
    new = _NEW.search(line)
    if new is not None:
        return {
            "key": "",
            "text": f"{new['read']}: {new['near']}",
            "word": NEW,
            "cure": "correct the name",
        }
    return None
