"""What is read of a mesh file against two outside readers: trimesh, and for 3MF lib3mf.

lib3mf is the 3MF consortium's own implementation. Bodies have no symmetry, so that a swapped axis,
a transposed matrix or a mirrored face shows; single precision decides the digits.
"""

from __future__ import annotations

import io
from pathlib import Path

import lib3mf
import numpy as np
import pytest
import trimesh

from fitcheck.meshes.mesh_file import read_mesh_file
from fitcheck.meshes.model_part import UNITS_MM
from tests.unit.mesh_files import (
    PRODUCTION,
    ROOT,
    ending,
    mesh_object,
    model,
    package,
    relations,
    simple_3mf,
    wedge,
    written,
)

LIB3MF_UNITS_MM = {
    lib3mf.ModelUnit.MicroMeter: 0.001,
    lib3mf.ModelUnit.MilliMeter: 1.0,
    lib3mf.ModelUnit.CentiMeter: 10.0,
    lib3mf.ModelUnit.Inch: 25.4,
    lib3mf.ModelUnit.Foot: 304.8,
    lib3mf.ModelUnit.Meter: 1000.0,
}
TURN = "0 1 0 -1 0 0 0 0 1 40 7 -3"
MIRROR = "-1 0 0 0 1 0 0 0 1 0 0 0"
SHEAR = "1.5 0.25 0 0 0.8 0.1 0.3 0 1.2 -8 2.5 6"


def ours(raw: bytes, name: str, folder: Path) -> trimesh.Trimesh:
    path = folder / name
    path.write_bytes(raw)
    read = read_mesh_file(path)
    return trimesh.Trimesh(read.vertices, read.faces, process=False)


def same(found: trimesh.Trimesh, other: trimesh.Trimesh) -> None:
    """The same surface: extents, place, volume with its sign, area."""
    assert found.bounds == pytest.approx(other.bounds, rel=1e-6, abs=1e-4)
    assert found.volume == pytest.approx(other.volume, rel=1e-5)
    assert found.area == pytest.approx(other.area, rel=1e-5)
    assert len(found.faces) == len(other.faces)


@pytest.mark.parametrize("form", ["stl", "stl_ascii", "obj", "ply", "ply_ascii"])
def test_the_wedge_is_what_trimesh_wrote(form: str, tmp_path: Path) -> None:
    found = ours(written(form), "wedge" + ending(form), tmp_path)
    same(found, wedge())
    assert found.volume > 0


@pytest.mark.parametrize("form", ["stl", "obj", "ply"])
def test_a_larger_body_is_what_trimesh_reads(form: str, tmp_path: Path) -> None:
    body = trimesh.creation.icosphere(subdivisions=4).apply_scale((11.0, 19.0, 7.5))
    body.apply_transform(trimesh.transformations.rotation_matrix(0.7, (3, 1, 2), (5, 6, 7)))
    raw = body.export(file_type=form)
    raw = raw.encode() if isinstance(raw, str) else raw
    same(
        ours(raw, f"egg.{form}", tmp_path),
        trimesh.load_mesh(io.BytesIO(raw), file_type=form, process=False),
    )


def by_lib3mf(raw: bytes) -> trimesh.Trimesh:
    """All build items in place, mm, by the reference implementation."""
    library = lib3mf.get_wrapper().CreateModel()
    library.QueryReader("3mf").ReadFromBuffer(raw)
    scale = LIB3MF_UNITS_MM[library.GetUnit()]
    merged = library.MergeToModel()
    items, parts = merged.GetBuildItems(), []
    while items.MoveNext():
        item = items.GetCurrent()
        body = merged.GetMeshObjectByID(item.GetObjectResource().GetResourceID())
        points = np.array([point.Coordinates[:] for point in body.GetVertices()])
        faces = np.array([face.Indices[:] for face in body.GetTriangleIndices()])
        matrix = np.array([row[:] for row in item.GetObjectTransform().Fields])
        placed = points @ matrix[:3] + matrix[3]
        parts.append(trimesh.Trimesh(placed * scale, faces, process=False))
    return trimesh.util.concatenate(parts)


