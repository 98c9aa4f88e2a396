"""OBJ: its vertices and polygons only; what it says of materials and other files is not followed.

Lines ``v x y z`` and ``f a b c ...``, each corner ``vertex/texture/normal``, of which the vertex
counts; numbers start at 1, and negative ones count back from the vertices read so far.
"""

import io

from fitcheck.errors import InputError
from fitcheck.meshes.triangles import EXPORT_AGAIN, Collected, Triangles, number, wrong_line


def read(raw: bytes) -> Triangles:
    """The triangles of an OBJ file; raises ``InputError`` whose line lacks the file's name."""
    found = Collected()
    joined = raw.replace(b"\\\r\n", b" ").replace(b"\\\n", b" ")
    for place, line in enumerate(io.BytesIO(joined), start=1):
        words = line.split()
        if not words:
            continue
        if words[0] == b"v":
            try:
                x, y, z = map(number, words[1:4])
            except ValueError:
                raise wrong_line(place, line, "v and three numbers") from None
            found.coordinates.extend((x, y, z))
        elif words[0] == b"f":
            try:
                corners = [_index(word, found.vertex_count) for word in words[1:]]
            except (ValueError, OverflowError):
                raise wrong_line(place, line, "f and the numbers of its vertices, from 1") from None
            if len(corners) < 3:
                raise wrong_line(place, line, "f and at least three vertices")
            found.add_polygon(corners)
    if not found.coordinates:
        raise InputError(f"holds no vertices: it is no OBJ file; {EXPORT_AGAIN}")
    return found.triangles()


def _index(word: bytes, so_far: int) -> int:
    """The vertex that a corner names, from 0; raises ``ValueError``."""
    said = word.partition(b"/")[0]
    if len(said) > 20:
        raise ValueError("a number of more than 20 signs")
    named = int(said)
    index = named - 1 if named > 0 else so_far + named
    if named == 0 or index < 0:
        raise ValueError("no such vertex")
    return index
