"""What the bench page says by the verdict: what is missing, what cures it, what to trust less."""

from __future__ import annotations

import json
from collections.abc import Iterator

import pytest
from playwright.sync_api import Route, expect

from tests.browser.bench_tab import FITTING, Tab, own, terminal
from tests.served import Served, served, workspace

ITEMS = """format = 1
[brick]
kind = "block"
size = [30, 20, 15]
source = "invented for tests"
"""
BRICKS = """
[[content]]
item = "brick"
count = 4
lay = "flat"
"""
pytestmark = pytest.mark.usefixtures("patience")


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    root = workspace(tmp_path_factory.mktemp("words") / "atelier", items=ITEMS, buttons=FITTING)
    with served(root) as found:
        yield found


def test_what_contents_are_short_of_and_every_fault_stand_by_the_verdict(
    tab: Tab, bench: Served
) -> None:
    """Bricks 15 high in a wall of 12: 3 mm and the paper too low; the board has grooves at 20."""
    roomy = FITTING.replace("[60, 40]", "[66, 46]").replace("depth = 12", "depth = 10")
    own(bench, "low", roomy.replace("depth = 20", "depth = 12") + BRICKS)
    page = tab.design("low")
    verdict = page.locator("section", has=page.locator(".verdict-line"))
    expect(verdict).to_contain_text("4 x brick: each is 3.")
    expect(verdict).to_contain_text("mm too tall; make the base 16 mm")
    expect(verdict.locator(".wrong li")).to_have_count(0)
    page.get_by_label("larger than the base by, width", exact=True).fill("-2")
    tab.answered()
    expect(page.locator(".verdict-line")).to_contain_text("(and 1 more)")
    expect(verdict.locator(".wrong li")).to_have_count(1)
    said = page.locator(".verdict-line").inner_text() + verdict.locator(".wrong").inner_text()
    assert "brick" in said and "presses" in said
    page.get_by_label("larger than the base by, width", exact=True).fill("2")
    page.locator("#in-base-depth").fill("20")
    tab.answered()
    expect(verdict.locator(".wrong li")).to_have_count(0)
    expect(verdict).not_to_contain_text("too tall")


def test_remarks_on_the_odds_are_those_of_the_terminal(tab: Tab, bench: Served) -> None:
    tight = FITTING.replace("[60, 40]", "[60.4, 40.4]").replace("depth = 12", "depth = 10")
    own(bench, "tight", tight + BRICKS)
    said = " ".join(terminal(bench, "check", "tight").split())
    remark = "pieces that are put in another way may go in oftener"
    assert remark in said
    page = tab.design("tight")
    expect(page.locator(".odds [role=status]")).to_contain_text("Counted over")
    page.get_by_text("Where it goes wrong").click()
    expect(page.locator(".odds li.note", has_text=remark)).to_be_visible()


def test_what_says_to_trust_the_odds_less_stands_openly(tab: Tab, bench: Served) -> None:
    """What the bench tells is written here, so that a caution is among it."""
    told = {
        "kind": "odds", "boxes": 20000, "right": "95", "rounded": "", "said": "95 of 100 boxes.",
        "lines": [], "spread": None, "shares": None, "advice": None, "better": None, "text": "",
        "findings": [{"severity": "caution", "text": "trust these numbers less"}],
    }  # fmt: skip

    def answered(route: Route) -> None:
        events = (json.dumps(one) for one in (told, {"kind": "done"}))
        body = "".join(f"id: {k}\ndata: {event}\n\n" for k, event in enumerate(events))
        route.fulfill(content_type="text/event-stream", body=body)

    tab.page.route("**/api/runs/*", answered)
    page = tab.design("buttons")
    expect(page.locator(".odds li.caution")).to_have_text("caution: trust these numbers less")
    expect(page.locator(".odds li.caution")).to_be_visible()


def test_nothing_is_said_or_labelled_of_what_is_no_longer_so(tab: Tab, bench: Served) -> None:
    own(bench, "stale")
    page = tab.design("stale")
    expect(page.locator("#says")).to_contain_text("of 100")
    label = page.locator(".turning .labels")
    expect(label).to_have_css("opacity", "1")
    page.locator("#in-base-depth").fill("deep")
    tab.answered()
    expect(page.locator(".verdict-line")).to_contain_text("Not yet a box")
    expect(page.locator("#says")).to_have_text("")
    expect(label).to_have_css("opacity", "0.35")
    page.locator("#in-base-depth").fill("20")
    expect(page.locator("#says")).to_contain_text("of 100")
    page.get_by_role("link", name="Shelf").click()
    expect(page.locator("#says")).to_have_text("The shelf")
