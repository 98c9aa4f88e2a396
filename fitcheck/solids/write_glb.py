"""Coloured bodies as a binary glTF file (GLB): metres, y upwards, a node for each body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.solids.handed_out import load_trimesh

METRE_MM = 1000.0
ROUGHNESS = 0.9
"""Of paper: hardly any gloss."""
Y_UP = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])
"""From z upwards to y upwards, as glTF 2.0 has it."""


@dataclass(frozen=True, eq=False)
class Coloured:
    """A body of flat faces in one colour."""

    name: str
    triangles: np.ndarray
    """(n, 3, 3) mm, counter-clockwise seen from outside, z upwards."""
    rgb: tuple[float, float, float]
    """As a screen has it (sRGB), 0 to 1."""


def encode(bodies: Sequence[Coloured]) -> bytes:
    """The file; the same bytes every time. Raises ``MissingLibraryError`` without trimesh."""
    trimesh = load_trimesh()
    scene = trimesh.Scene()
    for body in bodies:
        points = body.triangles.reshape(-1, 3) @ Y_UP.T / METRE_MM
        mesh = trimesh.Trimesh(points, np.arange(len(points)).reshape(-1, 3), process=False)
        factor = [*(_linear(channel) for channel in body.rgb), 1.0]
        material = trimesh.visual.material.PBRMaterial(
            name=body.name,
            baseColorFactor=[round(255 * value) for value in factor],
            roughnessFactor=ROUGHNESS,
            metallicFactor=0.0,
        )
        mesh.visual = trimesh.visual.TextureVisuals(material=material)
        scene.add_geometry(mesh, node_name=body.name, geom_name=body.name)
    made: bytes = scene.export(file_type="glb", include_normals=True)
    return made


def _linear(channel: float) -> float:
    """A channel of sRGB as light (IEC 61966-2-1), which glTF's factors are."""
    if channel <= 0.04045:
        return channel / 12.92
    return float(((channel + 0.055) / 1.055) ** 2.4)
