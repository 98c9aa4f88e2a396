"""What a screen reader is told of the page: every control has a name, and none says a word twice.

The names are those of the browser's own accessibility tree (WAI-ARIA 1.2, accessible names), read
through its debugging protocol.
"""

from __future__ import annotations

import itertools
import re
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.bench_tab import FITTING, FRAMED, Tab
from tests.served import ROOT, Served, served, workspace

pytestmark = pytest.mark.usefixtures("patience")
CONTROLS = {"button", "textbox", "combobox", "checkbox", "slider", "link", "searchbox", "option"}
CONTROLS |= {"DisclosureTriangle"}
NAMED = CONTROLS | {"region", "image", "table", "group", "dialog", "progressbar"}
PLACES = {"region", "group", "listitem", "row", "navigation"}


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    root = workspace(tmp_path_factory.mktemp("bench") / "atelier", buttons=FITTING, framed=FRAMED)
    with served(root) as found:
        yield found


def nodes_of(page: Page) -> list[dict[str, Any]]:
    """Each with its role, its name and description, and the named places that it stands in."""
    protocol = page.context.new_cdp_session(page)
    protocol.send("Accessibility.enable")
    raw = protocol.send("Accessibility.getFullAXTree")["nodes"]
    protocol.detach()
    by_id = {node["nodeId"]: node for node in raw}
    found = []

    def walk(node: dict[str, Any], within: tuple[str, ...]) -> None:
        role, name, told = (
            str(node.get(key, {}).get("value", "")) for key in ("role", "name", "description")
        )
        if not node.get("ignored"):
            found.append({"role": role, "name": name, "told": told, "within": within})
            within = (*within, name) if role in PLACES and name else within
        for child in node.get("childIds", ()):
            if child in by_id:
                walk(by_id[child], within)

    walk(raw[0], ())
    return found


def words_of(text: str) -> list[str]:
    return re.findall(r"[a-z][a-z']*", re.sub(r"\([^)]*\)", " ", text.lower()))


def faults_of(page: Page) -> list[str]:
    """What is missing, said twice, or told apart from nothing else beside it."""
    nodes, faults = nodes_of(page), []
    for node in nodes:
        role, name, told = node["role"], node["name"], node["told"]
        words = words_of(name)
        if role in CONTROLS and not name.strip():
            faults.append(f"a {role} has no name, in {node['within']}")
        if role in NAMED and any(one == other for one, other in itertools.pairwise(words)):
            faults.append(f"{role} {name!r} says a word twice")
        if role in NAMED and told and set(words_of(told)) <= set(words):
            faults.append(f"{role} {name!r} is described by its own words {told!r}")
    same = Counter(
        (node["role"], node["name"], node["within"])
        for node in nodes
        if node["role"] in CONTROLS - {"option", "link"} and "what it means" not in node["name"]
    )
    faults += [f"{count} are called {one}" for one, count in same.items() if count > 1]
    return faults


@pytest.mark.parametrize("view", ["", "new", "measure", "boxes/framed", "words"])
def test_every_name_of_a_view_is_there_once(tab: Tab, bench: Served, view: str) -> None:
    page = tab.page
    page.goto(f"{bench.home}/#/{view}")
    expect(page.locator("h1")).to_be_visible()
    if view == "":
        expect(page.locator(".card.yes, .card.no").last).to_be_visible()
    if view == "new":
        page.get_by_role("button", name="Something else too").click()
        page.locator("select.item").first.select_option("?")
        page.locator("select.item").last.select_option("?")
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    assert faults_of(page) == []


@pytest.mark.parametrize("name", ["framed", "boathouse", "slipway", "whist", "picnic"])
def test_every_name_of_a_design_is_there_once(tab: Tab, name: str) -> None:
    assert name == "framed" or (ROOT / "models" / f"{name}.toml").exists()
    page = tab.design(name)
    expect(page.locator(".turning canvas")).to_be_visible()
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    expect(page.get_by_role("button", name="Make sheets and steps")).to_be_visible()
    expect(page.locator("table", has_text="sheet to cut").first).to_be_visible()
    assert faults_of(page) == []


def test_parts_are_told_apart_and_words_end_where_they_are_explained(tab: Tab) -> None:
    page = tab.design("framed")
    for name in ("Base depth", "Lid depth", "Base floor, width", "Content 1 count"):
        expect(page.get_by_role("textbox", name=name, exact=True)).to_have_count(1)
    page.get_by_text("To heed, and all figures").click()
    word = page.locator(".findings .worded").first
    said = word.get_by_role("button").inner_text()
    word.get_by_role("button").click()
    (note,) = [one for one in nodes_of(page) if one["role"] == "note"]
    told = page.locator(".said-word:not([hidden])").evaluate(
        "note => [...note.childNodes].filter((one) => one.ariaHidden !== 'true')"
        ".map((one) => one.textContent).join('')"
    )
    assert note["role"] == "note" and not told.lower().startswith(said.lower())
