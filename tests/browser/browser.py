"""A headless Chromium for the tests: found, or its absence said plainly."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image, ImageChops
from playwright.sync_api import Browser, Locator, Page, sync_playwright

NAMES = ("chromium", "chromium-browser", "google-chrome")
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
]
DRIVER_TALK = "GL Driver Message"
"""The software renderer remarks on being read back; that is not the page's doing."""


@contextmanager
def chromium() -> Iterator[Browser]:
    """The browser; skips without one, and fails where CI=true promises one."""
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        said = "no Chromium found: install Debian's chromium to test the report in a browser"
        if os.environ.get("CI") == "true":
            pytest.fail(said)
        pytest.skip(said)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=FLAGS)
        yield browser
        browser.close()


@dataclass
class Heard:
    """What a page asked for and complained about."""

    requests: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)


def open_page(
    browser: Browser, path: Path, *, width: int = 1280, dark: bool = False, motion: bool = False
) -> tuple[Page, Heard]:
    """A page in a fresh profile, listened to from the start; what moves jumps without `motion`."""
    scheme = "dark" if dark else "light"
    page = browser.new_page(
        viewport={"width": width, "height": 900},
        color_scheme=scheme,
        reduced_motion="no-preference" if motion else "reduce",
    )
    heard = Heard()
    page.on("request", lambda request: heard.requests.append(request.url))
    page.on("pageerror", lambda error: heard.complaints.append(str(error)))
    page.on(
        "console",
        lambda said: (
            None
            if DRIVER_TALK in said.text or said.type not in ("error", "warning")
            else heard.complaints.append(said.text)
        ),
    )
    page.goto(path.as_uri())
    page.wait_for_function("document.getElementById('turning-view').dataset.drawn > 0")
    return page, heard


def settle(page: Page) -> None:
    """Wait until the picture has been drawn again, two frames on."""
    page.evaluate(
        "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
    )


def seen(locator: Locator) -> Image.Image:
    """What an element looks like."""
    settle(locator.page)
    return Image.open(BytesIO(locator.screenshot())).convert("RGB")


def changed_share(before: Image.Image, after: Image.Image) -> float:
    """The share of pixels that differ clearly."""
    difference = ImageChops.difference(before, after).convert("L")
    pixels = difference.width * difference.height
    return sum(difference.histogram()[12:]) / pixels
