"""A body becomes the closed mesh for the printer, by a mesh library; no solid modeller is asked."""

from typing import Any

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.solids.body import Ball, Outline, Printed, Recess, count_of
from fitcheck.solids.libraries import load_manifold
from fitcheck.solids.meshes import Mesh, make_mesh

CLEAR_MM = 1.0
"""How far a cutter of letters stands out of the face."""
SHARE = 1e-6
"""Greatest share by which the removed volume may differ from the letters' own."""


def mesh_of(body: Printed, name: str) -> Mesh:
    """The mesh of a body. Raises ``ModelError`` when letters leave their face or it stays open."""
    if isinstance(body, Ball):
        made = _ball(body)
    else:
        made = _prism(body.outline, 0.0, body.height_mm, body.chamfer_mm)
        for room in body.rooms:
            made -= _prism(room.outline, room.low_mm, room.high_mm)
        for recess in body.recesses:
            made = _sunk(made, recess)
    raw = made.to_mesh64()
    return make_mesh(raw.vert_properties[:, :3], raw.tri_verts, name)


def _prism(outline: Outline, low_mm: float, high_mm: float, chamfer_mm: float = 0.0) -> Any:
    """Rings of as many points over each other, closed by the two ends."""
    manifold = load_manifold()
    levels = [(chamfer_mm, low_mm), (0.0, low_mm + chamfer_mm), (0.0, high_mm)]
    levels = levels if chamfer_mm > 0.0 else [levels[0], levels[-1]]
    rings = [outline.strokes(inset) for inset, _ in levels]
    count = len(rings[0])
    vertices = np.vstack(
        [
            np.column_stack([ring, np.full(count, z)])
            for ring, (_, z) in zip(rings, levels, strict=True)
        ]
    )
    rim = np.arange(count)
    onward = np.roll(rim, -1)
    faces = [
        manifold.triangulate([rings[0]])[:, ::-1],
        manifold.triangulate([rings[-1]]) + count * (len(rings) - 1),
    ]
    for level in range(len(rings) - 1):
        here, there = level * count, (level + 1) * count
        faces.append(np.column_stack([rim + here, onward + here, onward + there]))
        faces.append(np.column_stack([rim + here, onward + there, rim + there]))
    return solid_mesh(vertices, np.vstack(faces))


def solid_mesh(vertices: np.ndarray, faces: np.ndarray) -> Any:
    """The mesh library's solid of corners (n, 3) and triangles (m, 3). Raises ``ModelError``."""
    manifold = load_manifold()
    made = manifold.Manifold(manifold.Mesh64(vertices, faces.astype(np.uint64)))
    if made.status() != manifold.Error.NoError:
        raise ModelError(f"its faces make no solid ({made.status()})")
    return made


def _ball(ball: Ball) -> Any:
    """Quarters of its circles are divided evenly: it is as wide as it should be."""
    quarter = count_of(max(ball.size_mm) / 2, np.pi / 2)
    # The facets in the middle of an octant are larger than those along its sides.
    unit = load_manifold().Manifold.sphere(1.0, 8 * quarter)
    half = [size / 2 for size in ball.size_mm]
    return unit.scale(half).translate([0.0, 0.0, half[2]])


def _sunk(made: Any, recess: Recess) -> Any:
    manifold = load_manifold()
    flat = manifold.CrossSection(
        [line for letter in recess.letters for line in (letter.outer, *letter.holes)]
    )
    cutter = manifold.Manifold.extrude(flat, recess.depth_mm + CLEAR_MM)
    place = recess.frame.copy()
    place[:, 3] -= recess.depth_mm * place[:, 2]
    cut = made - cutter.transform(place)
    removed, wanted = made.volume() - cut.volume(), flat.area() * recess.depth_mm
    if abs(removed - wanted) > SHARE * made.volume():
        raise ModelError("the engraving does not lie within its face")
    return cut
