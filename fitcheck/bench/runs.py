"""What goes on in the background: each run tells its events, to whoever follows, from the first on.

A run is the work of a worker or one of the program's own commands. Files that a command makes lie
in a folder of the run's own until it is forgotten.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import secrets
import shutil
import signal
import sys
import tempfile
from collections.abc import AsyncIterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fitcheck.bench.worker import Event, StoppedError, Telling, Work, Worker
from fitcheck.errors import InputError, reason_of
from fitcheck.workspace.progress import PROGRESS_LINE, PROGRESS_LINES

MOST_KEPT = 24
"""Runs that are remembered; of those before them the files are gone."""
AT_ONCE = 1
"""Commands that go at once: the machine has other things to do."""
LONGEST_S = 900.0
MOST_LINE = 1 << 20
MOST_TEXT = 4_000_000
"""Bytes of an answer: what is written into files is not part of it."""
MOST_LINES = 1_000
PROGRAM = "from fitcheck.bench.tether import hold; hold(); from fitcheck.cli.main import run; run()"
OVER = ("done", "failed", "stopped")
"""How a run ends: its last event is of one of these kinds."""


@dataclass(eq=False)
class Run:
    """One piece of work and what became of it."""

    name: str
    words: str
    folder: Path | None = None
    """Where it writes what is to be downloaded."""
    events: list[Event] = field(default_factory=list)
    task: asyncio.Task[None] | None = None
    stopping: bool = False
    worker: Worker | None = None
    process: asyncio.subprocess.Process | None = None
    news: asyncio.Event = field(default_factory=asyncio.Event)

    @property
    def over(self) -> bool:
        """Whether it has ended."""
        return bool(self.events) and self.events[-1]["kind"] in OVER

    def tell(self, event: Event) -> None:
        """Add an event and wake those who follow; after the last one there is none."""
        if self.over:
            return
        self.events.append(event)
        news, self.news = self.news, asyncio.Event()
        news.set()

    async def follow(self, after: int = 0) -> AsyncIterator[tuple[int, Event]]:
        """Its events with their numbers from `after` on, until it is over."""
        while True:
            news = self.news
            while after < len(self.events):
                yield after, self.events[after]
                after += 1
            if self.over:
                return
            await news.wait()

    def files(self) -> list[str]:
        """What it made, by the names below its folder."""
        if self.folder is None:
            return []
        found = (path for path in self.folder.rglob("*") if path.is_file())
        inner = (path.relative_to(self.folder) for path in found)
        return sorted(
            path.as_posix() for path in inner if not any(part[0] == "." for part in path.parts)
        )

    def file(self, name: str) -> Path | None:
        """One of its files; None where it made none of that name."""
        if self.folder is None or name not in self.files():
            return None
        return self.folder / name


class Runs:
    """All runs of one bench."""

    def __init__(self, cwd: Path) -> None:
        self._cwd = cwd
        self._all: dict[str, Run] = {}
        self._turn = asyncio.Semaphore(AT_ONCE)
        self._home = Path(tempfile.mkdtemp(prefix="fitcheck-bench-"))

    def get(self, name: str) -> Run | None:
        """A run by its name."""
        return self._all.get(name)

    def work(self, words: str, worker: Worker, work: Work, *given: Any) -> Run:
        """Let a worker do something that tells how it goes."""
        run = self._new(words)
        run.worker = worker
        run.task = asyncio.create_task(self._worked(run, worker, work, given))
        return run

    def command(
        self, words: str, arguments: Sequence[str], *, out: bool = False, cwd: Path | None = None
    ) -> Run:
        """Run one of the program's commands; with `out` it is told to write into the run's folder,
        which stands in place of `{out}` in its arguments."""
        run = self._new(words)
        folder = self._home / run.name
        if out:
            folder.mkdir()
            run.folder = folder
        told = [text.replace("{out}", str(folder)) for text in arguments]
        run.task = asyncio.create_task(self._commanded(run, told, cwd or self._cwd))
        return run

    def scratch(self) -> Path:
        """A new folder for what nobody keeps; it goes with the bench if not before."""
        return Path(tempfile.mkdtemp(prefix="scratch-", dir=self._home))

    def forget(self, run: Run) -> None:
        """Remember a run no longer that nobody comes back to, so that it pushes no other out."""
        self._all.pop(run.name, None)

    async def stop(self, run: Run) -> None:
        """Stop a run; what it has written whole stays, nothing is left half-written."""
        if run.over:
            return
        run.stopping = True
        if run.process is not None:
            _end(run.process)
        elif run.worker is not None and run.worker.works_for(run):
            await run.worker.stop(run)
        elif run.task is not None:  # it waits for its turn, or has not even begun to
            run.task.cancel()
            run.tell({"kind": "stopped"})

    async def close(self) -> None:
        """Stop everything and take away what was made for downloads."""
        for run in self._all.values():
            run.stopping = True
            if run.process is not None:
                _end(run.process)
            if run.task is not None and run.process is None:
                run.task.cancel()
                run.tell({"kind": "stopped"})
        going = [run.task for run in self._all.values() if run.task is not None]
        await asyncio.gather(*going, return_exceptions=True)
        shutil.rmtree(self._home, ignore_errors=True)

    def _new(self, words: str) -> Run:
        run = Run(secrets.token_urlsafe(12), words)
        self._all[run.name] = run
        for old in list(self._all.values())[:-MOST_KEPT]:
            if old.over:
                del self._all[old.name]
                if old.folder is not None:
                    shutil.rmtree(old.folder, ignore_errors=True)
        return run

    async def _worked(self, run: Run, worker: Worker, work: Work, given: Sequence[Any]) -> None:
        try:
            if run.stopping:
                raise StoppedError
            run.tell({"kind": "begun"})
            result = await worker.ask(work, *given, tell=run.tell, owner=run)
        except InputError as error:
            run.tell({"kind": "failed", "lines": list(error.lines)})
        except (StoppedError, asyncio.CancelledError):
            run.tell({"kind": "stopped"})
        else:
            run.tell({"kind": "done", "result": result})

    async def _commanded(self, run: Run, arguments: Sequence[str], cwd: Path) -> None:
        run.tell({"kind": "waits"})
        try:
            async with self._turn:
                if run.stopping:
                    raise StoppedError
                await self._run(run, arguments, cwd)
        except (StoppedError, asyncio.CancelledError):
            run.tell({"kind": "stopped"})
        except (OSError, ValueError) as error:
            said = f"it could not be started: {reason_of(error)} ({cwd}); check that it is there"
            run.tell({"kind": "failed", "lines": [said]})

    async def _run(self, run: Run, arguments: Sequence[str], cwd: Path) -> None:
        run.tell({"kind": "begun"})
        process = await asyncio.create_subprocess_exec(
            sys.executable,
            "-P",  # nothing that lies in the workspace is run
            "-c",
            PROGRAM,
            *arguments,
            cwd=cwd,
            env={**os.environ, PROGRESS_LINES: "1", "PYTHONIOENCODING": "utf-8"},
            stdin=asyncio.subprocess.PIPE,  # by which it knows that this process lives
            stdout=asyncio.subprocess.PIPE,
            stderr=asyncio.subprocess.PIPE,
            start_new_session=True,  # Ctrl-C is for the server, which ends this one
            limit=MOST_LINE,
        )
        run.process = process
        assert process.stdout is not None and process.stderr is not None, "they are piped"
        lines: list[str] = []
        try:
            async with asyncio.timeout(LONGEST_S):
                said, _ = await asyncio.gather(
                    _read(process.stdout), _heard(process.stderr, run, lines)
                )
                status = await process.wait()
        except TimeoutError:
            _end(process)
            await process.wait()
            run.tell({"kind": "failed", "lines": [f"it took over {LONGEST_S / 60:.0f} minutes"]})
            return
        finally:
            if process.returncode is None:
                _end(process)
                await process.wait()
        text = said.decode("utf-8", "replace")
        if run.folder is not None:
            text = text.replace(f"{run.folder}{os.sep}", "")
        if run.stopping and status != 0:
            run.tell({"kind": "stopped"})
        elif status in (0, 1):
            told = {"kind": "done", "status": status, "text": text, "files": run.files()}
            run.tell(told | {"lines": lines})
        else:
            run.tell({"kind": "failed", "lines": lines or ["the program failed"]})


async def _read(stream: asyncio.StreamReader) -> bytes:
    """What a command answers, as far as anybody would read it."""
    found = bytearray()
    while piece := await stream.read(1 << 16):
        found += piece[: MOST_TEXT - len(found)]
    return bytes(found)


async def _heard(stream: asyncio.StreamReader, run: Run, lines: list[str]) -> None:
    """Follow what a command says beside its answer: its steps, and what it complains of."""
    steps = Telling(run.tell)
    while True:
        try:
            raw = await stream.readline()
        except ValueError:  # longer than any line of ours
            continue
        if not raw:
            return
        line = raw.decode("utf-8", "replace").rstrip("\r\n")
        if line.startswith(PROGRESS_LINE):
            with contextlib.suppress(ValueError, TypeError):
                steps.step(**json.loads(line.removeprefix(PROGRESS_LINE)))
        elif line and len(lines) < MOST_LINES:
            lines.append(line.removeprefix("fitcheck: "))


def _end(process: asyncio.subprocess.Process) -> None:
    """End a command and what it started."""
    with contextlib.suppress(ProcessLookupError, PermissionError):
        if hasattr(os, "killpg"):
            os.killpg(process.pid, signal.SIGTERM)
        else:
            process.terminate()
