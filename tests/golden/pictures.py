"""The pictures kept as golden images: without texts, since fonts differ between machines."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
from PIL import Image
from playwright.sync_api import Browser

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import Check, check
from fitcheck.outputs.pictures import png
from fitcheck.outputs.publish.fold_pictures import box_picture
from fitcheck.outputs.publish.recipe import Sheets, recipe_of
from fitcheck.outputs.report.model import report_of
from fitcheck.outputs.report.places import places_of
from fitcheck.outputs.report.render import report_page
from fitcheck.outputs.report.section import section_of
from fitcheck.outputs.report.svg import Drawing
from fitcheck.outputs.report.views.scenes import exploded_view, folded_view
from fitcheck.sheet.job import sheet_job
from tests.browser.browser import open_page, settle

HERE = Path(__file__).resolve().parent
MODELS = HERE.parents[1] / "models"
WIDE = 320
"""Pixels across."""
WORDS = re.compile(r'<text|<rect class="label"')

DRAWN: dict[str, Callable[[Check], Drawing]] = {
    "folded": lambda found: folded_view(found, places_of(found), section_of(found)),
    "exploded": exploded_view,
    "closed": lambda found: box_picture(found, "closed", "closed", cover=0.0),
}
STILLS = [
    ("harbour", "folded"),
    ("harbour", "exploded"),
    ("lantern", "folded"),
    ("lantern", "closed"),
    ("rope", "exploded"),
    ("tea", "folded"),
    ("whist", "exploded"),
    ("ferry", "folded"),
    ("picnic", "closed"),
]
STEPS = [
    ("harbour", "base-5"),
    ("tea", "sleeve-6"),
    ("whist", "base-7"),
    ("boathouse", "together-1"),
]
TURNING = [(name, width) for name in ("harbour", "whist") for width in (1280, 390)]
TURNING.append(("picnic", 1280))


def checked(name: str) -> Check:
    """A shipped design."""
    return check(read_design(MODELS / f"{name}.toml"))


def picture(drawing: Drawing) -> Image.Image:
    """A drawing without its texts."""
    marks = tuple(mark for mark in drawing.marks if not WORDS.match(mark))
    raster = Image.open(io.BytesIO(png(replace(drawing, marks=marks).alone())))
    return small(raster)


def small(raster: Image.Image) -> Image.Image:
    """As it is kept."""
    plain = Image.new("RGB", raster.size, "white")
    plain.paste(raster, mask=raster.getchannel("A") if raster.mode == "RGBA" else None)
    return plain.resize((WIDE, round(WIDE * raster.height / raster.width)), Image.Resampling.BOX)


def stills() -> Iterator[tuple[str, Drawing]]:
    """The views, by the names of their files."""
    for name, kind in STILLS:
        yield f"{name}-{kind}", DRAWN[kind](checked(name))


def steps() -> Iterator[tuple[str, Drawing]]:
    """Pictures of steps of a recipe."""
    for name, step in STEPS:
        design = read_design(MODELS / f"{name}.toml")
        recipe = recipe_of(Sheets(check(design), sheet_job(design, Paper.A4, (), 1)), None, None)
        cards = [card for chapter in recipe.chapters for card in chapter.steps if card.picture]
        drawn = {card.picture.name: card.picture for card in cards if card.picture}
        yield f"{name}-{step}", drawn[step]


def turning(browser: Browser, name: str, width: int, folder: Path, spoil: str = "") -> Image.Image:
    """The turning view without its marks, as a browser shows it after a line of script."""
    path = folder / f"{name}.html"
    path.write_text(report_page(report_of(checked(name))), encoding="utf-8")
    page, _ = open_page(browser, path, width=width)
    marks = page.get_by_role("checkbox", name="marks")
    if marks.count():
        marks.uncheck()
    page.evaluate(f"() => {{ const {{ stage }} = window.turningView; {spoil}; stage.later(); }}")
    settle(page)
    shot = Image.open(io.BytesIO(page.locator("canvas").screenshot()))
    page.close()
    return small(shot)


def golden(name: str) -> Image.Image:
    """What is kept of a picture."""
    return Image.open(HERE / f"{name}.png").convert("RGB")


def as_array(image: Image.Image) -> np.ndarray:
    """Rows, columns and channels, 0 to 1."""
    return np.asarray(image, dtype=float) / 255.0
