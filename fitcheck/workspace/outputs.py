"""The one guard through which commands write: what is the user's own is never written over."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import combinations
from pathlib import Path

from fitcheck.errors import InputError, reason_of
from fitcheck.workspace.atomic import Files, write_many
from fitcheck.workspace.digests import Maker, is_ours
from fitcheck.workspace.edits import NOTHING, Edit
from fitcheck.workspace.journal import recover
from fitcheck.workspace.makers import Job, Older, lists_with, older
from fitcheck.workspace.names import ITEMS_FILE
from fitcheck.workspace.paths import CALIBRATION, MODELS, current_folder, find_workspace
from fitcheck.workspace.reading import read_so_far
from fitcheck.workspace.refused import (
    Output,
    identities,
    is_same,
    may_go,
    nearest_folder,
    refuse_anothers,
    refuse_folder,
    refuse_input,
    refuse_link,
    refuse_old,
    refuse_shut,
    refuse_the_users,
    refuse_twice,
    refuse_what_is_no_file,
)


@dataclass(frozen=True)
class Outputs:
    """Where a command is to write, by option; `check` before the work, `write` after it."""

    files: Mapping[str, Path | None] = field(default_factory=dict)
    folders: Mapping[str, Path | None] = field(default_factory=dict)
    force: bool = False
    """Write over files that are not fitcheck's, or that were changed since."""
    designs: bool = False
    """Whether what is written is a design, whose place is models."""
    new: bool = False
    """Nothing may stand in the places yet, and nothing that comes there meanwhile is replaced."""
    command: str = ""
    """Which command writes: what another one wrote is not replaced unasked."""

    def check(self, inputs: Iterable[Path] = (), *sets: Files) -> None:
        """Refuse what must not be written to, as far as it is known by now.

        `inputs` are files that are going to be read; those that this run has read are known. `sets`
        are the files as they will be written. An unfinished set in one of the places is finished
        or cleared first. Raises `InputError`.
        """
        current_folder()
        try:
            outputs = tuple(self._outputs(sets))
            touched = {nearest_folder(output.path) for output in outputs} | set(self._above())
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

    def write(self, *sets: Files, edits: Iterable[Edit] = (), job: Job | None = None) -> Older:
        """Write the sets, all of them or nothing, and keep their digests. Raises `InputError`.

        With them go edits of files that are the user's own and stay so. What an earlier run of the
        job wrote into the folders, of another source, and this one does not write, goes with them
        where nobody has changed it; returns what went and what was left.
        """
        edits = tuple(edits)
        self.check((), *sets)
        for edit in edits:
            output = Output(edit.option, edit.path, edit.path.parent)
            refuse_link(output)
            refuse_what_is_no_file(output)
            refuse_shut(output.read, output.path)
        together = {path: data for files in sets for path, data in files.items()}
        past = Older()
        for folder in self.folders.values():
            if job is not None and folder is not None:
                past = past.with_more(older(job, folder, together))

        def lists() -> Files:
            if self.new:
                for output in self._outputs(sets):
                    refuse_old(output)
            for edit in edits:
                edit.refuse_changed()
            for path in past.gone:
                if not is_ours(path):
                    raise InputError(f"{path}: was changed meanwhile; try again; {NOTHING}")
            return lists_with(together, self._makers(together, job), past.gone)

        edited = {edit.path: edit.after for edit in edits}
        write_many({**together, **edited}, lists, removed=past.gone)
        return past

    def _makers(self, files: Files, job: Job | None) -> dict[Path, Maker]:
        """Who writes each: the job what goes into folders, the command what a user named."""
        if not self.command:
            return {}
        named = {path for path in self.files.values() if path is not None}
        return {
            path: Maker(self.command)
            if job is None or path in named
            else job.maker(Path(os.path.realpath(path.parent)))
            for path in files
        }

    def _outputs(self, sets: Iterable[Files]) -> Iterator[Output]:
        made = [path for files in sets for path in files]
        given = {option: path for option, path in self.files.items() if path is not None}
        for option, path in given.items():
            yield Output(option, path, path.parent)
        single = list(given.values())
        for path in made:
            if path in single:
                single.remove(path)
                continue
            option, below = self._folder_of(path)
            yield Output(option, path, below)

    def _folder_of(self, path: Path) -> tuple[str, Path]:
        for option, folder in self.folders.items():
            if folder is not None and folder in path.parents:
                return option, folder
        return "-o", path.parent

    def _above(self) -> Iterator[Path]:
        return (nearest_folder(folder / "x") for folder in self.folders.values() if folder)

    def _refuse(self, outputs: tuple[Output, ...], inputs: tuple[Path, ...]) -> None:
        known = {**identities(inputs), **read_so_far()}
        for output in outputs:
            refuse_input(output, known)
        for one, other in combinations(outputs, 2):
            refuse_twice(one, other)
        for option, folder in self.folders.items():
            if folder is not None:
                refuse_folder(option, folder)
        for output in outputs:
            refuse_link(output)
            self._refuse_place(output.read, output.path)
            refuse_what_is_no_file(output)
            refuse_shut(output.read, output.path)
        for option, folder in self.folders.items():
            if folder is not None:
                self._refuse_place(f"{option}: read '{folder}'", folder / "x")
                refuse_shut(f"{option}: read '{folder}'", folder / "x")
        if not self.force:
            refuse_the_users([output for output in outputs if not may_go(output.path)])
            if self.command:
                refuse_anothers(outputs, self.command)

    def _refuse_place(self, read: str, path: Path) -> None:
        """Models and calibration hold what people made and measured."""
        real = Path(os.path.realpath(path))
        root = find_workspace(nearest_folder(real))
        if root is None:
            return
        for name in (MODELS, CALIBRATION):
            shelf = root / name
            if not any(is_same(above, shelf) for above in real.parents):
                continue
            if self.designs and name == MODELS and real.name.casefold() != ITEMS_FILE:
                continue
            raise InputError(
                f"{read}, which lies in {shelf}, where designs and measurements are kept; allowed: "
                f"a place outside {MODELS} and {CALIBRATION}; choose another; {NOTHING}"
            )
