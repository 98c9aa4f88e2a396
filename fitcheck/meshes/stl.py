"""STL in both its forms, binary and text, as the descriptions of the format agree.

Binary: 80 bytes of header, a 32-bit count, 50 bytes for each triangle, little-endian. Text: solids
of facets with one loop of three vertices each, one statement on a line.
"""

import io

import numpy as np

from fitcheck.errors import InputError
from fitcheck.meshes.formats import (
    STL_HEADER_BYTES,
    STL_TRIANGLE_BYTES,
    announced_triangles,
    is_binary_stl,
    is_text_stl,
)
from fitcheck.meshes.triangles import (
    EXPORT_AGAIN,
    Collected,
    Triangles,
    check_counts,
    number,
    wrong_line,
)

RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
"""One triangle of the binary form, 50 bytes."""

_PASSED_OVER = {b"facet", b"outer", b"endloop"}
"""Statements that say nothing which the vertices do not say."""


def read(raw: bytes) -> Triangles:
    """The triangles of an STL file; raises ``InputError`` whose line lacks the file's name."""
    if is_binary_stl(raw):
        return _binary(raw)
    if is_text_stl(raw):
        return _text(raw)
    if len(raw) < STL_HEADER_BYTES:
        raise InputError(f"is no STL file (it has {len(raw)} bytes); {EXPORT_AGAIN}")
    count = announced_triangles(raw)
    raise InputError(
        f"is no whole STL file: it announces {count:,} triangles, which take "
        f"{STL_HEADER_BYTES + STL_TRIANGLE_BYTES * count:,} bytes, and has {len(raw):,}; "
        f"{EXPORT_AGAIN}"
    )


def _binary(raw: bytes) -> Triangles:
    check_counts(0, announced_triangles(raw))
    corners = np.frombuffer(raw, RECORD, offset=STL_HEADER_BYTES)["corners"]
    return Triangles(
        corners.reshape(-1, 3).astype(np.float64),
        np.arange(3 * len(corners), dtype=np.int64).reshape(-1, 3),
    )


def _text(raw: bytes) -> Triangles:
    found = Collected()
    coordinates = found.coordinates
    inside = False
    for place, line in enumerate(io.BytesIO(raw), start=1):
        words = line.split()
        if not words:
            continue
        keyword = words[0].lower()
        if keyword == b"vertex" and inside:
            try:
                x, y, z = map(number, words[1:])
            except ValueError:
                raise wrong_line(place, line, "vertex and three numbers") from None
            coordinates.extend((x, y, z))
        elif keyword == b"endfacet" and inside:
            start = len(found.corners)
            if found.vertex_count != start + 3:
                raise wrong_line(place, line, "three vertices in each facet before it ends")
            found.corners.extend((start, start + 1, start + 2))
            found.check()
        elif keyword == b"solid" and not inside:
            inside = True
        elif keyword == b"endsolid" and inside:
            inside = False
        elif keyword not in _PASSED_OVER or not inside:
            raise wrong_line(place, line, "the statements of an STL file, solid to endsolid")
    if inside:
        raise InputError(f"ends before its endsolid: it was cut off; {EXPORT_AGAIN}")
    return found.triangles()
