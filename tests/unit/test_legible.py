"""Titles in any script are printed: a sign without a shape is said by its Unicode name."""

from __future__ import annotations

import io
import random
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from fitcheck.design.read import read_design
from fitcheck.drawing.legible import spelled, unshown
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import check
from fitcheck.outputs.publish.film import Cue
from fitcheck.outputs.publish.layouts import film_pdf, not_printed, recipe_page, recipe_pdf
from fitcheck.outputs.publish.recipe import Recipe, Sheets, recipe_of
from fitcheck.outputs.sheet_files import Format, sheet_files
from fitcheck.sheet.job import SheetJob, sheet_job

MODELS = Path(__file__).parents[2] / "models"
A4_MM = (210.0, 297.0)
# names: Unicode Character Database (UnicodeData.txt), as far as a sign has a name of its own
SPELLED = {
    "For Mia \U0001f381": "For Mia [wrapped present]",
    "soap\U0001f9fc": "soap [bar of soap]",
    "\u65e5\u672c": "[U+65E5, U+672C]",
    "Gr\u00fc\u00dfe \u7bb1": "Gr\u00fc\u00dfe [U+7BB1]",
    "\u306f\u3053": "[ha, ko]",
    "\u0e01\u0e47": "[thai character ko kai, thai character maitaikhu]",
    "1\ufe0f\u20e3": "1",
    "\U0001f468\u200d\U0001f467": "[man, girl]",
    "\U0001f44d\U0001f3fd": "[thumbs up sign]",
    "\ue000": "[U+E000]",
    "Caf\u00e9 \u0416 \u03a9": "Caf\u00e9 \u0416 \u03a9",
}


@pytest.mark.parametrize("typed", SPELLED)
def test_signs_without_a_shape_are_said_by_their_names(typed: str) -> None:
    assert spelled(typed, embedded=True) == SPELLED[typed]


@pytest.mark.parametrize("typed", SPELLED)
def test_a_film_sheet_comes_out_whatever_the_title(typed: str) -> None:
    cue = Cue("base", 1, (typed,), typed)
    text = text_of(film_pdf(typed, [cue], A4_MM))
    assert text.count(SPELLED[typed].replace(" ", "")) >= 3
    assert "\ufffd" not in text


def test_film_sheets_come_out_with_titles_drawn_from_all_of_unicode() -> None:
    drawn = random.Random(20)
    signs = [s for s in map(chr, range(0x20, 0x32000)) if s.isprintable()]
    marks = [s for s in map(chr, range(0x300, 0x370))]
    for _ in range(40):
        title = "".join(drawn.choice(signs) + drawn.choice(["", *marks[:3]]) for _ in range(60))
        assert film_pdf(title, (), A4_MM).startswith(b"%PDF")


@pytest.fixture(scope="module")
def job() -> SheetJob:
    design = replace(
        read_design(MODELS / "lantern.toml"), title="\U0001f381 q\u0301 \u05d1\u05b4 1\ufe0f"
    )
    return sheet_job(design, Paper.A4, (), 1)


@pytest.fixture(scope="module")
def recipe(job: SheetJob) -> Recipe:
    made = recipe_of(Sheets(check(job.design), job), None, None)
    return replace(made, by="Mia \U0001f338")


def test_a_recipe_comes_out_whatever_the_title(recipe: Recipe) -> None:
    reader = PdfReader(io.BytesIO(recipe_pdf(recipe)))
    assert reader.metadata is not None
    assert reader.metadata.title == recipe.title
    first = reader.pages[0].extract_text()
    assert "[wrapped present]" in first
    assert "by Mia [cherry blossom]" in first
    assert "[wrapped present]" in reader.pages[-1].extract_text()
    assert not_printed(recipe) == ("\U0001f381", "\U0001f338")


def test_the_page_keeps_the_title_as_it_was_typed(recipe: Recipe) -> None:
    page = recipe_page(recipe, "lantern.pdf")
    assert f"<h1>{recipe.title}</h1>" in page
    assert "[wrapped present]" not in page.partition("</h1>")[0]


def test_a_sheet_says_the_signs_of_its_title(job: SheetJob) -> None:
    files = sheet_files(job, Path(), (Format.PDF,))
    data = files[Path("lantern.pdf")]
    assert isinstance(data, bytes)
    for page in PdfReader(io.BytesIO(data)).pages:
        text = page.extract_text()
        assert "[wrapped present]" in text
        assert "\ufffd" not in text


def test_east_asian_letters_are_left_to_the_readers_own_fonts_on_sheets() -> None:
    # ISO 32000-1, 9.7.5.2: predefined CMaps and the fonts that readers bring for them
    assert spelled("\u7bb1 \U0001f381") == "\u7bb1 [wrapped present]"
    assert unshown(["\u7bb1 \U0001f381"]) == ("\U0001f381",)


def text_of(pdf: bytes) -> str:
    """All text without blanks, as lines break anywhere."""
    pages = PdfReader(io.BytesIO(pdf)).pages
    return "".join("".join(page.extract_text().split()) for page in pages)
