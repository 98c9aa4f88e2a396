"""The records of one stock or printer: which count, and what a file adds to them."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.boxes_aside import list_path
from fitcheck.learn.boxes_file import BOXES_FILE
from fitcheck.learn.csv_rows import Sheet, csv_file_text, read_sheet
from fitcheck.learn.set_aside import ANEW, SAME, is_list, list_of, said_in, set_aside_in
from fitcheck.learn.twin_rows import same_row
from fitcheck.plain import LONGEST_SHOWN, shown
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.records import (
    ENDING,
    check_place,
    find_records,
    records_folder,
    records_of,
)
from fitcheck.workspace.spreadsheet import csv_rows


@dataclass(frozen=True)
class Kept:
    """What is kept of one stock or printer."""

    paths: tuple[Path, ...]
    """Those that its profile names from elsewhere, then its own in the workspace, oldest first: in
    whatever order they went and came back, the same ones are fitted in the same order."""
    named: frozenset[str]
    """The names of those in its profile."""
    aside: frozenset[str]
    """The names of those that do not count."""
    anew: frozenset[str]
    """The names of those whose pieces were made anew, whatever letters they have."""
    same: frozenset[str]
    """The names of those of which it was said that their pieces were read again."""


def kept_of(
    kind: str,
    name: str,
    named: Iterable[str],
    roots: Sequence[Path],
    leaving: Container[str] = (),
) -> Kept:
    """The records of one name, none of them read yet; the first root is the workspace.

    Raises ``InputError`` when one in its profile is gone, unless it is one of ``leaving``.
    """
    names = tuple(named)
    said = list_of(roots[0], kind, name)
    aside = set_aside_in(said)
    wanted = (each for each in names if each not in aside and each not in leaving)
    found = find_records(wanted, roots)
    own = records_of(roots[0], kind, name)
    paths = (*dict.fromkeys(path for path in found if path not in own), *own)
    return Kept(paths, frozenset(names), aside, said_in(said, ANEW), said_in(said, SAME))


def read_record(path: Path) -> Sheet:
    """The readings of a record; raises ``InputError`` with the way out for one that is spoilt."""
    check_place(path)
    return read_sheet(path, path.name)


def read_counted(paths: Iterable[Path], name: str) -> dict[Path, Sheet]:
    """Every record that counts, each read once; raises ``InputError`` with a line for each."""
    sheets: dict[Path, Sheet] = {}
    lines: list[str] = []
    for path in paths:
        try:
            sheets[path] = read_record(path)
        except InputError as error:
            lines += error.lines
            lines.append(
                f"{path.name}: is a record of {name}; bring the file back as it was, or leave it "
                f"out: fitcheck learn {name} --set-aside {path.name}"
            )
    if lines:
        raise InputError(lines)
    return sheets


def read_left_out(paths: Iterable[Path]) -> dict[Path, Sheet | None]:
    """Records that do not count; None for one that cannot be read, which does no harm."""
    sheets: dict[Path, Sheet | None] = {}
    for path in paths:
        try:
            sheets[path] = read_record(path)
        except InputError:
            sheets[path] = None
    return sheets


def features_in(sheets: Iterable[Sheet | None]) -> frozenset[Feature]:
    """What the readings of some records are of; of one that cannot be read, perhaps everything."""
    found: set[Feature] = set()
    for sheet in sheets:
        found |= set(Feature) if sheet is None else {r.feature for r in sheet.readings}
    return frozenset(found)


def new_rows(
    sheet: Sheet,
    name: str,
    counted: Mapping[Path, Sheet],
    left_out: Mapping[Path, Sheet | None],
) -> tuple[tuple[Reading, ...], tuple[str, ...], tuple[str, ...]]:
    """The rows of a sheet without those of records that it holds in full, and what to say.

    Last the names of those of them that count.
    """
    rows, notes, held = list(sheet.readings), list(sheet.notes), list[str]()
    for path, older in (*counted.items(), *left_out.items()):
        rest = None if older is None else _without(rows, older.readings)
        if rest is None:
            continue
        rows = rest
        held += [path.name] if path in counted else []
        notes.append(
            f"the rows of {path.name} are in this file again: counted once"
            if path in counted
            else f"the rows of {path.name} are in this file, and it is set aside: not counted; "
            f"fitcheck learn {name} --take-back {path.name} counts it again"
        )
    return tuple(rows), tuple(notes), tuple(held)


def _without(rows: Sequence[Reading], older: Sequence[Reading]) -> list[Reading] | None:
    """Rows without the older ones, or None unless these are all among them."""
    if len(older) > len(rows):
        return None
    said = Counter(map(same_row, older))
    rest = []
    for reading in rows:
        row = same_row(reading)
        if said[row] > 0:
            said[row] -= 1
        else:
            rest.append(reading)
    return rest if len(rest) == len(rows) - len(older) else None


def chosen_records(option: str, texts: Sequence[str], kept: Kept) -> tuple[str, ...]:
    """The records that an option names; raises ``InputError`` for what is no such record.

    One that is set aside may be set aside again: a session that was killed is finished so.
    """
    known = [path.name for path in kept.paths]
    known += sorted(kept.named - set(known))  # a profile may name one whose file is gone
    names, lines = [], []
    for text, name in zip(texts, as_records(texts), strict=True):
        if name in known:
            names.append(name)
            continue
        near = did_you_mean(name[:LONGEST_SHOWN], known)
        lines.append(f"{option}: read {shown(text)}; allowed: a record of that name; {near}")
    if lines:
        raise InputError(lines)
    return tuple(dict.fromkeys(names))


def as_records(texts: Iterable[str]) -> tuple[str, ...]:
    """Names of records, whose ending may be left out."""
    return tuple(text if text.endswith(ENDING) else text + ENDING for text in texts)


def summary_of(root: Path) -> Iterator[tuple[str, str]]:
    """Each record of a workspace and what it holds; one that cannot be read says why."""
    paths = sorted(records_folder(root).glob(f"*{ENDING}"))
    aside: set[str] = set()
    for path in filter(is_list, paths):
        if path == list_path(root):
            continue
        try:
            aside |= set_aside_in(path)
        except InputError as error:
            yield from ((path.name, f"cannot be used: {line}") for line in error.lines)
    for path in paths:
        if path.name == BOXES_FILE or is_list(path):
            continue
        try:
            found = _count(path)
        except InputError as error:
            found = f"cannot be read: {error.lines[0]}"
        yield path.name, f"{found}; set aside: does not count" if path.name in aside else found


def _count(path: Path) -> str:
    """How many readings a record holds, whatever they are of."""
    check_place(path)
    text = csv_file_text(path)
    try:
        rows = sum(1 for row in csv_rows(text) if any(row)) - 1
    except csv.Error as error:
        raise InputError(f"{path}: is not CSV ({error}); bring the file back as it was") from None
    return "1 reading" if rows == 1 else f"{max(rows, 0)} readings"
