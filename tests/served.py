"""A bench as a person starts it: the program in a process of its own, and requests to it."""

from __future__ import annotations

import asyncio
import contextlib
import http.client
import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Coroutine, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

from fitcheck.bench.drafts import Draft
from fitcheck.bench.worker import Tell
from fitcheck.errors import InputError

ROOT = Path(__file__).resolve().parents[1]
PROGRAM = "from fitcheck.cli.main import run; run()"
SMALL = """# a box for buttons
format = 1
title = "Buttons"   # sewn on in spring
unit = "mm"
tools = "score-board-metric"

[base]
style = "tray"
stock = "cardstock-270"
floor = [60, 40]
depth = 20

[lid]
style = "tray"
stock = "cardstock-270"
oversize = 1
depth = 12
"""
Headers = Mapping[str, str]


def workspace(root: Path, **designs: str) -> Path:
    """A workspace with designs by their names."""
    (root / "models").mkdir(parents=True)
    for name, text in (designs or {"buttons": SMALL}).items():
        (root / "models" / f"{name}.toml").write_bytes(text.encode())
    return root


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    headers: Mapping[str, str]
    """By their names in small letters."""
    body: bytes

    @property
    def data(self) -> Any:
        """The JSON in it."""
        return json.loads(self.body)


@dataclass
class Served:
    """A bench that goes on, and what a browser knows of it."""

    process: subprocess.Popen[bytes]
    address: str
    root: Path
    temp: Path
    """Where it makes its temporary folders."""
    cookie: str = ""
    said: list[str] = field(default_factory=list)
    """What was on stderr, once it has ended."""

    @property
    def port(self) -> int:
        """Where it listens."""
        found = urlsplit(self.address).port
        assert found is not None
        return found

    @property
    def key(self) -> str:
        """The key that was printed."""
        return parse_qs(urlsplit(self.address).query)["key"][0]

    @property
    def home(self) -> str:
        """The page's origin."""
        return f"http://127.0.0.1:{self.port}"

    def open(self) -> None:
        """Exchange the key for the cookie, as the browser does."""
        answer = self.bare("GET", f"/?key={self.key}")
        assert answer.status == 303, answer
        self.cookie = answer.headers["set-cookie"].partition(";")[0]

    def bare(
        self, method: str, path: str, body: Any = None, headers: Headers | None = None
    ) -> Answer:
        """A request with just these headers, the host named as a browser does."""
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            link.request(method, path, body, dict(headers or {}))
            answer = link.getresponse()
            names = {name.lower(): value for name, value in answer.getheaders()}
            return Answer(answer.status, names, answer.read())
        finally:
            link.close()

    def get(self, path: str, **more: str) -> Answer:
        """What the page asks for; `more` are headers, _ for -."""
        return self.bare("GET", path, None, self._own() | _named(more))

    def post(self, path: str, data: Any, **more: str) -> Answer:
        """What the page sends."""
        own = self._own() | {"content-type": "application/json", "origin": self.home}
        return self.bare("POST", path, json.dumps(data), own | _named(more))

    def _own(self) -> dict[str, str]:
        return {"cookie": self.cookie, "sec-fetch-site": "same-origin"}

    def raw(self, sent: bytes, *, to: str = "127.0.0.1") -> bytes:
        """What comes back for bytes as they are, until the door is shut."""
        with socket.create_connection((to, self.port), timeout=30) as link:
            link.sendall(sent)
            return b"".join(iter(lambda: link.recv(65536), b""))

    def events(self, run: str, last: str | None = None) -> list[tuple[int, dict[str, Any]]]:
        """All that a run tells until it is over."""
        answer = self.get(f"/api/runs/{run}", **({} if last is None else {"last_event_id": last}))
        assert answer.status == 200, answer
        found = []
        for block in answer.body.decode().split("\n\n"):
            rows = dict(
                row.split(": ", 1) for row in block.split("\n") if row.startswith(("id", "data"))
            )
            if rows:
                found.append((int(rows["id"]), json.loads(rows["data"])))
        return found

    def family(self) -> set[int]:
        """Its process and all that it has started."""
        return family(self.process.pid)

    def end(self, how: int = signal.SIGINT, *, within: float = 30.0) -> int:
        """End it as Ctrl-C does; its status."""
        if self.process.poll() is None:
            self.process.send_signal(how)
        _, said = self.process.communicate(timeout=within)
        self.said = said.decode().splitlines()
        return self.process.returncode


