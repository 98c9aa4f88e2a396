"""Workers work one thing off after another, stop at a step, and come again when they are killed."""

from __future__ import annotations

import asyncio
import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from fitcheck.bench import desk as desk_module
from fitcheck.bench.desk import Desk, Superseded
from fitcheck.bench.drafts import Draft
from fitcheck.bench.worker import StoppedError, Worker
from fitcheck.errors import InputError
from tests.served import (
    ROOT,
    are_alive,
    deaf,
    dying,
    failing,
    length,
    played,
    refusing,
    run,
    sleepy,
    steps,
    until,
    workspace,
)


@contextlib.asynccontextmanager
async def working(**more: Any) -> AsyncIterator[Worker]:
    worker = Worker("tried", **more)
    try:
        yield worker
    finally:
        worker.end()


def test_it_tells_its_steps_and_answers_in_order() -> None:
    async def work() -> None:
        async with working() as worker:
            told: list[Any] = []
            answers = await asyncio.gather(
                worker.ask(steps, 3, 0.0, tell=told.append),
                worker.ask(length, "four"),
                worker.ask(deaf, 0.0),
                worker.ask(deaf, 0.0),
            )
            assert answers[:2] == [3, 4] and answers[2] == answers[3] != os.getpid()
            assert told == [{"kind": "step", "done": k} for k in range(3)]

    run(work())


def test_it_stops_at_its_next_step_and_stays() -> None:
    async def work() -> None:
        async with working() as worker:
            pid = await worker.ask(deaf, 0.0)
            begun = asyncio.Event()
            long = asyncio.create_task(
                worker.ask(steps, 1000, 0.02, tell=lambda _: begun.set(), owner="long")
            )
            await begun.wait()
            await worker.stop("another")
            assert not long.done() and worker.works_for("long")
            await worker.stop("long")
            with pytest.raises(StoppedError):
                await long
            assert await worker.ask(deaf, 0.0) == pid

    run(work())


def test_what_does_not_stop_is_ended_and_the_next_is_answered() -> None:
    async def work() -> None:
        async with working() as worker:
            pid = await worker.ask(deaf, 0.0)
            long = asyncio.create_task(worker.ask(deaf, 60.0, owner="long"))
            behind = asyncio.create_task(worker.ask(deaf, 0.0))
            await asyncio.sleep(0.1)
            await worker.stop("long")
            with pytest.raises(StoppedError):
                await long
            assert await behind != pid and not are_alive({pid})

    run(work())


def test_a_stop_that_comes_late_stops_nothing_else() -> None:
    async def work() -> None:
        async with working() as worker:
            for _ in range(20):
                first = asyncio.create_task(worker.ask(length, "x", owner="first"))
                await asyncio.sleep(0)
                stopping = asyncio.create_task(worker.stop("first"))
                with contextlib.suppress(StoppedError):
                    await first
                assert await worker.ask(steps, 3, 0.0, owner="second") == 3
                await stopping

    run(work())


def test_one_killed_from_outside_is_started_again() -> None:
    async def work() -> None:
        async with working() as worker:
            pid = await worker.ask(deaf, 0.0)
            os.kill(pid, signal.SIGKILL)  # while it waits
            until(lambda: not are_alive({pid}))
            second = await worker.ask(deaf, 0.0)
            assert second != pid
            with pytest.raises(StoppedError):
                await worker.ask(dying)  # while it works
            assert await worker.ask(deaf, 0.0) not in (pid, second)

    run(work())


def test_what_goes_wrong_is_told_in_lines() -> None:
    async def work() -> None:
        async with working() as worker:
            with pytest.raises(InputError) as raised:
                await worker.ask(refusing)
            assert raised.value.lines == ("design: base: one", "design: lid: two")
            with pytest.raises(InputError, match="RuntimeError: oh"):
                await worker.ask(failing)
            assert await worker.ask(length, "x") == 1

    run(work())


def test_who_no_longer_waits_disturbs_nobody() -> None:
    async def work() -> None:
        async with working() as worker:
            pid = await worker.ask(deaf, 0.0)
            long = asyncio.create_task(worker.ask(deaf, 0.5))
            behind = asyncio.create_task(worker.ask(deaf, 0.0))
            await asyncio.sleep(0.1)
            behind.cancel()
            assert await long == pid
            again = asyncio.create_task(worker.ask(deaf, 60.0))
            await asyncio.sleep(0.1)
            again.cancel()
            with pytest.raises(asyncio.CancelledError):
                await again
            assert await worker.ask(length, "four") == 4

    run(work())


def test_a_long_text_does_not_hold_up_everybody_else() -> None:
    """A pipe takes some tens of kilobytes (pipe(7)), and a worker that starts reads none."""

    async def work() -> None:
        async with working(warm=sleepy) as worker:
            gaps: list[float] = []

            async def ticking() -> None:
                while True:
                    began = time.monotonic()
                    await asyncio.sleep(0.01)
                    gaps.append(time.monotonic() - began)

            ticks = asyncio.create_task(ticking())
            assert await worker.ask(length, "x" * 5_000_000) == 5_000_000
            ticks.cancel()
            assert max(gaps) < 0.5

    run(work())


