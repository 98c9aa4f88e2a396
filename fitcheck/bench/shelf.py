"""The designs of the workspace: read, saved, copied, renamed, put away and brought back.

Every name is a plain name of a file in `models`, and nothing is followed out of the workspace.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fitcheck.bench.drafts import CALLED
from fitcheck.design.read import design_from
from fitcheck.errors import InputError
from fitcheck.plain import one_line, shown
from fitcheck.workspace.atomic import write_many
from fitcheck.workspace.digests import digest_of_bytes
from fitcheck.workspace.journal import recover
from fitcheck.workspace.locking import holding
from fitcheck.workspace.names import BARE_NAME, BARE_RULE, ITEMS_FILE, LONGEST_NAME, is_name
from fitcheck.workspace.paths import CALIBRATION, MODELS, search_roots, shipped_workspace
from fitcheck.workspace.reading import Most, read_bounded, utf8_text
from fitcheck.workspace.toml import tables_of

PUT_AWAY = "put-away"
"""The folder in models for designs that are no longer on the shelf."""
RESERVED = ITEMS_FILE.removesuffix(".toml")
BOM = b"\xef\xbb\xbf"
"""What some editors put before a text."""


@dataclass(frozen=True)
class Kept:
    """A design as it stands in its file."""

    name: str
    text: str
    version: str
    """Tells whether the file is still the same."""
    own: bool
    """Whether it is the workspace's; what is shipped is copied, not changed."""

    def data(self) -> dict[str, Any]:
        """As plain data."""
        return {"name": self.name, "text": self.text, "version": self.version, "own": self.own}


class ChangedError(Exception):
    """The file was changed by somebody else since it was read; `there` is what it holds now."""

    def __init__(self, there: Kept | None) -> None:
        super().__init__("the file was changed elsewhere")
        self.there = there


@dataclass(frozen=True)
class Shelf:
    """The designs of one workspace, and those that came with the program."""

    root: Path

    @property
    def models(self) -> Path:
        """Where designs stand."""
        return self.root / MODELS

    def names(self) -> list[dict[str, Any]]:
        """Every design by name, the workspace's own first, then those that are put away."""
        own = [{"name": name, "own": True, "away": False} for name in _designs(self.models)]
        known = {one["name"] for one in own}
        shipped = shipped_workspace() / MODELS
        others = [] if shipped == self.models else list(_designs(shipped))
        own += [{"name": n, "own": False, "away": False} for n in others if n not in known]
        away = _designs(self.models / PUT_AWAY)
        return own + [{"name": name, "own": True, "away": True} for name in away]

    def read(self, name: str) -> Kept:
        """A design by its name. Raises InputError where there is none."""
        own = self._own(name)
        if own.is_file():
            return self._kept(own, own=True)
        path = shipped_workspace() / MODELS / f"{name}.toml"
        if path.is_file():
            return self._kept(path, own=False)
        raise InputError(f"no such design; read {shown(name)}; allowed: one that is on the shelf")

    def save(self, name: str, text: str, version: str) -> Kept:
        """Write a design whole, if its file is still the version that was read.

        Raises ChangedError where it is not, InputError where the text is no design.
        """
        path = self._own(name)
        self._refuse_unsound(name, text)

        def unchanged() -> dict[Path, bytes]:
            raw = _bytes_of(path)
            if raw is None or digest_of_bytes(raw) != version:
                raise ChangedError(None if raw is None else _kept(path, raw, own=True))
            return {path: _as_before(text, raw)}

        self._whole()
        write_many({path: text.encode()}, unchanged)
        return self._kept(path, own=True)

    def add(self, name: str, text: str) -> Kept:
        """Write a new design. Raises InputError where there is one of that name."""
        path = self._new(name)
        self._refuse_unsound(name, text)

        def free() -> dict[Path, bytes]:
            if _has_twin(path):
                raise InputError(_taken(name))
            return {}

        self._whole()
        write_many({path: text.encode()}, free)
        return self._kept(path, own=True)

    def rename(self, name: str, new: str) -> Kept:
        """Give a design another name. Raises InputError where that is taken."""
        old, path = self._own(name), self._new(new)
        self._move(old, path, new)
        return self._kept(path, own=True)

    def put_away(self, name: str) -> str:
        """Take a design off the shelf, into a folder beside the others; tells its name there."""
        return self._moved_free(self._own(name), self.models / PUT_AWAY)

    def bring_back(self, name: str) -> str:
        """Put a design back on the shelf; tells its name there."""
        self._own(name)
        return self._moved_free(self.models / PUT_AWAY / f"{name}.toml", self.models)

    def _moved_free(self, old: Path, folder: Path) -> str:
        """Move a file under the first of its names that is free."""
        self._refuse_absent(old)
        if self._leads_away(folder):
            raise InputError(
                f"{folder.name}: the folder is a link out of the workspace; allowed: a folder in "
                "models; take the link away"
            )
        self._whole()
        folder.mkdir(parents=True, exist_ok=True)
        with holding({old.parent, folder}):
            for k in range(1, 1000):
                number = "" if k == 1 else f"-{k}"
                stem = f"{old.stem[: LONGEST_NAME - len(number)]}{number}"
                path = folder / f"{stem}.toml"
                if not _has_twin(path):
                    self._move_held(old, path)
                    return stem
        raise InputError(_taken(old.stem))

    def _move(self, old: Path, new: Path, name: str) -> None:
        self._whole()
        with holding({old.parent, new.parent}):
            if _has_twin(new):
                raise InputError(_taken(name))
            self._move_held(old, new)

    def _move_held(self, old: Path, new: Path) -> None:
        """Move a file to a place that is free, in folders that are held."""
        self._refuse_absent(old)
        try:
            os.link(old, new)  # fails where there is one, as no rename does
        except FileExistsError:
            raise InputError(_taken(new.stem)) from None
        except OSError:  # a disk without links
            os.rename(old, new)
        else:
            os.unlink(old)

    def _refuse_absent(self, path: Path) -> None:
        if not path.is_file() or self._leads_away(path):
            raise InputError(
                f"no such design of this workspace; read {shown(path.stem)}; allowed: your own; "
                "copy what came with the program"
            )

    def _own(self, name: str) -> Path:
        """The file that a name stands for. Raises InputError for what is no plain name."""
        if not is_name(name) or name.casefold() == RESERVED:
            raise InputError(f"no such design; read {shown(name)}; allowed: a name on the shelf")
        path = self.models / f"{name}.toml"
        if self._leads_away(path):
            raise InputError(
                f"{name}: its file is a link out of the workspace; allowed: files of the "
                "workspace; copy what it leads to into models"
            )
        return path

    def _leads_away(self, path: Path) -> bool:
        return not path.resolve().is_relative_to(self.root.resolve())

    def _new(self, name: str) -> Path:
        """The file of a new design. Raises InputError for a name that cannot be one."""
        if not BARE_NAME.fullmatch(name) or name.casefold() == RESERVED:
            raise InputError(
                f"the name: read {shown(name)}; allowed: {BARE_RULE}; write one such as coin-box"
            )
        path = self._own(name)
        if _has_twin(path):
            raise InputError(_taken(name))
        return path

    def _whole(self) -> None:
        """Finish or clear what a run that was cut short left in models."""
        self.models.mkdir(parents=True, exist_ok=True)
        recover([self.models])

    def _kept(self, path: Path, *, own: bool) -> Kept:
        raw = _bytes_of(path)
        if raw is None:
            raise InputError(
                f"no such design; read {shown(path.stem)}, which was there a moment ago; allowed: "
                "one that is on the shelf; load the page anew"
            )
        return _kept(path, raw, own=own)

    def _refuse_unsound(self, name: str, text: str) -> None:
        """Raise InputError for a text that no command could read."""
        design_from(tables_of(text, CALLED), CALLED, search_roots(), {}, name=name)


