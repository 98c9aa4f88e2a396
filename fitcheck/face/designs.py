"""A design is read from its file, or built from what such a file would say."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from fitcheck.design.model import Design as Drawn
from fitcheck.design.read import design_from, read_design
from fitcheck.errors import InputError, said_as
from fitcheck.frozen_map import FrozenMap
from fitcheck.plain import composed, one_line, shown
from fitcheck.workspace.explain import Loc, key_of
from fitcheck.workspace.paths import as_spelt, find_workspace, search_roots
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
        return FrozenMap({part.name: part.style for part in self._drawn.parts})

    @property
    def stocks(self) -> Mapping[str, str]:
        """The paper of each part, by the part's name."""
        return FrozenMap({part.name: part.stock.name for part in self._drawn.parts})

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
    roots, file = None if workspace is None else _roots(workspace), as_spelt(_path("path", path))
    with said_as(_heads(named := _stocks(stocks))):
        return Design(read_design(file, stocks=named, roots=roots))


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
    if not isinstance(name, str):
        raise InputError(f"name: read {shown(name)}; allowed: a text; give one")
    called = one_line(name) or CALLED
    if not isinstance(data, Mapping):
        raise InputError(
            f"{called}: read {shown(data)}; allowed: a mapping with the keys of a design file; "
            "give a dict"
        )
    roots = search_roots() if workspace is None else _roots(workspace)
    tables = _Plain(called).tables(data)
    with said_as(_heads(named := _stocks(stocks))):
        return Design(design_from(tables, called, roots, named, name=called))


def _stocks(stocks: Any) -> dict[str, str]:
    """The papers that were given for parts; InputError, with a line each, for what is no name."""
    allowed = "allowed: a mapping from a part's name to a paper's"
    if stocks is None:
        return {}
    if not isinstance(stocks, Mapping):
        raise InputError(f"stocks: read {shown(stocks)}; {allowed}; give a dict")
    strange = [
        f"stocks[{shown(part)}]: read {shown(name)}; {allowed}; correct it"
        for part, name in stocks.items()
        if not (isinstance(part, str) and isinstance(name, str) and part and name)
    ]
    if strange:
        raise InputError(strange)
    return dict(stocks)


def _heads(stocks: Mapping[str, str]) -> dict[str, str]:
    """Lines about them name the argument and not the option of the command line."""
    return {f"--stock {part}={name}: ": f"stocks[{shown(part)}]: " for part, name in stocks.items()}


def _path(argument: str, given: Any) -> Path:
    """What stands for a file or a folder; InputError for what is none."""
    if not isinstance(given, str | os.PathLike) or isinstance(os.fspath(given), bytes):
        raise InputError(
            f"{argument}: read {shown(given)}; allowed: a path as a text or a pathlib.Path; "
            "give one"
        )
    return Path(given)


def _roots(workspace: str | os.PathLike[str]) -> tuple[Path, ...]:
    """The workspace that holds a folder, then the shipped one."""
    folder = _path("workspace", workspace)
    if find_workspace(folder) is None:
        raise InputError(
            f"{folder}: is in no workspace; allowed: a folder with models or calibration in it; "
            "correct the path (fitcheck demo DIR lays one out)"
        )
    return search_roots(folder, folder)


class _Plain:
    """Mappings, sequences and numbers of any make become those that a TOML file gives, in bounds.

    What is none of them is left for the design's own keys to refuse, but None, which no file has.
    """

    def __init__(self, called: str) -> None:
        self._called, self._count = called, 0
        self._nones: list[str] = []

    def tables(self, data: Mapping[Any, Any]) -> dict[str, Any]:
        """The tables of a whole design; InputError with a line for each None."""
        tables = self._table(data, ())
        if self._nones:
            raise InputError(
                f"{self._called}: {key}: read None; allowed: a value that a design file may have; "
                "give one, or leave the key out"
                for key in self._nones
            )
        return tables

    def _table(self, data: Mapping[Any, Any], loc: Loc) -> dict[str, Any]:
        for key in data:
            if not isinstance(key, str):
                raise InputError(
                    f"{self._called}: read the key {shown(key)}; allowed: texts; correct it"
                )
        return {composed(key): self._value(value, (*loc, key)) for key, value in data.items()}

    def _value(self, value: Any, loc: Loc) -> Any:
        self._count += 1
        if len(loc) > DEEPEST or self._count > MOST_MARKS:
            raise InputError(
                f"{self._called}: holds too much; allowed: up to {MOST_MARKS} values, up to "
                f"{DEEPEST} within each other; check that it is the mapping you mean"
            )
        if value is None:
            self._nones.append(key_of(loc))
        if isinstance(value, np.generic):
            return value.item()
        if isinstance(value, Mapping):
            return self._table(value, loc)
        if isinstance(value, np.ndarray) and value.ndim:
            return self._value(list(value), loc)
        if isinstance(value, Sequence) and not isinstance(value, str | bytes | bytearray):
            return [self._value(one, (*loc, number)) for number, one in enumerate(value)]
        return composed(str(value)) if isinstance(value, str) else value
