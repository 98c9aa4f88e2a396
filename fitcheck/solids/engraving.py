"""Names and sizes are engraved where nothing is measured, in letters large enough to read."""

import functools
import importlib
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any

from fitcheck.errors import MissingLibraryError
from fitcheck.findings import Finding, Severity
from fitcheck.solids.modeller import load_cadquery
from fitcheck.solids.sinking import place_of, sink

FONT_FILE = "OpenSans-Bold.ttf"
DEPTH_MM = 0.5
DEEPEST_SHARE = 1 / 3
"""A recess takes at most this share of what lies under it."""
SHALLOWEST_MM = 0.2
"""One usual layer: a shallower recess does not print (common practice, no source)."""
LEAST_LETTER_MM = 3.0
"""Capital height that a 0.4 mm nozzle still draws legibly (common practice, no source)."""
LARGEST_LETTER_MM = 7.0
MARGIN_MM = 1.5
LINE_PITCH = 1.7
"""From one line to the next, in capital heights."""
DESCENDER = 0.35
"""Below the last line, in capital heights."""
STROKES = 4
"""Straight strokes for each curve of a letter's outline."""
TURN_GAIN = 1.3
"""Text is turned along a face's other side only when its letters grow by this much."""


@dataclass(frozen=True)
class Face:
    """A flat rectangle of a solid on which text may stand, seen from outside."""

    centre: tuple[float, float, float]
    right: tuple[float, float, float]
    """Unit vector along the lines of text."""
    outward: tuple[float, float, float]
    """Unit vector out of the material."""
    width_mm: float
    """Along ``right``."""
    height_mm: float
    thickness_mm: float
    """Of the material under the face."""


@dataclass(frozen=True)
class Lettering:
    """Lines of text and the size they are drawn in."""

    lines: tuple[str, ...]
    letter_mm: float
    """Height of a capital."""
    turned: bool
    """True when the lines run along the face's height."""


@dataclass(frozen=True)
class _Font:
    path: Path
    capital: float
    """Capital height in em."""
    advance: dict[str, float]
    """Step from each letter to the next in em."""


def font_path() -> Path:
    """The shipped font; raises ``MissingLibraryError`` when the installation lost it.

    The modeller silently takes any other font when its path is wrong, so it is looked for here.
    """
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


def fit_lettering(texts: tuple[str, ...], width_mm: float, height_mm: float) -> Lettering | None:
    """The largest legible lettering of the texts (one below the other, each broken where that
    helps) on a face of that size; None when letters would be too small.
    """
    broken = [_breaks(text) for text in texts if text]
    if not broken:
        return None
    arrangements: list[tuple[str, ...]] = [()]
    for ways in broken:
        arrangements = [(*before, *way) for before in arrangements for way in ways]
    sized = [
        Lettering(lines, letter, turned)
        for turned, (w, h) in ((False, (width_mm, height_mm)), (True, (height_mm, width_mm)))
        for lines in arrangements
        if (letter := _letter_height(lines, w, h)) >= LEAST_LETTER_MM
    ]
    if not sized:
        return None
    return max(sized, key=lambda found: found.letter_mm / (TURN_GAIN if found.turned else 1.0))


def engrave(shape: Any, face: Face, name: str, size: str) -> tuple[Any, tuple[Finding, ...]]:
    """The solid with its name and size sunk into the face, and what could not be engraved.

    Where both do not fit the name stands alone, else the size alone, else nothing.
    """
    depth = min(DEPTH_MM, face.thickness_mm * DEEPEST_SHARE)
    if depth < SHALLOWEST_MM:
        return shape, (_note("engrave-thin", f"{name} is too thin to engrave: mark it by hand"),)
    drawn, lost = drawable(name)
    findings = []
    if lost:
        findings.append(
            _note("engrave-letters", f"{name}: the font has no '{lost}', left out of the engraving")
        )
    width, height = face.width_mm - 2 * MARGIN_MM, face.height_mm - 2 * MARGIN_MM
    for texts, left_out in (((drawn, size), ""), ((drawn,), "size"), ((size,), "name")):
        lettering = fit_lettering(texts, width, height) if all(texts) else None
        if lettering is not None:
            if left_out:
                findings.append(
                    _note("engrave-part", f"{name}: no room to engrave its {left_out} as well")
                )
            return _sink(shape, face, lettering, depth), tuple(findings)
    findings.append(
        _note(
            "engrave-small",
            f"{name}: its face of {face.width_mm:.1f} x {face.height_mm:.1f} mm has no room for "
            f"letters of {LEAST_LETTER_MM:g} mm: mark it by hand",
        )
    )
    return shape, tuple(findings)


