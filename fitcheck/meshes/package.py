"""An archive's parts are unpacked within a budget, and only those that are read.

What a part will take is asked before it is opened, and it is unpacked piece by piece; all of them
together may take no more than a plain file may. Pictures and settings beside a model stay packed.
"""

import io
import zipfile
import zlib
from collections.abc import Iterator

from fitcheck.errors import InputError
from fitcheck.meshes.triangles import EXPORT_AGAIN
from fitcheck.workspace.reading import Most

MOST_PARTS = 10_000
"""Of an archive: a list of them is made before anything is read."""
MOST_UNPACKED_BYTES = Most.MESH.size_bytes
PIECE_BYTES = 65_536

_LISTED = b"PK\x01\x02"
"""What each line of an archive's own list starts with."""
_PLAIN = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
"""The open packaging conventions allow no other packing."""
_ENCRYPTED = 0x1


class Package:
    """The parts of an archive by name, whatever the case of its letters.

    Raises ``InputError`` whose line lacks the file's name.
    """

    def __init__(self, raw: bytes) -> None:
        if raw.count(_LISTED) > MOST_PARTS:
            raise InputError(
                f"is an archive of more than {MOST_PARTS:,} files; allowed: as many as that; "
                f"{EXPORT_AGAIN}"
            )
        try:
            self._archive = zipfile.ZipFile(io.BytesIO(raw))
        except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError) as error:
            raise _broken(error) from None
        self._parts = {_plain_name(part.filename): part for part in self._archive.infolist()}
        self._left_bytes = MOST_UNPACKED_BYTES

    def __contains__(self, name: str) -> bool:
        return _plain_name(name) in self._parts

    def pieces(self, name: str) -> Iterator[bytes]:
        """The bytes of a part, unpacked as they are asked for; raises ``InputError``."""
        part = self._parts[_plain_name(name)]
        if part.file_size > self._left_bytes:
            raise InputError(
                f"unpacks to {part.file_size:,} bytes and more; allowed: {MOST_UNPACKED_BYTES:,}; "
                "check where it comes from, or reduce its triangles in a mesh editor"
            )
        if part.flag_bits & _ENCRYPTED or part.compress_type not in _PLAIN:
            raise InputError(f"is encrypted, or packed as no 3MF may be; {EXPORT_AGAIN}")
        try:
            with self._archive.open(part) as stream:
                while piece := stream.read(PIECE_BYTES):
                    self._left_bytes -= len(piece)
                    yield piece
        except (
            *(zipfile.BadZipFile, zlib.error, EOFError, OSError),
            *(ValueError, RuntimeError, NotImplementedError),
        ) as error:
            if isinstance(error, InputError):
                raise
            raise _broken(error) from None


def _plain_name(name: str) -> str:
    return name.lstrip("/").lower()


def _broken(error: Exception) -> InputError:
    return InputError(f"is no whole archive ({str(error)[:80]}); {EXPORT_AGAIN}")
