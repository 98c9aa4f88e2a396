"""Readers of drawings that are not the writers': lines in mm from DXF, SVG and PDF files."""

from __future__ import annotations

import io
import itertools
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from pypdf import PdfReader
from pypdf.generic import ContentStream

from fitcheck.drawing.shapes import Box

Segment = tuple[tuple[float, float], tuple[float, float]]
SVG = "{http://www.w3.org/2000/svg}"
POINT_MM = 25.4 / 72.0


@dataclass(frozen=True)
class Read:
    """What one page or file holds, mm from its bottom left."""

    size_mm: tuple[float, float]
    lines: dict[str, list[Segment]]
    """By kind: cut, score, glue."""
    texts: list[str]


def overlap(boxes: Iterable[Box]) -> bool:
    """Whether any two of the boxes share more than an edge, as shapely has it."""
    areas = [shapely.box(box.left, box.bottom, box.right, box.top) for box in boxes]
    return any(one.intersection(other).area > 0 for one, other in itertools.combinations(areas, 2))


def chain(points: list[tuple[float, float]], closed: bool) -> list[Segment]:
    ends = points[1:] + (points[:1] if closed else [])
    return list(zip(points, ends, strict=False))


def dxf_pairs(text: str) -> Iterator[tuple[int, str]]:
    """The group codes of a DXF file, read by hand."""
    lines = text.splitlines()
    for code, value in zip(lines[::2], lines[1::2], strict=True):
        yield int(code), value.strip()


def dxf_header(text: str, name: str) -> str:
    """The first value of a header variable."""
    pairs = dxf_pairs(text)
    for code, value in pairs:
        if (code, value) == (9, name):
            return next(pairs)[1]
    raise KeyError(name)


def dxf_lines(text: str) -> dict[str, list[Segment]]:
    """Lines of the entities section by layer."""
    found: dict[str, list[Segment]] = {}
    entity: list[tuple[int, str]] = []
    section, inside = "", False
    for code, value in [*dxf_pairs(text), (0, "EOF")]:
        if code == 0:
            if inside and entity:
                layer, segments = _dxf_entity(entity)
                found.setdefault(layer, []).extend(segments)
            entity = [(code, value)]
            section = "" if value == "ENDSEC" else section
            inside = section == "ENTITIES"
        elif code == 2 and entity == [(0, "SECTION")]:
            section = value
            entity = []
        else:
            entity.append((code, value))
    return found


def _dxf_entity(entity: list[tuple[int, str]]) -> tuple[str, list[Segment]]:
    kind = entity[0][1]
    layer = next(value for code, value in entity if code == 8)
    xs, ys = ([float(v) for c, v in entity if c == code] for code in (10, 20))
    if kind == "LINE":
        first = {code: float(v) for code, v in entity if code in (10, 20, 11, 21)}
        return layer, [((first[10], first[20]), (first[11], first[21]))]
    if kind == "LWPOLYLINE":
        closed = int(next(v for c, v in entity if c == 70)) & 1 == 1
        return layer, chain(list(zip(xs, ys, strict=True)), closed)
    return layer, []


def read_svg(text: str) -> Read:
    """Groups by their id; sizes as the root says them."""
    root = ET.fromstring(text)
    width, height = (float(root.attrib[key].removesuffix("mm")) for key in ("width", "height"))
    assert [float(v) for v in root.attrib["viewBox"].split()] == [0.0, 0.0, width, height]
    lines: dict[str, list[Segment]] = {}
    for group in root.iter(f"{SVG}g"):
        for path in group.iter(f"{SVG}path"):
            data = path.attrib["d"]
            numbers = [float(v) for v in re.findall(r"-?\d+(?:\.\d+)?(?:e-?\d+)?", data)]
            points = [(x, height - y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
            segments = chain(points, data.endswith("Z"))
            lines.setdefault(group.attrib["id"], []).extend(segments)
    texts = [node.text or "" for node in root.iter(f"{SVG}text")]
    return Read((width, height), lines, texts)


def read_pdf(data: bytes) -> list[Read]:
    """The pages; lines are told apart by their dashes and width, as a reader of the print does."""
    reader = PdfReader(io.BytesIO(data))
    pages = []
    for page in reader.pages:
        lines: dict[str, list[Segment]] = {}
        stream = ContentStream(page.get_contents(), reader)
        for kind, segments in _pdf_strokes(stream):
            lines.setdefault(kind, []).extend(segments)
        size = float(page.mediabox.width) * POINT_MM, float(page.mediabox.height) * POINT_MM
        pages.append(Read(size, lines, page.extract_text().splitlines()))
    return pages


def _pdf_strokes(stream: ContentStream) -> Iterator[tuple[str, list[Segment]]]:
    matrix, stack = np.eye(3), []
    dashes: tuple[float, ...] = ()
    width = 1.0
    points: list[tuple[float, float]] = []
    segments: list[Segment] = []
    for operands, operator in stream.operations:
        name = operator.decode() if isinstance(operator, bytes) else operator
        if name == "q":
            stack.append(matrix)
        elif name == "Q":
            matrix = stack.pop()
        elif name == "cm":
            a, b, c, d, e, f = (float(v) for v in operands)
            matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
        elif name == "d":
            dashes = tuple(float(v) for v in operands[0])
        elif name == "w":
            width = float(operands[0])
        elif name in ("m", "l"):
            x, y, _ = np.array([float(operands[0]), float(operands[1]), 1.0]) @ matrix
            point = (x * POINT_MM, y * POINT_MM)
            if name == "l":
                segments.append((points[-1], point))
                points.append(point)
            else:
                points = [point]
        elif name == "h":
            segments.append((points[-1], points[0]))
        elif name == "S":
            yield _pdf_kind(dashes, width), segments
            segments = []


def _pdf_kind(dashes: tuple[float, ...], width: float) -> str:
    if len(dashes) == 2:
        return "score"
    if len(dashes) == 4:
        return "glue"
    return "cut" if width > 0.3 else "thin"
