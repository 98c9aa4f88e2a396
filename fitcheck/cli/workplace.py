"""The workspace that a command reads from and writes to."""

from __future__ import annotations

from pathlib import Path

from fitcheck.learn.results import Place
from fitcheck.workspace.paths import find_workspace, search_roots


def place_here() -> Place:
    """The workspace that holds the current folder; where there is none, the folder becomes one."""
    root = (find_workspace(Path.cwd()) or Path.cwd()).resolve()
    return Place(root, tuple(dict.fromkeys((root, *search_roots()))))
