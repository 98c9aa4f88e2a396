"""What must not be written to, each refused in one line that says what to do instead."""

from __future__ import annotations

import contextlib
import os
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.plain import shown
from fitcheck.workspace.digests import is_ours, read_list
from fitcheck.workspace.edits import NOTHING
from fitcheck.workspace.filenames import HIDDEN


@dataclass(frozen=True)
class Output:
    """One file that is wanted, and which option asked for it."""

    option: str
    path: Path
    below: Path
    """The folder that the user named: from here on no link may lead away."""

    @property
    def read(self) -> str:
        """How a line about it begins."""
        return f"{self.option}: read '{self.path}'"


def identities(paths: Iterable[Path]) -> dict[tuple[int, int], Path]:
    """The files that are there, by device and number on it."""
    found = {}
    for path in paths:
        with contextlib.suppress(OSError, ValueError):  # whoever reads it says what is wrong
            state = path.stat()
            found[state.st_dev, state.st_ino] = path
    return found


def refuse_input(output: Output, known: Mapping[tuple[int, int], Path]) -> None:
    """Refuse a file that is read, by whatever name; `known` are those. Raises `InputError`."""
    if not output.path.exists():
        return
    state = output.path.stat()
    source = known.get((state.st_dev, state.st_ino))
    if source is not None:
        raise InputError(
            f"{output.read}, which is {source}, an input of this command; allowed: a file of its "
            f"own; choose another name; {NOTHING}"
        )


def refuse_twice(one: Output, other: Output) -> None:
    """Refuse two that are one file, or one within the other. Raises `InputError`."""
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


def refuse_folder(option: str, folder: Path) -> None:
    """Refuse what is there and no folder. Raises `InputError`."""
    if os.path.lexists(folder) and not folder.is_dir():
        lost = folder.is_symlink() and not folder.exists()
        what = "a link to nothing" if lost else "not a folder"
        raise InputError(
            f"{option}: read '{folder}', which is {what}; allowed: a folder, made if missing; "
            f"choose another name; {NOTHING}"
        )


def refuse_link(output: Output) -> None:
    """Refuse what a link leads away. Raises `InputError`."""
    plain = Path(os.path.realpath(output.below)) / output.path.relative_to(output.below)
    real = os.path.realpath(output.path)
    if os.path.normcase(real) != os.path.normcase(plain):
        raise InputError(
            f"{output.read}, which is a link or lies behind one, to {real}; allowed: a file in the "
            f"folder itself; remove the link or choose another name; {NOTHING}"
        )


def refuse_what_is_no_file(output: Output) -> None:
    """Refuse folders, devices and names that are kept. Raises `InputError`."""
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


def refuse_shut(read: str, path: Path) -> None:
    """Refuse a place that cannot be written to; `read` is what was. Raises `InputError`."""
    folder = nearest_folder(path)
    if not os.access(folder, os.W_OK | os.X_OK):
        raise InputError(
            f"{read}, and {folder} cannot be written to; allowed: a place you may write to; choose "
            f"another or mend its rights; {NOTHING}"
        )


def refuse_the_users(kept: list[Output]) -> None:
    """Refuse, in one line, all that is the user's own. Raises `InputError`."""
    if not kept:
        return
    more = f" (and {len(kept) - 1} more like it)" if len(kept) > 1 else ""
    raise InputError(
        f"{kept[0].read}{more}, which is there already and is not fitcheck's, or was changed since "
        "fitcheck wrote it; allowed: a new file, or one that fitcheck wrote; choose another place, "
        f"or write over it with --force; {NOTHING}"
    )


def refuse_old(output: Output) -> None:
    """Refuse a new thing's place where something stands, whosever it is. Raises `InputError`."""
    if os.path.lexists(output.path):
        raise InputError(
            f"{output.option}: read {shown(output.path.stem)}, and '{output.path}' is there "
            f"already; allowed: a new name, as nothing is written over; choose another"
        )


def refuse_anothers(outputs: Iterable[Output], command: str) -> None:
    """One name may be that of two commands' files: the older one may be what is wanted."""
    for output in outputs:
        kept = read_list(output.path.parent).get(output.path.name)
        if kept is None or kept.maker is None or not output.path.exists():
            continue
        if kept.maker.command != command:
            raise InputError(
                f"{output.read}, which `fitcheck {kept.maker.command}` wrote; allowed: for "
                f"`fitcheck {command}` a new file, or one that it wrote itself; choose another "
                f"folder, or write over it with --force; {NOTHING}"
            )


def may_go(path: Path) -> bool:
    """Whether nothing of the user's is lost with the file that stands there."""
    return not path.exists() or path.stat().st_size == 0 or is_ours(path)


def is_same(one: Path, other: Path) -> bool:
    """Whether both are one place."""
    if one == other:
        return True
    return one.exists() and other.exists() and one.samefile(other)


def nearest_folder(path: Path) -> Path:
    """The folder that a path would lie in, or the nearest one above that there is."""
    real = Path(os.path.realpath(path))
    return next((above for above in real.parents if above.is_dir()), real.parent)
