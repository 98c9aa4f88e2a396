"""Serves the page on this machine's own address until it is stopped."""

from __future__ import annotations

import asyncio
import contextlib
import os
import signal
import socket
import sys
import threading
import webbrowser
from pathlib import Path

import uvicorn

from fitcheck.bench.app import make_app
from fitcheck.bench.desk import Desk
from fitcheck.bench.guard import LOOPBACK, Guard, Keys
from fitcheck.errors import DEBUG, InputError, reason_of

GRACE_S = 1
"""So long the last answers may take once it is stopped."""


def serve(root: Path, port: int, *, browser: bool) -> None:
    """Serve a workspace until Ctrl-C; the first line on stdout is the address with its key.

    Raises InputError where the port is taken.
    """
    with contextlib.suppress(KeyboardInterrupt), _bound(port) as door:
        keys = Keys(door.getsockname()[1])
        print(keys.address, flush=True)
        print(
            "the page opens with this address, once; it can be asked from this machine only; stop "
            "it with Ctrl-C",
            file=sys.stderr,
            flush=True,
        )
        if browser:
            threading.Thread(target=_open, args=(keys.address,), daemon=True).start()
        asyncio.run(_served(root, keys, door))


async def _served(root: Path, keys: Keys, door: socket.socket) -> None:
    desk = Desk(root)
    config = uvicorn.Config(
        Guard(make_app(desk), keys),
        http="h11",
        ws="none",
        lifespan="on",
        log_level="critical" if not os.environ.get(DEBUG) else "info",
        access_log=False,
        server_header=False,
        date_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=GRACE_S,
    )
    server = uvicorn.Server(config)
    if hasattr(signal, "SIGHUP"):  # the window with the terminal was shut
        signal.signal(signal.SIGHUP, server.handle_exit)
    try:
        await server.serve(sockets=[door])
    finally:
        await desk.close()  # it may have been stopped before it had begun


def _bound(port: int) -> socket.socket:
    """A door that only this machine can knock at. Raises InputError where it is taken."""
    door = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if os.name == "posix":
            door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        door.bind((LOOPBACK, port))
        door.listen()  # whoever comes before all is loaded waits
    except (OSError, OverflowError) as error:
        door.close()
        raise InputError(
            f"--port: read {port}, which cannot be used ({reason_of(error)}); allowed: a free port "
            "from 1024 to 65535; choose another, or leave it out"
        ) from None
    return door


def _open(address: str) -> None:
    """Open the browser; where there is none, the address was printed."""
    with contextlib.suppress(webbrowser.Error, OSError):
        webbrowser.open(address)
