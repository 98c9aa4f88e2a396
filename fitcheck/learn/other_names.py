"""The same readings under another name: the commonest slip is the wrong file, or the wrong name."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Kind, Reading
from fitcheck.learn.csv_rows import csv_file_text, write_sheet
from fitcheck.learn.questions import ALIKE, Doubt, Question
from fitcheck.learn.set_aside import is_list, list_of, set_aside_in
from fitcheck.workspace.records import ENDING, check_place, records_folder

_WORD = {Kind.STOCK: "paper", Kind.PRINTER: "printer", Kind.TOOLS: "board or hand"}


def of_other_names(
    rows: Sequence[Reading], kind: Kind, name: str, root: Path
) -> Iterator[Question]:
    """A question for each record of another name that holds the same rows, or is held by them.

    A record that does not count there asks nothing: that is how a wrong name is put right.
    """
    said = _lines(write_sheet(rows))
    if said.total() < ALIKE:
        return
    for other, path in _records_of_others(kind, name, root):
        older = _kept(path)
        if older.total() < ALIKE or ((said - older) and (older - said)):
            continue
        if path.name in _aside(root, kind, other):
            continue
        yield Question(
            Doubt.AGAIN,
            f"{rows[0].file}: its readings stand in {path.name}, which is of {other}, and would "
            f"make another {_WORD[kind]} of the same readings",
            f"give the file that is of {name}; if these are of {name}, set the other aside: "
            f"fitcheck learn {other} --set-aside {path.name}",
        )


def _records_of_others(kind: Kind, name: str, root: Path) -> Iterator[tuple[str, Path]]:
    pattern = re.compile(rf"{re.escape(kind)}-(.+)-\d{{4,12}}{re.escape(ENDING)}")
    for path in sorted(records_folder(root).glob(f"{kind}-*{ENDING}")):
        found = pattern.fullmatch(path.name)
        if found is not None and found[1] != name and not is_list(path):
            yield found[1], path


def _kept(path: Path) -> Counter[str]:
    """The rows of a record as they stand there; nothing where it cannot be read."""
    try:
        check_place(path)
        return _lines(csv_file_text(path))
    except (InputError, OSError):
        return Counter()


def _aside(root: Path, kind: Kind, name: str) -> frozenset[str]:
    try:
        return set_aside_in(list_of(root, kind, name))
    except InputError:
        return frozenset()


def _lines(text: str) -> Counter[str]:
    """Rows below the header, each as often as it stands there."""
    return Counter(text.splitlines()[1:])
