"""Meshes leave as binary STL: millimetres by custom, since the format names no unit."""

from collections.abc import Mapping

import numpy as np

from fitcheck.meshes.stl import RECORD
from fitcheck.solids.meshes import Mesh

# A reader takes a file whose header begins with the word "solid" for the text form.
HEADER = b"binary STL, millimetres".ljust(80, b"\0")


def encode(meshes: Mapping[str, Mesh]) -> bytes:
    """One file with all the meshes; the format keeps no names. 84 + 50 n bytes, n triangles."""
    triangles = np.concatenate([mesh.vertices[mesh.faces] for mesh in meshes.values()])
    records = np.zeros(len(triangles), RECORD)
    across = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    length = np.linalg.norm(across, axis=1, keepdims=True)
    # A triangle too thin to have a normal is given none: readers then work it out.
    records["normal"] = np.divide(across, length, out=np.zeros_like(across), where=length > 0)
    records["corners"] = triangles
    count = np.uint32(len(records)).astype("<u4")
    data: bytes = HEADER + count.tobytes() + records.tobytes()
    return data
