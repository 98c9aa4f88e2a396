"""Mesh files of a body without symmetry, written by trimesh, and 3MF packages from their XML."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping

import numpy as np
import trimesh

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
PRODUCTION = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
ROOT = "3D/3dmodel.model"
TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" '
    'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" '
    'ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>'
)
RELATION = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
WEDGE = np.array([(0, 0, 0), (31, 0, 0), (0, 17, 0), (0, 0, 9), (31, 2, 4), (5, 17, 3)], float)


def wedge() -> trimesh.Trimesh:
    """A convex body of 31 x 17 x 9 mm, off its origin, unlike its mirror image."""
    return trimesh.convex.convex_hull(WEDGE + np.array((4.0, -60.0, 11.0)))


def relations(*targets: str) -> str:
    """The relations of a package (or a part) to model parts."""
    links = "".join(
        f'<Relationship Id="r{number}" Target="/{target}" Type="{RELATION}"/>'
        for number, target in enumerate(targets)
    )
    return f'<Relationships xmlns="{RELATIONS}">{links}</Relationships>'


def package(parts: Mapping[str, str | bytes], packing: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A 3MF package of these parts; its types and relations are added."""
    every = {"[Content_Types].xml": TYPES, "_rels/.rels": relations(ROOT)} | dict(parts)
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", packing, compresslevel=1) as archive:
        for name, text in every.items():
            archive.writestr(name, text)
    return stream.getvalue()


def mesh_object(number: int | str, mesh: trimesh.Trimesh, kind: str = "model") -> str:
    """One object of a 3MF model."""
    points = "".join(
        f'<vertex x="{x!r}" y="{y!r}" z="{z!r}"/>' for x, y, z in mesh.vertices.tolist()
    )
    faces = "".join(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in mesh.faces.tolist())
    return (
        f'<object id="{number}" type="{kind}"><mesh><vertices>{points}</vertices>'
        f"<triangles>{faces}</triangles></mesh></object>"
    )


def model(objects: str, build: str, unit: str | None = "millimeter", more: str = "") -> str:
    """A 3MF model part."""
    says = "" if unit is None else f'unit="{unit}" '
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<model {says}xml:lang="en-US" xmlns="{CORE}" '
        f"{more}><resources>{objects}</resources><build>{build}</build></model>"
    )


def simple_3mf() -> bytes:
    """The wedge alone."""
    return package({ROOT: model(mesh_object(1, wedge()), '<item objectid="1"/>')})


FORMS = ("stl", "stl_ascii", "obj", "ply", "ply_ascii", "3mf")


def ending(form: str) -> str:
    """The ending of a form's files."""
    return "." + form.partition("_")[0]


def written(form: str) -> bytes:
    """The wedge in one of the forms."""
    body = wedge()
    match form:
        case "3mf":
            return simple_3mf()
        case "stl_ascii" | "stl" | "obj":
            data = body.export(file_type=form)
            return data.encode() if isinstance(data, str) else data
        case "ply_ascii":
            return body.export(file_type="ply", encoding="ascii")
        case "ply":
            return body.export(file_type="ply")
    raise ValueError(form)
