"""One guard round what other packages bring: what fails or is not sound is told as theirs."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, is_dataclass
from numbers import Real
from typing import Any, NoReturn, TypeVar

from fitcheck.errors import FitcheckError, InputError
from fitcheck.plain import one_line, shown

T = TypeVar("T")
OWN = __name__.partition(".")[0]
MEND = "mend that package or uninstall it"


@dataclass(frozen=True)
class Outside:
    """What another package brings, by its name."""

    who: str
    """Such as: the style 'strip-tray' of the package my-boxes."""

    def call(self, doing: str, make: Callable[[], T]) -> T:
        """What its code makes.

        Raises InputError, with one line, where it fails; errors of ours go their way.
        """
        try:
            return make()
        except FitcheckError:
            raise
        except Exception as error:  # whatever another package does
            self.fails(doing, f"{type(error).__name__}: {one_line(f'{error}')}", error)

    def made(self, doing: str, make: Callable[[], Any], sort: type[T]) -> T:
        """What its code makes, which has to be of a sort with finite numbers alone."""
        return self.sound(doing, self.call(doing, make), sort)

    def sound(self, doing: str, found: Any, sort: type[T]) -> T:
        """The same of what it has made."""
        if not isinstance(found, sort):
            self.fails(doing, f"read {_what(found)}; allowed: a {sort.__name__}")
        for name, value in _numbers(found):
            if not math.isfinite(value):
                self.fails(doing, f"read {name} {value}; allowed: a finite number")
        return found

    def measured(self, doing: str, value: object) -> None:
        """Ask a value for each length that ours have too: a number, several of them or none."""
        for name in _lengths_of(type(value)):
            found = self.call(doing, lambda name=name: getattr(value, name))  # type: ignore[misc]
            for one in found if isinstance(found, tuple) else (found,):
                if one is not None and not is_number(one):
                    self.fails(doing, f"read {name} {_what(one)}; allowed: a finite number of mm")

    def made_all(self, doing: str, make: Callable[[], Any], sort: type[T]) -> tuple[T, ...]:
        """The same of several of a sort; what it makes one after the other is all made here."""
        found = self.call(doing, lambda: _every(make()))
        if not isinstance(found, list):
            self.fails(doing, f"read {_what(found)}; allowed: several of the sort {sort.__name__}")
        return tuple(self.sound(doing, one, sort) for one in found)

    def told(
        self, doing: str, make: Callable[[], Any], *, least: int = 2, most: int = 9
    ) -> Iterator[tuple[str, ...]]:
        """The problems that its code finds, each so many texts for one line."""
        for words in self.made_all(doing, make, tuple):
            texts = all(isinstance(text, str) for text in words)
            if not (texts and least <= len(words) <= most):
                read = ", ".join(map(_what, words))
                self.fails(doing, f"read ({read}); allowed: {least} to {most} texts for each")
            yield words

    def fails(self, doing: str, why: str, error: Exception | None = None) -> NoReturn:
        """Refuse what it gives."""
        raise InputError(f"{self.who} fails to {doing} ({why}); {MEND}") from error


def is_number(value: object) -> bool:
    """Whether a value is a finite number.

    >>> is_number(2), is_number(float("nan")), is_number("2"), is_number(True)
    (True, False, False, False)
    """
    plain = isinstance(value, Real) and not isinstance(value, bool)
    return plain and math.isfinite(value)  # type: ignore[arg-type]


def _lengths_of(sort: type) -> list[str]:
    """The lengths, by their names, that a class has from classes of this program."""
    ours = [one for one in sort.__mro__ if one.__module__.partition(".")[0] == OWN]
    named = {
        name: None
        for one in ours
        for name in (*vars(one).get("__annotations__", ()), *vars(one))
        if name.endswith("_mm") and not callable(getattr(one, name, None))
    }
    return list(named)


def _what(value: object) -> str:
    if value is None:
        return "None"
    if isinstance(value, float):
        return f"{value}"
    return shown(value) if isinstance(value, str) else f"a value of the type {type(value).__name__}"


def _every(value: Any) -> Any:
    """What is in a value that holds several, as a list; the value where it does not."""
    if isinstance(value, str | bytes) or not hasattr(value, "__iter__"):
        return value
    return list(value)


def _numbers(value: object) -> Iterator[tuple[str, float]]:
    """The numbers among the fields of a value, those of its tuples too."""
    if not is_dataclass(value):
        return
    for field in fields(value):
        own = getattr(value, field.name)
        for one in own if isinstance(own, tuple) else (own,):
            if isinstance(one, int | float):
                yield field.name, one
