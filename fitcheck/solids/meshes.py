"""What every mesh must be is checked here: closed, wound outward, on a grid, in one order."""

from dataclasses import dataclass

import numpy as np

from fitcheck.errors import ModelError

GRID_MM = 2.0**-14
"""Vertices lie on this grid: single precision then holds them exactly up to 1024 mm, so that
every file format gives back the same solid."""
# Off the middle, so that copies of a vertex whose coordinate is a short binary fraction, and
# that differ in the last place only, fall on the same grid point.
_ROUNDING = 0.637


@dataclass(frozen=True, eq=False)
class Mesh:
    """A closed surface of triangles, counter-clockwise seen from outside."""

    vertices: np.ndarray
    """(n, 3) mm"""
    faces: np.ndarray
    """(m, 3) indices into ``vertices``"""

    @property
    def corners(self) -> np.ndarray:
        """Least and greatest coordinates, (2, 3) mm."""
        return np.array([self.vertices.min(axis=0), self.vertices.max(axis=0)])

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Extents along x, y, z."""
        x, y, z = np.ptp(self.vertices, axis=0).tolist()
        return x, y, z

    @property
    def volume_mm3(self) -> float:
        """Enclosed volume, by the divergence theorem; positive when wound outward."""
        a, b, c = (self.vertices[self.faces[:, k]] for k in range(3))
        return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def make_mesh(vertices: np.ndarray, faces: np.ndarray, name: str) -> Mesh:
    """A mesh on the grid, checked to be closed.

    ``vertices`` (n, 3) mm with copies allowed, ``faces`` (m, 3). Raises ``ModelError``.
    """
    distinct, index = np.unique(grid_points(vertices), axis=0, return_inverse=True)
    joined = index.reshape(-1)[np.asarray(faces, dtype=np.int64)]
    a, b, c = joined.T
    joined = joined[(a != b) & (b != c) & (c != a)]
    mesh = Mesh(distinct * GRID_MM, _in_order(joined))
    fault = mesh_fault(mesh)
    if fault is not None:
        raise ModelError(f"the mesh of {name} is not a closed solid: {fault}")
    return mesh


def _in_order(faces: np.ndarray) -> np.ndarray:
    """Triangles from their least corner on, sorted: libraries may list them in a different order
    from run to run, and the same solid has to be the same bytes."""
    first = np.argmin(faces, axis=1)
    turned = faces[np.arange(len(faces))[:, None], (first[:, None] + np.arange(3)) % 3]
    ordered: np.ndarray = turned[np.lexsort(turned.T[::-1])]
    return ordered


def grid_points(vertices: np.ndarray) -> np.ndarray:
    """The grid point of each vertex (n, 3), in steps of ``GRID_MM``."""
    points: np.ndarray = np.floor(np.asarray(vertices, dtype=float) / GRID_MM + _ROUNDING)
    return points.astype(np.int64)


def mesh_fault(mesh: Mesh) -> str | None:
    """What keeps a mesh from being a closed, consistently wound solid; None when it is one.

    The rule of the 3MF core specification: each edge is shared by exactly two triangles that
    run along it in opposite directions.
    """
    if len(mesh.faces) < 4:
        return f"it has {len(mesh.faces)} triangles, and a solid has at least 4"
    starts, ends = mesh.faces.reshape(-1), np.roll(mesh.faces, -1, axis=1).reshape(-1)
    count = len(mesh.vertices)
    there, back = np.sort(starts * count + ends), np.sort(ends * count + starts)
    twice = int((np.diff(there) == 0).sum())
    if twice:
        return f"{twice} edges are run along twice in one direction"
    if not np.array_equal(there, back):
        return f"{len(np.setdiff1d(there, back))} edges have a triangle on one side only"
    if mesh.volume_mm3 <= 0:
        return "its triangles are wound inward"
    return None
