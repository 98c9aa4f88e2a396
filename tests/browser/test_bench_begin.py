"""A new box is asked for as a maker writes; what is wrong is told at its blank, in such words."""

from __future__ import annotations

import re
import tomllib

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.bench_tab import Tab
from tests.served import Served

pytestmark = pytest.mark.usefixtures("patience")
TERMINAL = re.compile(r"--|=|NAME|ITEM|KIND|\ballowed\b|valid value|\bread '")
"""Words of a terminal or of a browser, not of a page for makers."""


@pytest.fixture
def form(tab: Tab, bench: Served) -> Page:
    tab.page.goto(f"{bench.home}/#/new")
    tab.page.wait_for_selector("select.item")
    return tab.page


BLANKS = ("Call it", "Its size", "How many", "Name", "Or only a size", "What")


def blank(page: Page, label: str) -> Locator:
    return page.get_by_label(label, exact=True)


def new_soap(page: Page, **said: str) -> None:
    page.locator("select.item").select_option("?")
    blank(page, "Call it").fill(said.get("called", "soap bar"))
    page.locator("select.kind").select_option(said.get("kind", "block"))
    blank(page, "Its size").fill(said.get("size", "80 x 55 x 25 mm"))
    blank(page, "How many").fill(said.get("count", "1"))
    blank(page, "Name").fill(said.get("name", "soap-box"))
    blank(page, "Or only a size").fill(said.get("room", ""))


def propose(page: Page) -> None:
    page.get_by_role("button", name="Propose a box").click()


def refused(page: Page, label: str, words: str) -> None:
    """It is told at that blank alone, which is turned to."""
    field = blank(page, label)
    expect(field).to_have_attribute("aria-invalid", "true")
    said = page.locator(f"#{field.get_attribute('aria-describedby')}")
    expect(said).to_have_text(words)
    assert not TERMINAL.search(said.inner_text())
    expect(field).to_be_focused()
    expect(page.locator("[aria-invalid=true]")).to_have_count(1)
    expect(page.get_by_role("alert")).to_have_count(0)


THREE = "width x length x height, such as 60 x 40 x 22 mm"
WRONG_SIZES = [
    ("", "block", f"write its size here: {THREE}"),
    ("83,5", "block", f"there is one size here: write three sizes, {THREE}"),
    ("80 x 55 mm", "block", f"there are two sizes here: write three sizes, {THREE}"),
    ("83,5 x 5 x 2", "block", "write the unit behind it: 83.5 x 5 x 2 mm, or 83.5 x 5 x 2 in"),
    ("80, 55, 25 mm", "block", f"write an x between the sizes: {THREE}"),
    ("80,55,25 mm", "block", f"write an x between the sizes: {THREE}"),
    ("1,250 x 5 x 2 mm", "block", "1,250 can be read in two ways: write 1.250 or 1250"),
    ("80 x large x 25 mm", "block", f"“large” is no size: write {THREE}"),
    ("80 x x 25 mm", "block", f"a size is missing: write {THREE}"),
    ("big", "sphere", "“big” is no size: write the diameter, such as 16 mm"),
    ("24,2", "sphere", "write the unit behind it: 24.2 mm, or 24.2 in"),
    (
        "24 mm",
        "cylinder",
        "there is one size here: write two sizes, diameter x height, such as 25 x 4 mm",
    ),
]


@pytest.mark.parametrize(("size", "kind", "words"), WRONG_SIZES)
def test_a_size_that_cannot_be_read_is_told_at_its_blank(
    form: Page, size: str, kind: str, words: str
) -> None:
    new_soap(form, size=size, kind=kind)
    propose(form)
    refused(form, "Its size", words)
    assert blank(form, "Its size").input_value() == size


@pytest.mark.parametrize(
    ("count", "words"),
    [
        ("", "write how many go in: a whole number, up to 500"),
        ("2.5", "2.5 is not a whole number: write 2 or 3"),
        ("0,5", "0,5 is not a whole number: write 1"),
        ("0", "write a whole number, from 1 to 500"),
        ("a few", "write a whole number, from 1 to 500"),
        ("501", "up to 500 go into one box: write fewer"),
    ],
)
def test_a_count_is_a_whole_number(form: Page, count: str, words: str) -> None:
    new_soap(form, count=count)
    propose(form)
    refused(form, "How many", words)
    assert blank(form, "How many").input_value() == count


def test_what_is_not_said_is_asked_for_at_its_blank(form: Page) -> None:
    blank(form, "Name").fill("box")
    propose(form)
    refused(form, "What", "choose what goes in, or write only a size below")
    new_soap(form, called="")
    propose(form)
    refused(form, "Call it", "write what it is called, such as soap")
    new_soap(form, name=" / ")
    propose(form)
    refused(form, "Name", "write what the box is called, with a letter or a digit in it")
    new_soap(form, called="Chocolate-Coin")
    propose(form)
    refused(
        form,
        "Call it",
        "there is something called chocolate-coin already: choose it from the list, or call this "
        "one otherwise",
    )
    new_soap(form, room="70 x 80 x 20 mm")
    propose(form)
    refused(
        form,
        "Or only a size",
        "something goes in already, and decides the size: empty this, or choose nothing above",
    )


def test_what_only_the_program_finds_is_told_at_its_blank_too(form: Page) -> None:
    new_soap(form, name="buttons")
    propose(form)
    refused(
        form,
        "Name",
        "there is a box of that name already, and nothing is written over: choose another name",
    )
    new_soap(form, size="3000 x 55 x 25 mm")
    propose(form)
    size = blank(form, "Its size")
    expect(size).to_have_attribute("aria-invalid", "true")
    said = form.locator(f"#{size.get_attribute('aria-describedby')}").inner_text()
    assert "3000" in said and "soap-bar" not in said and "=" not in said


def test_a_decimal_comma_and_a_title_as_it_is_written(form: Page, tab: Tab, bench: Served) -> None:
    """83,5 is 83.5 in most of Europe (common practice, no source)."""
    new_soap(form, size="83,5 x 55 × 25 mm", name="Anna's soap / 3/4 full")
    propose(form)
    form.wait_for_url("**/#/design/Anna-s-soap-3-4-full")
    tab.answered()
    expect(form.locator("h1")).to_have_text("Anna's soap / 3/4 full")
    text = (bench.root / "models" / "Anna-s-soap-3-4-full.toml").read_text(encoding="utf-8")
    assert tomllib.loads(text)["title"] == "Anna's soap / 3/4 full"
    items = tomllib.loads((bench.root / "models" / "items.toml").read_text(encoding="utf-8"))
    assert items["soap-bar"]["size"] == [83.5, 55, 25]
    listed = form.get_by_label("Put something in", exact=True).locator("option")
    assert "soap-bar" in listed.all_inner_texts()


def test_a_tin_is_asked_for_by_its_own_sizes_and_stands(
    form: Page, tab: Tab, bench: Served
) -> None:
    """Tins are packed standing (common practice, no source)."""
    new_soap(form, called="tin", kind="cylinder", size="66 x 85 mm", name="tin-box")
    size = blank(form, "Its size")
    expect(size).to_have_attribute("placeholder", "66 x 85 mm")
    told = form.locator(".new-item").text_content() or ""
    assert "Diameter x height" in told and "Width x length" not in told
    blank(form, "What goes in lies").select_option("end")
    propose(form)
    form.wait_for_url("**/#/design/tin-box")
    tab.answered()
    text = (bench.root / "models" / "tin-box.toml").read_text(encoding="utf-8")
    assert tomllib.loads(text)["content"][0]["lay"] == "end"
