"""Triangles are what every mesh file becomes; how many there may be is settled here."""

import itertools
from array import array
from dataclasses import dataclass, field

import numpy as np

from fitcheck.errors import InputError
from fitcheck.plain import shown

MOST_TRIANGLES = 500_000
"""A scan of a hand-sized thing has a hundred thousand or two."""
MOST_VERTICES = 3 * MOST_TRIANGLES
"""Some formats give each triangle three vertices of its own."""
EXPORT_AGAIN = "export it again as STL, 3MF, OBJ or PLY"


@dataclass(frozen=True, eq=False)
class Triangles:
    """A surface as a file gives it: it may be open, and its triangles may be wound either way."""

    vertices: np.ndarray
    """(n, 3) float64, mm"""
    faces: np.ndarray
    """(m, 3) int64, indices into ``vertices``"""
    unit_mm: float = 1.0
    """The unit in which the file was drawn; formats without one are taken as millimetres."""


@dataclass
class Collected:
    """Vertices and triangles while a file is read; it stops at the greatest number of either."""

    coordinates: "array[float]" = field(default_factory=lambda: array("d"))
    """x, y, z of one vertex after the other."""
    corners: "array[int]" = field(default_factory=lambda: array("q"))
    """Three indices of one triangle after the other."""

    @property
    def vertex_count(self) -> int:
        """How many vertices there are so far."""
        return len(self.coordinates) // 3

    def check(self) -> None:
        """Raises ``InputError`` when there are too many already."""
        check_counts(self.vertex_count, len(self.corners) // 3)

    def add_polygon(self, corners: list[int]) -> None:
        """A polygon as the fan of triangles from its first corner."""
        first = corners[0]
        for second, third in itertools.pairwise(corners[1:]):
            self.corners.extend((first, second, third))
        self.check()

    def triangles(self) -> Triangles:
        """What was collected, as arrays."""
        self.check()
        return Triangles(
            np.array(self.coordinates, dtype=np.float64).reshape(-1, 3),
            np.array(self.corners, dtype=np.int64).reshape(-1, 3),
        )


def check_counts(vertices: int, triangles: int) -> None:
    """Raises ``InputError`` when a mesh has more of either than is read."""
    if triangles > MOST_TRIANGLES or vertices > MOST_VERTICES:
        raise InputError(
            f"has more than {MOST_TRIANGLES:,} triangles or {MOST_VERTICES:,} vertices; allowed: "
            "as many as that; reduce them in a mesh editor"
        )


def check_indices(mesh: Triangles, owner: str = "") -> None:
    """Raises ``InputError`` when a triangle names a vertex that there is not."""
    wrong = (mesh.faces < 0) | (mesh.faces >= len(mesh.vertices))
    if wrong.any():
        row, corner = np.argwhere(wrong)[0]
        raise InputError(
            f"{owner}triangle {row + 1} names vertex {mesh.faces[row, corner]}; allowed: 0 to "
            f"{len(mesh.vertices) - 1}, counted from 0; {EXPORT_AGAIN}"
        )


def number(word: str | bytes) -> float:
    """A coordinate as a text file writes it; raises ``ValueError``.

    >>> number(b"-1.5e1")
    -15.0
    """
    if len(word) > 100:
        raise ValueError("a number of more than 100 signs")
    return float(word)


def wrong_line(place: int, line: bytes, allowed: str) -> InputError:
    """What to raise about a line of a text file."""
    said = shown(line.strip()[:80].decode(errors="replace"))
    return InputError(f"line {place}: read {said}; allowed: {allowed}; {EXPORT_AGAIN}")
