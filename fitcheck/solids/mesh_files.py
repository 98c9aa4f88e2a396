"""A content that is a mesh file is read, checked to be a solid, and laid on the bed."""

import numpy as np

from fitcheck.design.model import Item
from fitcheck.errors import InputError, ModelError
from fitcheck.findings import Finding, Severity
from fitcheck.kinds.mesh_content import MEND_SIZE, read_mesh, size_difference
from fitcheck.solids.correction import IDENTITY, Correction
from fitcheck.solids.finishing import lay_flat
from fitcheck.solids.meshes import Mesh, make_mesh


def read_item(
    item: Item, correction: Correction = IDENTITY
) -> tuple[Mesh, tuple[float, float, float], tuple[Finding, ...]]:
    """The printable mesh of a mesh item, its nominal extents as it lies, and what was noticed.

    Raises ``InputError`` when the file is missing, cannot be read or is not a closed solid.
    """
    read = read_mesh(item)
    vertices, faces = read.vertices, read.faces
    found = _size_findings(item, np.ptp(vertices, axis=0))
    try:
        mesh = lay_flat(_closed(vertices, faces, item.name))
    except ModelError as error:
        raise InputError(
            f"{item.mesh_path}: {error}; allowed is a closed surface: repair it in a mesh editor"
        ) from error
    nominal = mesh.size_mm
    share = np.array(correction.outside(*nominal)) / nominal
    return make_mesh(mesh.vertices * share, mesh.faces, item.name), nominal, found


def _closed(vertices: np.ndarray, faces: np.ndarray, name: str) -> Mesh:
    """Closed whichever way the whole surface is wound."""
    try:
        return make_mesh(vertices, faces, name)
    except ModelError:
        return make_mesh(vertices, faces[:, ::-1], name)


def _size_findings(item: Item, extents: np.ndarray) -> tuple[Finding, ...]:
    difference = size_difference(item, extents.tolist())
    if difference is None:
        return ()
    words = f"{item.name}: the item {difference}: the dummy is the file's; {MEND_SIZE}"
    return (Finding("mesh-size", words, Severity.CAUTION, item.name),)
