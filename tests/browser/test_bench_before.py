"""What the bench page says of other sizes than those in sight says so, and cannot be applied."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.bench_tab import FITTING, FRAMED, Tab, own
from tests.served import Served, served, workspace

BEFORE = "Of the sizes before"
pytestmark = pytest.mark.usefixtures("patience")


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served(workspace(tmp_path_factory.mktemp("before") / "atelier")) as found:
        yield found


def _folded(page: Page, title: str) -> Locator:
    page.get_by_text(title, exact=True).first.click()
    return page.locator("details.more", has=page.get_by_role("heading", name=title, exact=True))


def test_other_papers_tried_with_other_sizes_are_marked_and_copy_nothing(
    tab: Tab, bench: Served
) -> None:
    own(bench, "papered")
    page = tab.design("papered")
    place = _folded(page, "Try other paper")
    place.get_by_role("button", name="Try them all").click()
    expect(place.get_by_text("All tried.")).to_be_visible()
    expect(place.get_by_text(BEFORE)).to_have_count(0)
    page.locator("#in-base-depth").fill("25")
    tab.answered()
    expect(place.get_by_text(BEFORE)).to_be_visible()
    copy = place.get_by_role("button", name="Make a copy with index-110")
    expect(copy).to_have_attribute("aria-disabled", "true")
    copy.click(force=True)
    expect(page.get_by_role("dialog")).to_have_count(0)
    place.get_by_role("button", name="Try them all").click()
    expect(place.get_by_text("All tried.")).to_be_visible()
    expect(place.get_by_text(BEFORE)).to_have_count(0)
    copy.click()
    page.get_by_role("dialog").get_by_role("button", name="Make the copy").click()
    page.wait_for_url("**/#/design/papered-index-110")
    text = (bench.root / "models" / "papered-index-110.toml").read_text(encoding="utf-8")
    changed = FITTING.replace("depth = 20", "depth = 25")
    assert text == changed.replace('"cardstock-270"', '"index-110"', 1)


def test_other_sizes_found_for_other_sizes_are_marked_until_they_are_back(
    tab: Tab, bench: Served
) -> None:
    own(bench, "sized", FRAMED.replace('["3/32", "1/16"]', '["1/32", "1/32"]'))
    page = tab.design("sized")
    place = _folded(page, "Try other sizes")
    place.get_by_role("button", name="Look for them").click()
    take = place.get_by_role("button", name="Take the sizes of suggestion 1")
    expect(take).to_be_visible()
    expect(take).not_to_have_attribute("aria-disabled", "true")
    expect(place.get_by_text(BEFORE)).to_have_count(0)
    take.click()
    tab.answered()
    expect(place.get_by_text(BEFORE)).to_be_visible()
    expect(take).to_have_attribute("aria-disabled", "true")
    page.get_by_role("button", name="Undo").click()
    tab.answered()
    expect(place.get_by_text(BEFORE)).to_have_count(0)
    expect(take).to_have_attribute("aria-disabled", "false")


def test_sheets_of_other_sizes_are_marked(tab: Tab, bench: Served) -> None:
    own(bench, "sheeted")
    page = tab.design("sheeted")
    place = _folded(page, "Sheets and steps")
    place.get_by_role("button", name="Make sheets and steps").click()
    expect(place.locator(".previews img").first).to_be_visible()
    expect(place.get_by_text(BEFORE)).to_have_count(0)
    page.locator("#in-base-depth").fill("25")
    tab.answered()
    expect(place.get_by_text(BEFORE)).to_be_visible()
