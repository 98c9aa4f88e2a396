"""A content that is a mesh file: its triangles, its sizes, and the outlines that the fit sees."""

from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from fitcheck.errors import InputError
from fitcheck.kinds.kind import Item
from fitcheck.kinds.outlines import Plan, convex_outline

if TYPE_CHECKING:
    from fitcheck.meshes.triangles import Triangles

SIZE_MM = 0.05
"""A file whose extents are further than this from the item's sizes is another thing."""

MEND_SIZE = (
    "mend the item's size or the file's unit (millimetres are assumed where a format has none)"
)

Extents = tuple[float, float, float]
"""Width, length and height, mm."""
Stamp = tuple[int, int] | None
"""When a file was last written and how long it is; None where there is none."""


def read_mesh(item: Item) -> "Triangles":
    """The triangles of a mesh item, mm.

    Raises ``InputError`` when the file is missing, cannot be read or is no body (see
    ``fitcheck.meshes``).
    """
    return _triangles(*_place(item))


def mesh_extents(item: Item) -> Extents:
    """Width, length and height of a mesh item's file, mm to a ten-thousandth.

    Raises ``InputError`` when the file cannot be read or is no body with three sizes.
    """
    width, length, height = (round(size, 4) for size in _extents(read_mesh(item)))
    return width, length, height


def mesh_plan(item: Item, up: int) -> Plan:
    """The convex outline of a mesh item seen along axis `up` (0, 1, 2), counter-clockwise, mm.

    The corners lie about the middle of the outline's own extents; its first coordinate is the
    lower of the two other axes. Raises ``InputError`` when the file's extents are not the item's.
    """
    extents, plans = _outlines(*_place(item))
    difference = size_difference(item, extents)
    if difference is not None:
        raise InputError(f"{item.mesh_path}: the item {item.name} {difference}; {MEND_SIZE}")
    return plans[up]


def size_difference(item: Item, extents: Iterable[float]) -> str | None:
    """What an item and its file say where they differ by more than ``SIZE_MM``, else None."""
    has = tuple(extents)
    if max(abs(a - b) for a, b in zip(has, item.size_mm, strict=True)) <= SIZE_MM:
        return None
    said, found = (" x ".join(f"{size:.2f}" for size in sizes) for sizes in (item.size_mm, has))
    return f"says {said} mm and its file measures {found} mm"


def _place(item: Item) -> tuple[Path, Stamp]:
    """The item's file and which writing of it is meant."""
    if item.mesh_path is None:
        raise InputError(f"{item.name}: no mesh file is named; give its place")
    try:
        status = item.mesh_path.stat()
    except (OSError, ValueError):  # the reader says what is wrong with it
        return item.mesh_path, None
    return item.mesh_path, (status.st_mtime_ns, status.st_size)


# One file at a time: its size, its outlines and its stand-in are asked for one after the other.
@lru_cache(maxsize=1)
def _triangles(path: Path, _: Stamp) -> "Triangles":
    from fitcheck.meshes.mesh_file import read_mesh_file

    return read_mesh_file(path)


def _extents(mesh: "Triangles") -> Extents:
    low, high = mesh.vertices.min(axis=0), mesh.vertices.max(axis=0)
    width, length, height = (high - low).tolist()
    return width, length, height


@lru_cache(maxsize=64)
def _outlines(path: Path, stamp: Stamp) -> tuple[Extents, tuple[Plan, Plan, Plan]]:
    import numpy as np

    mesh = _triangles(path, stamp)
    first, second, third = (convex_outline(np.delete(mesh.vertices, up, axis=1)) for up in range(3))
    return _extents(mesh), (first, second, third)
