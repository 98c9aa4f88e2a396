"""On a phone, 390 px wide, what a design says can be read: no word is torn, no letter too small."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.bench_tab import Tab
from tests.served import Served, served, workspace

pytestmark = pytest.mark.usefixtures("patience")
STYLES = {"lantern": "tray", "harbour": "framed", "tea": "sleeve", "whist": "carton"}
STYLES |= {"boathouse": "collar"}
LEAST_PX = 10.0
"""Smaller letters are not read on a phone (common practice, no source)."""
TORN = """() => {
  const torn = [];
  for (const cell of document.querySelectorAll('#main th, #main label, #main .label, #main h3')) {
    const walk = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT);
    for (let text = walk.nextNode(); text; text = walk.nextNode())
      for (const word of text.data.matchAll(/[A-Za-z']+/g)) {
        const range = document.createRange();
        range.setStart(text, word.index);
        range.setEnd(text, word.index + word[0].length);
        const tops = [...range.getClientRects()].map(({ top }) => Math.round(top));
        if (new Set(tops).size > 1) torn.push(word[0]);
      }
  }
  return torn;
}"""
SMALL = """() => [...document.querySelectorAll('.drawn svg')].flatMap((svg) => {
  const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
  return [...svg.querySelectorAll('text')].map((text) => parseFloat(getComputedStyle(text).fontSize) * scale);
})"""  # noqa: E501


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served(workspace(tmp_path_factory.mktemp("bench") / "atelier")) as found:
        yield found


@pytest.fixture
def phone(browser: Browser, bench: Served) -> Iterator[Tab]:
    size = {"width": 390, "height": 844}
    found = Tab(browser, bench, viewport=size, has_touch=True, is_mobile=True)
    yield found
    found.context.close()
    assert not found.complaints


def opened(tab: Tab, name: str) -> Page:
    page = tab.design(name)
    expect(page.locator(".often")).to_contain_text("of 100 boxes")
    expect(page.locator("canvas")).to_be_visible()
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    expect(page.locator("table", has_text="sheet to cut").first).to_be_visible()
    return page


@pytest.mark.parametrize("name", STYLES)
def test_a_design_can_be_read_on_a_phone(phone: Tab, name: str) -> None:
    page = opened(phone, name)
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    assert page.evaluate(TORN) == []
    sizes = page.evaluate(SMALL)
    assert sizes and min(sizes) >= LEAST_PX


def test_what_stands_below_each_other_says_which_it_is(phone: Tab) -> None:
    page = opened(phone, "tea")
    floor = page.locator(".line", has=page.locator("#in-base-floor-0"))
    first, second = (page.locator(f"#in-base-floor-{k}").bounding_box() for k in (0, 1))
    assert first and second and second["y"] > first["y"] + 20
    sides = floor.locator(".side")
    expect(sides.first).to_be_visible()
    assert sides.all_inner_texts() == ["width", "length"]
