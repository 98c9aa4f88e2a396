"""`fitcheck bench` starts at once, says what is wrong in a line, and leaves nothing at its end."""

from __future__ import annotations

import contextlib
import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.architecture.test_imports import loaded_by
from tests.cli.commands import fitcheck
from tests.served import PROGRAM, ROOT, SMALL, Served, are_alive, served, start, until, workspace

HOLDS = pytest.mark.skipif(os.name != "posix", reason="signals")
KNOWN = {"models", "models/buttons.toml"}


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return workspace(tmp_path / "work")


@contextlib.contextmanager
def started(
    root: Path, *options: str, stderr: int = subprocess.PIPE, **variables: str
) -> Iterator[Served]:
    """A bench that is killed in the end if it goes on still."""
    bench = start(root, *options, stderr=stderr, **variables)
    try:
        yield bench
    finally:
        if bench.process.poll() is None:
            bench.process.kill()
            bench.process.wait()


def left(bench: Served) -> set[str]:
    """What stands in the workspace, and in the folder for temporary ones."""
    found = {str(path.relative_to(bench.root)) for path in bench.root.rglob("*")}
    return found | {f"temp {path.name}" for path in bench.temp.iterdir()}


def busy(bench: Served) -> str:
    """A run that takes a while, begun and under way."""
    given = {"design": "buttons", "odds": "200000", "film": True}
    run = bench.post("/api/command", {"command": "publish", "given": given}).data["run"]
    bench.post("/api/odds", {"page": "p", "draft": {"name": "buttons", "text": SMALL}})
    until(lambda: len(bench.family()) >= 5)
    return str(run)


def test_the_first_line_is_an_address_that_answers_at_once(root: Path) -> None:
    with started(root) as bench:
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/\?key=[\w-]{43,}", bench.address)
        bench.open()
        assert b"<html" in bench.get("/").body
        assert bench.get("/api/shelf").data["workspace"] == "work"
        assert bench.end() == 0
        assert bench.said and "Ctrl-C" in bench.said[0] and len(bench.said) == 1


def test_a_port_can_be_chosen_and_one_that_is_taken_is_told(root: Path) -> None:
    with started(root) as bench:
        ran = fitcheck("bench", root, "--port", str(bench.port), "--no-browser", cwd=root)
        assert (ran.status, ran.out) == (2, "")
        (line,) = ran.err.splitlines()
        assert f"read {bench.port}" in line and "in use" in line and "allowed: a free port" in line
        bench.end()
        again = start(root, "--port", str(bench.port))
        assert again.port == bench.port and again.key != bench.key
        again.open()
        assert again.get("/api/shelf").status == 200
        assert again.end() == 0


@pytest.mark.parametrize("port", ["-1", "65536", "x", "1.5", ""])
def test_a_port_that_is_none_is_told(root: Path, port: str) -> None:
    ran = fitcheck("bench", root, f"--port={port}", "--no-browser", cwd=root)
    assert ran.status == 2 and "--port" in ran.err and "Traceback" not in ran.err


def test_a_folder_that_is_none_is_told(root: Path) -> None:
    for folder in (root / "gone", root / "models" / "buttons.toml", "a\nb"):
        ran = fitcheck("bench", folder, "--no-browser", cwd=root)
        assert (ran.status, ran.out) == (2, "")
        (line,) = ran.err.splitlines()
        assert line.startswith("fitcheck: DIR: read ") and "make it first" in line


def test_an_empty_folder_becomes_a_workspace_by_its_first_design(tmp_path: Path) -> None:
    (tmp_path / "fresh").mkdir()
    with served(tmp_path / "fresh") as bench:
        assert bench.get("/api/shelf").status == 200 and not list(bench.root.iterdir())
        added = bench.post("/api/add", {"name": "first", "text": SMALL})
        assert added.status == 200 and (bench.root / "models" / "first.toml").read_text() == SMALL


def test_the_browser_is_opened_only_when_it_may_be(root: Path, tmp_path: Path) -> None:
    opened = tmp_path / "opened"
    browser = tmp_path / "browser"
    browser.write_text(f'#!/bin/sh\necho "$1" > {opened}\n')
    browser.chmod(0o755)
    with started(root, BROWSER=str(browser)) as bench:
        bench.open()
        time.sleep(0.5)
        assert not opened.exists()
    process = subprocess.Popen(
        [sys.executable, "-c", PROGRAM, "bench", str(root)],
        env=os.environ | {"PYTHONPATH": str(ROOT), "BROWSER": str(browser)},
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    try:
        assert process.stdout is not None
        address = process.stdout.readline().decode().strip()
        until(lambda: opened.exists() and opened.read_text().strip() == address)
    finally:
        process.send_signal(signal.SIGINT)
        assert process.wait(30) == 0


@HOLDS
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGHUP, signal.SIGTERM])
def test_it_ends_in_order_and_leaves_nothing(root: Path, how: int) -> None:
    """Ctrl-C, a terminal's window that is shut, and a machine that goes down."""
    with started(root) as bench:
        bench.open()
        busy(bench)
        family = bench.family()
        assert left(bench) > KNOWN
        status = bench.end(how)
        assert status == (-signal.SIGTERM if how == signal.SIGTERM else 0)
        until(lambda: not are_alive(family), within=5)
        assert left(bench) == KNOWN and len(bench.said) == 1


