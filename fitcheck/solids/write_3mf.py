"""Meshes leave as 3MF core: millimetres, a name for each part, the same bytes each time.

Written here rather than by the reference library, which then reads every file in strict mode in
the tests: a check by a second party, and one package fewer to install.
"""

import io
import zipfile
from collections.abc import Mapping
from typing import Any
from xml.sax.saxutils import quoteattr

import numpy as np

from fitcheck.solids.meshes import Mesh

MODEL_PART = "3D/3dmodel.model"
CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
RELATION = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
CONTENT_TYPE = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
GAP_MM = 5.0
"""Between parts laid out in one file."""
ARCHIVE_DATE = (1980, 1, 1, 0, 0, 0)
"""The earliest that an archive can hold: the files carry no time of writing."""

_DECLARATION = '<?xml version="1.0" encoding="UTF-8"?>\n'
_TYPES = (
    f'{_DECLARATION}<Types xmlns="{PACKAGE}/content-types">'
    '<Default Extension="rels" '
    'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    f'<Default Extension="model" ContentType="{CONTENT_TYPE}"/></Types>\n'
)
_RELATIONS = (
    f'{_DECLARATION}<Relationships xmlns="{PACKAGE}/relationships">'
    f'<Relationship Id="rel0" Target="/{MODEL_PART}" Type="{RELATION}"/></Relationships>\n'
)


def encode(meshes: Mapping[str, Mesh]) -> bytes:
    """One package with an object for each mesh, laid in a row so that none overlap."""
    objects, items = [], []
    along = 0.0
    for number, (name, mesh) in enumerate(meshes.items(), start=1):
        low, high = mesh.corners
        objects.append(_object(number, name, mesh))
        shift = (along - low[0], -low[1], -low[2])
        items.append(
            f'<item objectid="{number}" transform="1 0 0 0 1 0 0 0 1 '
            f'{" ".join(f"{step:.9g}" for step in _rounded(shift))}"/>'
        )
        along += float(high[0] - low[0]) + GAP_MM
    model = (
        f'{_DECLARATION}<model unit="millimeter" xml:lang="en-US" xmlns="{CORE}">\n'
        f"<resources>\n{''.join(objects)}</resources>\n"
        f"<build>{''.join(items)}</build>\n</model>\n"
    )
    return _packed({"[Content_Types].xml": _TYPES, "_rels/.rels": _RELATIONS, MODEL_PART: model})


def _object(number: int, name: str, mesh: Mesh) -> str:
    vertices = "".join(
        f'<vertex x="{x:.9g}" y="{y:.9g}" z="{z:.9g}"/>' for x, y, z in _rounded(mesh.vertices)
    )
    triangles = "".join(
        f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in mesh.faces.tolist()
    )
    return (
        f'<object id="{number}" type="model" name={quoteattr(_printable(name))}><mesh>\n'
        f"<vertices>{vertices}</vertices>\n<triangles>{triangles}</triangles>\n"
        "</mesh></object>\n"
    )


def _printable(name: str) -> str:
    """Without the control characters that XML cannot hold."""
    return "".join(letter for letter in name if letter.isprintable())


def _rounded(values: "np.ndarray | tuple[float, ...]") -> list[Any]:
    """Written with nine digits these give a single-precision reader back the same numbers."""
    rounded: list[Any] = (np.round(values, 7) + 0.0).tolist()
    return rounded


def _packed(parts: Mapping[str, str]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        for name, text in parts.items():
            entry = zipfile.ZipInfo(name, ARCHIVE_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            # Else the archive would name the system it was made on.
            entry.create_system = 0
            archive.writestr(entry, text.encode("utf-8"), compresslevel=6)
    return stream.getvalue()
