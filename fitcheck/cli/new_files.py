"""Where a proposed design goes, and the items that were described for it; nothing is lost by it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitcheck.errors import InputError
from fitcheck.plain import shown
from fitcheck.workspace.names import BARE_NAME, BARE_RULE, ITEMS_FILE, put_right
from fitcheck.workspace.paths import MODELS, current_folder, find_workspace

if TYPE_CHECKING:
    from fitcheck.design.described import DescribedItems
    from fitcheck.proposals.wish import Wish
    from fitcheck.workspace.outputs import Outputs


@dataclass(frozen=True)
class Place:
    """Where a new design may go."""

    name: str
    here: Path
    """The current folder."""
    workspace: Path | None
    """That it lies in, if it does."""

    @property
    def items(self) -> Path:
        """Where items that are described on the way belong."""
        return self._shown((self.workspace or self.here) / MODELS / ITEMS_FILE)

    def design(self, own: DescribedItems | None = None) -> Path:
        """Where the design goes: among the others of its workspace; else into the current folder,
        which described items make a workspace. Raises InputError where something is there."""
        from fitcheck.workspace.refused import Output, refuse_old

        folder = self.here
        if self.workspace is not None or own is not None:
            folder = (self.workspace or self.here) / MODELS
        path = self._shown(folder / f"{self.name}.toml")
        refuse_old(Output("NAME", path, path.parent))
        return path

    def _shown(self, path: Path) -> Path:
        return path.relative_to(self.here) if path.is_relative_to(self.here) else path


def place_of(name: str) -> Place:
    """The place of a new design; never where something is. Raises InputError."""
    from fitcheck.workspace.journal import recover

    if not BARE_NAME.fullmatch(name) or f"{name}.toml".casefold() == ITEMS_FILE:
        right = put_right(name.removesuffix(".toml"))
        good = right and f"{right}.toml".casefold() != ITEMS_FILE
        raise InputError(
            f"NAME: read {shown(name)}; allowed: {BARE_RULE}, and not items; "
            f"write {right if good else 'a name such as coin-box'}"
        )
    here = current_folder()
    place = Place(name, here, find_workspace(here))
    if place.workspace is not None and (place.workspace / MODELS).is_dir():
        recover([place.workspace / MODELS])  # what a run that was cut short left there
    _outputs(place.design()).check()
    return place


def write_proposal(
    path: Path, wish: Wish, data: Mapping[str, Any], own: DescribedItems | None
) -> str:
    """Write a proposed design and what was described for it, both or nothing, and tell where.

    Raises InputError where that is not possible.
    """
    from fitcheck.design.described import addition
    from fitcheck.outputs.new_text import empty_text, new_text

    files: dict[Path, str | bytes] = {path: new_text(wish, data)}
    edits = [] if own is None else [addition(own, "--describe")]
    _outputs(path).write(files, edits=edits)
    told = f"written to {path}\n"
    if own is not None:
        names = ", ".join(own.names)
        told += f"{names} added to {own.path}: measure what you can, and mend it there\n"
    return told + empty_text(wish, data) + "\n"


def _outputs(path: Path) -> Outputs:
    from fitcheck.workspace.outputs import Outputs

    return Outputs({"NAME": path}, designs=True, new=True)
