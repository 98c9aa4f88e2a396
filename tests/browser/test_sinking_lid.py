"""The lid that is let go in the turning view sinks as long as it was said, or is down at once."""

from __future__ import annotations

import itertools
import json
import re
import time
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from fitcheck.design.read import read_design
from fitcheck.feel.curve import by_play, way_down
from fitcheck.feel.feel import Feel, feel_of
from fitcheck.fit.check import Check, check
from fitcheck.outputs.report.model import report_of
from fitcheck.outputs.report.render import report_page
from fitcheck.outputs.report.sinking import sink_drawing, sink_scene
from tests.browser.browser import open_page

DESIGN = (
    'format = 1\ntitle = "Some"\nunit = "mm"\n'
    '[base]\nstyle = "tray"\nstock = "cover-80"\nfloor = [76, 108]\ndepth = 22\n'
    '[lid]\nstyle = "tray"\nstock = "cover-80"\ndepth = 18\noversize = {}\n'
)
SLOW_BROWSER_S = 3.0


def checked(folder: Path, oversize: float) -> Check:
    path = folder / "some.toml"
    path.write_text(DESIGN.format(oversize))
    return check(read_design(path))


@pytest.fixture(scope="module")
def sinks(tmp_path_factory: pytest.TempPathFactory) -> tuple[Check, Feel, Path]:
    """A lid that sinks in some seconds, and its page."""
    folder = tmp_path_factory.mktemp("sinks")
    found = checked(folder, 1.15)
    felt = feel_of(found)
    assert felt is not None and felt.sink_s is not None
    page = folder / "page.html"
    page.write_text(report_page(report_of(found)), encoding="utf-8")
    return found, felt, page


def test_a_lid_takes_the_time_on_the_page_that_it_was_said_to(
    browser: Browser, sinks: tuple[Check, Feel, Path]
) -> None:
    _, felt, path = sinks
    assert felt.sink_s is not None
    page, _ = open_page(browser, path, motion=True)
    started = time.monotonic()
    page.click("button[name=sink]")
    page.wait_for_selector("#turning-view[data-sinks=down]", timeout=60_000)
    took = time.monotonic() - started
    assert felt.sink_s.low - 0.2 < took < felt.sink_s.high + SLOW_BROWSER_S
    assert "sinks by itself" in (page.locator(".pace").text_content() or "")
    assert page.locator("#lift").input_value() == "0"


def test_where_motion_is_reduced_it_is_down_at_once(
    browser: Browser, sinks: tuple[Check, Feel, Path]
) -> None:
    page, _ = open_page(browser, sinks[2])
    page.click("button[name=sink]")
    page.wait_for_selector("#turning-view[data-sinks=down]", timeout=1_500)


def test_the_way_ends_on_the_seat_between_both_times(sinks: tuple[Check, Feel, Path]) -> None:
    _, felt, _ = sinks
    way = way_down(felt)
    assert felt.sink_s is not None
    assert way[0, 0] == 0.0 and way[-1, 1] == 0.0
    assert felt.sink_s.low < way[-1, 0] < felt.sink_s.high
    assert (way[1:, 0] > way[:-1, 0]).all() and (way[1:, 1] < way[:-1, 1]).all()


def test_a_lid_that_presses_has_no_button(tmp_path: Path) -> None:
    felt = feel_of(checked(tmp_path, 0.8))
    assert felt is not None and sink_scene(felt) == {}
    assert "let the lid go" not in report_page(report_of(checked(tmp_path, 0.8)))


def test_the_curve_falls_and_passes_through_the_lid_as_drawn(
    sinks: tuple[Check, Feel, Path],
) -> None:
    _, felt, _ = sinks
    drawing = sink_drawing(felt)
    assert drawing is not None and felt.sink_s is not None
    curves = re.findall(r'<polyline class="mark" points="([^"]+)"', "".join(drawing.marks))
    dots = re.findall(r'cx="([\d.]+)" cy="([\d.]+)"', "".join(drawing.marks))
    assert len(curves) == 2 and len(dots) == 2
    for curve, (x, y) in zip(curves, dots, strict=True):
        points = [tuple(map(float, pair.split(","))) for pair in curve.split()]
        assert all(b[1] >= a[1] for a, b in itertools.pairwise(points))
        near = min(points, key=lambda at: abs(at[0] - float(x)))
        assert near[1] == pytest.approx(float(y), abs=1.0)
    assert json.dumps(sink_scene(felt))


def test_more_play_is_less_time(sinks: tuple[Check, Feel, Path]) -> None:
    """d ln t / d play is -3 / play for an even gap: here tabs narrow a wider one."""
    own = sinks[1].measured
    found = by_play(own, [0.0, 0.1, 0.2, 0.4])
    middles = [one.middle_s for one in found]
    assert middles == sorted(middles, reverse=True)
    assert all(one.corner_s < one.middle_s for one in found)
