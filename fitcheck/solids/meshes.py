"""A B-rep becomes a closed mesh of triangles, and what every mesh must be is checked here."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from fitcheck.errors import ModelError

LINEAR_MM = 0.005
"""Greatest distance of a triangle from a round face it stands for."""
ANGULAR_RAD = 0.05
"""Greatest turn of a round face over one triangle; this one decides on small bodies."""
REFINEMENTS = (1.0, 1.5, 3.0)
"""How many times finer to try where the volume is off: stretched rounds are meshed coarsely."""
INTEGRAL_SHARE = 1e-6
"""Accuracy asked of the modeller's volumes; its default is off by 1 % on stretched cylinders."""
GRID_MM = 2.0**-14
"""Vertices lie on this grid: single precision then holds them exactly up to 1024 mm, so that
every file format gives back the same solid."""
VOLUME_SHARE = 1e-3
"""Greatest share by which the volumes of a mesh and its B-rep may differ."""

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
    """Triangles from their least corner on, sorted: modellers list them in a different order
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


def tessellate(shape: Any, name: str) -> Mesh:
    """The mesh of a cadquery solid or compound, refined until its volume is the B-rep's.

    Raises ``ModelError`` when it is not closed or its volume stays off.
    """
    brep_mm3 = volume_mm3(shape)
    for finer in REFINEMENTS:
        _forget_triangles(shape)
        points, triangles = shape.tessellate(LINEAR_MM / finer, ANGULAR_RAD / finer)
        vertices = np.array([point.toTuple() for point in points]).reshape(-1, 3)
        mesh = make_mesh(vertices, np.array(triangles).reshape(-1, 3), name)
        if volume_agrees(mesh, brep_mm3):
            break
    check_volume(mesh, brep_mm3, name)
    return mesh


def _forget_triangles(shape: Any) -> None:
    """Else the modeller keeps coarse triangles that it made before for another purpose."""
    from OCP.BRepTools import BRepTools

    BRepTools.Clean_s(shape.wrapped)


def volume_mm3(shape: Any) -> float:
    """The volume of a cadquery shape, integrated to ``INTEGRAL_SHARE``."""
    return float(shape.Volume(INTEGRAL_SHARE))


def volume_agrees(mesh: Mesh, brep_mm3: float) -> bool:
    """Whether the mesh encloses the B-rep's volume within ``VOLUME_SHARE``."""
    return abs(mesh.volume_mm3 - brep_mm3) <= VOLUME_SHARE * brep_mm3


def check_volume(mesh: Mesh, brep_mm3: float, name: str) -> None:
    """Raises ``ModelError`` when the mesh's volume is not the B-rep's within ``VOLUME_SHARE``."""
    if not volume_agrees(mesh, brep_mm3):
        raise ModelError(
            f"the mesh of {name} encloses {mesh.volume_mm3:.3f} mm3, its solid {brep_mm3:.3f} mm3: "
            f"more than {VOLUME_SHARE:.1%} apart"
        )
