"""A content that is a mesh file is read here; the fit sees the hull of its points."""

import io
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from fitcheck.design.model import Item
from fitcheck.errors import InputError
from fitcheck.workspace.reading import Most, read_bounded

if TYPE_CHECKING:
    import numpy as np

SIZE_MM = 0.05
"""A file whose extents are further than this from the item's sizes is another thing."""

Plan = tuple[tuple[float, float], ...]


def read_mesh(item: Item) -> tuple["np.ndarray", "np.ndarray"]:
    """Vertices (n, 3) and triangles (m, 3) of a mesh item; lengths are taken as millimetres.

    Raises ``InputError`` when the file is missing or cannot be read.
    """
    import numpy as np
    import trimesh

    path = item.mesh_path
    if path is None or not path.is_file():
        raise InputError(f"{path}: there is no such mesh file for {item.name}: give its place")
    raw = io.BytesIO(read_bounded(path, Most.MESH))
    try:
        read = trimesh.load_mesh(raw, file_type=path.suffix[1:], process=False)
    except Exception as error:  # whatever a reader trips over in a broken file
        raise InputError(
            f"{path}: the mesh cannot be read ({error}); allowed are STL, 3MF, OBJ and PLY"
        ) from error
    if not isinstance(read, trimesh.Trimesh) or len(read.faces) == 0:
        raise InputError(f"{path}: holds no triangles: export it again as STL, 3MF, OBJ or PLY")
    vertices = np.asarray(read.vertices, dtype=float)
    if not np.isfinite(vertices).all():
        raise InputError(f"{path}: holds vertices that are not numbers: export it again")
    return vertices, np.asarray(read.faces)


def mesh_extents(item: Item) -> tuple[float, float, float]:
    """Width, length and height of a mesh item's file, mm to a ten-thousandth.

    Raises ``InputError`` when the file is missing, cannot be read or is flat.
    """
    import numpy as np

    vertices, _ = read_mesh(item)
    width, length, height = (round(float(size), 4) for size in np.ptp(vertices, axis=0))
    if min(width, length, height) <= 0.0:
        raise InputError(
            f"{item.mesh_path}: measures {width:g} x {length:g} x {height:g} mm; allowed: a body "
            "with three sizes above 0; export it again"
        )
    return width, length, height


def mesh_plan(item: Item, up: int) -> Plan:
    """The convex outline of a mesh item seen along axis `up` (0, 1, 2), counter-clockwise, mm.

    The corners lie about the middle of the outline's own extents; its first coordinate is the
    lower of the two other axes. Raises ``InputError`` when the file's extents are not the item's.
    """
    return _plan(item.mesh_path, item, up)


@lru_cache(maxsize=64)
def _plan(path: Path | None, item: Item, up: int) -> Plan:
    import numpy as np
    from scipy.spatial import ConvexHull

    vertices, _ = read_mesh(item)
    extents = np.ptp(vertices, axis=0)
    if np.abs(extents - np.array(item.size_mm)).max() > SIZE_MM:
        says, has = (" x ".join(f"{s:.2f}" for s in sizes) for sizes in (item.size_mm, extents))
        raise InputError(
            f"{path}: the item {item.name} says {says} mm and its file measures {has} mm; mend the "
            "item's size or the file's unit (millimetres are assumed)"
        )
    flat = np.delete(vertices, up, axis=1)
    flat = flat - 0.5 * (flat.min(axis=0) + flat.max(axis=0))
    return tuple((float(x), float(y)) for x, y in flat[ConvexHull(flat).vertices])
