"""Progress is an object passed in; what it shows, and where, is the caller's business."""

from typing import Protocol

PROGRESS_LINES = "FITCHECK_PROGRESS"
"""The variable of the environment by which a program that runs a command asks for its steps."""
PROGRESS_LINE = "progress "
"""What a line on stderr begins with that tells a step, as JSON."""


class Progress(Protocol):
    """Told about every step of anything that takes over a second."""

    def step(self, done: int, total: int, text: str) -> None:
        """``done`` of ``total`` steps are behind us; ``text`` names the one that starts now."""


class Silent:
    """The default: shows nothing."""

    def step(self, done: int, total: int, text: str) -> None:
        """Do nothing."""


SILENT: Progress = Silent()
"""What a function takes when nobody watches."""
