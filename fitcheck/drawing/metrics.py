"""Texts are measured in the one font that is shipped, so that what fits here fits on paper."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from functools import cache
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from fitcheck.errors import MissingLibraryError

if TYPE_CHECKING:
    from reportlab.pdfbase.cidfonts import UnicodeCIDFont
    from reportlab.pdfbase.ttfonts import TTFont

FONT_NAME = "DejaVuSansCondensed"
FONT_FAMILY = "DejaVu Sans Condensed"
REPLACEMENT = "\ufffd"
_READERS_FONTS = {
    "HYSMyeongJo-Medium": ((0x1100, 0x11FF), (0x3130, 0x318F), (0xAC00, 0xD7A3)),
    "STSong-Light": ((0x2E80, 0x312F), (0x31A0, 0x9FFF), (0xF900, 0xFAFF), (0xFF00, 0xFFEF)),
}
"""Fonts for Korean, and for Chinese and Japanese, with the Unicode blocks they are used for."""
ASCENT = 0.78
"""Tallest letter above the baseline over the size of the type."""
DESCENT = 0.24
"""Lowest tail below the baseline over the size of the type."""
CAP = 0.729
"""Height of a capital over the size of the type (read from the font)."""


def font_path() -> Path:
    """The shipped font. Raises MissingLibraryError when the installation has lost it."""
    path = Path(str(resources.files("fitcheck.drawing") / "fonts" / f"{FONT_NAME}.ttf"))
    if not path.is_file():
        raise MissingLibraryError(
            f"{path}: the font for drawings is missing; install fitcheck again", package="fitcheck"
        )
    return path


@cache
def font() -> TTFont:
    """The font as the PDF library has it."""
    from reportlab.pdfbase.ttfonts import TTFont

    return TTFont(FONT_NAME, str(font_path()))


def runs(text: str) -> list[tuple[str, str]]:
    """A line of text in stretches, each with the name of the PDF font that has its letters.

    East Asian letters go to the fonts that PDF readers bring with them (ISO 32000-1, 9.7.5.2), a
    letter that none of them has is shown as the replacement mark.

    >>> runs("Box \\u6e2f")
    [('DejaVuSansCondensed', 'Box '), ('STSong-Light', '\u6e2f')]
    """
    lettered = [_font_for(sign) for sign in text]
    return [
        (name, "".join(sign for _, sign in group))
        for name, group in itertools.groupby(lettered, key=lambda pair: pair[0])
    ]


def has_shape(sign: str, embedded: bool) -> bool:
    """Whether a sign can be printed; ``embedded``: in the shipped font, not in the reader's."""
    if sign < " ":  # a line's end
        return True
    name, shown = _font_for(sign)
    return shown == sign and not (embedded and name != FONT_NAME)


def register_fonts(texts: Iterable[str]) -> None:
    """Make the fonts that the texts need known to the PDF library."""
    from reportlab.pdfbase import pdfmetrics

    pdfmetrics.registerFont(font())
    for name in sorted({name for text in texts for name, _ in runs(text)} - {FONT_NAME}):
        pdfmetrics.registerFont(_readers_font(name))


def _font_for(sign: str) -> tuple[str, str]:
    code = ord(sign)
    if code in font().face.charToGlyph:
        return FONT_NAME, sign
    for name, blocks in _READERS_FONTS.items():
        if any(first <= code <= last for first, last in blocks):
            return name, sign
    return FONT_NAME, REPLACEMENT


@cache
def _readers_font(name: str) -> UnicodeCIDFont:
    from reportlab.pdfbase.cidfonts import UnicodeCIDFont

    return UnicodeCIDFont(name)


@cache
def text_width_mm(text: str, height_mm: float) -> float:
    """Length of one line of text, mm.

    >>> round(text_width_mm("base", 10.0), 2)
    21.45
    """
    return float(
        sum(
            (font() if name == FONT_NAME else _readers_font(name)).stringWidth(bit, height_mm)
            for name, bit in runs(text)
        )
    )
