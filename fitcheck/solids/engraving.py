"""Names and sizes are engraved where nothing is measured, in letters large enough to read.

One face takes one text, or several short ones beside each other: the steps of a gauge.
"""

from dataclasses import dataclass, replace

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.findings import Finding, Severity
from fitcheck.solids.body import Body, Recess
from fitcheck.solids.letters import drawable, letters_of, text_width

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


def engrave(body: Body, face: Face, name: str, size: str) -> tuple[Body, tuple[Finding, ...]]:
    """The body with its name and size sunk into the face, and what could not be engraved.

    Where both do not fit the name stands alone, else the size alone, else nothing.
    """
    depth = min(DEPTH_MM, face.thickness_mm * DEEPEST_SHARE)
    if depth < SHALLOWEST_MM:
        return body, (_note("engrave-thin", f"{name} is too thin to engrave: mark it by hand"),)
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
            return sunk(body, face, lettering, depth), tuple(findings)
    findings.append(
        _note(
            "engrave-small",
            f"{name}: its face of {face.width_mm:.1f} x {face.height_mm:.1f} mm has no room for "
            f"letters of {LEAST_LETTER_MM:g} mm: mark it by hand",
        )
    )
    return body, tuple(findings)


def _note(code: str, message: str) -> Finding:
    return Finding(code, message, Severity.NOTE)


def _breaks(text: str) -> list[tuple[str, ...]]:
    """The text on one line, and on two where it has a space."""
    words = text.split(" ")
    two = [(" ".join(words[:at]), " ".join(words[at:])) for at in range(1, len(words))]
    return [(text,), *two]


def _letter_height(lines: tuple[str, ...], width_mm: float, height_mm: float) -> float:
    widest = max(text_width(line, 1.0) for line in lines)
    tall = 1 + LINE_PITCH * (len(lines) - 1) + DESCENDER
    return min(width_mm / widest, height_mm / tall, LARGEST_LETTER_MM)


def sunk(body: Body, face: Face, lettering: Lettering, depth_mm: float) -> Body:
    """The body with the lines of a lettering sunk into the middle of a face."""
    right, outward = np.array(face.right, float), np.array(face.outward, float)
    if lettering.turned:
        right = np.cross(outward, right)
    frame = np.column_stack([right, np.cross(outward, right), outward, face.centre])
    count, size = len(lettering.lines), lettering.letter_mm
    letters = tuple(
        letter
        for number, line in enumerate(lettering.lines)
        for letter in letters_of(line, size, (((count - 1) / 2 - number) * LINE_PITCH - 0.5) * size)
    )
    return replace(body, recesses=(*body.recesses, Recess(letters, frame, depth_mm)))


@dataclass(frozen=True)
class Patch:
    """A text and the upright rectangle of the face that it has to itself."""

    text: str
    at: tuple[float, float]
    """Its middle in the face's own frame, mm."""
    width_mm: float
    height_mm: float


def label(
    body: Body,
    patches: tuple[Patch, ...],
    origin: tuple[float, float, float],
    outward: tuple[float, float, float],
) -> Body:
    """The body with every text sunk into its face through ``origin``; x runs to the right.

    Raises ``ModelError`` when a text is too long for its patch.
    """
    right = np.array([1.0, 0.0, 0.0])
    up = np.cross(outward, right)
    for patch in patches:
        room = (patch.width_mm - 2 * MARGIN_MM, patch.height_mm - 2 * MARGIN_MM)
        lettering = fit_lettering((patch.text,), *room)
        if lettering is None:
            raise ModelError(
                f"'{patch.text}' does not fit on {patch.width_mm:.1f} x {patch.height_mm:.1f} mm"
            )
        x, y, z = (np.array(origin) + patch.at[0] * right + patch.at[1] * up).tolist()
        face = Face((x, y, z), (1.0, 0.0, 0.0), outward, *room, DEPTH_MM)
        body = sunk(body, face, lettering, DEPTH_MM)
    return body
