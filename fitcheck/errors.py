"""Everything that can stop the work is one of these errors, and each knows its exit status.

    FitcheckError                 the program failed                              exit 3
    ├── InputError                a file or an option is wrong    (ValueError)    exit 2
    ├── MissingLibraryError       a library cannot be loaded      (ImportError)   exit 3
    └── ModelError                a geometry cannot be computed   (RuntimeError)  exit 3

What is merely found out about a box (it binds, it presses) is a ``Finding``, not an error.
"""

import contextlib
from collections.abc import Iterable, Iterator, Mapping
from typing import ClassVar

from fitcheck.plain import short_line

DEBUG = "FITCHECK_DEBUG"
"""The variable of the environment with which what nobody foresaw is shown where it arose."""


class FitcheckError(Exception):
    """Root of all errors that fitcheck raises on purpose."""

    exit_code: ClassVar[int] = 3


class InputError(FitcheckError, ValueError):
    """What was given cannot be used; ``lines`` holds one readable line for each problem.

    Here every line is made plain and short, whatever of a file or an option it repeats.
    """

    exit_code: ClassVar[int] = 2

    def __init__(self, lines: str | Iterable[str]) -> None:
        given = (lines,) if isinstance(lines, str) else lines
        self.lines: tuple[str, ...] = tuple(short_line(text) for text in given)
        super().__init__("\n".join(self.lines))


class MissingLibraryError(FitcheckError, ImportError):
    """A library is missing or cannot load; ``package`` is what to install to cure it."""

    def __init__(self, message: str, *, package: str) -> None:
        self.package = package
        super().__init__(message)


class ModelError(FitcheckError, RuntimeError):
    """A geometry could not be computed although its inputs are allowed."""


@contextlib.contextmanager
def said_as(heads: Mapping[str, str]) -> Iterator[None]:
    """Lines of an InputError from inside that begin with one of the heads begin with its other."""
    try:
        yield
    except InputError as error:
        raise InputError(_with_head(line, heads) for line in error.lines) from error


def _with_head(line: str, heads: Mapping[str, str]) -> str:
    old = next((head for head in heads if line.startswith(head)), None)
    return line if old is None else heads[old] + line.removeprefix(old)


def reason_of(error: Exception) -> str:
    """What is wrong, in the system's own words, without its number and the file's name.

    >>> reason_of(OSError(28, "No space left on device", "a.txt")), reason_of(ValueError("null"))
    ('No space left on device', 'null')
    """
    return getattr(error, "strerror", None) or str(error)