def _note(code: str, message: str) -> Finding:
    return Finding(code, message, Severity.NOTE)


@functools.cache
def _font() -> _Font:
    # Comes with the modeller, through its drawing library.
    font_tools = importlib.import_module("fontTools.ttLib")

    path = font_path()
    with font_tools.TTFont(path, lazy=True) as table:
        em = table["head"].unitsPerEm
        widths = table["hmtx"].metrics
        advance = {chr(code): widths[glyph][0] / em for code, glyph in table.getBestCmap().items()}
        return _Font(path, table["OS/2"].sCapHeight / em, advance)


def _breaks(text: str) -> list[tuple[str, ...]]:
    """The text on one line, and on two where it has a space."""
    words = text.split(" ")
    two = [(" ".join(words[:at]), " ".join(words[at:])) for at in range(1, len(words))]
    return [(text,), *two]


def _letter_height(lines: tuple[str, ...], width_mm: float, height_mm: float) -> float:
    widest = max(text_width(line, 1.0) for line in lines)
    tall = 1 + LINE_PITCH * (len(lines) - 1) + DESCENDER
    return min(width_mm / widest, height_mm / tall, LARGEST_LETTER_MM)


def _sink(shape: Any, face: Face, lettering: Lettering, depth_mm: float) -> Any:
    cadquery = load_cadquery()
    right, outward = cadquery.Vector(*face.right), cadquery.Vector(*face.outward)
    if lettering.turned:
        right = outward.cross(right)
    plane = cadquery.Plane(cadquery.Vector(*face.centre), right, outward)
    count = len(lettering.lines)
    letters = []
    for number, line in enumerate(lettering.lines):
        up = ((count - 1) / 2 - number) * LINE_PITCH - 0.5
        letters += letter_faces(line, lettering.letter_mm, up * lettering.letter_mm)
    return sink(shape, plane, letters, depth_mm)


def letter_faces(line: str, letter_mm: float, base_mm: float) -> list[Any]:
    """Flat faces of a line's letters, centred about x = 0 of the plane z = 0."""
    from OCP.Graphic3d import Graphic3d_HorizontalTextAlignment as Across
    from OCP.Graphic3d import Graphic3d_VerticalTextAlignment as Upright
    from OCP.NCollection import NCollection_Utf8String
    from OCP.StdPrs import StdPrs_BRepFont, StdPrs_BRepTextBuilder

    cadquery = load_cadquery()
    font = _font()
    drawn = StdPrs_BRepFont(NCollection_Utf8String(str(font.path)), letter_mm / font.capital)
    outlines = cadquery.Shape.cast(
        StdPrs_BRepTextBuilder().Perform(
            drawn,
            NCollection_Utf8String(line),
            theHAlign=Across.Graphic3d_HTA_LEFT,
            theVAlign=Upright.Graphic3d_VTA_BOTTOM,
        )
    )
    start = cadquery.Vector(-text_width(line, letter_mm) / 2, base_mm, 0)
    return [
        cadquery.Face.makeFromWires(
            _straightened(letter.outerWire(), start),
            [_straightened(hole, start) for hole in sorted(letter.innerWires(), key=place_of)],
        )
        for letter in sorted(outlines.Faces(), key=place_of)
    ]


def _straightened(wire: Any, start: Any) -> Any:
    """The outline of a letter with each of its curves in a few straight strokes.

    Curved letters would be meshed as finely as the faces that are measured, ten times the file.
    """
    strokes = [
        edge.positions([k / STROKES for k in range(STROKES + 1)])
        if edge.geomType() != "LINE"
        else edge.positions([0, 1])
        for edge in wire
    ]
    points = []
    for stroke, following in zip(strokes, strokes[1:] + strokes[:1], strict=True):
        ends = (following[0], following[-1])
        forward = min((stroke[-1] - end).Length for end in ends)
        backward = min((stroke[0] - end).Length for end in ends)
        points += stroke[:-1] if forward < backward else stroke[:0:-1]
    return load_cadquery().Wire.makePolygon([point + start for point in points], close=True)
