"""Every file that is shipped, and one of every other format that the program reads."""

from __future__ import annotations

import io
import struct
import tomllib
import zipfile

import numpy as np

from fitcheck.learn.csv_rows import write_sheet
from tests.cli.commands import FRAMED, ROOT
from tests.truth import Notebook, paper_readings

MODELS, CALIBRATION = ROOT / "models", ROOT / "calibration"
ITEMS = tuple(tomllib.loads((MODELS / "items.toml").read_text(encoding="utf-8")))
STOCKS = tuple(path.stem for path in sorted((CALIBRATION / "stocks").glob("*.toml")))
TOOLS = tuple(path.stem for path in sorted((CALIBRATION / "tools").glob("*.toml")))

DESIGN_FILES = tuple(
    path.read_bytes()
    for path in (*sorted(MODELS.glob("*.toml")), FRAMED)
    if path.name != "items.toml"
)
STOCK_FILES = tuple(path.read_bytes() for path in sorted((CALIBRATION / "stocks").glob("*.toml")))
TOOL_FILES = tuple(path.read_bytes() for path in sorted((CALIBRATION / "tools").glob("*.toml")))
PRINTER_FILE = b"""\
format = 1
scale_x = 1.002
scale_x_u = 0.001
scale_y = 0.999
scale_y_u = 0.001
scale_z = 1.0
scale_z_u = 0.001
outside_offset_mm = 0.05
outside_offset_u_mm = 0.01
hole_offset_mm = 0.08
hole_offset_u_mm = 0.01
first_layer_mm = 0.1
first_layer_u_mm = 0.02
height_offset_mm = -0.02
height_offset_u_mm = 0.01
source = "a printed gauge, read by hand"
"""
ITEMS_FILE = b"""\
[thing]
kind = "card"
size = [85.6, 53.98, 0.76]
range = [[85.47, 85.72], [53.92, 54.03], [0.68, 0.84]]
corner_radius = 3.18
source = "a card"
hazards = ["food"]
[ball]
kind = "sphere"
size = [16]
size_u = [0.4]
source = "a ball"
[can]
kind = "cylinder"
unit = "in"
size = ["1 1/2", 0.75]
source = "a can"
"""


def readings_file() -> bytes:
    """Readings of a paper, as `coupon` has them filled in."""
    book = Notebook(np.random.default_rng(5))
    paper_readings(book)
    return write_sheet(book.rows[:12]).encode("utf-8")


_CORNERS = np.array([(x, y, z) for x in (0, 30) for y in (0, 22) for z in (0, 9)], float)
_FACES = (
    *((0, 1, 3), (0, 3, 2), (4, 6, 7), (4, 7, 5), (0, 4, 5), (0, 5, 1)),
    *((2, 3, 7), (2, 7, 6), (0, 2, 6), (0, 6, 4), (1, 5, 7), (1, 7, 3)),
)


def mesh_files() -> dict[str, bytes]:
    """One block as every mesh format that is read, by the ending of its name."""
    return {
        ".stl": _stl(),
        "-text.stl": _stl_text(),
        ".obj": "".join(
            [f"v {x} {y} {z}\n" for x, y, z in _CORNERS]
            + [f"f {a + 1} {b + 1} {c + 1}\n" for a, b, c in _FACES]
        ).encode(),
        ".ply": _ply(),
        ".3mf": _3mf(),
    }


def _stl() -> bytes:
    body = b"".join(
        struct.pack("<12fH", 0, 0, 0, *_CORNERS[list(face)].ravel(), 0) for face in _FACES
    )
    return b"a block".ljust(80) + struct.pack("<I", len(_FACES)) + body


def _stl_text() -> bytes:
    facets = "".join(
        "facet normal 0 0 0\nouter loop\n"
        + "".join(f"vertex {x} {y} {z}\n" for x, y, z in _CORNERS[list(face)])
        + "endloop\nendfacet\n"
        for face in _FACES
    )
    return f"solid block\n{facets}endsolid block\n".encode()


def _ply() -> bytes:
    head = (
        f"ply\nformat ascii 1.0\nelement vertex {len(_CORNERS)}\nproperty float x\n"
        f"property float y\nproperty float z\nelement face {len(_FACES)}\n"
        "property list uchar int vertex_indices\nend_header\n"
    )
    rows = [f"{x} {y} {z}" for x, y, z in _CORNERS] + [f"3 {a} {b} {c}" for a, b, c in _FACES]
    return (head + "\n".join(rows) + "\n").encode()


def _3mf() -> bytes:
    space = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
    points = "".join(f'<vertex x="{x}" y="{y}" z="{z}"/>' for x, y, z in _CORNERS)
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in _FACES)
    model = (
        f'<?xml version="1.0"?><model unit="millimeter" xmlns="{space}"><resources>'
        f'<object id="1" type="model"><mesh><vertices>{points}</vertices>'
        f"<triangles>{faces}</triangles></mesh></object></resources>"
        '<build><item objectid="1"/></build></model>'
    )
    relations = (
        '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/'
        'relationships"><Relationship Target="/3D/3dmodel.model" Id="r" Type="http://schemas.'
        'microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'
    )
    types = (
        '<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/'
        'content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-'
        'package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-'
        'package.3dmanufacturing-3dmodel+xml"/></Types>'
    )
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:  # stored, so that a changed byte reaches the text
        for name, text in (
            ("[Content_Types].xml", types),
            ("_rels/.rels", relations),
            ("3D/3dmodel.model", model),
        ):
            archive.writestr(zipfile.ZipInfo(name, (2026, 1, 1, 0, 0, 0)), text)
    return stream.getvalue()
