"""The labels over a picture cover none of each other, whichever way the box is turned."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.outputs.report.model import report_of
from fitcheck.outputs.report.render import report_page
from tests.browser.browser import open_page, settle

DRAWER = """format = 1
title = "Lavender drawer"
unit = "in"
tools = "score-board-inch"
[base]
style = "tray"
stock = "cardstock-270"
floor = ["2 1/2", "3 3/4"]
depth = "1 1/8"
[sleeve]
style = "sleeve"
stock = "cardstock-270"
ease = ["3/32", "3/32"]
length = "3 13/16"
seam = "1/2"
notch = "15/32"
"""
"""Its play upwards is less than across, so that both are told in the picture."""


def overlaps(page: Page) -> list[tuple[str, str]]:
    """The labels that lie over each other, by their words."""
    shown = [one for one in page.locator(".place").all() if one.is_visible()]
    boxes = [(one.inner_text(), one.bounding_box()) for one in shown]
    assert len(boxes) == 2
    found = []
    for (name, a), (other, b) in itertools.combinations(boxes, 2):
        assert a and b
        beside = a["x"] + a["width"] <= b["x"] or b["x"] + b["width"] <= a["x"]
        above = a["y"] + a["height"] <= b["y"] or b["y"] + b["height"] <= a["y"]
        if not (beside or above):
            found.append((name, other))
    return found


@pytest.mark.parametrize("width", [390, 900, 1280])
def test_labels_are_apart_however_the_box_is_turned(
    browser: Browser, tmp_path: Path, width: int
) -> None:
    path = tmp_path / "drawer.toml"
    path.write_text(DRAWER)
    written = tmp_path / "drawer.html"
    written.write_text(report_page(report_of(check(read_design(path)))))
    page, heard = open_page(browser, written, width=width)
    over = overlaps(page)
    canvas = page.locator("canvas")
    canvas.focus()
    for key in ["ArrowLeft"] * 12 + ["ArrowUp"] * 4:
        page.keyboard.press(key)
        settle(page)
        over += overlaps(page)
    assert over == [] and heard.complaints == []
    page.close()
