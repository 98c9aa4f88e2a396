"""A tab of a browser on the bench page, listened to from the start, and designs for it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from playwright.sync_api import Browser, Page

from tests.browser.browser import DRIVER_TALK
from tests.served import PROGRAM, ROOT, SMALL, Served

FRAMED = (ROOT / "models" / "harbour.toml").read_text(encoding="utf-8")
FITTING = SMALL.replace("oversize = 1\n", "oversize = 2  # a little more\n")
WAIT_MS = 90_000  # machines that test have other things to do


class Tab:
    """A page of the bench, listened to from the start."""

    def __init__(self, browser: Browser, bench: Served, **given: object) -> None:
        given = {"viewport": {"width": 1280, "height": 900}, "reduced_motion": "reduce", **given}
        self.context = browser.new_context(accept_downloads=True, **given)  # type: ignore[arg-type]
        self.let_in(bench)
        self.page = self.context.new_page()
        self.page.set_default_timeout(WAIT_MS)
        self.bench = bench
        self.requests: list[str] = []
        self.complaints: list[str] = []
        self.page.on("request", lambda request: self.requests.append(request.url))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on("console", self._heard)

    def let_in(self, bench: Served) -> None:
        """Give the browser the key of a bench."""
        name, _, value = bench.cookie.partition("=")
        self.context.add_cookies([{"name": name, "value": value, "url": bench.home}])

    def _heard(self, said: object) -> None:
        text, kind = said.text, said.type  # type: ignore[attr-defined]
        refused = "the server responded with a status of 4" in text  # told on the page in words
        if kind in ("error", "warning") and DRIVER_TALK not in text and not refused:
            self.complaints.append(text)

    def design(self, name: str) -> Page:
        """A design, once its verdict is there."""
        self.page.goto(f"{self.bench.home}/#/design/{name}")
        self.answered()
        return self.page

    def answered(self) -> None:
        """Wait until all that was typed is answered."""
        self.page.wait_for_selector(".view[data-answers][data-settled=true]")

    @property
    def verdict(self) -> str:
        return self.page.locator(".verdict-line").inner_text()


def own(bench: Served, name: str, text: str = FITTING) -> Path:
    path = bench.root / "models" / f"{name}.toml"
    path.write_text(text, encoding="utf-8")
    return path


def terminal(bench: Served, *words: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, *words],
        cwd=bench.root,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode in (0, 1), done.stderr
    return done.stdout
