"""A file that is changed in an editor is noticed by itself, and typing goes on undisturbed."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.bench_tab import FITTING, Tab, own
from tests.served import Served, until

pytestmark = pytest.mark.usefixtures("patience")
SOON_MS = 6_000
"""A few seconds, and what a busy machine takes."""


def test_a_file_that_was_changed_is_shown_without_a_click(tab: Tab, bench: Served) -> None:
    path = own(bench, "edited")
    page = tab.design("edited")
    depth = page.locator("#in-base-depth")
    depth.focus()
    path.write_text(FITTING.replace("depth = 20", "depth = 22"), encoding="utf-8")
    expect(depth).to_have_value("22", timeout=SOON_MS)
    expect(depth).to_be_focused()
    expect(page.locator(".notice")).to_contain_text("The file was changed elsewhere")
    depth.press("End")
    depth.press_sequentially(".5")
    tab.answered()
    expect(page.locator(".notice")).to_be_empty()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("button", name="Saved")).to_be_visible()
    assert path.read_text(encoding="utf-8") == FITTING.replace("depth = 20", "depth = 22.5")


def test_what_is_being_typed_stays_and_is_told(tab: Tab, bench: Served) -> None:
    path = own(bench, "typed-in")
    page = tab.design("typed-in")
    depth = page.locator("#in-base-depth")
    depth.focus()
    depth.press("End")
    depth.press_sequentially(".5")
    theirs = FITTING.replace("floor = [60, 40]", "floor = [70, 40]")
    path.write_text(theirs, encoding="utf-8")
    told = page.get_by_text("The file was changed elsewhere; what you typed stays here.")
    expect(told).to_be_visible(timeout=SOON_MS)
    expect(depth).to_be_focused()
    depth.press_sequentially("5")
    tab.answered()
    expect(depth).to_have_value("20.55")
    page.get_by_role("button", name="Show both").click()
    both = page.get_by_role("alert").filter(has_text="floor = [70, 40]")
    expect(both).to_contain_text("depth = 20.55")
    page.wait_for_timeout(2_500)  # it is not told over and over
    expect(both).to_be_visible()
    assert path.read_text(encoding="utf-8") == theirs


def test_the_text_of_a_file_is_never_typed_over_unseen(tab: Tab, bench: Served) -> None:
    path = own(bench, "as-text")
    page = tab.design("as-text")
    page.get_by_text("As a file", exact=True).click()
    text = page.get_by_label("The design file")
    text.focus()
    theirs = FITTING.replace("depth = 20", "depth = 23")
    path.write_text(theirs, encoding="utf-8")
    expect(text).to_have_value(theirs, timeout=SOON_MS)
    expect(page.locator("#in-base-depth")).to_have_value("23")


def test_saving_is_not_taken_for_somebody_else(tab: Tab, bench: Served) -> None:
    path = own(bench, "saved")
    page = tab.design("saved")
    for depth in ("21", "22", "23", "24"):
        page.locator("#in-base-depth").fill(depth)
        tab.answered()
        page.get_by_role("button", name="Save", exact=True).click()
        expect(page.get_by_role("button", name="Saved")).to_be_visible()
        page.wait_for_timeout(700)
        expect(page.locator(".notice")).to_be_empty()
    until(lambda: "depth = 24" in path.read_text(encoding="utf-8"))


def test_a_page_that_nobody_sees_asks_nothing(tab: Tab, bench: Served) -> None:
    own(bench, "hidden")
    page = tab.design("hidden")
    page.evaluate("Object.defineProperty(document, 'hidden', { value: true })")
    page.wait_for_timeout(500)
    before = sum(url.endswith("/api/design/hidden") for url in tab.requests)
    page.wait_for_timeout(5_000)
    assert sum(url.endswith("/api/design/hidden") for url in tab.requests) == before > 0
