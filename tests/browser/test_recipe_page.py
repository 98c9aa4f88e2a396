"""A published recipe in a real browser: silent, whole on a phone, open to all, readable in grey."""

from __future__ import annotations

from pathlib import Path

import axe_playwright_python
import pytest
from playwright.sync_api import Browser

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.outputs.publish.layouts import recipe_page
from fitcheck.outputs.publish.recipe import Sheets, recipe_of
from fitcheck.sheet.job import sheet_job

MODELS = Path(__file__).resolve().parents[2] / "models"
AXE = Path(axe_playwright_python.__file__).parent / "axe.min.js"
PHONE, DESK = 390, 1280


@pytest.fixture(scope="module", params=["harbour", "whist"])
def page_file(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    design = read_design(MODELS / f"{request.param}.toml")
    own = Sheets(check(design), sheet_job(design, Paper.A4, (), 1))
    path = tmp_path_factory.mktemp("recipe") / "recipe.html"
    path.write_text(recipe_page(recipe_of(own, None, None, own), "recipe.pdf"), encoding="utf-8")
    return path


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_nothing_is_wider_than_the_window(browser: Browser, page_file: Path, width: int) -> None:
    page = browser.new_page(viewport={"width": width, "height": 900})
    asked: list[str] = []
    complaints: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda said: complaints.append(said.text))
    page.goto(page_file.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    boxes = page.evaluate(
        "[...document.querySelectorAll('svg, table, li')].map(e => e.getBoundingClientRect().right)"
    )
    assert max(boxes) <= width
    # no letter of a column stands below another
    lines = page.evaluate(
        "[...document.querySelectorAll('td:first-child')].map(e => e.getBoundingClientRect().width)"
    )
    assert min(lines) > 20
    assert asked == [page_file.as_uri()] and complaints == []
    page.close()


def test_it_is_open_to_all(browser: Browser, page_file: Path) -> None:
    """axe-core's rules, contrast among them (WCAG 2, levels A and AA)."""
    page = browser.new_page(viewport={"width": DESK, "height": 900})
    page.goto(page_file.as_uri())
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("() => axe.run()")
    assert [(one["id"], one["description"]) for one in found["violations"]] == []
    page.close()


def test_it_prints_in_grey_with_the_contrast_of_its_inks(browser: Browser, page_file: Path) -> None:
    """Relative luminance by WCAG 2: every ink against white at 4.5 to 1 or more."""
    page = browser.new_page()
    page.goto(page_file.as_uri())
    inks = page.evaluate(
        "['--ink','--quiet','--accent'].map(n => "
        "getComputedStyle(document.documentElement).getPropertyValue(n).trim())"
    )
    for ink in inks:
        channels = [int(ink[k : k + 2], 16) / 255 for k in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
        luminance = sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))
        assert 1.05 / (luminance + 0.05) >= 4.5
    page.close()
