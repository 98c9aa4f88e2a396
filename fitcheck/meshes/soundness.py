"""What every mesh must be before anything is computed with it: a body that could go in a box."""

from dataclasses import replace

import numpy as np

from fitcheck.errors import InputError
from fitcheck.meshes.triangles import Triangles, check_counts, check_indices
from fitcheck.workspace.lengths import LARGEST_MM

SMALLEST_MM = 1.0
"""Nothing whose greatest size is less is packed."""
THINNEST_MM = 0.01
"""Less than any paper, and far more than what single precision leaves of a flat drawing."""
FARTHEST_MM = 1e6
"""From the origin: beyond it single precision no longer tells the tenths of a millimetre."""

_UNITS_MM = {
    "millimetres": 1.0,
    "metres": 1000.0,
    "inches": 25.4,
    "centimetres": 10.0,
    "micrometres": 0.001,
}
_ORDINARY_MM = (10.0, 1000.0)
"""Between these lies the greatest size of most things that go in a paper box."""


def checked(mesh: Triangles) -> Triangles:
    """The mesh without vertices that no triangle has, if it is a body with three sizes.

    Raises ``InputError`` with one line that lacks the file's name. Whether it is closed is not
    asked: what goes in a box is told by its outline, only a printed stand-in has to be a solid.
    """
    check_counts(len(mesh.vertices), len(mesh.faces))
    if len(mesh.faces) == 0:
        content = "points and no triangles" if len(mesh.vertices) else "no triangles"
        raise InputError(f"holds {content}; allowed: a surface; make one of it in a mesh editor")
    check_indices(mesh)
    used = _without_unused(mesh)
    _check_numbers(used.vertices)
    _check_size(np.ptp(used.vertices, axis=0), used.unit_mm)
    _check_thickness(used.vertices)
    return used


def _without_unused(mesh: Triangles) -> Triangles:
    used = np.zeros(len(mesh.vertices), dtype=bool)
    used[mesh.faces] = True
    if used.all():
        return mesh
    return replace(mesh, vertices=mesh.vertices[used], faces=(np.cumsum(used) - 1)[mesh.faces])


def _check_numbers(vertices: np.ndarray) -> None:
    if not np.isfinite(vertices).all():
        bad = vertices[~np.isfinite(vertices).all(axis=1)]
        raise InputError(
            f"holds {len(bad):,} vertices that are not numbers; allowed: finite ones; export it "
            "again"
        )
    far = float(np.abs(vertices).max())
    if far > FARTHEST_MM:
        raise InputError(
            f"reaches {far:.3g} mm from its origin; allowed: up to {FARTHEST_MM:g} mm; move it to "
            "the origin and check its unit (millimetres are assumed where a format has none)"
        )


def _check_size(extents: np.ndarray, unit_mm: float) -> None:
    largest = float(extents.max())
    if SMALLEST_MM <= largest <= LARGEST_MM:
        return
    low, high = _ORDINARY_MM
    sizes = [
        f"{_times(extents / unit_mm * factor)} mm if it was drawn in {name}"
        for name, factor in _UNITS_MM.items()
        if low <= largest / unit_mm * factor <= high
    ]
    perhaps = f" ({', '.join(sizes)})" if sizes else ""
    raise InputError(
        f"measures {_times(extents)} mm; allowed: its greatest size from {SMALLEST_MM:g} to "
        f"{LARGEST_MM:g} mm; export it in millimetres{perhaps}"
    )


def _check_thickness(vertices: np.ndarray) -> None:
    """Along the axis in which the vertices spread least, whichever way the body is turned."""
    about = vertices - vertices.mean(axis=0)
    _, axes = np.linalg.eigh(about.T @ about)
    thickness = float(np.ptp(about @ axes[:, 0]))
    if thickness < THINNEST_MM:
        raise InputError(
            f"is flat: it measures {_times(np.ptp(vertices, axis=0))} mm and is {thickness:.2g} mm "
            f"thick; allowed: a body at least {THINNEST_MM:g} mm thick; give it its thickness, or "
            'make the item a kind = "card" with its size'
        )


def _times(sizes: np.ndarray) -> str:
    return " x ".join(f"{float(size):.4g}" for size in sizes)
