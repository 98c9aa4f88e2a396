"""Runs tell what goes on from the first event to the last, stop alone, and leave nothing behind."""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import sys
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from fitcheck.bench import runs as runs_module
from fitcheck.bench.answers import packed, streamed
from fitcheck.bench.runs import MOST_KEPT, Run, Runs
from fitcheck.bench.worker import Worker
from tests.served import are_alive, deaf, dying, refusing, run, steps, until

Event = dict[str, Any]
SLEEPS = "import time; time.sleep(60)"


@contextlib.asynccontextmanager
async def going(cwd: Path) -> AsyncIterator[Runs]:
    runs = Runs(cwd)
    try:
        yield runs
    finally:
        await runs.close()
        assert not runs._home.exists()


async def heard(one: Run, after: int = 0) -> list[Event]:
    return [event async for _, event in one.follow(after)]


@pytest.fixture
def program(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Puts a short program in the place of the commands."""

    def put(code: str) -> None:
        monkeypatch.setattr(runs_module, "PROGRAM", code)

    return put


def test_what_a_command_says_is_decoded_and_told(tmp_path: Path, program: Any) -> None:
    step = {"done": 1, "total": 2, "text": "half"}
    program(
        "import sys, os, pathlib; out = sys.argv[1]\n"
        "os.write(1, b'caf\\xc3\\xa9 \\xff ' + out.encode() + b'/made.txt None/x')\n"
        f"os.write(2, b'progress ' + {json.dumps(step).encode()!r} + b'\\nprogress [1]\\n')\n"
        "os.write(2, b'progress nonsense\\nfitcheck: a \\xff line\\n\\nlast')\n"
        "pathlib.Path(out, 'made.txt').write_text('x')\n"
        "pathlib.Path(out, 'sub').mkdir(); pathlib.Path(out, 'sub', 'b.txt').write_text('x')\n"
        "pathlib.Path(out, 'sub', '.hidden').write_text('x')\n"
        "pathlib.Path(out, '.fitcheck').mkdir(); pathlib.Path(out, '.fitcheck', 'c').write_text('')"
    )

    async def work() -> None:
        async with going(tmp_path) as runs:
            one = runs.command("trying", ["{out}"], out=True)
            events = await heard(one)
            assert [event["kind"] for event in events] == ["waits", "begun", "step", "done"]
            assert events[2] == {"kind": "step", **step}
            last = events[-1]
            assert last["text"] == "caf\u00e9 \ufffd made.txt None/x"
            assert last["lines"] == ["a \ufffd line", "last"] and last["status"] == 0
            assert last["files"] == ["made.txt", "sub/b.txt"]
            assert one.file("sub/.hidden") is None and one.file("sub/b.txt") is not None
            assert one.file("../x") is None and packed(one).startswith(b"PK")

    run(work())


def test_a_text_is_left_as_it_is_where_nothing_was_made(tmp_path: Path, program: Any) -> None:
    program("print('None/of these')")

    async def work() -> None:
        async with going(tmp_path) as runs:
            assert (await heard(runs.command("trying", [])))[-1]["text"] == "None/of these\n"

    run(work())


@pytest.mark.parametrize(
    ("status", "kind"), [(0, "done"), (1, "done"), (2, "failed"), (3, "failed")]
)
def test_how_a_command_ends(tmp_path: Path, program: Any, status: int, kind: str) -> None:
    program(f"import sys; print('fitcheck: why', file=sys.stderr); sys.exit({status})")

    async def work() -> None:
        async with going(tmp_path) as runs:
            last = (await heard(runs.command("trying", [])))[-1]
            assert last["kind"] == kind and last["lines"] == ["why"]

    run(work())


def test_a_flood_is_bounded(tmp_path: Path, program: Any) -> None:
    program(
        "import os, sys\n"
        "for k in range(30): os.write(1, b'x' * 1_000_000)\n"
        "os.write(2, b'y' * 3_000_000 + b'\\nend\\n')\n"
        "for k in range(20_000): os.write(2, b'line %d\\nprogress {\"done\": %d}\\n' % (k, k))\n"
    )

    async def work() -> None:
        async with going(tmp_path) as runs:
            events = await heard(runs.command("trying", []))
            last = events[-1]
            assert last["kind"] == "done" and len(last["text"]) < 10_000_000
            assert len(last["lines"]) < 2_000 and "end" in last["lines"]
            assert len(events) < 2_000

    run(work())


def test_nothing_in_the_workspace_is_run(tmp_path: Path) -> None:
    """A workspace may come from anywhere, and Python looks for modules where it is started."""
    for name in ("json", "typer", "fitcheck"):
        (tmp_path / f"{name}.py").write_text("raise SystemExit('run from the workspace')")
    (tmp_path / "models").mkdir()

    async def work() -> None:
        async with going(tmp_path) as runs:
            last = (await heard(runs.command("listing", ["list", "styles"])))[-1]
            assert last["kind"] == "done" and "tray" in last["text"], last

    run(work())


def test_what_cannot_be_started_is_told(tmp_path: Path) -> None:
    async def work() -> None:
        async with going(tmp_path) as runs:
            one = runs.command("trying", [], cwd=tmp_path / "gone")
            last = (await heard(one))[-1]
            assert last["kind"] == "failed" and "gone" in last["lines"][0]
            after = runs.command("trying", ["list", "styles"])
            assert (await heard(after))[-1]["kind"] == "done"

    run(work())


def test_one_that_waits_is_stopped_alone(tmp_path: Path, program: Any) -> None:
    program("import sys, time; time.sleep(float(sys.argv[1])); print('made')")

    async def work() -> None:
        async with going(tmp_path) as runs:
            first = runs.command("first", ["1"])
            second = runs.command("second", ["0"])
            third = runs.command("third", ["0"])
            fourth = runs.command("fourth", ["60"])
            await runs.stop(fourth)  # before it has begun to wait
            await asyncio.sleep(0.2)
            await runs.stop(second)
            assert [event["kind"] for event in await heard(second)] == ["waits", "stopped"]
            assert (await heard(fourth))[-1]["kind"] == "stopped"
            assert (await heard(first))[-1]["text"] == "made\n"
            assert (await heard(third))[-1]["text"] == "made\n"

    run(work())


def test_work_that_waits_is_stopped_alone(tmp_path: Path) -> None:
    async def work() -> None:
        worker = Worker("tried")
        async with going(tmp_path) as runs:
            first = runs.work("first", worker, steps, 20, 0.05)
            second = runs.work("second", worker, steps, 1000, 0.05)
            third = runs.work("third", worker, steps, 2, 0.0)
            fourth = runs.work("fourth", worker, steps, 2, 0.0)
            await runs.stop(fourth)
            await asyncio.sleep(0.1)
            await runs.stop(second)
            for stopped in (second, fourth):
                assert (await heard(stopped))[-1] == {"kind": "stopped"}
            assert (await heard(first))[-1] == {"kind": "done", "result": 20}
            assert (await heard(third))[-1] == {"kind": "done", "result": 2}
            for wrong, kind in ((refusing, "failed"), (dying, "stopped")):
                assert (await heard(runs.work("x", worker, wrong)))[-1]["kind"] == kind
            long = runs.work("long", worker, steps, 1000, 0.02)
            await asyncio.sleep(0.2)
            await runs.stop(long)
            assert (await heard(long))[-1] == {"kind": "stopped"}
            assert (await heard(runs.work("x", worker, deaf, 0.0)))[-1]["kind"] == "done"
        worker.end()

    run(work())


@pytest.mark.skipif(os.name != "posix", reason="groups of processes")
@pytest.mark.parametrize("how", ["stop", "time", "close"])
def test_a_command_ends_with_all_that_it_started(
    tmp_path: Path, program: Any, monkeypatch: pytest.MonkeyPatch, how: str
) -> None:
    program(
        f"import subprocess, sys; p = subprocess.Popen([sys.executable, '-c', {SLEEPS!r}])\n"
        "print('fitcheck:', p.pid, file=sys.stderr)\n"
        "open('pids', 'w').write(f'{p.pid}')\n" + SLEEPS
    )
    if how == "time":
        monkeypatch.setattr(runs_module, "LONGEST_S", 1.5)

    async def work() -> None:
        runs = Runs(tmp_path)
        one = runs.command("trying", [])
        pids = tmp_path / "pids"
        while not (pids.exists() and pids.read_text()):
            await asyncio.sleep(0.05)
        assert one.process is not None
        both = {one.process.pid, int(pids.read_text())}
        assert are_alive(both) == both
        if how == "stop":
            await runs.stop(one)
        if how == "close":
            await runs.close()
        last = (await heard(one))[-1]
        assert last["kind"] == ("failed" if how == "time" else "stopped")
        until(lambda: not are_alive(both), within=5)
        await runs.close()

    run(work())


def test_the_oldest_are_forgotten_with_their_files(tmp_path: Path, program: Any) -> None:
    program("import sys, pathlib; pathlib.Path(sys.argv[1], 'a.txt').write_text('x')")

    async def work() -> None:
        async with going(tmp_path) as runs:
            made = []
            for _ in range(MOST_KEPT + 4):
                one = runs.command("trying", ["{out}"], out=True)
                await heard(one)
                made.append(one)
            assert [runs.get(one.name) is None for one in made] == [True] * 4 + [False] * MOST_KEPT
            assert len(list(runs._home.iterdir())) == MOST_KEPT
            assert made[0].files() == [] and made[-1].files() == ["a.txt"]

    run(work())


def test_events_come_again_from_where_a_reader_left_off(tmp_path: Path) -> None:
    async def work() -> None:
        one = Run("x", "trying")
        early = asyncio.create_task(heard(one))
        one.tell({"kind": "begun"})
        await asyncio.sleep(0)
        one.tell({"kind": "step", "done": 1})
        late = asyncio.create_task(heard(one, 1))
        one.tell({"kind": "done"})
        one.tell({"kind": "step", "done": 2})  # after the end there is nothing
        assert [event["kind"] for event in await early] == ["begun", "step", "done"]
        assert [event["kind"] for event in await late] == ["step", "done"]
        assert await heard(one, 3) == await heard(one, 10**8) == []
        sent = [text async for text in streamed(one, 2)]
        assert sent == ['id: 2\ndata: {"kind":"done"}\n\n']

    run(work())


def test_a_reader_that_leaves_is_forgotten(monkeypatch: pytest.MonkeyPatch) -> None:
    async def work() -> None:
        one = Run("x", "trying")
        one.tell({"kind": "begun"})
        before = asyncio.all_tasks()
        monkeypatch.setattr("fitcheck.bench.answers.QUIET_S", 0.05)
        stream = streamed(one, 0)
        assert (await anext(stream)).startswith("id: 0")
        assert await anext(stream) == ": still at it\n\n"
        await stream.aclose()
        await asyncio.sleep(0.05)
        assert asyncio.all_tasks() == before

    run(work())


def test_a_command_reads_nothing_from_whoever_started_the_bench(
    tmp_path: Path, program: Any
) -> None:
    program(
        f"{runs_module.PROGRAM.partition('; from')[0]}; import sys; print(repr(sys.stdin.read()))"
    )

    async def work() -> None:
        async with going(tmp_path) as runs:
            assert (await heard(runs.command("trying", [])))[-1]["text"] == "''\n"

    run(work())


def test_the_interpreter_is_the_one_that_runs(tmp_path: Path, program: Any) -> None:
    program("import sys; print(sys.executable)")

    async def work() -> None:
        async with going(tmp_path) as runs:
            last = (await heard(runs.command("trying", [])))[-1]
            assert Path(last["text"].strip()) == Path(sys.executable)

    run(work())
