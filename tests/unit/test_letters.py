"""Engraved letters against the same font drawn by FreeType (through Pillow), in area and place."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from fitcheck.solids.letters import drawable, font_path, letters_of, text_width

PIXELS = 400
"""Of a capital's em, drawn by FreeType."""
EM = 2048.0
"""Units of the shipped font in an em (its head table)."""
CAPITAL = 1462.0
"""Height of its capitals (its OS/2 table)."""


@pytest.fixture(scope="module")
def font() -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(font_path()), PIXELS, layout_engine=ImageFont.Layout.BASIC)


def drawn(font: ImageFont.FreeTypeFont, text: str) -> np.ndarray:
    """Coverage (0 to 1) of pixels; row 2 PIXELS is the line that letters stand on."""
    page = Image.new("L", (PIXELS * (len(text) + 2), PIXELS * 3))
    ImageDraw.Draw(page).text((PIXELS, 2 * PIXELS), text, fill=255, font=font, anchor="ls")
    return np.asarray(page, float) / 255


@pytest.mark.parametrize("text", ["L", "B", "8", "Ø", "é", "%", "й", "Ł", "i", "×", "85.6", "Av g"])
def test_letters_cover_what_freetype_covers(font: ImageFont.FreeTypeFont, text: str) -> None:
    pixel = PIXELS / EM * CAPITAL  # capitals as high as this make a pixel a unit
    pieces = letters_of(text, pixel, 0.0)
    shift = text_width(text, pixel) / 2
    area, middle = 0.0, np.zeros(2)
    for piece in pieces:
        for line in (piece.outer, *piece.holes):
            x, y = line.T
            step = x * np.roll(y, -1) - y * np.roll(x, -1)
            area += step.sum() / 2
            middle += [((x + np.roll(x, -1)) * step).sum(), ((y + np.roll(y, -1)) * step).sum()]
    middle = middle / (6 * area) + (shift, 0.0)
    seen = drawn(font, text)
    rows, columns = np.indices(seen.shape)
    place = (columns * seen).sum(), (rows * seen).sum()
    # Strokes lie inside the curves by up to 1 in 64 of their height; pixels are whole.
    assert area == pytest.approx(seen.sum(), rel=0.015)
    assert middle[0] == pytest.approx(place[0] / seen.sum() + 0.5 - PIXELS, abs=1.5)
    assert middle[1] == pytest.approx(2 * PIXELS - place[1] / seen.sum() - 0.5, abs=1.5)


def test_holes_are_holes_and_pieces_are_apart() -> None:
    assert [len(piece.holes) for piece in letters_of("B", 5.0, 0.0)] == [2]
    assert [len(piece.holes) for piece in letters_of("i", 5.0, 0.0)] == [0, 0]
    assert letters_of(" ", 5.0, 0.0) == ()
    (stem,) = letters_of("l", 5.0, 1.0)
    assert stem.outer[:, 1].min() == pytest.approx(1.0)


def test_signs_that_the_font_lacks_are_told() -> None:
    assert drawable("a  漢 b\n字") == ("a b", "漢字")
