"""Measuring and recording boxes on the bench page, in a real browser, against the terminal."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import axe_playwright_python
import numpy as np
import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from fitcheck.bench.measure import groups_of
from fitcheck.learn.bench_readings import Reading
from fitcheck.learn.paper_coupon import coupon_for, coupon_rows, empty_sheet, rim_rows
from tests.browser.browser import Heard
from tests.cli.commands import ROOT, fitcheck
from tests.coupons import METRIC_BOARD, Bench, Hand, Paper, paper_of

AXE = Path(axe_playwright_python.__file__).parent / "axe.min.js"
SLOW = 60_000
DESIGN = """format = 1
title = "Ferry ticket box"
unit = "mm"
[base]
style = "tray"
stock = "cover-80"
floor = [80, 60]
depth = 25
[lid]
style = "tray"
stock = "cover-80"
oversize = 1.2
depth = 20
"""


@dataclass(frozen=True)
class Served:
    """A bench over a workspace, and a browser that was let in."""

    root: Path
    page: Page
    heard: Heard
    home: str

    def open(self, where: str) -> Page:
        """Another view of the page, loaded anew."""
        self.page.goto("about:blank")
        self.page.goto(f"{self.home}#/{where}")
        expect(self.page.locator("h1")).to_be_visible()
        return self.page


@pytest.fixture(scope="module", autouse=True)
def patient() -> Iterator[None]:
    """Commands take seconds on a busy machine; what is waited for comes or does not."""
    expect.set_options(timeout=SLOW)
    yield
    expect.set_options(timeout=5_000)


@pytest.fixture
def served(browser: Browser, tmp_path: Path) -> Iterator[Served]:
    root = tmp_path / "harbour"
    (root / "models").mkdir(parents=True)
    (root / "models" / "ticket.toml").write_text(DESIGN)
    server = subprocess.Popen(
        [sys.executable, "-c", "from fitcheck.cli.main import run; run()", "bench", str(root),
         "--no-browser"],
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )  # fmt: skip
    try:
        assert server.stdout is not None
        address = server.stdout.readline().strip()
        context = browser.new_context(
            viewport={"width": 1280, "height": 900}, reduced_motion="reduce"
        )
        page, heard = context.new_page(), Heard()
        page.set_default_timeout(SLOW)
        page.on("pageerror", lambda error: heard.complaints.append(str(error)))
        page.goto(f"{address}#/words")
        yield Served(root, page, heard, address.partition("?")[0])
        assert heard.complaints == []
        context.close()
    finally:
        server.send_signal(signal.SIGINT)
        server.wait(30)


def field(page: Page, label: str) -> Locator:
    return page.get_by_label(label, exact=True)


def coupon_made(served: Served, name: str = "ferry-card") -> Page:
    """The page of a new paper, its coupon drawn."""
    page = served.open("measure")
    field(page, "Its name, known or new").fill(name)
    page.get_by_role("button", name="Go on").click()
    page.get_by_role("button", name="Draw the coupon").click()
    heading = page.get_by_role("heading", name="The readings", exact=True)
    expect(heading).to_be_visible(timeout=SLOW)
    return page


def a_coupon(seed: int = 7) -> tuple[Paper, list[Reading]]:
    """A paper that nobody knows, and its coupon as a hand reads it."""
    rng = np.random.default_rng(seed)
    paper = paper_of(rng)
    return paper, Bench(rng, paper, Hand()).take()


def places_of(rows: list[Reading]) -> Iterator[tuple[str, str]]:
    """For each reading the names of its fields, and what is typed there."""
    coupon = coupon_for("mine", METRIC_BOARD)
    sheet = empty_sheet((*coupon_rows(coupon), *rim_rows(coupon)))
    seen: dict[str, int] = {}
    named = {
        (row.feature, row.nominal, row.note): f"{group.title}, {row.words}"
        + (f", drawn {row.nominal} mm" if row.nominal else "")
        for group in groups_of(sheet)
        for row in group.rows
    }
    for row in rows:
        nominal = "" if row.nominal_mm is None else f"{row.nominal_mm:g}"
        name = named[(str(row.feature), nominal, row.note)]
        times = seen[name] = seen.get(name, 0) + 1
        if row.reading_mm is not None:
            yield f"{name}: reading {times}", f"{row.reading_mm:.2f}"
        else:
            yield f"{name}: the largest that went in, {times}", f"{row.go_mm:.2f}"
            yield f"{name}: the smallest that did not, {times}", f"{row.nogo_mm:.2f}"


def reading_of(page: Page, name: str) -> Locator:
    return page.locator(f'input.cell[aria-label="{name}"]')


def test_a_new_paper_from_its_coupon_to_the_terminal(served: Served) -> None:
    page = coupon_made(served)
    paper, rows = a_coupon()
    places = list(places_of(rows))
    field(page, "By").fill("kh")
    typed = {0: places[0][1].replace(".", ","), 6: "wide"}
    for number, (name, text) in enumerate(places):
        reading_of(page, name).fill(typed.get(number, text))
    wrong = reading_of(page, places[6][0])
    expect(wrong).to_have_attribute("aria-invalid", "true")
    beside = page.locator(f"#{wrong.get_attribute('aria-describedby')}")
    expect(beside).to_contain_text("read 'wide'")
    assert page.locator("[aria-invalid]").count() == 1, "the comma is as good as a point"
    expect(page.get_by_role("button", name="Keep it")).to_be_disabled()
    expect(page.locator("#says")).to_contain_text("read 'wide'")
    assert list((served.root / "calibration").rglob("*")) == [], "nothing is kept by trying"

    page.reload()
    expect(wrong).to_have_value("wide")
    expect(reading_of(page, places[0][0])).to_have_value(typed[0])
    expect(field(page, "By")).to_have_value("kh")
    served.open("measure")
    page.get_by_role("link", name="ferry-card").click()
    expect(wrong).to_have_attribute("aria-invalid", "true")

    wrong.fill(places[6][1])
    learnt = page.get_by_role("table").filter(has_text="one sheet is thick")
    expect(learnt).to_be_visible()
    expect(learnt).to_contain_text("not measured yet")
    told = learnt.get_by_role("row").filter(has_text="one sheet is thick").inner_text()
    assert list((served.root / "calibration").rglob("*")) == []
    assert "ferry-card" not in fitcheck("list", "stocks", cwd=served.root).out

    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_role("heading", name="Kept")).to_be_visible()
    known = page.locator(".known")
    expect(known).to_contain_text("one sheet is thick")
    listed = fitcheck("list", "stocks", cwd=served.root)
    found = re.search(r"ferry-card\n\s+\S+, caliper (\S+) \+- (\S+) mm", listed.out)
    assert found is not None, listed.out
    caliper, u = float(found[1]), float(found[2])
    assert abs(caliper - paper.t) < 4 * u + 0.0005, "as true as its readings let it be"
    assert f"{caliper:.3f} mm" in told, "the page said before what the terminal says after"
    page.reload()
    expect(page.get_by_role("button", name="Draw the coupon")).to_be_visible()
    assert page.locator(".readings").count() == 0, "its draft is gone"


def test_a_coupon_is_shown_with_its_pictures_and_given_as_one_file(served: Served) -> None:
    page = coupon_made(served)
    pictures = page.locator(".pictures img")
    expect(pictures).to_have_count(3)
    for picture in pictures.all():
        expect(picture).to_have_js_property("complete", True)
        assert picture.evaluate("(it) => it.naturalWidth") > 100
    with page.expect_download() as loaded:
        page.get_by_role("link", name="All files in one").click()
    assert loaded.value.path().read_bytes()[:2] == b"PK"


def test_records_are_set_aside_taken_back_and_worked_out_anew(served: Served) -> None:
    page = coupon_made(served)
    field(page, "By").fill("kh")
    for name, text in places_of(a_coupon()[1]):
        reading_of(page, name).fill(text)
    keep = page.get_by_role("button", name="Keep it")
    expect(keep).to_be_enabled()
    keep.click()
    known = page.locator(".known")
    known.get_by_text("Its record").click()
    known.get_by_role("button", name="Set stock-ferry-card-0001.csv aside").click()
    page.get_by_role("dialog").get_by_role("button", name="Set it aside").click()
    expect(known).to_contain_text("set aside, does not count")
    expect(known).to_contain_text("Nothing yet")
    assert "set aside" in fitcheck("list", "records", cwd=served.root).out
    known.get_by_role("button", name="Take stock-ferry-card-0001.csv back").click()
    page.get_by_role("dialog").get_by_role("button", name="Take it back").click()
    expect(known).to_contain_text("one sheet is thick")
    assert "set aside" not in fitcheck("list", "records", cwd=served.root).out
    known.get_by_role("button", name="Work it out anew from the records").click()
    page.get_by_role("dialog").get_by_role("button", name="Work it out").click()
    expect(known.locator("pre")).to_contain_text("unchanged, byte for byte")


def test_what_can_hardly_be_is_confirmed_with_a_box(served: Served) -> None:
    rows = a_coupon()[1]
    for who in ("kh", "nn"):
        page = coupon_made(served)
        field(page, "By").fill(who)
        for name, text in places_of(rows):
            reading_of(page, name).fill(text)
        keep = page.get_by_role("button", name="Keep it")
        if who == "kh":
            expect(keep).to_be_enabled()
            keep.click()
            expect(page.get_by_role("heading", name="Kept")).to_be_visible()
    asked = page.get_by_role("group", name="Is that so?").get_by_role("checkbox")
    expect(asked).to_have_count(1)
    expect(keep).to_be_disabled()
    asked.check()
    expect(keep).to_be_enabled()
    expect(asked).to_be_checked()
    expect(asked).to_be_focused()
    name, text = next(places_of(rows))
    reading_of(page, name).fill(f" {text}")
    expect(keep).to_be_disabled()
    expect(asked).not_to_be_checked()  # it was said of the readings as they were
    asked.check()
    expect(keep).to_be_enabled()
    keep.click()
    expect(page.get_by_role("heading", name="Kept")).to_be_visible()
    assert "stock-ferry-card-0002.csv" in fitcheck("list", "records", cwd=served.root).out


def test_a_draft_is_let_go_only_after_a_question(served: Served) -> None:
    page = coupon_made(served)
    name, text = next(places_of(a_coupon()[1]))
    reading_of(page, name).fill(text)
    anew = page.get_by_role("button", name="Start anew")
    anew.click()
    page.get_by_role("dialog").get_by_role("button", name="Leave it").click()
    expect(reading_of(page, name)).to_have_value(text)
    anew.click()
    page.get_by_role("dialog").get_by_role("button", name="Start anew").click()
    expect(reading_of(page, name)).to_have_value("")
    page.reload()
    expect(page.get_by_role("button", name="Draw the coupon")).to_be_visible()
    assert page.locator("input.cell").count() == 0


def test_readings_outlast_another_coupon(served: Served) -> None:
    """In other grooves other sizes are drawn; what was read of the first coupon stays."""
    page = coupon_made(served)
    places = list(places_of(a_coupon()[1]))
    for name, text in (places[0], places[5]):
        reading_of(page, name).fill(text)
    board = page.get_by_label("Scored on the board", exact=True)
    board.select_option("score-board-inch")
    page.get_by_role("button", name="Draw the coupon again").click()
    expect(page.locator('input.cell[aria-label*="25.4 mm"]').first).to_be_visible()
    expect(reading_of(page, places[0][0])).to_have_value(places[0][1])
    before = page.get_by_role("group", name=re.compile("of before$"))
    expect(before.locator("input.cell").first).to_have_value(places[5][1])


@pytest.mark.parametrize(("kind", "make", "title"), [
    ("hand", "Draw the coupon", "Piece P, once more after all others"),
    ("printer", "Make the gauges", "Ring of 106 mm"),
])  # fmt: skip
def test_hands_and_printers_are_measured_alike(
    served: Served, kind: str, make: str, title: str
) -> None:
    page = served.open(f"measure/{kind}/quay-one")
    page.get_by_role("button", name=make).click()
    group = page.get_by_role("group", name=title, exact=True)
    expect(group).to_be_visible(timeout=SLOW)
    field(page, "By").fill("kh")
    cell = group.locator("input.cell").first
    cell.fill("500")
    expect(cell).to_have_attribute("aria-invalid", "true")
    cell.press("Enter")
    expect(group.locator("input.cell").nth(1)).to_be_focused()


def test_gauges_are_refused_beside_the_field_that_asked(served: Served) -> None:
    page = served.open("measure/printer/quay-one")
    size = page.get_by_label("Stepped gauges about", exact=True)
    size.fill("9 m")
    page.get_by_role("button", name="Make the gauges").click()
    expect(size).to_have_attribute("aria-invalid", "true")
    expect(page.locator(".beside.trouble")).to_contain_text("9 m")
    assert "--" not in page.locator(".beside.trouble").inner_text()


def test_a_box_from_its_forecast_to_the_score(served: Served) -> None:
    page = served.open("boxes/ticket")
    expect(page.locator(".frozen")).to_contain_text("No forecast of this box is frozen")
    page.get_by_role("button", name="Freeze the forecast").click()
    expect(page.locator(".frozen")).to_contain_text("forecast-ticket-0001")
    expect(page.locator(".frozen .answer")).to_contain_text("of 100 boxes")

    play = field(page, "Play, if it was measured")
    save = page.get_by_role("button", name="Record the box")
    save.click()
    outcome = field(page, "What the lid did")
    expect(outcome).to_have_attribute("aria-invalid", "true")
    outcome.select_option("slid")
    play.fill("roomy")
    field(page, "Made by").fill("kh")
    page.get_by_role("checkbox", name="none of them").check()
    save.click()
    expect(play).to_have_attribute("aria-invalid", "true")
    beside = page.locator(f"#{play.get_attribute('aria-describedby')}")
    expect(beside).to_contain_text("this is not a length: write it like")
    assert "--" not in beside.inner_text()
    page.reload()
    expect(play).to_have_value("roomy")
    play.fill("0,55")
    save.click()
    expect(page.locator(".recorded .answer")).to_contain_text("scored against")
    row = page.get_by_role("row").filter(has_text="ticket")
    expect(row).to_contain_text("slid, play 0.55 mm")
    expect(page.get_by_text("1 box against the forecasts")).to_be_visible()
    expect(field(page, "What the lid did")).to_have_value("")
    listed = fitcheck("list", "records", cwd=served.root).out
    assert "slid, play 0.55 mm, no corner split" in listed
    assert "frozen forecasts against what happened, 1 box" in listed


def test_the_damp_of_the_air_is_written_as_it_is_said(served: Served) -> None:
    page = served.open("boxes/ticket")
    damp = field(page, "Damp of the air, least and most")
    freeze = page.get_by_role("button", name="Freeze the forecast")
    for typed, words in (
        ("damp", "write the least and the most in percent, such as 40 to 60"),
        ("60 to 40", "the least comes first: write 40 to 60"),
        ("50-50", "the air is never one and the same: write two numbers, such as 40 to 60"),
        ("0.4:0.6", "no air is as dry as that: write percent, such as 40 to 60"),
        ("40 to 140 %", "damp goes up to 100 percent: write less"),
    ):
        damp.fill(typed)
        freeze.click()
        expect(damp).to_have_attribute("aria-invalid", "true")
        told = page.locator(f"#{damp.get_attribute('aria-describedby')}")
        expect(told).to_have_text(words)
    damp.fill("42,5 to 60 %")
    freeze.click()
    expect(page.locator(".frozen")).to_contain_text("forecast-ticket-0001")
    (kept,) = (served.root / "calibration" / "records").rglob("forecast-ticket-0001*.json")
    assert re.search(r"42\.5\D+60", kept.read_text(encoding="utf-8"))


def test_a_drawer_is_recorded_like_a_lid(served: Served) -> None:
    text = (ROOT / "models" / "tea.toml").read_text(encoding="utf-8")
    (served.root / "models" / "tea.toml").write_text(text, encoding="utf-8")
    page = served.open("boxes/tea")
    page.get_by_role("button", name="Freeze the forecast").click()
    expect(page.locator(".frozen .answer")).to_contain_text("of 100 boxes", timeout=SLOW)
    expect(page.locator(".frozen")).to_contain_text("drawer")
    field(page, "What the lid did").select_option("slid")
    field(page, "Play, if it was measured").fill("0.8")
    page.get_by_role("button", name="Record the box").click()
    expect(page.locator(".recorded .answer")).to_contain_text("scored against", timeout=SLOW)
    expect(page.get_by_role("row").filter(has_text="tea")).to_contain_text("slid, play 0.80 mm")


def test_a_forecast_of_other_papers_scores_a_box_of_other_papers(served: Served) -> None:
    page = served.open("boxes/ticket")
    page.get_by_text("Made of other papers than designed").click()
    lid = field(page, "The lid is of")
    expect(lid.locator("option").first).to_have_text("cover-80, as designed")
    lid.select_option("index-110")
    page.get_by_role("button", name="Freeze the forecast").click()
    expect(page.locator(".frozen .answer")).to_contain_text("index-110")
    field(page, "What the lid did").select_option("slid")
    page.get_by_role("button", name="Record the box").click()
    expect(page.locator(".recorded .answer")).to_contain_text("scored against forecast-ticket-0001")
    lid.select_option("")
    field(page, "What the lid did").select_option("slid")
    page.get_by_role("button", name="Record the box").click()
    base = field(page, "The base is of")
    expect(base).to_have_attribute("aria-invalid", "true")
    beside = page.locator(f"#{base.get_attribute('aria-describedby')}")
    expect(beside).to_contain_text("was frozen with stock lid=index-110")


def test_plugs_tell_the_play_and_contradictions_are_told(served: Served) -> None:
    page = served.open("boxes/ticket")
    field(page, "What the lid did").select_option("tight")
    go = field(page, "Or: the largest plug that went in")
    go.fill("0,3")
    field(page, "The smallest that did not").fill("0,4")
    save = page.get_by_role("button", name="Record the box")
    save.click()
    expect(go).to_have_attribute("aria-invalid", "true")
    field(page, "What the lid did").select_option("slid")
    save.click()
    row = page.get_by_role("row").filter(has_text="ticket")
    expect(row).to_contain_text("play above 0.30 mm below 0.40 mm")
    expect(row).to_contain_text("kept apart")


CONTRADICTIONS = [
    (
        {"What the lid did": "bound", "Or: the largest plug that went in": "0.3"},
        "Or: the largest plug that went in",
        "a lid that bound has no room for 0.30 mm: leave this empty and write only the smallest "
        "plug that did not go in, or choose above that it slid on",
    ),
    (
        {
            "What the lid did": "slid",
            "Or: the largest plug that went in": "0.4",
            "The smallest that did not": "0,3",
        },
        "Or: the largest plug that went in",
        "this plug went in, so it is smaller than the one that did not: write the smaller one here",
    ),
    (
        {
            "What the lid did": "slid",
            "Or: the largest plug that went in": "0.3",
            "The smallest that did not": "wide",
        },
        "The smallest that did not",
        "this is not a length: write it like '3 5/8', '3.625 in', '92 mm' or '12 pt'",
    ),
    (
        {"What the lid did": "loose", "Play, if it was measured": "0"},
        "Play, if it was measured",
        "a loose lid has play: measure it again, or leave this empty",
    ),
    (
        {"What the lid did": "slid", "Play, if it was measured": "90"},
        "Play, if it was measured",
        "play is from 0 to 20 mm: measure it again",
    ),
    (
        {"What the lid did": "slid", "It went in": "no", "It came out right": "yes"},
        "It came out right",
        "a right box takes its contents, and this one did not: choose no here, or yes there",
    ),
    (
        {"What the lid did": "bound", "It came out right": "yes"},
        "It came out right",
        "a lid that bound is not right where snug or slides is wanted: choose no here, or "
        "something else of the lid",
    ),
]


@pytest.mark.parametrize(("said", "at", "words"), CONTRADICTIONS)
def test_what_contradicts_itself_is_told_as_the_form_calls_it(
    served: Served, said: dict[str, str], at: str, words: str
) -> None:
    """No syntax of the terminal, such as GO:NOGO, and beside the blank that is meant."""
    page = served.open("boxes/ticket")
    for label, value in said.items():
        blank = field(page, label)
        if blank.evaluate("blank => blank.tagName") == "SELECT":
            blank.select_option(value)
        else:
            blank.fill(value)
    page.get_by_role("button", name="Record the box").click()
    blank = field(page, at)
    expect(blank).to_have_attribute("aria-invalid", "true")
    expect(page.locator(f"#{blank.get_attribute('aria-describedby')}")).to_have_text(words)
    expect(page.locator(".recorded .trouble")).to_have_count(1)
    page.get_by_role("button", name="Empty the form").click()
    expect(field(page, "What the lid did")).to_have_value("")


def test_a_lid_is_timed_and_its_times_reach_the_box(served: Served) -> None:
    page = served.open("boxes/ticket")
    page.clock.install(time="2026-11-20T12:00:00")
    page.clock.pause_at("2026-11-20T12:00:10")
    page.get_by_text("The lid sinks by itself: time it").click()
    watch = page.locator("button.watch")

    def timed(milliseconds: int, *, key: str = "") -> None:
        for wait in (milliseconds, 500):
            if key:
                watch.press(key)
            else:
                watch.click()
            page.clock.run_for(wait)

    timed(6200)
    timed(5900, key="Space")
    timed(1000, key="Enter")
    times = page.locator(".times li")
    expect(times).to_have_count(3)
    expect(times.nth(0)).to_contain_text("6.20 s")
    expect(times.nth(1)).to_contain_text("5.90 s")
    page.get_by_role("button", name="Strike out 1.00 s").click()
    page.get_by_role("button", name="Take them into the form").click()
    sink = field(page, "How long the lid sank")
    expect(sink).to_have_value("6.20 5.90 s")
    field(page, "The lid sinks").select_option("coin")
    field(page, "The coin weighs, grams").fill("7,5")
    timed(2100)
    page.get_by_role("button", name="Take them into the form").click()
    expect(sink).to_have_value("6.20 5.90 s\ncoin 7,5 g 2.10 s")


def test_times_taken_while_measuring_go_to_their_box(served: Served) -> None:
    page = served.open("measure")
    page.clock.install(time="2026-11-20T12:00:00")
    page.clock.pause_at("2026-11-20T12:00:10")
    field(page, "The box").select_option("ticket")
    watch = page.locator("button.watch")
    watch.click()
    page.clock.run_for(4000)
    watch.click()
    page.get_by_role("button", name="Take them to the form of this box").click()
    expect(field(page, "How long the lid sank")).to_have_value("4.00 s")
    field(page, "What the lid did").select_option("slid")
    page.get_by_role("button", name="Record the box").click()
    expect(page.locator(".recorded .answer")).to_contain_text("ticket box", ignore_case=True)
    boxes = (served.root / "calibration" / "records" / "boxes.csv").read_text()
    assert "2026-11-20,,ticket" in boxes and re.search(r"sank: [^,]*\b4(\.0+)? s", boxes), boxes
    # recorded by mistake: it stays in the list and counts no more, until it is taken back
    page.get_by_role("button", name="set aside box 1, ticket of 2026-11-20").click()
    expect(page.locator(".made-list .answer")).to_have_text(
        "Box 1 is set aside and counts no more."
    )
    expect(page.locator("table.made")).to_contain_text("kept apart: set aside as recorded")
    page.get_by_role("button", name="count again box 1, ticket of 2026-11-20").click()
    expect(page.locator(".made-list .answer")).to_have_text("Box 1 counts again.")
    assert (served.root / "calibration" / "records" / "boxes.csv").read_text() == boxes


@pytest.mark.parametrize("dark", [False, True])
def test_nothing_for_an_accessibility_checker_and_no_scrolling_sideways(
    served: Served, dark: bool
) -> None:
    """axe-core's rules, of which WCAG 2 levels A and AA are the larger part."""
    page = served.page
    page.emulate_media(color_scheme="dark" if dark else "light")
    coupon_made(served)
    name, _ = next(places_of(a_coupon()[1]))
    reading_of(page, name).fill("wide")
    expect(reading_of(page, name)).to_have_attribute("aria-invalid", "true")
    for where in ("measure/paper/ferry-card", "measure", "boxes/ticket"):
        served.open(where)
        page.locator("form, .readings, .recorded").first.wait_for()
        page.evaluate(AXE.read_text(encoding="utf-8"))
        found = page.evaluate("() => axe.run()")
        assert len(found["passes"]) > 10
        wrong = [
            f"{where} {one['id']}: {node['html'][:120]}"
            for one in found["violations"]
            for node in one["nodes"]
        ]
        assert wrong == []
        for width in (390, 320):
            page.set_viewport_size({"width": width, "height": 800})
            wide = page.evaluate("document.documentElement.scrollWidth")
            assert wide <= width, where
        page.set_viewport_size({"width": 1280, "height": 900})
