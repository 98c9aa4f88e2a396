"""Another unit chosen on the page: the same box in other numbers, and back as it was typed."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.bench_tab import Tab, own
from tests.served import Served

pytestmark = pytest.mark.usefixtures("patience")


def choose(tab: Tab, unit: str) -> None:
    whole = tab.page.locator("details.group", has_text="The whole box")
    if whole.get_attribute("open") is None:
        whole.locator("summary").first.click()
    whole.locator("#in-unit").focus()
    whole.locator("#in-unit").select_option(unit)
    tab.page.wait_for_timeout(100)
    tab.answered()


def sides(page: Page) -> list[str]:
    return [
        page.get_by_label(f"floor, {side}", exact=True).first.input_value()
        for side in ("width", "length")
    ]


def test_a_unit_is_chosen_and_the_box_stays(tab: Tab, bench: Served) -> None:
    """25.4 mm are an inch: 60 mm are 2.3622 in, 3 1/2 in are 88.9 mm."""
    own(bench, "chosen")
    page = tab.design("chosen")
    said, file = tab.verdict, page.get_by_label("The design file")
    typed = file.input_value()
    choose(tab, "in")
    assert sides(page) == ["2.3622", "1.5748"] and tab.verdict == said
    told = page.get_by_text("The same box in inches: no size has moved.")
    expect(told.first).to_be_visible()
    choose(tab, "mm")
    assert sides(page) == ["60", "40"] and file.input_value() == typed

    choose(tab, "in")
    page.get_by_label("floor, width", exact=True).first.fill("3 1/2")
    tab.answered()
    expect(told).to_have_count(0)
    choose(tab, "mm")
    assert sides(page) == ["88.9", "40"]
    choose(tab, "in")
    assert sides(page) == ["3 1/2", "1.5748"]


def test_sizes_come_to_the_marks_of_a_rule_where_that_is_asked(tab: Tab, bench: Served) -> None:
    """40 mm are 50.39 thirty-seconds of an inch, so 1 9/16 in; 60 mm are 75.59, so 2 3/8 in."""
    own(bench, "marked")
    page = tab.design("marked")
    choose(tab, "in")
    page.get_by_role("button", name="Bring them to the marks").click()
    tab.page.wait_for_timeout(100)
    tab.answered()
    assert sides(page) == ["2 3/8", "1 9/16"]
    page.get_by_role("button", name="Undo").click()
    tab.answered()
    assert sides(page) == ["2.3622", "1.5748"]


def test_what_is_typed_right_after_a_unit_is_read_in_it(tab: Tab, bench: Served) -> None:
    own(bench, "quick")
    page = tab.design("quick")
    page.locator("details.group summary", has_text="The whole box").first.click()
    page.get_by_label("floor, width", exact=True).first.fill("70")
    page.locator("#in-unit").select_option("in")
    page.get_by_label("floor, width", exact=True).first.fill("3 1/4")
    page.wait_for_timeout(100)
    tab.answered()
    assert sides(page) == ["3 1/4", "1.5748"]
