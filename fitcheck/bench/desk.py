"""Who works for the page: one process for what is typed, one for odds, one for the rest.

Of what a page asks about one draft only the newest is answered; whatever was asked before it and
has not begun is let go, so that nothing queues behind quick fingers.
"""

from __future__ import annotations

import asyncio
import itertools
import time
from collections.abc import Coroutine, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from weakref import WeakValueDictionary

from fitcheck.bench import tasks
from fitcheck.bench.drafts import Draft
from fitcheck.bench.kept_drafts import KeptDrafts
from fitcheck.bench.runs import Run, Runs
from fitcheck.bench.shelf import Shelf, stamp
from fitcheck.bench.worker import StoppedError, Work, Worker
from fitcheck.errors import InputError

PATIENCE_S = 30.0
"""So long a draft may take; nothing that is folded by hand does."""
SLOW = (
    f"design: takes over {PATIENCE_S:.0f} s to check; allowed: what is done by then; put fewer "
    "pieces in, or `fitcheck check` it in a terminal"
)
LONG_S = 0.3
"""What has taken so long is given up for something newer; the rest is soon done."""
MOST_CARDS = 400


class Superseded(Exception):
    """The page has asked something newer."""


@dataclass(eq=False)
class Desk:
    """One bench: its workspace, its workers and what goes on."""

    root: Path
    quick: Worker = field(default_factory=lambda: Worker("draft", warm=tasks.warm))
    odds: Worker = field(default_factory=lambda: Worker("odds", nice=10, warm=tasks.warm))
    rest: Worker = field(default_factory=lambda: Worker("rest", nice=15, warm=tasks.warm))
    _numbers: Iterator[int] = field(default_factory=lambda: itertools.count(1))
    """Of all that is asked: what is stopped is never taken for what came after it."""
    _newest: dict[str, int] = field(default_factory=dict)
    _looking: dict[str, int] = field(default_factory=dict)
    _counting: WeakValueDictionary[str, Run] = field(default_factory=WeakValueDictionary)
    _cards: dict[str, Mapping[str, Any]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.shelf = Shelf(self.root)
        self.runs = Runs(self.root)
        self.drafts = KeptDrafts(self.root)
        self._turn = asyncio.Lock()
        self._late: set[asyncio.Task[None]] = set()

    def start(self) -> None:
        """Have the worker for what is typed warm by the time it is needed."""
        self.quick.start()

    async def close(self) -> None:
        """End everything; nothing is left half-written."""
        await self.runs.close()
        for worker in (self.quick, self.odds, self.rest):
            worker.end()

    def later(self, work: Coroutine[Any, Any, None]) -> None:
        """Have something done that nobody waits for."""
        task = asyncio.ensure_future(work)
        self._late.add(task)
        task.add_done_callback(self._late.discard)

    async def look(self, page: str, work: Work, draft: Draft) -> Any:
        """What is to be shown of a draft.

        Raises Superseded where the page has asked for something newer of the kind since, and
        InputError where the draft is no design or takes for ever.
        """
        asker = f"{page} {work.__name__}"
        mine = self._newest[asker] = next(self._numbers)
        counting = self._counting.pop(page, None) if work is tasks.look else None
        if counting is not None:
            self.later(self.runs.stop(counting))
        before = self._looking.get(asker)
        if before is not None and time.monotonic() - self.quick.since > LONG_S:
            self.later(self.quick.stop(before))
        try:
            async with self._turn:
                if self._newest[asker] != mine:
                    raise Superseded
                return await self._looked(work, draft, asker, mine)
        finally:
            if self._newest.get(asker) == mine:  # whoever asked before it was answered before it
                del self._newest[asker]

    async def _looked(self, work: Work, draft: Draft, asker: str, mine: int) -> Any:
        self._looking[asker] = mine
        try:
            async with asyncio.timeout(PATIENCE_S):
                with self.odds.pausing(), self.rest.pausing():
                    return await self.quick.ask(work, draft, owner=mine)
        except TimeoutError:
            raise InputError(SLOW) from None
        except StoppedError:
            if self._newest[asker] != mine:
                raise Superseded from None
            raise InputError(
                "design: the process that checks it ended; allowed: what fits into memory; "
                "try once more"
            ) from None
        finally:
            del self._looking[asker]

    def count(self, page: str, draft: Draft) -> Run:
        """Begin to count the odds of a draft; those of the page's draft before are stopped."""
        before = self._counting.pop(page, None)
        if before is not None:
            self.later(self.runs.stop(before))
        run = self.runs.work("counting boxes", self.odds, tasks.count, draft)
        self._counting[page] = run
        return run

    async def card(self, name: str) -> Mapping[str, Any]:
        """The picture and the verdict of a design, remembered as long as its text is the same."""
        kept = await asyncio.to_thread(self.shelf.read, name)
        mark = f"{name} {kept.version} {stamp()}"
        known = self._cards.get(mark)
        if known is None:
            try:
                known = await self.rest.ask(tasks.card, name, kept.text)
            except StoppedError:
                raise InputError(f"{name}: its picture could not be drawn; load it anew") from None
            self._cards[mark] = known
            while len(self._cards) > MOST_CARDS:
                del self._cards[next(iter(self._cards))]
        return known
