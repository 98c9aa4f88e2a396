"""PLY in its three forms: text, and binary of either byte order.

A header lists elements with their properties, and their rows follow in that order. Only the
vertices' x, y, z and the faces' list of vertices are kept; other elements are passed over.
"""

import itertools
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from fitcheck.errors import InputError
from fitcheck.meshes.triangles import EXPORT_AGAIN, Collected, Triangles, check_counts, number
from fitcheck.plain import shown

HEADER_BYTES = 65_536
MOST_PROPERTIES = 100
_CODES = {
    **dict.fromkeys(("char", "int8"), "b"),
    **dict.fromkeys(("uchar", "uint8"), "B"),
    **dict.fromkeys(("short", "int16"), "h"),
    **dict.fromkeys(("ushort", "uint16"), "H"),
    **dict.fromkeys(("int", "int32"), "i"),
    **dict.fromkeys(("uint", "uint32"), "I"),
    **dict.fromkeys(("float", "float32"), "f"),
    **dict.fromkeys(("double", "float64"), "d"),
}
_ORDERS = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}
_END = b"end_header"

Row = tuple[Any, ...]
"""One value for each property: a number, or the tuple of a list's numbers."""


@dataclass(frozen=True)
class _Property:
    name: str
    code: str
    """Of its values, as the module ``struct`` writes it."""
    counted_by: str | None
    """Code of the count before a list; None for one value."""


@dataclass(frozen=True)
class _Element:
    name: str
    count: int
    properties: list[_Property]

    def place(self, *names: str, listed: bool = False) -> int:
        """Where a property of one of these names stands; raises ``InputError``."""
        for place, one in enumerate(self.properties):
            if one.name in names and (one.counted_by is not None) is listed:
                return place
        kind = "list " if listed else ""
        raise InputError(f"its {self.name} elements have no {kind}{names[0]}; {EXPORT_AGAIN}")


def read(raw: bytes) -> Triangles:
    """The triangles of a PLY file; raises ``InputError`` whose line lacks the file's name."""
    elements, order, start = _header(raw)
    body = _Binary(raw, start, order) if order else _Text(raw, start)
    found = Collected()
    missing = {"vertex", "face"}
    for element in elements:
        try:
            _take(found, element, body.rows(element))
        except (ValueError, OverflowError, struct.error) as error:
            if isinstance(error, InputError):
                raise
            raise InputError(
                f"its {shown(element.name)} elements cannot be read: a row is broken, or the file "
                f"was cut off; {EXPORT_AGAIN}"
            ) from None
        missing.discard(element.name)
        if not missing:
            break
    return found.triangles()


def _take(found: Collected, element: _Element, rows: Iterator[Row]) -> None:
    """Keep the vertices and faces of one element's rows."""
    if element.name == "vertex":
        check_counts(element.count, 0)
        x, y, z = (element.place(axis) for axis in "xyz")
        for row in rows:
            found.coordinates.extend((row[x], row[y], row[z]))
    elif element.name == "face":
        check_counts(0, element.count)
        place = element.place("vertex_index", "vertex_indices", listed=True)
        for row in rows:
            if len(row[place]) < 3:
                raise ValueError("a face of less than three vertices")
            found.add_polygon([int(corner) for corner in row[place]])
    else:
        for _ in rows:
            pass


class _Text:
    """Rows of a text file, one on a line."""

    def __init__(self, raw: bytes, start: int) -> None:
        self._lines = (line.split() for line in raw[start:].splitlines())

    def rows(self, element: _Element) -> Iterator[Row]:
        """The next rows; raises ``ValueError`` where one is short or no number stands."""
        full = (words for words in self._lines if words)
        taken = 0
        for words in itertools.islice(full, element.count):
            taken += 1
            values = map(number, words)
            yield tuple(_value(one, values) for one in element.properties)
        if taken < element.count:
            raise ValueError("too few rows")


