"""Several short texts are sunk into one flat face at once: the steps of a gauge, each its size."""

from dataclasses import dataclass
from typing import Any

from fitcheck.errors import ModelError
from fitcheck.solids.engraving import DEPTH_MM, LINE_PITCH, MARGIN_MM, fit_lettering, letter_faces
from fitcheck.solids.modeller import load_cadquery
from fitcheck.solids.sinking import sink


@dataclass(frozen=True)
class Patch:
    """A text and the upright rectangle of the face that it has to itself."""

    text: str
    at: tuple[float, float]
    """Its middle in the face's own frame, mm."""
    width_mm: float
    height_mm: float


def label(
    shape: Any,
    patches: tuple[Patch, ...],
    origin: tuple[float, float, float],
    outward: tuple[float, float, float],
    margin_mm: float = MARGIN_MM,
) -> Any:
    """The solid with every text sunk into its face through ``origin``; x runs to the right.

    Raises ``ModelError`` when a text is too long for its patch.
    """
    cadquery = load_cadquery()
    plane = cadquery.Plane(
        cadquery.Vector(*origin), cadquery.Vector(1.0, 0.0, 0.0), cadquery.Vector(*outward)
    )
    letters = [letter for patch in patches for letter in _placed(patch, margin_mm)]
    return sink(shape, plane, letters, DEPTH_MM)


def _placed(patch: Patch, margin_mm: float) -> list[Any]:
    cadquery = load_cadquery()
    room = (patch.width_mm - 2 * margin_mm, patch.height_mm - 2 * margin_mm)
    lettering = fit_lettering((patch.text,), *room)
    if lettering is None:
        raise ModelError(
            f"'{patch.text}' does not fit on {patch.width_mm:.1f} x {patch.height_mm:.1f} mm"
        )
    size, rows = lettering.letter_mm, lettering.lines
    shift = cadquery.Vector(*patch.at, 0.0)
    placed = []
    for number, row in enumerate(rows):
        base = ((len(rows) - 1) / 2 - number) * LINE_PITCH * size - size / 2
        for letter in letter_faces(row, size, base):
            turned = letter.rotate((0, 0, 0), (0, 0, 1), 90) if lettering.turned else letter
            placed.append(turned.translate(shift))
    return placed
