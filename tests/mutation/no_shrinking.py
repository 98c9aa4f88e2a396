"""A pytest plugin: hypothesis stops at the first example that fails; one is enough to notice."""

from __future__ import annotations

import pytest
from hypothesis import Phase, settings

settings.register_profile(
    "mutation",
    derandomize=True,
    database=None,
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
)


@pytest.hookimpl(tryfirst=True)
def pytest_collection() -> None:
    """Set it before test modules are read, as their settings are made of it."""
    settings.load_profile("mutation")