@pytest.mark.parametrize("unit", UNITS_MM)
def test_units_are_lib3mfs(unit: str, tmp_path: Path) -> None:
    body = wedge().apply_scale(1.0 / UNITS_MM[unit])
    raw = package({ROOT: model(mesh_object(1, body), '<item objectid="1"/>', unit)})
    found = ours(raw, "wedge.3mf", tmp_path)
    same(found, by_lib3mf(raw))
    assert found.extents == pytest.approx((31, 17, 9), rel=1e-6)


def test_a_3mf_without_a_unit_is_in_millimetres(tmp_path: Path) -> None:
    raw = package({ROOT: model(mesh_object(1, wedge()), '<item objectid="1"/>', None)})
    same(ours(raw, "wedge.3mf", tmp_path), by_lib3mf(raw))


COMPOSED = (
    '<object id="7"><components><component objectid="1" transform="{0}"/>'
    '<component objectid="1"/></components></object>'
    '<object id="9"><components><component objectid="7" transform="{1}"/>'
    '<component objectid="1" transform="1 0 0 0 1 0 0 0 1 -30 0 0"/></components></object>'
)
BUILDS = {
    "one item, turned": ("", f'<item objectid="1" transform="{TURN}"/>'),
    "one item, sheared": ("", f'<item objectid="1" transform="{SHEAR}"/>'),
    "three items": (
        "",
        f'<item objectid="1"/><item objectid="1" transform="{TURN}"/>'
        '<item objectid="1" transform="2 0 0 0 1 0 0 0 1 0 90 0"/>',
    ),
    "components of components": (
        COMPOSED.format(TURN, SHEAR),
        f'<item objectid="9" transform="{TURN}"/>',
    ),
}


@pytest.mark.parametrize("name", BUILDS)
def test_items_components_and_transforms_are_lib3mfs(name: str, tmp_path: Path) -> None:
    objects, build = BUILDS[name]
    body = mesh_object(1, wedge().apply_scale(0.4))
    raw = package({ROOT: model(body + objects, build, "centimeter")})
    same(ours(raw, "wedge.3mf", tmp_path), by_lib3mf(raw))


def test_a_mirrored_object_keeps_its_outside_outside(tmp_path: Path) -> None:
    """A reflection keeps volumes (arithmetic); lib3mf gives its extents."""
    raw = package(
        {ROOT: model(mesh_object(1, wedge()), f'<item objectid="1" transform="{MIRROR}"/>')}
    )
    found = ours(raw, "wedge.3mf", tmp_path)
    assert found.bounds == pytest.approx(by_lib3mf(raw).bounds, abs=1e-4)
    assert found.volume == pytest.approx(wedge().volume, rel=1e-6)


def test_objects_in_other_parts_are_lib3mfs(tmp_path: Path) -> None:
    """Production Extension 1.1: component and item say in which part their object stands."""
    other = "3D/Objects/wedge.model"
    more = f'xmlns:p="{PRODUCTION}" requiredextensions="p"'
    uuid = "00000000-0000-0000-0000-00000000000"
    inner = mesh_object(5, wedge()).replace("<object ", f'<object p:UUID="{uuid}1" ')
    objects = (
        f'<object id="2" type="model" p:UUID="{uuid}2"><components>'
        f'<component p:path="/{other}" objectid="5" p:UUID="{uuid}3" transform="{TURN}"/>'
        "</components></object>"
    )
    build = f'<item objectid="2" p:UUID="{uuid}4" transform="{SHEAR}"/>'
    raw = package(
        {
            other: model(inner, "", "millimeter", more),
            ROOT: model(objects, build, "millimeter", more),
            "3D/_rels/3dmodel.model.rels": relations(other),
        }
    )
    same(ours(raw, "wedge.3mf", tmp_path), by_lib3mf(raw))


def test_supports_are_no_part_of_the_thing(tmp_path: Path) -> None:
    """3MF Core, ST_ObjectType: support material is printed beside the object and thrown away."""
    prop = mesh_object(2, wedge().apply_translation((0, 0, -200)), "support")
    raw = package(
        {ROOT: model(mesh_object(1, wedge()) + prop, '<item objectid="1"/><item objectid="2"/>')}
    )
    same(ours(raw, "wedge.3mf", tmp_path), wedge())


