"""A workspace is a folder with models or calibration in it; the shipped one is always the last."""

import os
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

from fitcheck.errors import FitcheckError, InputError
from fitcheck.plain import composed

MODELS = "models"
CALIBRATION = "calibration"
SHIPPED = "_shipped"


def is_folder(path: Path) -> bool:
    """Whether there is a folder; what may not be looked into, or cannot be a name, is none."""
    return os.path.isdir(path)


def is_file(path: Path) -> bool:
    """Whether there is a file; what may not be looked into, or cannot be a name, is none."""
    return os.path.isfile(path)


def as_spelt(path: Path) -> Path:
    """The path, or a file beside it whose name looks the same: systems and keyboards differ in
    whether a letter and the mark over it are one sign."""
    if path.name.isascii() or os.path.lexists(path) or not is_folder(path.parent):
        return path
    try:
        beside = os.listdir(path.parent)
    except OSError:
        return path
    same = (name for name in beside if composed(name) == composed(path.name))
    return path.with_name(next(same, path.name))


def entered(folder: Path) -> Path:
    """The folder itself; raises ``InputError`` where there is one that may not be looked into.

    What a maker has measured goes before what is shipped, so it may not be passed over unseen.
    """
    try:
        with os.scandir(folder):
            os.stat(os.path.join(folder, "."))  # names can be read where files cannot be reached
    except PermissionError as error:
        raise InputError(
            f"{folder}: cannot be looked into ({error.strerror}), and what it holds goes before "
            "what is shipped; mend its rights"
        ) from None
    except (OSError, ValueError):  # there is none, or it is none
        pass
    return folder


def current_folder() -> Path:
    """The folder that the program was called in; raises ``InputError`` where it is gone."""
    try:
        return Path.cwd()
    except OSError as error:
        raise InputError(
            f"the current folder cannot be found ({error.strerror}); it may have been deleted or "
            "moved; change into a folder that is there (cd) and call fitcheck again"
        ) from None


def is_workspace(folder: Path) -> bool:
    """Whether ``folder`` has the shape of a workspace."""
    return is_folder(folder / MODELS) or is_folder(folder / CALIBRATION)


def find_workspace(start: Path) -> Path | None:
    """The nearest workspace from ``start`` (a file or a folder) upwards, or None."""
    start = start if start.is_absolute() else current_folder() / start
    for folder in (start, *start.parents):
        if is_workspace(folder):
            return folder
    return None


def shipped_workspace() -> Path:
    """The workspace that came with the program: inside a wheel, or beside the package.

    Raises ``FitcheckError`` when the installation has lost it.
    """
    package = Path(str(resources.files("fitcheck")))
    for folder in (package / SHIPPED, package.parent):
        if is_workspace(folder):
            return folder
    raise FitcheckError(
        f"the shipped workspace is missing beside {package}: install fitcheck again"
    )


def search_roots(design: Path | None = None, cwd: Path | None = None) -> tuple[Path, ...]:
    """The workspaces that names are looked up in, in order and each once.

    First the one that holds the design file, then the one that holds ``cwd`` (the current folder
    when None), then the shipped one.
    """
    here = current_folder() if cwd is None else cwd
    starts = [start for start in (design, here) if start is not None]
    found = [root for start in starts if (root := find_workspace(start)) is not None]
    return tuple(dict.fromkeys(root.resolve() for root in (*found, shipped_workspace())))


@dataclass(frozen=True)
class Workplace:
    """Where a command reads and writes."""

    root: Path
    """The workspace that is written to."""
    roots: tuple[Path, ...]
    """Where names are looked up, the workspace first."""


def workplace_here() -> Workplace:
    """The workspace that holds the current folder; where there is none, the folder becomes one."""
    here = current_folder()
    root = (find_workspace(here) or here).resolve()
    return Workplace(root, tuple(dict.fromkeys((root, *search_roots()))))
