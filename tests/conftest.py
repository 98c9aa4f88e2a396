"""Generated examples are the same on every run and machine; a seed on the command line varies them.

No example has a deadline: how fast a machine is belongs to the benches.
"""

from __future__ import annotations

import pytest
from hypothesis import settings

settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("seeded", deadline=None)


def pytest_configure(config: pytest.Config) -> None:
    """With ``--hypothesis-seed`` the examples are drawn from it, otherwise always the same ones."""
    if config.getoption("--hypothesis-profile", default=None):
        return
    seeded = config.getoption("--hypothesis-seed", default=None) is not None
    settings.load_profile("seeded" if seeded else "same")