def test_what_fitcheck_writes_is_what_it_reads(tmp_path: Path) -> None:
    same(ours(simple_3mf(), "wedge.3mf", tmp_path), by_lib3mf(simple_3mf()))


def test_obj_corners_count_back_from_the_vertices_so_far(tmp_path: Path) -> None:
    """Negative numbers are relative (the format's description); here two wedges in a row."""
    body = wedge()
    lines = []
    for shift in (0.0, 50.0):
        lines += [f"v {x + shift} {y} {z}" for x, y, z in body.vertices.tolist()]
        count = len(body.vertices)
        lines += [
            "f " + " ".join(f"{corner - count}//1" for corner in face)
            for face in body.faces.tolist()
        ]
    found = ours("\n".join(lines).encode(), "two.obj", tmp_path)
    assert found.volume == pytest.approx(2 * body.volume, rel=1e-6)
    assert found.extents == pytest.approx((81, 17, 9))


def test_obj_polygons_and_continued_lines(tmp_path: Path) -> None:
    """A dodecahedron of twelve pentagons and a box of quads: volumes in closed form."""
    gold = (1 + 5**0.5) / 2
    points = [(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]
    for a in (-1 / gold, 1 / gold):
        for b in (-gold, gold):
            points += [(0, a, b), (a, b, 0), (b, 0, a)]
    hull = trimesh.convex.convex_hull(np.array(points) * 10.0)
    corners = []
    for facet in hull.facets:
        normal = hull.face_normals[facet[0]]
        ring = np.unique(hull.faces[facet])
        flat = hull.vertices[ring] - hull.vertices[ring].mean(axis=0)
        across = np.cross(normal, flat[0])
        corners.append(ring[np.argsort(np.arctan2(flat @ across, flat @ flat[0]))] + 1)
    text = "".join(f"v {x} {y} {z}\n" for x, y, z in hull.vertices.tolist())
    text += "".join(f"f {a} {b} \\\r\n {c} {d} {e}\n" for a, b, c, d, e in corners)
    found = ours(text.encode(), "d.obj", tmp_path)
    edge = 20.0 / gold
    assert found.volume == pytest.approx((15 + 7 * 5**0.5) / 4 * edge**3, rel=1e-9)
    assert found.is_watertight


def test_ply_of_either_order_with_mixed_faces_and_more_columns(tmp_path: Path) -> None:
    """A 20 x 30 x 40 mm prism: quads and triangles in one list, colours and notes between."""
    points = [(0, 0, 0), (20, 0, 0), (0, 30, 0), (0, 0, 40), (20, 0, 40), (0, 30, 40)]
    faces = [(0, 2, 1), (3, 4, 5), (0, 1, 4, 3), (0, 3, 5, 2), (1, 2, 5, 4)]
    for order, sign in (("little", "<"), ("big", ">")):
        kinds = np.dtype([("q", "u1"), ("y", f"{sign}f4"), ("x", f"{sign}f8"), ("z", f"{sign}i2")])
        rows = np.array([(9, y, x, z) for x, y, z in points], kinds)
        header = (
            f"ply\nformat binary_{order}_endian 1.0\ncomment turned\nelement note 2\n"
            "property list uchar short says\nelement vertex 6\nproperty uchar q\n"
            "property float y\nproperty double x\nproperty short z\nelement face 5\n"
            "property uchar red\nproperty list uchar ushort vertex_indices\nend_header\n"
        )
        notes = b"\x00" + b"\x02" + np.array([3, 4], f"{sign}i2").tobytes()
        lists = b"".join(
            b"\x07" + bytes([len(face)]) + np.array(face, f"{sign}u2").tobytes() for face in faces
        )
        raw = header.encode() + notes + rows.tobytes() + lists
        found = ours(raw, "prism.ply", tmp_path)
        assert found.extents == pytest.approx((20, 30, 40))
        assert found.volume == pytest.approx(12_000.0)
