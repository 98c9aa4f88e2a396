"""Which mesh formats are read, and how a file shows by its first bytes which one it is."""

import enum


class Format(enum.StrEnum):
    """A format by the ending of its files."""

    STL = ".stl"
    THREEMF = ".3mf"
    """Says its unit; the others are taken as millimetres."""
    OBJ = ".obj"
    PLY = ".ply"


ENDINGS = tuple(one.value for one in Format)
STL_HEADER_BYTES = 84
"""Of a binary STL: 80 of any kind, then the 32-bit number of its triangles."""
STL_TRIANGLE_BYTES = 50


def format_of(raw: bytes) -> Format | None:
    """What a file holds, where its first bytes or its length say so for certain."""
    if raw.startswith(b"PK\x03\x04"):
        return Format.THREEMF
    if raw.startswith((b"ply\n", b"ply\r")):
        return Format.PLY
    if is_binary_stl(raw) or (is_text_stl(raw) and b"facet" in raw[:1000]):
        return Format.STL
    return None


def is_binary_stl(raw: bytes) -> bool:
    """Whether it is just as long as the triangles that a binary STL would announce."""
    if len(raw) < STL_HEADER_BYTES:
        return False
    return len(raw) == STL_HEADER_BYTES + STL_TRIANGLE_BYTES * announced_triangles(raw)


def announced_triangles(raw: bytes) -> int:
    """How many triangles a binary STL says it has."""
    return int.from_bytes(raw[STL_HEADER_BYTES - 4 : STL_HEADER_BYTES], "little")


def is_text_stl(raw: bytes) -> bool:
    """Whether it starts as a text STL does."""
    return raw[:1000].lstrip()[:5].lower() == b"solid"