def _value(one: _Property, values: Iterator[float]) -> float | tuple[float, ...]:
    """The next property of a row; raises ``ValueError`` where the row is short."""
    count = 1 if one.counted_by is None else int(next(values, -1))
    taken = tuple(itertools.islice(values, max(0, count)))
    if count < 0 or len(taken) < count:
        raise ValueError("a short row")
    return taken[0] if one.counted_by is None else taken


class _Binary:
    """Rows of a binary file, one after the other."""

    def __init__(self, raw: bytes, start: int, order: str) -> None:
        self._raw, self._at, self._order = raw, start, order

    def rows(self, element: _Element) -> Iterator[Row]:
        """The next rows; raises ``struct.error`` or ``ValueError`` where the file ends before."""
        if all(one.counted_by is None for one in element.properties):
            yield from self._plain_rows(element)
            return
        for _ in range(element.count):
            yield tuple(self._value(one) for one in element.properties)

    def _plain_rows(self, element: _Element) -> Iterator[Row]:
        row = struct.Struct(self._order + "".join(one.code for one in element.properties))
        end = self._at + element.count * row.size
        if end > len(self._raw):
            raise ValueError("too few rows")
        plain = memoryview(self._raw)[self._at : end]
        self._at = end
        yield from row.iter_unpack(plain)

    def _value(self, one: _Property) -> Any:
        if one.counted_by is None:
            return self._unpacked(one.code)[0]
        count = int(self._unpacked(one.counted_by)[0])
        if count < 0 or count > len(self._raw):
            raise ValueError("a list longer than the file")
        return self._unpacked(f"{count}{one.code}")

    def _unpacked(self, code: str) -> Row:
        form = self._order + code
        values = struct.unpack_from(form, self._raw, self._at)
        self._at += struct.calcsize(form)
        return values


def _header(raw: bytes) -> tuple[list[_Element], str, int]:
    """Its elements, the byte order ("" for text) and where the rows start."""
    at = raw.find(_END, 0, HEADER_BYTES)
    start = raw.find(b"\n", at) + 1
    if not raw.startswith(b"ply") or at < 0 or start == 0:
        raise InputError(f"is no PLY file: it has no header from ply to end_header; {EXPORT_AGAIN}")
    order: str | None = None
    elements: list[_Element] = []
    for line in raw[:at].decode("ascii", errors="replace").splitlines():
        words = line.split()
        try:
            match words:
                case ["format", form, "1.0"]:
                    order = _ORDERS[form]
                case ["element", name, count]:
                    elements.append(_Element(name, _count(count), []))
                case ["property", "list", counted_by, code, name]:
                    one = _Property(name, _CODES[code], _CODES[counted_by])
                    elements[-1].properties.append(one)
                case ["property", code, name]:
                    elements[-1].properties.append(_Property(name, _CODES[code], None))
                case [] | ["ply"] | ["comment" | "obj_info", *_]:
                    pass
                case _:
                    raise KeyError(line)
        except (KeyError, IndexError, ValueError):
            raise InputError(
                f"its header says {shown(line[:80])}; allowed: format 1.0, elements and their "
                f"properties; {EXPORT_AGAIN}"
            ) from None
    if order is None:
        raise InputError(f"its header names no format; {EXPORT_AGAIN}")
    _check_elements(elements)
    return elements, order, start


def _count(word: str) -> int:
    """How many rows; raises ``ValueError``."""
    if not word.isdecimal() or len(word) > 12:
        raise ValueError("no count")
    return int(word)


def _check_elements(elements: list[_Element]) -> None:
    """Nothing that would take long to pass over, and what is looked for is there."""
    if sum(len(element.properties) for element in elements) > MOST_PROPERTIES:
        raise InputError(f"has more than {MOST_PROPERTIES} properties; {EXPORT_AGAIN}")
    for element in elements:
        if not element.properties:
            raise InputError(f"its {shown(element.name)} elements have nothing; {EXPORT_AGAIN}")
    if "vertex" not in {element.name for element in elements}:
        raise InputError(f"its header names no vertex elements; {EXPORT_AGAIN}")
