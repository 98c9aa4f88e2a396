"""A command that a bench has started ends with it, however the bench ended."""

from __future__ import annotations

import os
import signal
import threading


def hold() -> None:
    """Watch what the bench holds open as long as it lives; commands themselves read nothing.

    The process stands at the head of a group of its own, which ends with it.
    """
    held = os.dup(0)
    nothing = os.open(os.devnull, os.O_RDONLY)
    os.dup2(nothing, 0)
    os.close(nothing)
    threading.Thread(target=_end_with, args=(held,), daemon=True).start()


def _end_with(held: int) -> None:
    while os.read(held, 1):
        pass
    if hasattr(os, "killpg"):
        os.killpg(os.getpgrp(), signal.SIGTERM)
    os._exit(1)