def _named(more: Mapping[str, str]) -> dict[str, str]:
    return {name.replace("_", "-"): value for name, value in more.items()}


def start(root: Path, *options: str, stderr: int = subprocess.PIPE, **variables: str) -> Served:
    """Start a bench over a workspace and read its address."""
    temp = root.with_name(f"{root.name}-temp")
    temp.mkdir(exist_ok=True)
    process = subprocess.Popen(
        [sys.executable, "-c", PROGRAM, "bench", str(root), "--no-browser", *options],
        cwd=root.parent,
        env=os.environ | {"PYTHONPATH": str(ROOT), "TMPDIR": str(temp)} | variables,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=stderr,
        start_new_session=True,
    )
    assert process.stdout is not None
    address = process.stdout.readline().decode().strip()
    if not address:
        _, said = process.communicate()
        raise AssertionError(f"status {process.returncode}: {said.decode()}")
    return Served(process, address, root, temp)


@contextlib.contextmanager
def served(root: Path, *options: str, **variables: str) -> Iterator[Served]:
    """A bench that a browser has opened; it is ended afterwards, whatever happens."""
    bench = start(root, *options, **variables)
    before = bench.family()
    try:
        bench.open()
        yield bench
    finally:
        before |= bench.family()
        if bench.process.poll() is None:
            try:
                bench.end()
            finally:
                for pid in before:
                    with contextlib.suppress(ProcessLookupError):
                        os.kill(pid, signal.SIGKILL)
                bench.process.wait()


def family(pid: int) -> set[int]:
    """A process and all that it and its own have started, as the system lists them."""
    rows = _listed()
    alive = [(int(own), int(above)) for own, above, state in rows if not state.startswith("Z")]
    found = {pid} & {own for own, _ in alive}
    while more := {own for own, above in alive if above in found} - found:
        found |= more
    return found


def _listed() -> list[list[str]]:
    """Number, parent and state of every process."""
    rows = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            pid, _, rest = stat.read_text(errors="replace").partition(" (")
            state, above, *_ = rest.rpartition(") ")[2].split()
            rows.append([pid, above, state])
    if rows:
        return rows
    listed = subprocess.run(
        ["ps", "-A", "-o", "pid=,ppid=,stat="], capture_output=True, text=True, check=True
    )
    return [line.split()[:3] for line in listed.stdout.splitlines()]


def are_alive(pids: set[int]) -> set[int]:
    """Those of them that still go on."""
    return {pid for pid in pids if family(pid)}


def run(work: Coroutine[Any, Any, None]) -> None:
    """Run to its end what takes a minute at the most."""

    async def bounded() -> None:
        async with asyncio.timeout(60):
            await work

    asyncio.run(bounded())


def until(true: Callable[[], Any], within: float = 30.0) -> Any:
    """Wait until something is so; fails where it is not in time."""
    end = time.monotonic() + within
    while True:
        found = true()
        if found:
            return found
        assert time.monotonic() < end, "it never came"
        time.sleep(0.05)


# What a worker can be given; it imports this file to find it.


def steps(count: int, pause_s: float, tell: Tell) -> int:
    """So many steps that are told."""
    for k in range(count):
        tell({"kind": "step", "done": k})
        time.sleep(pause_s)
    return count


def deaf(seconds: float, tell: Tell) -> int:
    """Work without a step at which it could be stopped; gives its process."""
    time.sleep(seconds)
    return os.getpid()


def length(text: str, tell: Tell) -> int:
    """How long a text is."""
    return len(text)


def dying(tell: Tell) -> None:
    """Ended by the system, as when memory runs out."""
    os.kill(os.getpid(), signal.SIGKILL)


def refusing(tell: Tell) -> None:
    """What is wrong is told."""
    raise InputError(["design: base: one", "design: lid: two"])


def failing(tell: Tell) -> None:
    """What nobody foresaw."""
    raise RuntimeError("oh")


def sleepy() -> None:
    """A worker that takes its time to come up."""
    time.sleep(1.0)


def played(draft: Draft, tell: Tell) -> str:
    """A draft whose text says what its check is like: `steps 3` or `deaf 0.5`."""
    kind, much = draft.text.split()
    if kind == "steps":
        steps(int(much), 0.05, tell)
    else:
        deaf(float(much), tell)
    return draft.name
