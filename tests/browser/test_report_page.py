"""The report in a real browser: silent on the network, alive, true to the check, open to all."""

from __future__ import annotations

import json
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import axe_playwright_python
import numpy as np
import pytest
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.fit.lid import lid_pose
from fitcheck.odds.odds import odds_of
from fitcheck.outputs.check_json import check_json
from fitcheck.outputs.report.making import making_of
from fitcheck.outputs.report.model import report_of
from fitcheck.outputs.report.render import report_page
from tests.browser.browser import Heard, changed_share, chromium, open_page, seen, settle
from tests.cli.commands import FRAMED

MODELS = Path(__file__).resolve().parents[2] / "models"
TITLE = "Harbour <b>thank-you</b> <script>document.title = 'caught'</script> box"
AXE = Path(axe_playwright_python.__file__).parent / "axe.min.js"


SHOULDER = """
format = 1
title = "Ship's bell"
unit = "mm"
[base]
style = "double-wall"
stock = "cover-80"
floor = [120, 60]
depth = 20
rim = 3
lock = "glued"
[collar]
style = "collar"
stock = "cover-65"
ease = [7, 7]
rise = 10
seam = 12
[lid]
style = "double-wall"
stock = "cover-80"
oversize = 0
rim = 3
depth = 16
"""
"""Its lid comes nearest to the collar far inside its outer walls."""


@pytest.fixture(scope="module")
def harbour() -> Check:
    return check(read_design(MODELS / "harbour.toml"))


