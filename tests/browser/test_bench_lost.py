"""What was typed on the bench page is not lost, whatever happens to the bench and to other tabs."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.bench_tab import FITTING, Tab, own
from tests.served import Served, served, until, workspace

pytestmark = pytest.mark.usefixtures("patience")


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with served(workspace(tmp_path_factory.mktemp("lost") / "atelier")) as found:
        yield found


def _typed_while_away(browser: Browser, root: Path) -> tuple[Tab, int]:
    """A tab in which a depth was typed after its bench had ended, and that bench's port."""
    with served(root) as first:
        tab = Tab(browser, first)
        page = tab.design("kept")
        first.end()
        page.locator("#in-base-depth").fill("31")
        expect(page.get_by_role("alert").filter(has_text="does not answer")).to_be_visible()
        return tab, first.port


def test_what_is_typed_while_the_bench_is_away_is_judged_once_it_is_back(
    browser: Browser, tmp_path: Path
) -> None:
    root = workspace(tmp_path / "atelier", kept=FITTING)
    tab, port = _typed_while_away(browser, root)
    page = tab.page
    page.locator("#in-lid-depth").fill("13")
    with served(root, "--port", str(port)) as second:
        # the browser has the key of the bench before: it is not let in
        page.get_by_label("floor, width", exact=True).fill("64")
        expect(page.get_by_role("alert").filter(has_text="started anew")).to_be_visible()
        page.get_by_label("floor, length", exact=True).fill("44")
        tab.let_in(second)
        page.evaluate("window.dispatchEvent(new Event('focus'))")
        expect(page.locator("textarea")).to_have_value(
            FITTING.replace("depth = 20", "depth = 31")
            .replace("depth = 12", "depth = 13")
            .replace("[60, 40]", "[64, 44]")
        )
        tab.context.close()


def test_what_is_typed_while_the_bench_is_away_outlives_a_reload(
    browser: Browser, tmp_path: Path
) -> None:
    root = workspace(tmp_path / "atelier", kept=FITTING)
    tab, port = _typed_while_away(browser, root)
    page = tab.page
    with served(root, "--port", str(port)) as second:
        tab.let_in(second)
        page.reload()
        expect(page.locator("#in-base-depth")).to_have_value("31")
        expect(page.locator(".notice")).to_contain_text("did not save")
        tab.context.close()


def test_saving_in_one_tab_keeps_what_another_one_did_not_save(
    browser: Browser, bench: Served
) -> None:
    """Both are changed, one is saved, the other is shut; its text is offered where it is opened."""
    path = own(bench, "two-tabs")
    one, two = Tab(browser, bench), Tab(browser, bench)
    first, second = one.design("two-tabs"), two.design("two-tabs")
    second.locator("#in-lid-depth").fill("10")
    two.answered()
    until(lambda: "depth = 10" in str(bench.get("/api/drafts").data))
    first.locator("#in-base-depth").fill("24")
    one.answered()
    until(lambda: "depth = 24" in str(bench.get("/api/drafts").data))
    two.context.close()
    first.get_by_role("button", name="Save", exact=True).click()
    expect(first.get_by_role("button", name="Saved")).to_be_visible()
    until(lambda: "depth = 24" not in str(bench.get("/api/drafts").data))
    one.context.close()
    assert "depth = 24" in path.read_text(encoding="utf-8")
    three = Tab(browser, bench)
    third = three.design("two-tabs")
    assert third.locator("#in-lid-depth").input_value() == "10"
    expect(third.locator(".notice")).to_contain_text("did not save")
    third.get_by_role("button", name="Go back to the file").click()
    three.answered()
    assert third.locator("#in-base-depth").input_value() == "24"
    until(lambda: bench.get("/api/drafts").data == {})
    three.context.close()