def _bytes_of(path: Path) -> bytes | None:
    """What a design's file holds; None where there is none."""
    try:
        return read_bounded(path, Most.DESIGN)
    except (FileNotFoundError, NotADirectoryError):
        return None


def _kept(path: Path, raw: bytes, *, own: bool) -> Kept:
    text = utf8_text(raw, one_line(path.name), "line", "save the file as UTF-8")
    return Kept(path.stem, text, digest_of_bytes(raw), own)


def _as_before(text: str, raw: bytes) -> bytes:
    """A text with the line ends and the mark before it that its file has had."""
    data = text.encode()
    if b"\r\n" in raw and raw.count(b"\r\n") == raw.count(b"\n"):
        data = data.replace(b"\r\n", b"\n").replace(b"\n", b"\r\n")
    return BOM + data if raw.startswith(BOM) else data


def _has_twin(path: Path) -> bool:
    """Whether a file of that name is there, or one that is the same to systems without capitals."""
    if os.path.lexists(path):
        return True
    name = path.name.casefold()
    return path.parent.is_dir() and any(one.casefold() == name for one in os.listdir(path.parent))


def _designs(folder: Path) -> Iterator[str]:
    if folder.is_dir():
        for path in sorted(folder.glob("*.toml")):
            if path.stem.casefold() != RESERVED and is_name(path.stem):
                yield path.stem


def stamp() -> str:
    """Changes whenever a paper, a board, a printer or an item does that checks go by."""
    files = [path for root in search_roots() for path in _worked_with(root)]
    seen = [
        (str(path), found.st_mtime_ns, found.st_size) for path in files if (found := _stat(path))
    ]
    return digest_of_bytes(repr(seen).encode())


def _worked_with(root: Path) -> Iterator[Path]:
    models = root / MODELS
    if models.is_dir():  # the items, and the meshes that they name
        yield from sorted(path for path in models.iterdir() if not _is_design(path))
    yield from sorted((root / CALIBRATION).glob("*/*.toml"))


def _is_design(path: Path) -> bool:
    return path.suffix == ".toml" and path.name != ITEMS_FILE


def _stat(path: Path) -> os.stat_result | None:
    try:
        return path.stat()
    except OSError:
        return None


def _taken(name: str) -> str:
    return f"the name: read {shown(name)}, and there is one already; allowed: a name that is free"
