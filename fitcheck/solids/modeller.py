"""The solid modeller is loaded here, on demand, and its absence is told with the cure."""

import importlib
from typing import Any

from fitcheck.errors import MissingLibraryError

SYSTEM_LIBRARY = "libGL.so.1"
SYSTEM_PACKAGE = "libgl1"


def load_cadquery() -> Any:
    """The module ``cadquery``; its first import takes some seconds.

    Raises ``MissingLibraryError`` that names what to install.
    """
    try:
        return importlib.import_module("cadquery")
    except ImportError as error:
        raise missing(error) from error


def missing(error: ImportError) -> MissingLibraryError:
    """What to tell the person at the bench about an import of the modeller that failed."""
    if SYSTEM_LIBRARY in str(error):
        return MissingLibraryError(
            f"solids need the system library {SYSTEM_LIBRARY}, which this machine lacks: "
            f"install it with 'apt-get install {SYSTEM_PACKAGE}' "
            f"(Debian, Ubuntu; elsewhere the package that holds {SYSTEM_LIBRARY})",
            package=SYSTEM_PACKAGE,
        )
    if ".so" in str(error):
        return MissingLibraryError(
            f"the solid modeller cannot load a system library ({error}): "
            "install the package that holds the library named here",
            package="cadquery",
        )
    return MissingLibraryError(
        f"solids need the Python package cadquery ({error}): "
        "install it with 'pip install cadquery'",
        package="cadquery",
    )
