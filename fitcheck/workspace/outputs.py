"""The one guard through which commands write: what is the user's own is never written over."""

from __future__ import annotations

import contextlib
import os
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import combinations
from pathlib import Path

from fitcheck.errors import InputError, reason_of
from fitcheck.workspace.atomic import Data, Files, bytes_of, write_many
from fitcheck.workspace.digests import (
    DIGESTS,
    digest_of_bytes,
    digests_text,
    is_ours,
    may_keep_digests,
)
from fitcheck.workspace.edits import NOTHING, Edit
from fitcheck.workspace.filenames import HIDDEN
from fitcheck.workspace.journal import recover
from fitcheck.workspace.names import ITEMS_FILE
from fitcheck.workspace.paths import CALIBRATION, MODELS, current_folder, find_workspace
from fitcheck.workspace.reading import read_so_far


@dataclass(frozen=True)
class _Output:
    """One file that is wanted, and which option asked for it."""

    option: str
    path: Path
    below: Path
    """The folder that the user named: from here on no link may lead away."""

    @property
    def read(self) -> str:
        """How a line about it begins."""
        return f"{self.option}: read '{self.path}'"


@dataclass(frozen=True)
class Outputs:
    """Where a command is to write, by option; `check` before the work, `write` after it."""

    files: Mapping[str, Path | None] = field(default_factory=dict)
    folders: Mapping[str, Path | None] = field(default_factory=dict)
    force: bool = False
    """Write over files that are not fitcheck's, or that were changed since."""
    designs: bool = False
    """Whether what is written is a design, whose place is models."""

    def check(self, inputs: Iterable[Path] = (), *sets: Files) -> None:
        """Refuse what must not be written to, as far as it is known by now.

        `inputs` are files that are going to be read; those that this run has read are known. `sets`
        are the files as they will be written. An unfinished set in one of the places is finished
        or cleared first. Raises `InputError`.
        """
        current_folder()
        try:
            outputs = tuple(self._outputs(sets))
            touched = {_nearest_folder(output.path) for output in outputs} | set(self._above())
            recover(touched)
            for above in {folder.parent for folder in touched} | {Path.cwd()}:
                # New folders are staged above them; what cannot be mended there hinders nothing.
                with contextlib.suppress(InputError):
                    recover([above])
            self._refuse(outputs, tuple(inputs))
        except (OSError, ValueError) as error:
            if isinstance(error, InputError):
                raise
            current_folder()
            place = getattr(error, "filename", None) or "the output"
            raise InputError(
                f"{place}: cannot be looked at ({reason_of(error)}); "
                f"allowed: a place you may write to; choose another or mend its rights; {NOTHING}"
            ) from None

    def write(self, *sets: Files, edits: Iterable[Edit] = ()) -> None:
        """Write the sets, all of them or nothing, and keep their digests. Raises `InputError`.

        With them go edits of files that are the user's own and stay so.
        """
        edits = tuple(edits)
        self.check((), *sets)
        for edit in edits:
            output = _Output(edit.option, edit.path, edit.path.parent)
            _refuse_link(output)
            _refuse_what_is_no_file(output)
            _refuse_shut(output.read, output.path)
        together = {path: data for files in sets for path, data in files.items()}

        def lists() -> Files:
            for edit in edits:
                edit.refuse_changed()
            return _digest_lists(together)

        write_many({**together, **{edit.path: edit.after for edit in edits}}, lists)

    def _outputs(self, sets: Iterable[Files]) -> Iterator[_Output]:
        made = [path for files in sets for path in files]
        given = {option: path for option, path in self.files.items() if path is not None}
        for option, path in given.items():
            yield _Output(option, path, path.parent)
        single = list(given.values())
        for path in made:
            if path in single:
                single.remove(path)
                continue
            option, below = self._folder_of(path)
            yield _Output(option, path, below)

    def _folder_of(self, path: Path) -> tuple[str, Path]:
        for option, folder in self.folders.items():
            if folder is not None and folder in path.parents:
                return option, folder
        return "-o", path.parent

    def _above(self) -> Iterator[Path]:
        return (_nearest_folder(folder / "x") for folder in self.folders.values() if folder)

    def _refuse(self, outputs: tuple[_Output, ...], inputs: tuple[Path, ...]) -> None:
        known = {**_identities(inputs), **read_so_far()}
        for output in outputs:
            _refuse_input(output, known)
        for one, other in combinations(outputs, 2):
            _refuse_twice(one, other)
        for option, folder in self.folders.items():
            if folder is not None:
                _refuse_folder(option, folder)
        for output in outputs:
            _refuse_link(output)
            self._refuse_place(output.read, output.path)
            _refuse_what_is_no_file(output)
            _refuse_shut(output.read, output.path)
        for option, folder in self.folders.items():
            if folder is not None:
                self._refuse_place(f"{option}: read '{folder}'", folder / "x")
                _refuse_shut(f"{option}: read '{folder}'", folder / "x")
        if not self.force:
            _refuse_the_users([output for output in outputs if not _may_go(output.path)])

    def _refuse_place(self, read: str, path: Path) -> None:
        """Models and calibration hold what people made and measured."""
        real = Path(os.path.realpath(path))
        root = find_workspace(_nearest_folder(real))
        if root is None:
            return
        for name in (MODELS, CALIBRATION):
            shelf = root / name
            if not any(_is_same(above, shelf) for above in real.parents):
                continue
            if self.designs and name == MODELS and real.name.casefold() != ITEMS_FILE:
                continue
            raise InputError(
                f"{read}, which lies in {shelf}, where designs and measurements are kept; allowed: "
                f"a place outside {MODELS} and {CALIBRATION}; choose another; {NOTHING}"
            )


