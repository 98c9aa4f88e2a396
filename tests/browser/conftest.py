"""A browser for each file of tests, and a tab of it on the bench that the file serves."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.bench_tab import FITTING, WAIT_MS, Tab
from tests.browser.browser import chromium
from tests.served import Served, served, workspace


@pytest.fixture
def patience() -> Iterator[None]:
    """What is waited for comes or does not, however busy the machine is."""
    expect.set_options(timeout=WAIT_MS)
    yield
    expect.set_options(timeout=5_000)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A bench with one design that fits, where a file of tests serves none of its own."""
    root = workspace(tmp_path_factory.mktemp("bench") / "atelier", buttons=FITTING)
    with served(root) as found:
        yield found


@pytest.fixture
def tab(browser: Browser, bench: Served) -> Iterator[Tab]:
    found = Tab(browser, bench)
    yield found
    found.context.close()
    assert not found.complaints
    assert all(url.startswith((bench.home, "data:", "blob:")) for url in found.requests)
