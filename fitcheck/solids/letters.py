"""Letters of the shipped font become flat outlines of straight strokes."""

import functools
import importlib
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np

from fitcheck.errors import MissingLibraryError
from fitcheck.polygons import polygon_area
from fitcheck.solids.body import Letter
from fitcheck.solids.libraries import load_manifold

FONT_FILE = "OpenSans-Bold.ttf"
STROKES = 4
"""Straight strokes for each curve: finer ones would be most of the file and do not print."""


@dataclass(frozen=True, eq=False)
class _Font:
    table: Any
    capital: float
    """Capital height in units of the font."""
    glyphs: dict[str, str]
    """The name of each letter's glyph."""
    advance: dict[str, float]
    """Step from each letter to the next in units of the font."""


def font_path() -> Path:
    """The shipped font; raises ``MissingLibraryError`` when the installation lost it."""
    path = Path(str(resources.files("fitcheck.solids") / "fonts" / FONT_FILE))
    if not path.is_file():
        raise MissingLibraryError(
            f"{path}: the font for engraving is missing; install fitcheck again", package="fitcheck"
        )
    return path


def drawable(text: str) -> tuple[str, str]:
    """The text as it can be engraved on one line, and the letters that the font lacks."""
    advance = _font().advance
    spaced = " ".join(text.split())
    lost = "".join(dict.fromkeys(letter for letter in spaced if letter not in advance))
    kept = "".join(letter for letter in spaced if letter in advance)
    return " ".join(kept.split()), lost


def text_width(text: str, letter_mm: float) -> float:
    """Length of a line whose capitals are ``letter_mm`` high."""
    font = _font()
    return sum(font.advance[letter] for letter in text) * letter_mm / font.capital


def letters_of(line: str, letter_mm: float, base_mm: float) -> tuple[Letter, ...]:
    """The pieces of a line's letters, centred about x = 0, their feet at y = ``base_mm``."""
    font = _font()
    scale = letter_mm / font.capital
    at = -text_width(line, letter_mm) / 2
    pieces = []
    for sign in line:
        shift = np.array([at, base_mm])
        pieces += [_moved(piece, scale, shift) for piece in _glyph(sign)]
        at += font.advance[sign] * scale
    return tuple(pieces)


def _moved(piece: Letter, scale: float, shift: np.ndarray) -> Letter:
    return Letter(piece.outer * scale + shift, tuple(hole * scale + shift for hole in piece.holes))


@functools.cache
def _font() -> _Font:
    font_tools = importlib.import_module("fontTools.ttLib")

    table = font_tools.TTFont(font_path(), lazy=True)
    glyphs = {chr(code): glyph for code, glyph in table.getBestCmap().items()}
    widths = table["hmtx"].metrics
    advance = {sign: float(widths[glyph][0]) for sign, glyph in glyphs.items()}
    return _Font(table, float(table["OS/2"].sCapHeight), glyphs, advance)


@functools.cache
def _glyph(sign: str) -> tuple[Letter, ...]:
    """The pieces of one letter in units of the font; strokes that cross are joined."""
    pens = importlib.import_module("fontTools.pens.recordingPen")
    outlines = _font().table.getGlyphSet()
    pen = pens.DecomposingRecordingPen(outlines)
    outlines[_font().glyphs[sign]].draw(pen)
    contours = _contours(pen.value)
    if not contours:
        return ()
    manifold = load_manifold()
    whole = manifold.CrossSection(contours, manifold.FillRule.NonZero)
    pieces = []
    for part in whole.decompose():
        lines = sorted(part.to_polygons(), key=lambda line: -polygon_area(line))
        pieces.append(Letter(np.array(lines[0]), tuple(np.array(line) for line in lines[1:])))
    return tuple(sorted(pieces, key=lambda piece: piece.outer.min(axis=0).tolist()))


def _contours(drawn: list[tuple[str, tuple[Any, ...]]]) -> list[np.ndarray]:
    """The closed lines that a pen has drawn, their curves in a few straight strokes."""
    split = importlib.import_module("fontTools.pens.basePen").decomposeQuadraticSegment
    contours: list[list[tuple[float, float]]] = []
    for action, points in drawn:
        if action == "moveTo":
            contours.append([points[0]])
        elif action == "lineTo":
            contours[-1].append(points[0])
        elif action == "qCurveTo":
            # A line without a corner of its own begins between its last handle and its first.
            line = points
            if points[-1] is None:
                first, last = points[0], points[-2]
                start = ((first[0] + last[0]) / 2, (first[1] + last[1]) / 2)
                contours.append([start])
                line = (*points[:-1], start)
            for handle, end in split(line):
                contours[-1] += _curve(contours[-1][-1], handle, end)
    return [_without_repeats(contour) for contour in contours if len(contour) > 2]


def _curve(
    start: tuple[float, float], handle: tuple[float, float], end: tuple[float, float]
) -> list[tuple[float, float]]:
    """The corners of the strokes for a quadratic curve, but its first."""
    t = np.arange(1, STROKES + 1)[:, None] / STROKES
    line = (1 - t) ** 2 * start + 2 * t * (1 - t) * np.array(handle) + t**2 * np.array(end)
    return [(x, y) for x, y in line.tolist()]


def _without_repeats(contour: list[tuple[float, float]]) -> np.ndarray:
    points = np.array(contour)
    kept: np.ndarray = points[np.any(points != np.roll(points, 1, axis=0), axis=1)]
    return kept
