"""A design is read from its file, or built from what such a file would say."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np

from fitcheck.design.model import Design as Drawn
from fitcheck.design.read import design_from, read_design
from fitcheck.errors import InputError
from fitcheck.plain import one_line, shown
from fitcheck.workspace.paths import find_workspace, search_roots
from fitcheck.workspace.toml import DEEPEST, MOST_MARKS

CALLED = "design"
"""What a design without a name is called, in its lines too."""


@dataclass(frozen=True)
class Design:
    """A box design whose every key and name is sound; `check` folds it."""

    _drawn: Drawn = field(repr=False)

    @property
    def name(self) -> str:
        """The file's name without its ending, or the one it was built with."""
        return self._drawn.name

    @property
    def title(self) -> str:
        """What the box is called."""
        return self._drawn.title

    @property
    def unit(self) -> str:
        """The unit of bare numbers in its file: in, mm or cm."""
        return str(self._drawn.unit)

    @property
    def path(self) -> Path | None:
        """The file it was read from; None where it was built."""
        return self._drawn.path

    @property
    def tools(self) -> str:
        """The name of the tools it is made with."""
        return self._drawn.tools.name

    @property
    def styles(self) -> Mapping[str, str]:
        """The style of each part, by the part's name."""
        return MappingProxyType({part.name: part.style for part in self._drawn.parts})

    @property
    def stocks(self) -> Mapping[str, str]:
        """The paper of each part, by the part's name."""
        return MappingProxyType({part.name: part.stock.name for part in self._drawn.parts})

    @property
    def contents(self) -> tuple[tuple[str, int], ...]:
        """Each item and how many of it, in the order of the design."""
        return tuple((content.item.name, content.count) for content in self._drawn.contents)

    def __repr__(self) -> str:
        return f"Design({self.name!r}, parts={', '.join(self.styles)})"


def read(
    path: str | os.PathLike[str],
    *,
    stocks: Mapping[str, str] | None = None,
    workspace: str | os.PathLike[str] | None = None,
) -> Design:
    """The design that a file says.

    `stocks` puts another paper, by its name, in place of a part's own. Papers, tools and items are
    looked up in `workspace`, then among the shipped ones; without one, in the workspaces of the
    file and of the current folder before those. Raises InputError, whose `lines` has one line for
    each problem: what was read, where, what is allowed and what to do.
    """
    roots = None if workspace is None else _roots(workspace)
    return Design(read_design(Path(path), stocks=stocks, roots=roots))


def build(
    data: Mapping[str, Any],
    *,
    name: str = CALLED,
    stocks: Mapping[str, str] | None = None,
    workspace: str | os.PathLike[str] | None = None,
) -> Design:
    """The design that a mapping says, with the keys and values that a design file has.

    Lengths are texts with a unit, or bare numbers in the mapping's own `unit`; lists may be tuples
    or arrays. `name` stands at the head of each problem where a file's name would; `stocks` and
    `workspace` are those of `read`, which without one looks in that of the current folder. Raises
    InputError as `read` does.
    """
    called = one_line(name) or CALLED
    if not isinstance(data, Mapping):
        raise InputError(
            f"{called}: read {shown(data)}; allowed: a mapping with the keys of a design file; "
            "give a dict"
        )
    roots = search_roots() if workspace is None else _roots(workspace)
    return Design(design_from(_Plain(called).table(data), called, roots, stocks or {}, name=called))


def _roots(workspace: str | os.PathLike[str]) -> tuple[Path, ...]:
    """The workspace that holds a folder, then the shipped one."""
    folder = Path(workspace)
    if find_workspace(folder) is None:
        raise InputError(
            f"{folder}: is in no workspace; allowed: a folder with models or calibration in it; "
            "correct the path (fitcheck demo DIR lays one out)"
        )
    return search_roots(folder, folder)


class _Plain:
    """Mappings, sequences and numbers of any make become those that a TOML file gives, in bounds.

    What is none of them is left for the design's own keys to refuse.
    """

    def __init__(self, called: str) -> None:
        self._called, self._count = called, 0

    def table(self, data: Mapping[Any, Any], depth: int = 0) -> dict[str, Any]:
        for key in data:
            if not isinstance(key, str):
                raise InputError(
                    f"{self._called}: read the key {shown(key)}; allowed: texts; correct it"
                )
        return {key: self._value(value, depth + 1) for key, value in data.items()}

    def _value(self, value: Any, depth: int) -> Any:
        self._count += 1
        if depth > DEEPEST or self._count > MOST_MARKS:
            raise InputError(
                f"{self._called}: holds too much; allowed: up to {MOST_MARKS} values, up to "
                f"{DEEPEST} within each other; check that it is the mapping you mean"
            )
        if isinstance(value, np.generic):
            return value.item()
        if isinstance(value, Mapping):
            return self.table(value, depth)
        if isinstance(value, np.ndarray) and value.ndim:
            return self._value(list(value), depth)
        if isinstance(value, Sequence) and not isinstance(value, str | bytes | bytearray):
            return [self._value(one, depth + 1) for one in value]
        return str(value) if isinstance(value, str) else value