@HOLDS
def test_ctrl_c_at_any_moment_ends_it_without_a_traceback(tmp_path: Path) -> None:
    """Of a terminal's foreground: the signal goes to the server and to all it has started."""
    for k, wait_s in enumerate((0.0, 0.01, 0.03, 0.1, 0.3, 1.0)):
        with started(workspace(tmp_path / f"w{k}")) as bench:
            time.sleep(wait_s)
            family = bench.family()
            os.killpg(bench.process.pid, signal.SIGINT)
            assert bench.end(0) == 0, wait_s
            assert "Traceback" not in "\n".join(bench.said), (wait_s, bench.said)
            until(lambda family=family: not are_alive(family), within=5)
            assert left(bench) == KNOWN, wait_s


@HOLDS
def test_ctrl_c_right_after_the_address_ends_it_in_order(root: Path) -> None:
    """Nobody reads what it says on stderr, so that it waits there; then Ctrl-C comes."""
    ours, full = os.pipe()
    os.set_blocking(full, False)
    with contextlib.suppress(BlockingIOError):
        while True:
            os.write(full, b" ")
    os.set_blocking(full, True)
    with started(root, stderr=full) as bench:
        os.close(full)
        time.sleep(0.2)
        bench.process.send_signal(signal.SIGINT)
        time.sleep(0.2)
        with os.fdopen(ours, "rb") as said:
            assert b"Traceback" not in said.read()
        assert bench.process.wait(30) == 0


@HOLDS
def test_killed_outright_its_children_end_too(root: Path) -> None:
    with started(root) as bench:
        bench.open()
        busy(bench)
        family = bench.family()
        assert len(family) >= 5
        bench.process.kill()
        until(lambda: not are_alive(family), within=5)
        models = {str(path.relative_to(root)) for path in root.rglob("*")}
        assert models == KNOWN


@HOLDS
def test_it_ends_while_a_page_listens(root: Path) -> None:
    with started(root) as bench:
        bench.open()
        run = busy(bench)
        with socket.create_connection(("127.0.0.1", bench.port)) as link:
            link.sendall(
                f"GET /api/runs/{run} HTTP/1.1\r\nHost: 127.0.0.1:{bench.port}\r\n"
                f"Cookie: {bench.cookie}\r\n\r\n".encode()
            )
            assert b"text/event-stream" in link.recv(4096)
            began = time.monotonic()
            assert bench.end() == 0
            assert time.monotonic() - began < 10


def test_a_run_replays_its_events_over_the_wire(root: Path) -> None:
    with served(root) as bench:
        given = {"design": "buttons", "format": "svg"}
        run = bench.post("/api/command", {"command": "sheet", "given": given}).data["run"]
        whole = bench.events(run)
        assert [number for number, _ in whole] == list(range(len(whole)))
        assert whole[-1][1]["kind"] == "done" and whole[-1][1]["files"]
        assert bench.events(run, last="1") == whole[2:]
        for odd in ("-1", "x", "\u00b2", "9" * 20, ""):
            assert bench.events(run, last=odd) == whole
        assert bench.events(run, last=str(len(whole))) == []


def test_page_and_terminal_say_the_same(root: Path) -> None:
    with served(root) as bench:
        given = {"design": "buttons", "other": "harbour"}
        run = bench.post("/api/command", {"command": "compare", "given": given}).data["run"]
        there = fitcheck("compare", "buttons", "harbour", cwd=root)
        last = bench.events(run)[-1][1]
        assert (last["status"], last["text"]) == (there.status, there.out)


def test_two_tabs_and_a_terminal_lose_nothing(root: Path) -> None:
    with served(root) as bench:
        one = bench.get("/api/design/buttons").data
        wide = SMALL.replace("[60, 40]", "[61, 40]")
        first = {"name": "buttons", "text": wide, "version": one["version"]}
        second = first | {"text": SMALL.replace("[60, 40]", "[62, 40]")}
        assert bench.post("/api/save", first).status == 200
        answer = bench.post("/api/save", second)
        assert answer.status == 409 and answer.data["there"]["text"] == wide
        version = answer.data["there"]["version"]
        (root / "models" / "buttons.toml").write_text(SMALL)  # an editor in the terminal
        answer = bench.post("/api/save", second | {"version": version})
        assert answer.status == 409 and answer.data["there"]["text"] == SMALL
        (root / "models" / "buttons.toml").unlink()
        answer = bench.post("/api/save", second | {"version": version})
        assert answer.status == 409 and answer.data["there"] is None


def test_no_other_command_loads_the_server() -> None:
    loaded = loaded_by(
        "import fitcheck.cli.main\n"
        "from typer.testing import CliRunner\n"
        "ran = CliRunner().invoke(fitcheck.cli.main.app, ['check', 'harbour', '--no-odds'])\n"
        "assert ran.exit_code == 0, ran.output"
    )
    assert "fitcheck.fit.check" in loaded
    servers = {"starlette", "uvicorn", "h11", "asyncio", "anyio", "multiprocessing", "webbrowser"}
    assert not loaded & servers
    assert not [name for name in loaded if name.startswith("fitcheck.bench")]