def _identities(paths: Iterable[Path]) -> dict[tuple[int, int], Path]:
    found = {}
    for path in paths:
        with contextlib.suppress(OSError, ValueError):  # whoever reads it says what is wrong
            state = path.stat()
            found[state.st_dev, state.st_ino] = path
    return found


def _refuse_input(output: _Output, known: Mapping[tuple[int, int], Path]) -> None:
    if not output.path.exists():
        return
    state = output.path.stat()
    source = known.get((state.st_dev, state.st_ino))
    if source is not None:
        raise InputError(
            f"{output.read}, which is {source}, an input of this command; allowed: a file of its "
            f"own; choose another name; {NOTHING}"
        )


def _refuse_twice(one: _Output, other: _Output) -> None:
    here, there = _folded(one.path), _folded(other.path)
    if here == there:
        raise InputError(
            f"{one.option} and {other.option}: read '{one.path}' and '{other.path}', which are one "
            f"file, on some systems at least; allowed: a file for each; choose another name; "
            f"{NOTHING}"
        )
    if here in there.parents or there in here.parents:
        raise InputError(
            f"{one.option} and {other.option}: read '{one.path}' and '{other.path}', and one is "
            f"the folder of the other; allowed: a file for each; choose another name; {NOTHING}"
        )


def _folded(path: Path) -> Path:
    """Two paths that some common system takes for one are the same here."""
    real = unicodedata.normalize("NFC", os.path.realpath(path))
    return Path(unicodedata.normalize("NFC", real.casefold()))


def _refuse_folder(option: str, folder: Path) -> None:
    if os.path.lexists(folder) and not folder.is_dir():
        lost = folder.is_symlink() and not folder.exists()
        what = "a link to nothing" if lost else "not a folder"
        raise InputError(
            f"{option}: read '{folder}', which is {what}; allowed: a folder, made if missing; "
            f"choose another name; {NOTHING}"
        )


def _refuse_link(output: _Output) -> None:
    plain = Path(os.path.realpath(output.below)) / output.path.relative_to(output.below)
    real = os.path.realpath(output.path)
    if os.path.normcase(real) != os.path.normcase(plain):
        raise InputError(
            f"{output.read}, which is a link or lies behind one, to {real}; allowed: a file in the "
            f"folder itself; remove the link or choose another name; {NOTHING}"
        )


def _refuse_what_is_no_file(output: _Output) -> None:
    path = output.path
    if str(path) == "-":
        raise InputError(
            f"{output.read}, which stands for standard output elsewhere; allowed: a file's name; "
            f"give one; {NOTHING}"
        )
    if path.name.startswith(HIDDEN):
        raise InputError(
            f"{output.read}, a name that fitcheck keeps for itself; allowed: names that do not "
            f"begin with {HIDDEN}; choose another; {NOTHING}"
        )
    if path.is_dir():
        raise InputError(
            f"{output.read}, which is a folder; allowed: a file; name one in it; {NOTHING}"
        )
    if os.path.lexists(path) and not path.is_file():
        raise InputError(
            f"{output.read}, which is a device or a pipe; allowed: a file on the disk; choose "
            f"another name; {NOTHING}"
        )


def _refuse_shut(read: str, path: Path) -> None:
    folder = _nearest_folder(path)
    if not os.access(folder, os.W_OK | os.X_OK):
        raise InputError(
            f"{read}, and {folder} cannot be written to; allowed: a place you may write to; choose "
            f"another or mend its rights; {NOTHING}"
        )


def _refuse_the_users(kept: list[_Output]) -> None:
    if not kept:
        return
    more = f" (and {len(kept) - 1} more like it)" if len(kept) > 1 else ""
    raise InputError(
        f"{kept[0].read}{more}, which is there already and is not fitcheck's, or was changed since "
        "fitcheck wrote it; allowed: a new file, or one that fitcheck wrote; choose another place, "
        f"or write over it with --force; {NOTHING}"
    )


def _may_go(path: Path) -> bool:
    """Whether nothing of the user's is lost with the file that stands there."""
    return not path.exists() or path.stat().st_size == 0 or is_ours(path)


def _is_same(one: Path, other: Path) -> bool:
    if one == other:
        return True
    return one.exists() and other.exists() and one.samefile(other)


def _nearest_folder(path: Path) -> Path:
    """The folder that a path would lie in, or the nearest one above that there is."""
    real = Path(os.path.realpath(path))
    return next((above for above in real.parents if above.is_dir()), real.parent)


def _digest_lists(files: Files) -> dict[Path, Data]:
    """The lists of digests of all folders, as they are with these files."""
    by_folder: dict[Path, dict[str, str]] = {}
    for path, data in files.items():
        written = by_folder.setdefault(Path(os.path.realpath(path.parent)), {})
        written[path.name] = digest_of_bytes(bytes_of(data))
    return {
        folder / DIGESTS: digests_text(folder, written)
        for folder, written in by_folder.items()
        if may_keep_digests(folder)
    }
