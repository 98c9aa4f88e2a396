"""The bench page in a real browser: a box is begun, made right, saved, printed; nothing is lost."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
import trimesh
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect

from tests.browser.bench_tab import FITTING, FRAMED, Tab, own, terminal
from tests.served import Served, served, until, workspace

pytestmark = pytest.mark.usefixtures("patience")


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    root = workspace(tmp_path_factory.mktemp("bench") / "atelier", buttons=FITTING, framed=FRAMED)
    with served(root) as found:
        yield found


def test_a_box_for_nine_chocolates_is_begun_made_wrong_made_right_and_printed(
    tab: Tab, bench: Served, tmp_path: Path
) -> None:
    page = tab.page
    page.goto(bench.home)
    page.get_by_role("link", name="Begin a new box").click()
    page.locator("select.item").select_option("?")
    page.get_by_label("Call it", exact=True).fill("praline")
    page.get_by_label("Its size", exact=True).fill("30 x 30 x 18 mm")
    page.get_by_label("How many", exact=True).fill("9")
    page.get_by_label("Name", exact=True).fill("nine-pralines")
    page.get_by_role("button", name="Propose a box").click()
    page.wait_for_url("**/#/design/nine-pralines")
    tab.answered()
    assert "lid slides on" in tab.verdict and "the contents go in" in tab.verdict
    expect(page.locator(".often")).to_contain_text("of 100 boxes")

    # a tenth does not go in, until the box is longer
    count = page.get_by_label("count", exact=True)
    count.fill("12")
    tab.answered()
    assert "does not go together" in tab.verdict
    longer = page.get_by_role("button", name="floor, length: longer")
    for _ in range(10):
        longer.click()
    tab.answered()
    assert "the contents go in" in tab.verdict
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("button", name="Saved")).to_have_attribute("aria-disabled", "true")
    said = terminal(bench, "check", "nine-pralines", "--no-odds")
    assert "everything fits" in said and "12 x praline" in said

    page.get_by_text("Sheets and steps", exact=True).first.click()
    page.get_by_role("button", name="Make sheets and steps").click()
    page.wait_for_selector(".previews img")
    with page.expect_download() as download:
        page.get_by_text("Keep them all (zip)").click()
    kept = tmp_path / "files.zip"
    download.value.save_as(kept)
    names = zipfile.ZipFile(kept).namelist()
    assert {"nine-pralines.pdf", "nine-pralines-steps.txt"} <= set(names)


def test_what_is_typed_is_judged_undone_and_saved_with_its_comments(
    tab: Tab, bench: Served
) -> None:
    path = own(bench, "typed")
    page = tab.design("typed")
    assert "lid slides on" in tab.verdict
    oversize = page.get_by_label("larger than the base by, width", exact=True)
    oversize.fill("-1,5")
    tab.answered()
    assert "presses" in tab.verdict and oversize.input_value() == "-1,5"
    oversize.fill("thumb")
    tab.answered()
    expect(page.locator("#in-lid-oversize-trouble")).to_contain_text("is not a length")
    assert oversize.get_attribute("aria-invalid") == "true"
    save = page.get_by_role("button", name="Save", exact=True)
    expect(save).to_have_attribute("aria-disabled", "true")
    page.keyboard.press("Control+z")
    tab.answered()
    assert "lid slides on" in tab.verdict or "presses" in tab.verdict
    page.get_by_label("larger than the base by, width", exact=True).fill("1.5")
    tab.answered()
    page.keyboard.press("Control+s")
    expect(page.get_by_role("button", name="Saved")).to_be_visible()
    assert path.read_text(encoding="utf-8") == FITTING.replace("= 2 ", "= [1.5, 2] ")


def test_lengths_are_stepped_and_pulled_to_the_grooves(tab: Tab, bench: Served) -> None:
    own(bench, "pulled", FRAMED)
    page = tab.design("pulled")
    width = page.get_by_label("floor, width", exact=True)
    width.focus()
    page.keyboard.press("ArrowUp")
    tab.answered()
    assert width.input_value() == "3 3/8"
    page.keyboard.press("Shift+ArrowDown")
    tab.answered()
    assert width.input_value() == "3 11/32"
    page.keyboard.press("ArrowDown")
    tab.answered()
    assert width.input_value() == "3 1/4"
    mark = page.locator("[data-pull=width] .dot")
    mark.scroll_into_view_if_needed()
    box = mark.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 0.5 * box["width"], box["y"] + 0.5 * box["height"])
    page.mouse.down()
    page.mouse.move(box["x"] + 60, box["y"] + 3, steps=12)
    page.mouse.up()
    tab.answered()
    found = re.fullmatch(r"(\d+)(?: (\d)/(\d))?", width.input_value())
    assert found and int(found[1]) >= 3 and width.input_value() != "3 1/4"
    assert found[3] in (None, "2", "4", "8")
    page.get_by_label("Which part to pull on").select_option("lid")
    page.locator("[data-pull=length]").focus()
    page.keyboard.press("ArrowRight")
    tab.answered()
    longer = page.get_by_label("larger than the base by, length", exact=True)
    assert longer.input_value() == "3/32"  # no score hangs on it alone, so by a rule's marks
    page.get_by_label("Which part to pull on").select_option("base")
    page.locator("[data-pull=depth]").focus()
    page.keyboard.press("ArrowUp")
    tab.answered()
    assert page.locator("#in-base-depth").input_value() == "1"
    assert page.evaluate("document.activeElement.dataset.pull") == "depth"


def test_a_file_that_changed_elsewhere_is_shown_and_nothing_is_lost(
    tab: Tab, bench: Served
) -> None:
    path = own(bench, "shared")
    page = tab.design("shared")
    page.locator("#in-base-depth").fill("25")
    tab.answered()
    theirs = FITTING.replace("floor = [60, 40]", "floor = [70, 40]")
    path.write_text(theirs, encoding="utf-8")
    page.get_by_role("button", name="Save", exact=True).click()
    notice = page.get_by_role("alert").filter(has_text="changed elsewhere")
    expect(notice).to_contain_text("depth = 25")
    expect(notice).to_contain_text("floor = [70, 40]")
    assert path.read_text(encoding="utf-8") == theirs
    page.get_by_role("button", name="Take the file's").click()
    tab.answered()
    assert page.get_by_label("floor, width", exact=True).input_value() == "70"
    page.get_by_role("button", name="Undo").click()
    tab.answered()
    assert page.locator("#in-base-depth").input_value() == "25"
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("button", name="Saved")).to_be_visible()
    assert path.read_text(encoding="utf-8") == FITTING.replace("depth = 20", "depth = 25")


def test_two_tabs_lose_nothing(browser: Browser, bench: Served) -> None:
    path = own(bench, "twice")
    one, two = Tab(browser, bench), Tab(browser, bench)
    first, second = one.design("twice"), two.design("twice")
    first.locator("#in-base-depth").fill("24")
    second.locator("#in-lid-depth").fill("10")
    one.answered()
    two.answered()
    first.get_by_role("button", name="Save", exact=True).click()
    expect(first.get_by_role("button", name="Saved")).to_be_visible()
    second.get_by_role("button", name="Save", exact=True).click()
    expect(second.get_by_role("alert").filter(has_text="changed elsewhere")).to_be_visible()
    assert "depth = 24" in path.read_text(encoding="utf-8")
    second.get_by_role("button", name="Save mine as a copy").click()
    second.get_by_label("Its name", exact=True).fill("twice-too")
    second.get_by_role("dialog").get_by_role("button", name="Save").click()
    second.wait_for_url("**/#/design/twice-too")
    copy = path.with_name("twice-too.toml").read_text(encoding="utf-8")
    assert "depth = 10" in copy and "depth = 20" in copy
    for tab in (one, two):
        tab.context.close()


def test_what_was_not_saved_is_there_after_a_reload(tab: Tab, bench: Served) -> None:
    own(bench, "kept")
    page = tab.design("kept")
    page.locator("#in-base-depth").fill("31")
    tab.answered()
    page.reload()
    tab.answered()
    assert page.locator("#in-base-depth").input_value() == "31"
    expect(page.locator(".notice")).to_contain_text("did not save")
    page.get_by_role("button", name="Go back to the file").click()
    tab.answered()
    assert page.locator("#in-base-depth").input_value() == "20"


def test_odds_follow_and_can_be_stopped(tab: Tab, bench: Served) -> None:
    own(bench, "sure", FRAMED)
    page = tab.design("sure")
    expect(page.locator(".odds [role=status]")).to_contain_text("Counted over 200,000 boxes")
    told = terminal(bench, "check", "sure", "--odds", "20000")
    (right,) = re.findall(r"(\d+) of 100 boxes made by hand", " ".join(told.split()))
    shown = page.locator(".often").inner_text()
    assert abs(int(re.match(r"\D*(\d+)", shown)[1]) - int(right)) <= 1  # type: ignore[index]
    assert page.locator(".hundred .came-right").count() == int(right)
    page.get_by_label("larger than the base by, width", exact=True).fill("1/16")
    page.get_by_role("button", name="Stop counting").click()
    expect(page.locator(".odds [role=status]")).to_contain_text("topped")


def test_other_papers_have_a_row_each_and_become_a_copy(tab: Tab, bench: Served) -> None:
    own(bench, "papers")
    page = tab.design("papers")
    page.get_by_text("Try other paper").click()
    page.get_by_role("button", name="Try them all").click()
    expect(page.get_by_text("All tried.")).to_be_visible()
    rows = page.locator("tbody tr", has=page.locator("th", has_text="index-110"))
    expect(rows).to_have_count(1)
    assert rows.locator("td").first.inner_text().isdecimal()
    page.get_by_role("button", name="Make a copy with index-110").click()
    page.get_by_role("dialog").get_by_role("button", name="Make the copy").click()
    page.wait_for_url("**/#/design/papers-index-110")
    text = (bench.root / "models" / "papers-index-110.toml").read_text(encoding="utf-8")
    assert text == FITTING.replace('stock = "cardstock-270"', 'stock = "index-110"', 1)


def test_the_shelf_copies_renames_puts_away_and_brings_back(tab: Tab, bench: Served) -> None:
    own(bench, "moved")
    models, page = bench.root / "models", tab.page
    page.goto(f"{bench.home}/#/")
    page.get_by_role("button", name="Rename moved").click()
    page.get_by_label("Its name", exact=True).fill("renamed")
    page.get_by_role("dialog").get_by_role("button", name="Rename").click()
    expect(page.get_by_role("button", name="Put renamed away")).to_be_visible()
    assert (models / "renamed.toml").read_text() == FITTING and not (models / "moved.toml").exists()
    page.get_by_role("button", name="Put renamed away").click()
    page.get_by_role("dialog").get_by_role("button", name="Put away").click()
    expect(page.get_by_role("button", name="Put renamed away")).to_have_count(0)
    assert (models / "put-away" / "renamed.toml").read_text() == FITTING
    page.get_by_text("Put away (1)").click()
    page.get_by_role("button", name="Bring back renamed").click()
    expect(page.get_by_role("button", name="Put renamed away")).to_be_visible()
    page.get_by_role("button", name="Copy harbour").click()
    page.get_by_role("dialog").get_by_role("button", name="Copy").click()
    expect(page.get_by_role("button", name="Put my-harbour away")).to_be_visible()
    assert (models / "my-harbour.toml").read_text(encoding="utf-8") == FRAMED


def test_what_is_made_can_be_stopped(tab: Tab, bench: Served) -> None:
    own(bench, "stopped", FRAMED)
    page = tab.design("stopped")
    page.get_by_text("Sheets and steps", exact=True).first.click()
    page.get_by_role("button", name="Make a recipe to publish").click()
    page.get_by_role("button", name="Stop", exact=True).click()
    expect(page.get_by_text("Stopped; nothing was made.")).to_be_visible()


def test_the_box_is_drawn_turned_and_folded(tab: Tab, bench: Served) -> None:
    own(bench, "drawn")
    page = tab.design("drawn")
    page.wait_for_selector(".turning[data-drawn]")
    turned = "window.turningView.stage.camera.turn"
    before = page.evaluate(turned)
    page.locator(".turning canvas").focus()
    page.keyboard.press("ArrowRight")
    assert page.evaluate(turned) != before
    page.locator("#fold").fill("0")
    assert page.evaluate("window.turningView.stage.share.fold") == 0
    stood = page.evaluate(turned)
    page.get_by_label("floor, width", exact=True).fill("80")
    tab.answered()
    wide = (
        "window.turningView.stage.scene.parts[0].cells.flat()"
        ".some(({ corners }) => corners.some(([x]) => Math.abs(x) > 55))"
    )
    assert not page.evaluate(wide)
    assert (
        page.evaluate(turned) == stood and page.evaluate("window.turningView.stage.share.fold") == 0
    )


PLANNED = {  # floor and depth, mm; what stands above and beside is as wide whatever the box
    "small": ((45, 65), 25),
    "narrow": ((30, 60), 90),
    "large": ((280, 200), 40),
}
OUTSIDE_THE_VIEW = """
() => {
  const view = document.querySelector(".plan svg").viewBox.baseVal;
  return [...document.querySelectorAll(".plan text")].map((label) => {
    const { x, y, width, height } = label.getBBox();
    const over = [view.x - x, view.y - y, x + width - view.x - view.width,
                  y + height - view.y - view.height];
    return [label.textContent, Math.max(...over)];
  });
}
"""


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("box", PLANNED)
@pytest.mark.parametrize("width", [1280, 390])
def test_every_label_of_the_plan_lies_in_its_view(
    browser: Browser, bench: Served, box: str, unit: str, width: int
) -> None:
    """Text is as wide as the browser says; what lies outside the view is cut off."""
    floor, depth = PLANNED[box]
    text = FITTING.replace("[60, 40]", str([f"{side} mm" for side in floor]))
    text = text.replace("depth = 20", f'depth = "{depth} mm"').replace('"mm"', f'"{unit}"', 1)
    text = text.replace("oversize = 2 ", 'oversize = "2 mm" ')
    text = text.replace("depth = 12", 'depth = "12 mm"')
    own(bench, f"planned-{box}-{unit}", text)
    tab = Tab(browser, bench, viewport={"width": width, "height": 900})
    page = tab.design(f"planned-{box}-{unit}")
    for part in ("base", "lid"):
        page.get_by_label("Which part to pull on").select_option(part)
        labels = page.evaluate(OUTSIDE_THE_VIEW)
        assert len(labels) == 3
        assert "outside" in labels[0][0]
        assert all(over <= 0.0 for _, over in labels), labels
    tab.context.close()


VIEWS = ("", "new", "measure", "boxes", "words", "design/buttons")


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_axe_finds_nothing(browser: Browser, bench: Served, view: str, dark: bool) -> None:
    tab = Tab(browser, bench, color_scheme="dark" if dark else "light")
    _open_all(tab, view)
    found = Axe().run(tab.page)
    tab.context.close()
    assert not found.response["violations"], found.generate_report()


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("width", [320, 640, 2560])
def test_nothing_runs_off_the_page(browser: Browser, bench: Served, view: str, width: int) -> None:
    # 640 is 1280 at a zoom of 200 %
    tab = Tab(browser, bench, viewport={"width": width, "height": 700})
    _open_all(tab, view)
    wide = tab.page.evaluate("document.documentElement.scrollWidth")
    tab.context.close()
    assert wide <= width


def _open_all(tab: Tab, view: str) -> None:
    """A view with everything on it unfolded, but explanations."""
    tab.page.goto(f"{tab.bench.home}/#/{view}")
    tab.page.wait_for_selector("main h1")
    if view.startswith("design"):
        tab.answered()
        expect(tab.page.locator(".often")).to_be_visible()
    tab.page.evaluate(
        "document.querySelectorAll('details:not(.hint)').forEach((one) => { one.open = true; })"
    )
    tab.page.wait_for_timeout(600)


def test_the_page_is_small(browser: Browser, bench: Served) -> None:
    tab = Tab(browser, bench)
    page = tab.design("buttons")
    sizes = page.evaluate(
        "performance.getEntriesByType('resource').filter((e) => e.name.includes('/page/'))"
        ".map((e) => e.encodedBodySize)"
    )
    tab.context.close()
    assert len(sizes) > 10
    assert sum(sizes) < 150_000


def test_other_sizes_are_tried_and_taken(tab: Tab, bench: Served) -> None:
    own(bench, "poor", FRAMED.replace('["3/32", "1/16"]', '["1/32", "1/32"]'))
    page = tab.design("poor")
    page.get_by_text("Try other sizes").click()
    page.get_by_role("button", name="Look for them").click()
    take = page.get_by_role("button", name="Take the sizes of suggestion 1")
    take.click()
    tab.answered()
    assert "lid slides on" in tab.verdict
    before = page.get_by_text("As it is,").inner_text()
    after = page.locator(".options strong").first.inner_text()
    was, now = (int(re.findall(r"\d+", text)[0]) for text in (before, after))
    assert now > was
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("button", name="Saved")).to_be_visible()
    told = " ".join(terminal(bench, "check", "poor").split())
    (right,) = re.findall(r"(\d+) of 100 boxes made by hand", told)
    assert abs(int(right) - now) <= 1


def test_a_new_item_comes_from_a_mesh_file(tab: Tab, bench: Served, tmp_path: Path) -> None:
    duck = tmp_path / "duck.stl"
    trimesh.creation.box((30.0, 24.0, 16.0)).export(duck)
    page = tab.page
    page.goto(f"{bench.home}/#/new")
    page.locator("select.item").select_option("?")
    page.get_by_label("Call it", exact=True).fill("duck")
    page.locator("select.kind").select_option("mesh")
    page.get_by_label("Its file", exact=True).set_input_files(duck)
    page.get_by_label("Name", exact=True).fill("duck-box")
    page.get_by_role("button", name="Propose a box").click()
    page.wait_for_url("**/#/design/duck-box")
    tab.answered()
    assert "the contents go in" in tab.verdict
    assert (bench.root / "models" / "duck.stl").read_bytes() == duck.read_bytes()
    answer = bench.post("/api/files", {"name": "duck.stl", "base64": "AAAA"})
    assert answer.status == 422 and "another file of that name" in answer.body.decode()
    assert (bench.root / "models" / "duck.stl").read_bytes() == duck.read_bytes()


def test_a_word_is_explained_where_it_stands(tab: Tab, bench: Served) -> None:
    own(bench, "worded")
    page = tab.design("worded")
    page.get_by_text("To heed, and all figures").click()
    word = page.locator(".findings .worded", has_text="crease").first
    word.get_by_role("button").focus()
    page.keyboard.press("Enter")
    told = word.get_by_role("note")
    expect(told).to_be_visible()
    said = terminal(bench, "explain", *word.get_by_role("button").inner_text().lower().split())
    assert " ".join(said.split()) == " ".join(told.inner_text().split())


def test_what_contents_can_do_is_said_openly_and_the_rest_is_counted(
    tab: Tab, bench: Served
) -> None:
    """A toffee of 16 x 32 x 14 mm is food, and goes into the cylinder of 16 CFR 1501.4."""
    path = own(bench, "sweet", f'{FITTING}\n[[content]]\nitem = "toffee-wrapped"\n')
    page = tab.design("sweet")
    hazards = page.locator(".hazards li")
    expect(hazards).to_have_count(2)
    for k, words in enumerate(("choking hazard", "toffee-wrapped is food")):
        expect(hazards.nth(k)).to_be_visible()
        expect(hazards.nth(k)).to_contain_text(words)
    said = len(re.findall(r"^  caution ", terminal(bench, "check", str(path)), re.MULTILINE))
    assert said > 2
    expect(page.locator(".findings:not(.hazards) > li.caution")).to_have_count(said - 2)
    summary = page.locator("summary", has_text="To heed, and all figures")
    expect(summary).to_contain_text(f"({said - 2} caution")
    page.get_by_label("larger than the base by, width", exact=True).fill("0")
    tab.answered()
    faults = page.locator(".findings > li.fault").count()
    assert faults > 0
    expect(summary).to_contain_text(f"({faults} fault")


def test_what_was_not_saved_outlives_the_bench(browser: Browser, tmp_path: Path) -> None:
    root = workspace(tmp_path / "atelier", kept=FITTING)
    with served(root) as first:
        tab = Tab(browser, first)
        tab.design("kept").locator("#in-base-depth").fill("31")
        tab.answered()
        until(lambda: "depth = 31" in str(first.get("/api/drafts").data))
        tab.context.close()
    assert (root / "models" / "kept.toml").read_text(encoding="utf-8") == FITTING
    with served(root) as second:
        tab = Tab(browser, second)
        page = tab.design("kept")
        assert page.locator("#in-base-depth").input_value() == "31"
        page.get_by_role("button", name="Save", exact=True).click()
        expect(page.get_by_role("button", name="Saved")).to_be_visible()
        until(lambda: second.get("/api/drafts").data == {})
        tab.context.close()
    text = (root / "models" / "kept.toml").read_text(encoding="utf-8")
    assert text == FITTING.replace("depth = 20", "depth = 31")


def test_nothing_is_saved_unasked(tab: Tab, bench: Served) -> None:
    path = own(bench, "asked")
    page = tab.design("asked")
    page.get_by_label("larger than the base by, width", exact=True).fill("0")
    tab.answered()
    page.get_by_text("Sheets and steps", exact=True).first.click()
    page.get_by_role("button", name="Make sheets and steps").click()
    page.get_by_role("dialog").get_by_role("button", name="Leave it").click()
    expect(page.get_by_text("Save the design first")).to_be_visible()
    assert path.read_text(encoding="utf-8") == FITTING


def test_what_is_said_is_of_the_sizes_in_sight(tab: Tab, bench: Served) -> None:
    own(bench, "fresh", FRAMED.replace('["3/32", "1/16"]', '["1/16", "1/16"]'))
    page = tab.design("fresh")
    expect(page.locator(".advice")).to_be_visible()
    width = page.get_by_label("larger than the base by, width", exact=True)
    width.fill("-1/16")
    tab.answered()
    expect(page.locator(".advice")).to_have_count(0)
    expect(page.locator(".often")).to_contain_text(re.compile("Not counted yet|under 1 of 100"))
    expect(page.locator(".often")).to_contain_text("under 1 of 100")
    expect(page.locator(".hundred .came-right")).to_have_count(0)
    width.fill("wide")
    tab.answered()
    expect(page.locator(".often")).to_contain_text("Not counted yet")
    expect(page.locator(".view.before")).to_have_count(1)


def test_names_are_taken_as_people_write_them(tab: Tab, bench: Served) -> None:
    own(bench, "named")
    page = tab.design("named")
    page.get_by_role("button", name="Save as a copy").click()
    page.get_by_label("Its name", exact=True).fill("  Oma's Käst-chen 2 ")
    page.get_by_role("dialog").get_by_role("button", name="Save").click()
    page.wait_for_url("**/#/design/Oma-s-Kast-chen-2")
    assert (bench.root / "models" / "Oma-s-Kast-chen-2.toml").read_text() == FITTING


def test_a_box_that_is_begun_waits_where_it_was_left(tab: Tab, bench: Served) -> None:
    page = tab.page
    page.goto(f"{bench.home}/#/new")
    page.get_by_label("Name", exact=True).fill("left behind")
    page.get_by_role("link", name="Shelf").click()
    page.wait_for_selector(".cards")
    page.go_back()
    expect(page.get_by_label("Name", exact=True)).to_have_value("left behind")


def test_keys_choose_and_a_button_adds(tab: Tab, bench: Served) -> None:
    own(bench, "added", FITTING.partition("[lid]")[0])
    page = tab.design("added")
    parts = page.get_by_label("Add a part", exact=True)
    parts.focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    tab.answered()
    assert "[lid]" not in page.locator("textarea").first.input_value()
    parts.select_option(label="The lid: tray")
    page.get_by_role("button", name="Add the part").click()
    tab.answered()
    assert "lid slides on" in tab.verdict
    until(lambda: page.evaluate("document.activeElement.id") == "in-lid-style")


def test_all_that_commands_can_make_can_be_chosen(tab: Tab, bench: Served) -> None:
    own(bench, "chosen")
    page = tab.design("chosen")
    page.get_by_text("Sheets and steps", exact=True).first.click()
    sheets = page.locator(".work", has=page.get_by_role("heading", name="Sheets and steps"))
    sheets.get_by_text("More to choose").click()
    for kind in ("PDF", "DXF"):
        sheets.get_by_label(kind, exact=True).uncheck()
    sheets.get_by_label("FOLD for folding research").check()
    sheets.get_by_label("For so many boxes", exact=True).fill("12")
    sheets.get_by_role("button", name="Make sheets and steps").click()
    names = sheets.locator(".files a")
    expect(names.filter(has_text=".fold").first).to_be_visible()
    expect(names.filter(has_text=".pdf")).to_have_count(0)
    compared = page.locator(".work", has=page.get_by_role("heading", name="A comparison"))
    compared.get_by_label("With", exact=True).select_option("buttons")
    compared.get_by_role("button", name="Make a comparison").click()
    expect(compared.locator("pre")).to_be_visible()
    said = terminal(bench, "compare", "chosen", "buttons")
    assert compared.locator("pre").inner_text().split() == said.split()
