"""Values of one sort that this program and other packages bring: ours first, theirs when asked for.

Another package names each of its values in a group of entry points, under the value's own name. A
broken one stops only what asks for it.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, Generic, Protocol, TypeVar

from fitcheck.errors import InputError
from fitcheck.plain import one_line, shown
from fitcheck.workspace.outside import MEND

if TYPE_CHECKING:
    from importlib.metadata import EntryPoint


class Named(Protocol):
    """What is registered."""

    @property
    def name(self) -> str:
        """As files write it."""

    @property
    def summary(self) -> str:
        """What it is, in a few words."""


T = TypeVar("T", bound=Named)


@dataclass(frozen=True, eq=False)
class Register(Generic[T]):
    """All values of one sort by name."""

    what: str
    """What one is called, such as style."""
    group: str
    """Of the entry points in which other packages name theirs."""
    ours: Mapping[str, Callable[[], T]]
    """How each of ours comes to be, by name; they keep their names, whoever else offers one."""
    fault: Callable[[Any], str]
    """What keeps a value from being one of the sort, and what is allowed; empty where nothing."""
    guarded: Callable[[T, str], T] = lambda value, _: value
    """A value of another package, called through a guard that knows in words what it is."""

    @property
    def names(self) -> tuple[str, ...]:
        """All names, ours first, theirs in order; broken ones too."""
        return (*self.ours, *self._offered)

    @cached_property
    def own(self) -> tuple[T, ...]:
        """Ours, all of them."""
        return tuple(self.get(name) for name in self.ours)

    def get(self, name: str) -> T:
        """The value of a name; other packages are only asked for one that is not ours.

        Raises KeyError where nobody offers it, InputError, with one line, where what is offered
        cannot be used.
        """
        known = self._known.get(name)
        if known is None:
            if name in self.ours:
                known = self.ours[name]()
            elif name in self._offered:
                known = self._load(name)
            else:
                raise KeyError(name)
            self._known[name] = known
        if isinstance(known, str):
            raise InputError(known)
        return known

    def sound(self) -> Iterator[T]:
        """Every value that can be used, ours first; other packages are asked last."""
        yield from self.own
        for name in self._offered:
            try:
                yield self.get(name)
            except InputError:
                continue

    def problems(self) -> tuple[str, ...]:
        """One line for each offer that cannot be used, one in a name of ours included."""
        lines = [
            f"the {self.what} {shown(name)} of {_from(entries)} is never used; allowed: a name "
            f"that is not fitcheck's own; {MEND}"
            for name, entries in self._every.items()
            if name not in self._offered
        ]
        for name in self._offered:
            try:
                self.get(name)
            except InputError as error:
                lines += error.lines
        return tuple(lines)

    def called(self, name: str) -> str:
        """What a value of another package is in words: its sort, its name and its package."""
        return f"the {self.what} {shown(name)} of {self.package(name)}"

    def package(self, name: str) -> str:
        """The packages that offer a value which is not ours, in words."""
        return _from(self._offered[name])

    def failed_in(self, error: BaseException) -> str:
        """What other packages bring in whose module an error arose, in words; empty for none.

        Of several in one module those whose own code it went through.
        """
        step, frames, through = error.__traceback__, set(), set[object]()
        while step is not None:
            frames.add(step.tb_frame.f_globals.get("__name__"))
            through |= _names_of(step.tb_frame.f_locals.get("self"))
            step = step.tb_next
        found = [
            name
            for name, entries in self._offered.items()
            if any(entry.module in frames for entry in entries)
        ]
        own = [name for name in found if name in through]
        return " or ".join(map(self.called, own or found))

    @property
    def alone(self) -> bool:
        """Whether no other package offers anything."""
        return not self._offered

    @cached_property
    def _every(self) -> Mapping[str, list[EntryPoint]]:
        from importlib.metadata import entry_points

        found: dict[str, list[EntryPoint]] = {}
        for entry in sorted(entry_points(group=self.group), key=lambda one: (one.name, one.value)):
            same = found.setdefault(entry.name, [])
            if not any(other.value == entry.value for other in same):
                same.append(entry)
        return found

    @cached_property
    def _offered(self) -> Mapping[str, list[EntryPoint]]:
        return {name: entries for name, entries in self._every.items() if name not in self.ours}

    @cached_property
    def _known(self) -> dict[str, T | str]:
        return {}

    def _load(self, name: str) -> T | str:
        """The value that is offered in a name, or why it cannot be used, as a line."""
        entries = self._offered[name]
        what = self.called(name)
        if len(entries) > 1:
            return (
                f"{what}: offered more than once in that name; allowed: one package; uninstall "
                "all but one"
            )
        try:
            value: Any = entries[0].load()
            wrong = self.fault(value) or _misnamed(value, name)
        except (Exception, SystemExit) as error:  # what another package does at its import
            said = one_line(f"{error}")
            return f"{what}: cannot be loaded ({type(error).__name__}: {said}); {MEND}"
        if wrong:
            return f"{what}: {wrong}; {MEND}"
        return self.guarded(value, what)


def _names_of(value: object) -> set[object]:
    """The names of the style or the kind that a value is, or that it is of."""
    found: set[object] = set()
    with contextlib.suppress(Exception):  # whatever another package does
        for one in (value, getattr(value, "kind", None)):
            found |= {getattr(one, key, None) for key in ("name", "style")}
    return {name for name in found if isinstance(name, str)}


def _misnamed(value: Named, name: str) -> str:
    if value.name == name:
        return ""
    return f"read the name {shown(value.name)}; allowed: that of its entry point"


def _from(entries: list[EntryPoint]) -> str:
    """The packages of some entry points, in words."""
    names = [entry.dist.name if entry.dist is not None else entry.module for entry in entries]
    return f"the package {' and '.join(dict.fromkeys(names))}"
