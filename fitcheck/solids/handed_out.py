"""Meshes and solids are handed to other libraries, each asked for when it is wanted."""

import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitcheck.errors import ModelError
from fitcheck.solids import write_step
from fitcheck.solids.libraries import loaded
from fitcheck.solids.meshes import Mesh

if TYPE_CHECKING:
    from cadquery import Compound as Compound  # noqa: PLC0414
    from trimesh import Trimesh as Trimesh  # noqa: PLC0414

TRIMESH = ("trimesh", "trimesh", "meshes in Python")
CADQUERY = ("cadquery", "cadquery", "solids in Python")


def load_trimesh() -> Any:
    """The library for meshes. Raises ``MissingLibraryError`` that says what to do."""
    return loaded(*TRIMESH)


def load_cadquery() -> Any:
    """The library for solids. Raises ``MissingLibraryError`` that says what to do."""
    return loaded(*CADQUERY)


def as_trimesh(mesh: Mesh) -> "Trimesh":
    """A mesh with corners and triangles of its own, mm."""
    return load_trimesh().Trimesh(mesh.vertices.copy(), mesh.faces.copy(), process=False)


def as_cadquery(solids: Mapping[str, Any], name: str) -> "Compound":
    """The modeller's solids as one compound, in place, mm, carried over as STEP.

    Raises ``ModelError`` where as many do not arrive as were sent.
    """
    cadquery = load_cadquery()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "part.step"
        path.write_bytes(write_step.encode(solids, name))
        found = cadquery.importers.importStep(str(path)).solids().vals()
    if len(found) != len(solids):
        raise ModelError(f"{name}: {len(found)} of {len(solids)} solids could be handed over")
    return cadquery.Compound.makeCompound(found)
