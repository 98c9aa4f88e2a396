"""Everything that is printed goes through here: it steers no terminal and can always be shown."""

from __future__ import annotations

import contextlib
import io
import os
import sys
from collections.abc import Iterator
from typing import TextIO

from fitcheck.plain import LONGEST_LINE, LONGEST_WORD, plain, short_line


class PlainStream(io.TextIOWrapper):
    """A text stream that makes what it writes plain; letters it has no code for become marks."""

    def __init__(self, under: TextIO, *, short: bool = False) -> None:
        super().__init__(
            under.buffer,
            encoding=under.encoding,
            errors="replace",
            line_buffering=short or under.isatty(),
        )
        self._short = short

    def write(self, text: str, /) -> int:
        """Write `text`, its lines shortened too if so asked; returns how much was given."""
        made = plain(text)
        if self._short:
            made = "\n".join(_kept(line) for line in made.split("\n"))
        super().write(made)
        return len(text)


@contextlib.contextmanager
def plain_streams() -> Iterator[None]:
    """Put plain streams in place of the standard ones; lines of errors are short as well."""
    given = sys.stdout, sys.stderr
    before = tuple(nowhere() if stream is None else stream for stream in given)
    out, err = (_over(stream, short) for stream, short in zip(before, (False, True), strict=True))
    sys.stdout, sys.stderr = out, err
    try:
        yield
    finally:
        sys.stdout, sys.stderr = given
        for stream in (out, err):
            if isinstance(stream, PlainStream):
                _leave(stream)


def nowhere() -> TextIO:
    """Where what is printed goes when the caller has closed a standard stream."""
    return open(os.devnull, "w", encoding="utf-8")


def _over(stream: TextIO, short: bool) -> TextIO:
    """A plain stream over another one, where that has bytes under it."""
    if not hasattr(stream, "buffer"):
        return stream
    stream.flush()
    return PlainStream(stream, short=short)


def _leave(stream: PlainStream) -> None:
    """Hand the bytes below back; whoever listened may be gone."""
    with contextlib.suppress(ValueError, OSError):
        stream.detach()


def _kept(line: str) -> str:
    """A line as it is, unless it is longer than anyone reads."""
    if len(line) <= LONGEST_LINE and max(map(len, line.split()), default=0) <= LONGEST_WORD:
        return line
    return short_line(line)
