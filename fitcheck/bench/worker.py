"""A process that works one thing off after another, tells how it goes, and can be stopped.

What is heavy is done in one of these, so that the page answers meanwhile. A worker that is asked to
stop does so at its next step; one that does not is ended and started anew.
"""

from __future__ import annotations

import asyncio
import contextlib
import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from multiprocessing import resource_tracker
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

from fitcheck.errors import FitcheckError, InputError
from fitcheck.workspace.allocator import keep_memory

STOP = "stop"
PATIENCE_S = 1.5
"""So long a worker may take to come to its next step once it was asked to stop."""
APART_S = 0.05
"""Nobody sees more steps than twenty a second."""
Event = dict[str, Any]
Tell = Callable[[Event], None]
Work = Callable[..., Any]


class StoppedError(Exception):
    """The work was stopped, by whoever asked for it or by the worker's end."""


@dataclass(frozen=True)
class Answer:
    """What a worker sends: something told on the way, or how it ended."""

    kind: str
    """told, done, wrong or stopped."""
    value: Any = None


class Worker:
    """One process; it starts with its first work."""

    def __init__(self, name: str, *, nice: int = 0, warm: Work | None = None) -> None:
        self._name, self._nice, self._warm = name, nice, warm
        self._process: BaseProcess | None = None
        self._pipe: Connection | None = None
        self._turn = asyncio.Lock()
        self._owner: object = None
        self._sent = False
        self.since = 0.0
        """When it began with what it does, by the monotonic clock."""

    async def ask(
        self, work: Work, *given: Any, tell: Tell | None = None, owner: object = ""
    ) -> Any:
        """What `work(*given, tell)` returns there, after whatever was asked before.

        Raises InputError as the work did, and StoppedError.
        """
        async with self._turn:
            pipe = self._started()
            self._owner, self.since = owner, time.monotonic()
            try:
                await asyncio.to_thread(pipe.send, (work, given))  # it may be full for a while
                self._sent = True
                while True:
                    answer: Answer = await asyncio.to_thread(pipe.recv)
                    if answer.kind != "told":
                        break
                    if tell is not None:
                        tell(answer.value)
            except (EOFError, OSError):
                self.end()
                raise StoppedError from None
            except asyncio.CancelledError:
                self.end()  # its answer would be taken for that to the next question
                raise
            finally:
                self._owner, self._sent = None, False
        if answer.kind == "wrong":
            raise InputError(answer.value)
        if answer.kind == "stopped":
            raise StoppedError
        return answer.value

    def works_for(self, owner: object) -> bool:
        """Whether it works for them now."""
        return self._owner == owner

    async def stop(self, owner: object) -> None:
        """Stop what it works on for somebody; the worker itself stays if it can."""
        pipe, process = self._pipe, self._process
        if not self.works_for(owner) or pipe is None or process is None:
            return
        asked = False
        for _ in range(30):
            if self._sent and not asked:
                try:
                    pipe.send(STOP)
                except OSError:
                    return
                asked = True
            await asyncio.sleep(PATIENCE_S / 30)
            if not self.works_for(owner):
                return
        if self._process is process:
            process.kill()

    @contextlib.contextmanager
    def pausing(self) -> Iterator[None]:
        """Hold what it works on still, while somebody waits for the processor."""
        held = self._signal("SIGSTOP") if self._owner is not None else None
        try:
            yield
        finally:
            if held is not None and held is self._process:
                self._signal("SIGCONT")

    def _signal(self, name: str) -> BaseProcess | None:
        """Send the process a signal that this system may know; tells which process it was."""
        process, number = self._process, getattr(signal, name, None)
        if process is None or process.pid is None or number is None or not process.is_alive():
            return None
        os.kill(process.pid, number)
        return process

    def start(self) -> None:
        """Start the process, so that it is warm when it is needed."""
        self._started()

    def end(self) -> None:
        """End the process, whatever it does."""
        if self._process is not None:
            self._process.kill()
            self._process.join()
        if self._pipe is not None:
            self._pipe.close()
        self._process = self._pipe = None

    def _started(self) -> Connection:
        if self._process is not None and not self._process.is_alive():
            self.end()
        if self._pipe is None:
            context = multiprocessing.get_context("spawn")
            ours, theirs = context.Pipe()
            self._process = context.Process(
                target=_serve,
                args=(theirs, self._nice, self._warm),
                name=f"fitcheck bench: {self._name}",
                daemon=True,
            )
            with _without_ctrl_c():
                self._process.start()
            theirs.close()
            self._pipe = ours
        return self._pipe


@contextlib.contextmanager
def _without_ctrl_c() -> Iterator[None]:
    """What is started inside never hears Ctrl-C, which is for the server: the server ends it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    resource_tracker.ensure_running()  # which would let it through again
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _end_with_server() -> None:
    """End this process as soon as the one that started it has ended, whatever goes on here."""
    above = multiprocessing.parent_process()
    if above is not None:
        above.join()
        os._exit(1)


def _serve(pipe: Connection, nice: int, warm: Work | None) -> None:
    """What the process does; it ends with whoever started it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_server, daemon=True).start()
    keep_memory()
    if nice and hasattr(os, "nice"):
        os.nice(nice)
    if warm is not None:
        warm()

    def tell(event: Event) -> None:
        if pipe.poll() and pipe.recv() == STOP:
            raise StoppedError
        pipe.send(Answer("told", event))

    while True:
        try:
            asked = pipe.recv()
            if asked == STOP:  # it came when the work was done
                continue
            work, given = asked
            pipe.send(_answer(work, given, tell))
        except (EOFError, OSError):
            return


def _answer(work: Work, given: tuple[Any, ...], tell: Tell) -> Answer:
    try:
        return Answer("done", work(*given, tell))
    except StoppedError:
        return Answer("stopped")
    except FitcheckError as error:
        return Answer("wrong", error.lines if isinstance(error, InputError) else (str(error),))
    except MemoryError:
        return Answer("wrong", ("this takes more memory than there is; make it smaller",))
    except Exception as error:
        said = f"the program failed ({type(error).__name__}: {error})"
        return Answer("wrong", (said,))


class Telling:
    """Progress that is told to the page; it is where work stops when it was asked to."""

    def __init__(self, tell: Tell) -> None:
        self._tell = tell
        self._told = 0.0

    def step(self, done: int, total: int, text: str) -> None:
        """Tell a step, unless one was told just now."""
        now = time.monotonic()
        if now - self._told > APART_S:
            self._told = now
            self._tell({"kind": "step", "done": done, "total": total, "text": text})
