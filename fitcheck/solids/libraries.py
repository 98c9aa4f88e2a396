"""The libraries for solids are loaded here, on demand; a missing one is told with its cure."""

import importlib
from typing import Any

from fitcheck.errors import MissingLibraryError

MESHES = ("manifold3d", "manifold3d", "stand-ins")
MODELLER = ("netgen.occ", "netgen-mesher", "STEP files")


def load_manifold() -> Any:
    """The mesh library ``manifold3d``. Raises ``MissingLibraryError`` that says what to do."""
    return loaded(*MESHES)


def load_modeller() -> Any:
    """The solid modeller ``netgen.occ``, for STEP files only. Raises ``MissingLibraryError``."""
    return loaded(*MODELLER)


def loaded(module: str, package: str, needed_for: str) -> Any:
    """A library by its module. Raises ``MissingLibraryError`` that says what it is needed for."""
    try:
        return importlib.import_module(module)
    except Exception as error:  # a library that is broken raises what it likes
        said = " ".join(f"{error}".split()) or type(error).__name__
        raise MissingLibraryError(
            f"{needed_for} need the Python package {package}, which does not load here ({said}): "
            f"{_cure(said, package)}",
            package=package,
        ) from error


def _cure(said: str, package: str) -> str:
    """What helps, by what the loader said."""
    if ".so" in said or "DLL" in said:
        return (
            "install the system's package that holds the library named in brackets, or "
            f"'pip install --force-reinstall {package}'"
        )
    return f"'pip install {package}', where that package is made for this kind of machine"
