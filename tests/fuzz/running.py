"""Runs a command in this process under limits, and says everything that went wrong with it.

Processor time is limited by an interval timer, memory by the address space that a case may add; a
case that passes either fails. A command must end with status 0, 1 or 2, each line on the error
stream must begin with the program's name, what was there before must be there unchanged, and an
output is whole or absent.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import resource
import signal
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from fitcheck.cli.main import run
from tests.cli.commands import as_called

MOST_SECONDS = 20
MOST_BYTES = 1_000_000_000
OUT = "out"
"""The folder that every output of a case goes to."""
Digests = dict[str, str]


@dataclass(frozen=True)
class Case:
    """Files of a workspace by their path in it, and a command to run there."""

    files: Mapping[str, bytes]
    command: tuple[str, ...]
    keeps: bool = False
    """True for a command that may add to calibration when it succeeds."""


@dataclass(frozen=True)
class Ended:
    """How a command ended."""

    status: int
    out: str
    err: str
    seconds: float
    """Processor time."""
    megabytes: float
    """By how much the most memory that this process ever held has grown."""


class OverTime(BaseException):
    """The processor time was used up; no handler of the program's may catch it."""


def faults_of(case: Case) -> list[str]:
    """Everything that is wrong with how a case ended; empty when nothing is."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        for name, data in case.files.items():
            (root / name).parent.mkdir(parents=True, exist_ok=True)
            (root / name).write_bytes(data)
        before = _digests(root)
        ended = ran(case.command, root)
        return [*_said(ended), *_left(case, root, before, ended.status)]


def ran(command: tuple[str, ...], folder: Path) -> Ended:
    """Run a command with a folder as the current one."""
    status = 0
    start, most = _seconds(), _most_mb()
    with as_called(command, folder) as (out, err), _limits():
        try:
            run()
        except SystemExit as end:
            status = end.code if isinstance(end.code, int) else 1 if end.code else 0
        except OverTime:
            status = -1
        except BaseException as error:  # the oracle says what came through
            status = -2
            err.write(f"{type(error).__name__}: {error}\n")
    return Ended(status, out.getvalue(), err.getvalue(), _seconds() - start, _most_mb() - most)


def _said(ended: Ended) -> Iterator[str]:
    if ended.status not in (0, 1, 2):
        yield f"ended with status {ended.status}: {ended.err[-2000:]}"
    if ended.seconds > MOST_SECONDS:
        yield f"took {ended.seconds:.1f} s of processor time"
    if ended.megabytes > MOST_BYTES / 1e6:
        yield f"took {ended.megabytes:.0f} MB"
    for text in (ended.out, ended.err):
        if "Traceback (most recent call last)" in text:
            yield f"showed a traceback: {text[-2000:]}"
    lines = ended.err.splitlines()
    if ended.status == 2 and not lines:
        yield "said nothing about what is wrong"
    for line in lines:
        if not line.startswith("fitcheck: "):
            yield f"an error line does not say who speaks: {line[:200]!r}"


def _left(case: Case, root: Path, before: Digests, status: int) -> Iterator[str]:
    after = _digests(root)
    for name, digest in before.items():
        if after.get(name) != digest and not (case.keeps and status in (0, 1)):
            yield f"{name} is {'changed' if name in after else 'gone'}"
    made = {name for name in after if name not in before}
    if not (case.keeps and status in (0, 1)):
        kept = sorted(name for name in made if not name.startswith(f"{OUT}/"))
        if kept:
            yield f"wrote where nothing was asked for: {', '.join(kept)}"
    if status == 2:
        half = sorted(name for name in made if name.startswith(f"{OUT}/"))
        if half:
            yield f"left outputs of wrong input: {', '.join(half)}"
    for name in sorted(made):
        data = (root / name).read_bytes()
        if name.endswith((".part", ".tmp")):
            yield f"left {name}"
        if name.endswith(".json"):
            try:
                json.loads(data)
            except ValueError as error:
                yield f"{name} is not JSON: {error}"
        if name.endswith(".html") and not data.rstrip().endswith(b"</html>"):
            yield f"{name} is not whole"


def _digests(root: Path) -> Digests:
    return {
        str(path.relative_to(root)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(root.rglob("*"))
        if path.is_file() and path.suffix != ".lock" and path.name != ".lock"
    }


@contextlib.contextmanager
def _limits() -> Iterator[None]:
    """Processor time and added address space are limited inside."""
    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    before = signal.signal(signal.SIGPROF, _over_time)
    with contextlib.suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_AS, (_held_bytes() + 2 * MOST_BYTES, hard))
    signal.setitimer(signal.ITIMER_PROF, MOST_SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))


def _over_time(number: int, frame: object) -> None:
    raise OverTime


def _held_bytes() -> int:
    """The address space that is taken now."""
    status = Path("/proc/self/statm")
    if not status.exists():
        return 8 * MOST_BYTES
    return int(status.read_text().split()[0]) * os.sysconf("SC_PAGE_SIZE")


def _seconds() -> float:
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


def _most_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000.0
