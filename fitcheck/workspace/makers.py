"""What a command wrote into a folder for a design, and what of it is out of date by now."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from fitcheck.workspace.atomic import Data, bytes_of
from fitcheck.workspace.digests import (
    DIGESTS,
    Kept,
    Maker,
    digest_of,
    digest_of_bytes,
    digests_text,
    may_keep_digests,
    read_list,
)
from fitcheck.workspace.filenames import safe_stem

MARK_DIGITS = 16
"""Of digests that tell designs apart and what they were made from; they guard nothing."""


@dataclass(frozen=True)
class Job:
    """One run of a command for one design: whoever runs it again replaces all that it wrote."""

    command: str
    design: Path
    """The design's file."""
    source: str
    """A text that is another one where the same command would make other files."""

    def maker(self, folder: Path) -> Maker:
        """What a folder's list says of it; the design is told by how it lies from there."""
        where = os.path.realpath(self.design)
        with contextlib.suppress(ValueError):  # on another drive
            where = os.path.relpath(where, folder)
        of = f"{safe_stem(self.design.stem)}-{_mark(where)}"
        return Maker(self.command, of, _mark(self.source))


@dataclass(frozen=True)
class Older:
    """What the same command wrote for the same design, of other sizes, and does not write now."""

    gone: tuple[Path, ...] = ()
    """Taken away: unchanged since it was written."""
    left: tuple[Path, ...] = ()
    """Changed by somebody since, so that it stays."""

    def with_more(self, other: Older) -> Older:
        """Both together."""
        return Older((*self.gone, *other.gone), (*self.left, *other.left))


def older(job: Job, folder: Path, files: Mapping[Path, Data]) -> Older:
    """What is out of date in a folder once these files are written there."""
    real = Path(os.path.realpath(folder))
    maker = job.maker(real)
    if not may_keep_digests(real):
        return Older()
    names = {path.name for path in files if Path(os.path.realpath(path.parent)) == real}
    gone: list[Path] = []
    left: list[Path] = []
    for name, kept in read_list(real).items():
        was = kept.maker
        if was is None or (was.command, was.of) != (maker.command, maker.of):
            continue
        if name in names or Path(name).name != name:  # a list may come from anywhere
            continue
        if was.source != maker.source and os.path.lexists(real / name):
            (gone if digest_of(real / name) == kept.digest else left).append(folder / name)
    return Older(tuple(sorted(gone)), tuple(sorted(left)))


def lists_with(
    files: Mapping[Path, Data], makers: Mapping[Path, Maker], gone: tuple[Path, ...]
) -> dict[Path, Data]:
    """The lists of all folders, as they are with these files and without those that go."""
    by_folder: dict[Path, dict[str, Kept]] = {}
    for path, data in files.items():
        folder = Path(os.path.realpath(path.parent))
        kept = Kept(digest_of_bytes(bytes_of(data)), makers.get(path))
        by_folder.setdefault(folder, {})[path.name] = kept
    names = {(Path(os.path.realpath(path.parent)), path.name) for path in gone}
    return {
        folder / DIGESTS: digests_text(folder, rows, {name for at, name in names if at == folder})
        for folder, rows in by_folder.items()
        if may_keep_digests(folder)
    }


def _mark(text: str) -> str:
    return digest_of_bytes(os.fsencode(text))[:MARK_DIGITS]