@pytest.fixture(scope="module")
def report(harbour: Check, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("report") / "harbour.html"
    path.write_text(report_page(report_of(harbour)), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def tight(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A lid that presses, under a title full of markup."""
    folder = tmp_path_factory.mktemp("tight")
    text = FRAMED.read_text().replace('"1/16"', '"1/32"')
    (folder / "tight.toml").write_text(text.replace("Harbour thank-you box", TITLE))
    path = folder / "tight.html"
    path.write_text(report_page(report_of(check(read_design(folder / "tight.toml")))))
    return path


@pytest.fixture
def opened(browser: Browser, report: Path) -> Iterator[tuple[Page, Heard]]:
    page, heard = open_page(browser, report)
    yield page, heard
    page.close()


def slide(page: Page, name: str, value: int) -> None:
    page.locator(f"#{name}").fill(str(value))
    settle(page)


def test_no_request_and_no_complaint(opened: tuple[Page, Heard], report: Path) -> None:
    page, heard = opened
    slide(page, "fold", 2)
    asked = [url for url in heard.requests if not url.startswith("data:")]
    assert asked == [report.as_uri()]
    assert heard.complaints == []


def test_a_request_would_be_refused(opened: tuple[Page, Heard]) -> None:
    """The policy holds even against the page itself."""
    page, _ = opened
    refused = page.evaluate(
        "() => fetch('http://127.0.0.1:9/').then(() => false, () => true)"  # the discard port
    )
    assert refused
    page.evaluate("() => { new Image().src = 'http://127.0.0.1:9/a.png'; }")
    assert page.evaluate(
        "() => new Promise((done) => {"
        " document.addEventListener('securitypolicyviolation', (e) => done(e.blockedURI));"
        " new Image().src = 'http://127.0.0.1:9/b.png'; setTimeout(() => done(''), 2000); })"
    ).startswith("http://127.0.0.1:9")


def test_the_canvas_shows_the_box_with_and_without_its_lid(opened: tuple[Page, Heard]) -> None:
    page, _ = opened
    canvas = page.locator("canvas")
    page.get_by_role("checkbox", name="marks").uncheck()
    with_lid = seen(canvas)
    colours = with_lid.getcolors(1 << 24)
    assert colours is not None and len(colours) > 50
    page.get_by_role("checkbox", name="lid").uncheck()
    without = seen(canvas)
    assert 0.05 < changed_share(with_lid, without) < 0.6
    page.get_by_role("checkbox", name="contents").uncheck()
    assert changed_share(without, seen(canvas)) > 0.02, "the card was in it"


def test_sliders_drag_and_keys_change_the_picture(opened: tuple[Page, Heard]) -> None:
    page, _ = opened
    canvas = page.locator("canvas")
    last = seen(canvas)

    def moved(least: float) -> None:
        nonlocal last
        now = seen(canvas)
        assert changed_share(last, now) > least
        last = now

    slide(page, "lift", 100)
    moved(0.05)
    slide(page, "fold", 0)
    moved(0.1)
    slide(page, "fold", 4)
    moved(0.05)
    box = canvas.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 120, y + 40, steps=3)
    page.mouse.up()
    moved(0.05)
    canvas.focus()
    page.keyboard.press("ArrowLeft")
    moved(0.01)
    page.keyboard.press("+")
    moved(0.01)


def test_folded_in_the_browser_as_it_was_checked(
    opened: tuple[Page, Heard], harbour: Check
) -> None:
    """Every panel's pose at the end of the slider is the checked one; at its start all lie flat."""
    page, _ = opened
    assert harbour.lid is not None and harbour.assembly.lid is not None
    roots = [np.eye(4), lid_pose(harbour.assembly.lid.folded, harbour.lid.seat_mm)]
    for index, (part, root) in enumerate(zip(harbour.assembly.parts, roots, strict=True)):
        poses = page.evaluate(
            "(i) => { const { stage, panelPoses } = window.turningView;"
            " const part = stage.scene.parts[i];"
            " return [1, 0].map((share) => panelPoses(part, share, part.pose).poses); }",
            index,
        )
        for k, plate in enumerate(part.folded.plates):
            closed, flat = (np.array(pose[str(k)]).reshape(4, 4) for pose in poses)
            assert closed == pytest.approx(root @ plate.pose, abs=2e-5)
            assert flat == pytest.approx(root, abs=5e-3), "the sheet is flat and where it was cut"


def test_the_making_goes_step_by_step_with_its_sentences(
    opened: tuple[Page, Heard], harbour: Check
) -> None:
    """The sentences are those of the steps; the card is in from the step that puts it in."""
    page, _ = opened
    making = making_of(harbour).states
    words = page.locator("#turning-view .words")
    assert page.locator("#fold").get_attribute("max") == str(len(making) - 1)
    before = None
    for step, state in enumerate(making):
        slide(page, "fold", step)
        assert words.inner_text().endswith(state.words)
        assert page.locator("output[for=fold]").inner_text() == f"{step + 1} of {len(making)}"
        picture = seen(page.locator("canvas"))
        if (before is not None and state.part != "lid") or state.creased:
            assert before is None or changed_share(before, picture) > 0.002, state
        before = picture
    page.get_by_role("button", name="back").click()
    assert words.inner_text().endswith(making[-2].words) and making[-2].filled
    page.get_by_role("button", name="forward").click()
    assert words.inner_text().endswith(making[-1].words)


def test_the_making_plays_from_the_first_step_and_rests(browser: Browser, report: Path) -> None:
    page, heard = open_page(browser, report, motion=True)
    page.get_by_role("button", name="play").click()
    figure = page.locator("#turning-view")
    expect(figure).to_have_attribute("data-step", "2", timeout=20_000)
    page.get_by_role("button", name="pause").click()
    at = figure.get_attribute("data-step")
    page.wait_for_timeout(3000)
    assert figure.get_attribute("data-step") == at, "it rests when it is told to"
    assert heard.complaints == []
    page.close()


def test_marks_point_at_the_limiting_pair(opened: tuple[Page, Heard], harbour: Check) -> None:
    page, _ = opened
    assert harbour.lid is not None
    label = page.locator(".place").first
    assert label.inner_text() == f"play {harbour.lid.slide.play_mm:.2f} mm"
    assert label.is_visible()
    slide(page, "fold", 3)
    assert not label.is_visible(), "nothing is narrow while it is being folded"


@pytest.mark.parametrize("width", [390, 1280])
def test_the_magnifier_stands_by_while_the_box_is_whole_and_covers_no_mark(
    browser: Browser, report: Path, width: int, harbour: Check
) -> None:
    page, _ = open_page(browser, report, width=width)
    assert harbour.lid is not None
    glass = page.locator(".glass")
    assert glass.is_visible() and glass.get_attribute("style") is None
    assert f"play {harbour.lid.slide.play_mm:.2f} mm" in glass.locator("text").all_text_contents()
    stage, own = (page.locator(part).bounding_box() for part in (".stage", ".glass"))
    mark = page.locator(".place").first.bounding_box()
    assert stage and own and mark
    assert own["x"] >= stage["x"] and own["y"] >= stage["y"]
    assert own["y"] + own["height"] <= stage["y"] + stage["height"]
    apart = own["x"] + own["width"] <= mark["x"] or own["y"] + own["height"] <= mark["y"]
    assert apart or mark["y"] + mark["height"] <= own["y"]
    letters = page.evaluate(
        "[...document.querySelectorAll('.glass text')].map(e => e.getBoundingClientRect().height)"
    )
    assert min(letters) >= 10, "its letters are read on a phone"
    slide(page, "fold", 3)
    assert not glass.is_visible()
    slide(page, "fold", 9)
    page.get_by_role("checkbox", name="marks").uncheck()
    settle(page)
    assert not glass.is_visible()
    page.close()


def test_the_mark_keeps_to_the_side_that_faces_the_eye(
    opened: tuple[Page, Heard], harbour: Check
) -> None:
    page, _ = opened
    assert harbour.lid is not None
    travel = harbour.lid.slide.tighter
    assert travel.low is not None and travel.high is not None
    ask = (
        "(turn) => { const { stage } = window.turningView; stage.camera.look(turn, 0.5);"
        " return stage.facing(stage.scene.places[0]); }"
    )
    assert page.evaluate(ask, -0.55) == pytest.approx(travel.low.at_mm, abs=1e-3)
    assert page.evaluate(ask, -0.55 + np.pi) == pytest.approx(travel.high.at_mm, abs=1e-3)


def test_a_shadow_lies_on_the_table_and_follows_the_folding(browser: Browser, report: Path) -> None:
    """The stage is one colour but for the box and its shadow: darker beside the foot, all round."""
    page, heard = open_page(browser, report)
    page.get_by_role("checkbox", name="marks").uncheck()
    canvas, soft = page.locator("canvas"), []
    for step in (0, 6, 9):
        slide(page, "fold", step)
        picture = np.asarray(seen(canvas).convert("L"), dtype=float)
        ground = picture[2, 2]
        dim = (picture < ground - 4.0) & (picture > ground - 70.0)
        page.evaluate("() => { window.turningView.stage.shadow.lay = () => {}; }")
        slide(page, "fold", step)
        plain = np.asarray(seen(canvas).convert("L"), dtype=float)
        page.evaluate("() => { delete window.turningView.stage.shadow.lay; }")
        cast = dim & (plain > ground - 2.0)
        assert cast.mean() > 0.005, f"step {step} casts no shadow"
        assert np.all(picture <= plain + 1.0), "a shadow makes nothing lighter"
        soft.append(cast)
    assert (soft[0] ^ soft[1]).mean() > 0.01 and (soft[1] ^ soft[2]).mean() > 0.01
    page.evaluate("() => { window.turningView.stage.camera.look(-0.55, -0.5); }")
    slide(page, "fold", 8)
    from_below = seen(canvas)
    page.evaluate("() => { window.turningView.stage.shadow.lay = () => {}; }")
    slide(page, "fold", 9)
    slide(page, "fold", 8)
    assert changed_share(from_below, seen(canvas)) == 0.0, "the table is not seen from below"
    assert heard.complaints == []
    page.close()


def test_a_lid_lies_on_the_table_while_it_is_made(opened: tuple[Page, Heard]) -> None:
    page, _ = opened
    for step in range(7):
        slide(page, "fold", step)
        low = page.evaluate(
            "() => { const { stage } = window.turningView; const { tint } = stage.scene.parts[1];"
            " const own = stage.meshes().filter((made) => made[2] === tint);"
            " const heights = ([mesh]) => mesh.triangles.filter((_, i) => i % 9 === 2);"
            " return Math.min(...own.flatMap(heights)); }"
        )
        assert low == pytest.approx(0.0, abs=0.01), f"step {step}: it floats"


def test_the_figures_are_those_of_the_json(opened: tuple[Page, Heard], harbour: Check) -> None:
    page, _ = opened
    data = json.loads(check_json(harbour))
    shown = {
        element.get_attribute("data-key"): element.get_attribute("value")
        for element in page.locator("data").all()
    }
    for axis in ("width", "length"):
        play = data["lid"]["play_mm"][axis]
        assert float(shown[f"lid.play_mm.{axis}"] or "nan") == play
        text = page.locator(f'data[data-key="lid.play_mm.{axis}"]').inner_text()
        assert text == f"{play:.2f} mm"
        assert (
            float(shown[f"contents.0.slack_mm.{axis}"] or "nan")
            == (data["contents"][0]["slack_mm"][axis])
        )


@pytest.mark.parametrize(("paper", "wide_pt", "tall_pt"), [("A4", 595, 842), ("Letter", 612, 792)])
def test_prints_whole_whatever_fonts_there_are(
    opened: tuple[Page, Heard], paper: str, wide_pt: int, tall_pt: int, harbour: Check
) -> None:
    """Every heading and figure is on paper, inside it and in order; how many pages that takes
    depends on the fonts of the machine. Paper sizes: ISO 216 and ANSI/ASME Y14.1, in points."""
    page, _ = opened
    headings = [text.strip() for text in page.locator("h1, h2").all_inner_texts()]
    assert len(headings) > 5
    printed = PdfReader(BytesIO(page.pdf(format=paper)))
    texts, places = [], []
    for sheet in printed.pages:
        assert abs(float(sheet.mediabox.width) - wide_pt) <= 1
        assert abs(float(sheet.mediabox.height) - tall_pt) <= 1

        def keep(text: str, cm: list[float], tm: list[float], *_: object) -> None:
            if text.strip():
                places.append(
                    (
                        cm[0] * tm[4] + cm[2] * tm[5] + cm[4],
                        cm[1] * tm[4] + cm[3] * tm[5] + cm[5],
                    )
                )

        texts.append(" ".join(sheet.extract_text(visitor_text=keep).split()))
        assert texts[-1], "no page is empty"
    assert all(0 < x < wide_pt and 0 < y < tall_pt for x, y in places)
    whole, at = "".join(" ".join(texts).split()), 0
    for heading in headings:
        at = whole.find("".join(heading.split()), at)
        assert at >= 0, f"{heading!r} is not printed, or not in its place"
    assert harbour.design.title in texts[0]
    assert "Folding, flat to closed" not in " ".join(texts), "controls are not printed"


def test_a_title_with_markup_is_shown_as_text(browser: Browser, tight: Path) -> None:
    page, heard = open_page(browser, tight)
    assert page.locator("header .title").inner_text() == TITLE
    assert page.title() != "caught"
    assert page.locator("header b").count() == 0
    assert "does not go together" in page.locator("h1").inner_text()
    assert heard.complaints == []
    page.close()


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("width", [390, 1280])
def test_nothing_serious_for_an_accessibility_checker(
    browser: Browser, tight: Path, width: int, dark: bool
) -> None:
    """axe-core's rules, of which WCAG 2 levels A and AA are the larger part."""
    page, _ = open_page(browser, tight, width=width, dark=dark)
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("() => axe.run()")
    assert len(found["passes"]) > 15
    serious = [
        f"{one['id']}: {node['html'][:120]}"
        for one in found["violations"]
        if one["impact"] in ("serious", "critical")
        for node in one["nodes"]
    ]
    assert serious == []
    page.close()


@pytest.mark.parametrize("width", [390, 1280])
def test_the_page_never_scrolls_sideways(browser: Browser, report: Path, width: int) -> None:
    page, _ = open_page(browser, report, width=width)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate("parseFloat(getComputedStyle(document.body).fontSize)") >= 17
    page.close()


@pytest.mark.parametrize("name", ["harbour", "rope", "ferry"])
def test_on_a_phone_every_drawing_is_whole_and_its_letters_are_read(
    browser: Browser, tmp_path: Path, name: str
) -> None:
    found = check(read_design(MODELS / f"{name}.toml"))
    path = tmp_path / f"{name}.html"
    sure = odds_of(found, 2000, folded_again=4)
    path.write_text(report_page(report_of(found, sure)), encoding="utf-8")
    page, _ = open_page(browser, path, width=390)
    wide = page.evaluate(
        "[...document.querySelectorAll('.scroll')].map(e => [e.scrollWidth, e.clientWidth])"
    )
    assert len(wide) >= 6
    assert all(own <= room + 1 for own, room in wide), wide
    texts = page.evaluate(
        """[...document.querySelectorAll('.scroll svg text')].map(e => {
            const own = e.getBoundingClientRect();
            const all = e.ownerSVGElement.getBoundingClientRect();
            return [e.textContent, own.left - all.left, all.right - own.right, own.height];
        })"""
    )
    assert len(texts) > 30
    for text, left, right, tall in texts:
        assert min(left, right) >= -0.5, f"{text} is cut off"
        assert tall >= 8.0, text
    page.close()


@pytest.mark.parametrize("name", ["bell", "harbour", "rope", "tea"])
def test_no_text_of_a_drawing_runs_into_another(
    browser: Browser, tmp_path: Path, name: str
) -> None:
    """The browser measures each line of text where it stands, on a desk and on a phone."""
    (tmp_path / "bell.toml").write_text(SHOULDER)
    folder = tmp_path if name == "bell" else MODELS
    found = check(read_design(folder / f"{name}.toml"))
    path = tmp_path / f"{name}.html"
    sure = odds_of(found, 2000, folded_again=0)
    path.write_text(report_page(report_of(found, sure)), encoding="utf-8")
    drawings = ("section", "plays", "spread")
    for width in (1300, 390):
        page, _ = open_page(browser, path, width=width)
        for drawing in drawings:
            texts = page.evaluate(
                """(name) => [...document.querySelectorAll(
                    `svg[aria-labelledby^="${name}-title"] text`)].map(e => {
                    const own = e.getBoundingClientRect(), tall = own.height;
                    return [e.textContent, own.left, own.right,
                        own.top + 0.2 * tall, own.bottom - 0.2 * tall];
                })""",
                drawing,
            )
            for k, (words, left, right, top, foot) in enumerate(texts):
                for other, a, b, high, low in texts[k + 1 :]:
                    apart = a >= right or b <= left or high >= foot or low <= top
                    assert apart, f"{drawing} at {width}: {words!r} and {other!r}"
        page.close()


def test_the_lids_way_is_told_in_millimetres(opened: tuple[Page, Heard]) -> None:
    page, _ = opened
    whole = page.evaluate("window.turningView.stage.scene.arc")
    for share in (0, 40, 100):
        slide(page, "lift", share)
        shown = page.locator("output[for=lift]").inner_text()
        assert shown.endswith(" mm") and abs(int(shown[:-3]) - share / 100 * whole) <= 0.5


def test_a_still_picture_stands_in_without_webgl(browser: Browser, report: Path) -> None:
    page = browser.new_page()
    page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null;")
    page.goto(report.as_uri())
    assert page.locator(".still svg").is_visible()
    assert "offers no WebGL" in page.locator(".no-view").inner_text()
    assert not page.locator("#fold").is_visible()
    page.close()


def test_a_missing_browser_is_said_and_not_forgiven_where_it_was_promised(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("shutil.which", lambda name: None)
    for promise, outcome in (("true", pytest.fail.Exception), ("", pytest.skip.Exception)):
        monkeypatch.setenv("CI", promise)
        with pytest.raises(outcome, match="install Debian's chromium"), chromium():
            raise AssertionError("there is no browser to get here with")
