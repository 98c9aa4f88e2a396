"""A content that is a mesh file is read here; the fit sees the hull of its points."""

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from fitcheck.design.model import Item
from fitcheck.errors import InputError

if TYPE_CHECKING:
    import numpy as np

    from fitcheck.meshes.triangles import Triangles

SIZE_MM = 0.05
"""A file whose extents are further than this from the item's sizes is another thing."""

Plan = tuple[tuple[float, float], ...]


def read_mesh(item: Item) -> "Triangles":
    """The triangles of a mesh item, mm.

    Raises ``InputError`` when the file is missing, cannot be read or is no body (see
    ``fitcheck.meshes``).
    """
    from fitcheck.meshes.reading import read_mesh_file

    if item.mesh_path is None:
        raise InputError(f"{item.name}: no mesh file is named; give its place")
    return read_mesh_file(item.mesh_path)


def mesh_extents(item: Item) -> tuple[float, float, float]:
    """Width, length and height of a mesh item's file, mm to a ten-thousandth.

    Raises ``InputError`` when the file cannot be read or is no body with three sizes.
    """
    import numpy as np

    extents = np.ptp(read_mesh(item).vertices, axis=0)
    width, length, height = (round(float(size), 4) for size in extents)
    return width, length, height


def mesh_plan(item: Item, up: int) -> Plan:
    """The convex outline of a mesh item seen along axis `up` (0, 1, 2), counter-clockwise, mm.

    The corners lie about the middle of the outline's own extents; its first coordinate is the
    lower of the two other axes. Raises ``InputError`` when the file's extents are not the item's.
    """
    return _plans(item.mesh_path, item)[up]


@lru_cache(maxsize=64)
def _plans(path: Path | None, item: Item) -> tuple[Plan, Plan, Plan]:
    import numpy as np

    vertices = read_mesh(item).vertices
    extents = np.ptp(vertices, axis=0)
    if np.abs(extents - np.array(item.size_mm)).max() > SIZE_MM:
        says, has = (" x ".join(f"{s:.2f}" for s in sizes) for sizes in (item.size_mm, extents))
        raise InputError(
            f"{path}: the item {item.name} says {says} mm and its file measures {has} mm; mend the "
            "item's size or the file's unit (millimetres are assumed where a format has none)"
        )
    first, second, third = (_outline(np.delete(vertices, up, axis=1)) for up in range(3))
    return first, second, third


def _outline(flat: "np.ndarray") -> Plan:
    from scipy.spatial import ConvexHull

    middle = flat - 0.5 * (flat.min(axis=0) + flat.max(axis=0))
    return tuple((float(x), float(y)) for x, y in middle[ConvexHull(middle).vertices])
