"""The one door through which a mesh file is read: by its ending, within bounds, checked.

The formats are read here, with the standard library and numpy, rather than by a general mesh
library: those follow what a file says of materials and pictures in other files, read an OBJ's
backward-counting corners wrongly, and take minutes or gigabytes over a megabyte of names. They
hold these readers in the tests instead.
"""

from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType

from fitcheck.errors import InputError
from fitcheck.meshes import obj, ply, stl, threemf
from fitcheck.meshes.formats import ENDINGS, Format, format_of
from fitcheck.meshes.soundness import checked
from fitcheck.meshes.triangles import Triangles
from fitcheck.workspace.reading import Most, read_bounded

READERS: Mapping[Format, Callable[[bytes], Triangles]] = MappingProxyType(
    {
        Format.STL: stl.read,
        Format.THREEMF: threemf.read,
        Format.OBJ: obj.read,
        Format.PLY: ply.read,
    }
)


def read_mesh_file(path: Path) -> Triangles:
    """The triangles of a mesh file, mm.

    Raises ``InputError`` with one line when it is missing, too large, broken, of another format
    than its ending says, or no body with three sizes.
    """
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        raise InputError(
            f"{path}: is no mesh file by its ending; allowed: {', '.join(ENDINGS)}; export it as "
            "one of these"
        )
    try:
        raw = read_bounded(path, Most.MESH)
    except (FileNotFoundError, NotADirectoryError):
        raise InputError(f"{path}: there is no such mesh file; give its place") from None
    found = format_of(raw)
    if found is not None and found != ending:
        raise InputError(
            f"{path}: holds {found[1:].upper()} and ends in {ending}; allowed: the ending of what "
            f"it holds; name it {path.stem}{found}"
        )
    try:
        return checked(READERS[Format(ending)](raw))
    except InputError as error:
        raise InputError(f"{path}: {error}") from None