def test_one_that_is_stopped_before_it_has_read_all_is_stopped() -> None:
    async def work() -> None:
        async with working(warm=sleepy) as worker:
            asked = asyncio.create_task(worker.ask(length, "x" * 5_000_000, owner="me"))
            await asyncio.sleep(0.1)
            await worker.stop("me")
            with contextlib.suppress(StoppedError):
                assert await asked == 5_000_000
            assert await worker.ask(steps, 2, 0.0) == 2

    run(work())


@pytest.mark.skipif(os.name != "posix", reason="Ctrl-C reaches all processes of a terminal")
def test_ctrl_c_at_any_time_is_for_the_server_alone(capfd: pytest.CaptureFixture[str]) -> None:
    async def work() -> None:
        async with working() as worker:
            worker.start()
            process = worker._process
            assert process is not None and process.pid is not None
            asked = asyncio.create_task(worker.ask(deaf, 0.2))
            while not asked.done():
                os.kill(process.pid, signal.SIGINT)
                await asyncio.sleep(0.01)
            assert await asked == process.pid

    run(work())
    assert capfd.readouterr().err == ""
    assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, set())


HELD = """
import asyncio
from fitcheck.bench.worker import Worker
from tests.served import deaf
async def main():
    worker = Worker("held")
    print(await worker.ask(deaf, 0.0), flush=True)
    await worker.ask(deaf, 60.0)
if __name__ == "__main__":
    asyncio.run(main())
"""


@pytest.mark.skipif(os.name != "posix", reason="kill")
def test_it_ends_with_the_program_whatever_it_does() -> None:
    above = subprocess.Popen(
        [sys.executable, "-c", HELD],
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
    )
    assert above.stdout is not None
    pid = int(above.stdout.readline())
    assert are_alive({pid}) == {pid}
    time.sleep(0.3)
    above.kill()
    above.wait()
    until(lambda: not are_alive({pid}), within=10)


# The desk


@contextlib.asynccontextmanager
async def desk_at(root: Path) -> AsyncIterator[Desk]:
    desk = Desk(root, quick=Worker("q"), odds=Worker("o"), rest=Worker("r"))
    try:
        yield desk
    finally:
        await desk.close()


def asked(desk: Desk, page: str, name: str, text: str) -> asyncio.Task[Any]:
    return asyncio.create_task(desk.look(page, played, Draft(name=name, text=text)))


def test_the_newest_of_a_page_wins_and_pages_do_not_meet(tmp_path: Path) -> None:
    async def work() -> None:
        async with desk_at(workspace(tmp_path / "work")) as desk:
            await asked(desk, "one", "warm", "deaf 0")
            ones = [asked(desk, "one", f"d{k}", "deaf 0.2") for k in range(5)]
            two = asked(desk, "two", "other", "deaf 0")
            found = await asyncio.gather(*ones, return_exceptions=True)
            assert found[-1] == "d4" and await two == "other"
            assert all(isinstance(one, Superseded) for one in found[1:-1])
            assert desk._newest == {}, "nothing is kept of pages that went"

    run(work())


def test_what_goes_on_for_long_is_given_up_for_the_newer_and_that_one_is_left_alone(
    tmp_path: Path,
) -> None:
    """The newer one takes longer than the patience that the older one was given to stop."""

    async def work() -> None:
        async with desk_at(workspace(tmp_path / "work")) as desk:
            await asked(desk, "one", "warm", "deaf 0")
            old = asked(desk, "one", "old", "steps 1000")
            await asyncio.sleep(0.5)
            new = asked(desk, "one", "new", "deaf 2.5")
            with pytest.raises(Superseded):
                await old
            assert await new == "new"

    run(work())


def test_a_draft_that_takes_for_ever_is_told_so_and_the_next_is_answered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def work() -> None:
        async with desk_at(workspace(tmp_path / "work")) as desk:
            await asked(desk, "one", "warm", "deaf 0")
            monkeypatch.setattr(desk_module, "PATIENCE_S", 0.5)
            with pytest.raises(InputError, match="takes over"):
                await asked(desk, "one", "long", "deaf 60")
            monkeypatch.undo()
            assert await asked(desk, "one", "short", "deaf 0") == "short"

    run(work())


def test_a_worker_that_dies_is_told_in_words(tmp_path: Path) -> None:
    async def work() -> None:
        async with desk_at(workspace(tmp_path / "work")) as desk:
            pid = await desk.quick.ask(deaf, 0.0)
            long = asked(desk, "one", "long", "deaf 60")
            await asyncio.sleep(0.2)
            os.kill(pid, signal.SIGKILL)
            with pytest.raises(InputError, match="try once more"):
                await long
            assert await asked(desk, "one", "short", "deaf 0") == "short"

    run(work())


def test_it_holds_still_while_somebody_else_waits() -> None:
    async def work() -> None:
        async with working() as worker:
            told: list[Any] = []
            going = asyncio.create_task(worker.ask(steps, 60, 0.02, tell=told.append))
            while not told:
                await asyncio.sleep(0.01)
            with worker.pausing():
                await asyncio.sleep(0.1)  # what was on its way comes
                before = len(told)
                await asyncio.sleep(0.4)
                assert len(told) == before < 60
            assert await going == len(told) == 60
            with worker.pausing():  # nothing goes on that could be held
                pass
            assert await worker.ask(length, "four") == 4

    run(work())
