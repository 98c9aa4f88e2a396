"""The workspace that a command reads from and writes to."""

from __future__ import annotations

from fitcheck.learn.session_results import Place
from fitcheck.workspace.paths import current_folder, find_workspace, search_roots


def place_here() -> Place:
    """The workspace that holds the current folder; where there is none, the folder becomes one."""
    here = current_folder()
    root = (find_workspace(here) or here).resolve()
    return Place(root, tuple(dict.fromkeys((root, *search_roots()))))
