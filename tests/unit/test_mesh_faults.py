"""A mesh file that cannot be used is one line: what was read, what is allowed, what to do."""

from __future__ import annotations

import os
import struct
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import trimesh

from fitcheck.design.items import known_items
from fitcheck.errors import InputError
from fitcheck.meshes.formats import ENDINGS
from fitcheck.workspace.reading import Most
from tests.unit.mesh_files import (
    FORMS,
    ROOT,
    ending,
    mesh_object,
    model,
    package,
    simple_3mf,
    wedge,
    written,
)


def measured(folder: Path, raw: bytes, name: str) -> tuple[float, ...]:
    """The sizes of a mesh item whose file this is, as a design would read it."""
    (folder / "models").mkdir(exist_ok=True)
    (folder / "models" / name).write_bytes(raw)
    return named(folder, name)


def named(folder: Path, name: str) -> tuple[float, ...]:
    (folder / "models").mkdir(exist_ok=True)
    (folder / "models" / "items.toml").write_text(
        f'[thing]\nkind = "mesh"\nfile = "{name}"\nsource = "drawn"\n'
    )
    return known_items((folder,))["thing"].size_mm


def refused(folder: Path, raw: bytes, name: str) -> str:
    with pytest.raises(InputError) as caught:
        measured(folder, raw, name)
    (line,) = caught.value.lines
    assert name in line and len(line) < 600 + len(str(folder))
    return line.split(f"{name}: ", 1)[1]


def text_stl(*triangles: tuple[tuple[float, ...], ...]) -> bytes:
    facets = "".join(
        "facet normal 0 0 0\nouter loop\n"
        + "".join(f"vertex {x} {y} {z}\n" for x, y, z in corners)
        + "endloop\nendfacet\n"
        for corners in triangles
    )
    return f"solid thing\n{facets}endsolid thing\n".encode()


def moved(change: Callable[[np.ndarray], np.ndarray]) -> bytes:
    body = wedge()
    return trimesh.Trimesh(change(body.vertices), body.faces, process=False).export(file_type="stl")


@pytest.mark.parametrize("form", FORMS)
def test_a_good_mesh_has_its_size(form: str, tmp_path: Path) -> None:
    for name in ("thing" + ending(form), "THING" + ending(form).upper()):
        assert measured(tmp_path, written(form), name) == pytest.approx((31, 17, 9), abs=1e-4)


def test_flat_and_line_shaped_bodies(tmp_path: Path) -> None:
    """Flat along an axis, flat across all three, and a line: none has a thickness."""
    lean = trimesh.transformations.rotation_matrix(0.6, (1, 2, 3))[:3, :3]
    squeeze = np.diag((1.0, 1.0, 0.0))
    line = np.diag((1.0, 0.0, 0.0))
    for shape in (squeeze, squeeze @ lean.T, line, line @ lean.T):
        said = refused(tmp_path, moved(lambda points, by=shape: points @ by), "thing.stl")
        assert said.startswith("is flat: it measures") and 'kind = "card"' in said
        assert "at least 0.01 mm thick" in said
    thin = moved(lambda points: points @ np.diag((1, 1, 0.02 / 9)) @ lean.T)
    assert min(measured(tmp_path, thin, "thing.stl")) > 0.02


def test_a_point_cloud_and_an_empty_mesh(tmp_path: Path) -> None:
    cloud = "".join(f"v {x} {y} {z}\n" for x, y, z in wedge().vertices.tolist()).encode()
    assert "points and no triangles" in refused(tmp_path, cloud, "thing.obj")
    header = written("ply_ascii").split(b"element face")[0]
    points = written("ply_ascii").split(b"end_header")[1]
    cloud = header + b"end_header" + points
    assert "points and no triangles" in refused(tmp_path, cloud, "thing.ply")
    assert "no triangles" in refused(tmp_path, b"\0" * 84, "thing.stl")
    assert "no triangles" in refused(tmp_path, b"solid a\nendsolid a\n", "thing.stl")
    empty = package({ROOT: model("", "")})
    assert "no triangles" in refused(tmp_path, empty, "thing.3mf")
    unbuilt = package({ROOT: model(mesh_object(1, wedge()), "")})
    assert "no triangles" in refused(tmp_path, unbuilt, "thing.3mf")


@pytest.mark.parametrize("form", ["obj", "ply_ascii", "3mf"])
def test_an_index_out_of_range(form: str, tmp_path: Path) -> None:
    body = wedge()
    face = body.faces[-1].tolist()
    if form == "3mf":
        old, new = f'v3="{face[2]}"/></triangles>', 'v3="99"/></triangles>'
        raw = package({ROOT: model(mesh_object(1, body), '<item objectid="1"/>').replace(old, new)})
    elif form == "obj":
        raw = written("obj").rstrip() + b"\nf 1 2 100\n"
    else:
        raw = written("ply_ascii").rstrip().rsplit(b" ", 1)[0] + b" 99\n"
    said = refused(tmp_path, raw, f"thing.{form[:3]}")
    assert "names vertex 99; allowed: 0 to 5" in said


def test_obj_has_no_vertex_0_and_none_before_the_first(tmp_path: Path) -> None:
    for corner in (b"0", b"-9", b"1.5", b"x", b"9" * 5000):
        said = refused(tmp_path, written("obj") + b"\nf 1 2 " + corner, "thing.obj")
        assert "allowed: f and the numbers of its vertices, from 1" in said
    assert "at least three" in refused(tmp_path, written("obj") + b"\nf 1 2", "thing.obj")


@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "1e300", "1e400", "9" * 5000])
def test_what_is_no_number_of_millimetres(value: str, tmp_path: Path) -> None:
    corners = [("0", "0", "0"), ("30", "0", "0"), ("0", value, "5")]
    said = refused(tmp_path, text_stl(tuple(corners), tuple(corners)), "thing.stl")
    assert any(word in said for word in ("not numbers", "from its origin", "three numbers"))


def test_absurd_sizes_name_the_unit_that_would_do(tmp_path: Path) -> None:
    """31 x 17 x 9 mm drawn in metres and in micrometres; a 3MF whose unit is another's."""
    said = refused(tmp_path, moved(lambda points: points / 1000), "thing.stl")
    assert "measures 0.031 x 0.017 x 0.009 mm; allowed: its greatest size from 1 to 2000 mm" in said
    assert "31 x 17 x 9 mm if it was drawn in metres" in said
    said = refused(tmp_path, moved(lambda points: points * 1000), "thing.stl")
    assert "31 x 17 x 9 mm if it was drawn in micrometres" in said
    feet = package({ROOT: model(mesh_object(1, wedge()), '<item objectid="1"/>', "foot")})
    said = refused(tmp_path, feet, "thing.3mf")
    assert "measures 9449 x 5182 x 2743 mm" in said
    assert "31 x 17 x 9 mm if it was drawn in millimetres" in said


@pytest.mark.parametrize("form", ["stl", "stl_ascii", "ply", "ply_ascii", "3mf"])
def test_a_file_that_was_cut_off(form: str, tmp_path: Path) -> None:
    raw = written(form)
    for share in (0.1, 0.5, 0.9):
        refused(tmp_path, raw[: int(share * len(raw))], "thing" + ending(form))
    said = refused(tmp_path, written("stl")[:-10], "thing.stl")
    assert "announces 8 triangles, which take 484 bytes, and has 474" in said
    assert "it was cut off" in refused(tmp_path, written("stl_ascii")[:-20], "thing.stl")


def test_a_text_stl_with_decimal_commas_names_its_line(tmp_path: Path) -> None:
    raw = text_stl(*wedge().triangles.tolist()).replace(b"4.0", b"4,0")
    said = refused(tmp_path, raw, "thing.stl")
    assert said.startswith("line 4: read 'vertex ") and "vertex and three numbers" in said


def test_the_wrong_ending_is_named(tmp_path: Path) -> None:
    for form, suffix in (("stl", "obj"), ("stl_ascii", "ply"), ("ply", "stl"), ("3mf", "stl")):
        right = form.split("_")[0]
        said = refused(tmp_path, written(form), f"thing.{suffix}")
        assert said.startswith(f"holds {right.upper()} and ends in .{suffix}")
        assert said.endswith(f"name it thing.{right}")


@pytest.mark.parametrize("suffix", ENDINGS)
def test_something_else_altogether(suffix: str, tmp_path: Path) -> None:
    for raw in (b"", b"\n", b"<!doctype html><p>not found", b"\xff\xfe\0\0" * 99, b"v " * 999):
        refused(tmp_path, raw, "thing" + suffix)


def test_a_text_stl_may_be_named_after_its_own_words(tmp_path: Path) -> None:
    raw = text_stl(*wedge().triangles.tolist()).replace(b"thing", b"a vertex normal facet")
    assert measured(tmp_path, raw, "thing.stl") == pytest.approx((31, 17, 9))


def test_vertices_without_a_triangle_do_not_count(tmp_path: Path) -> None:
    stray = written("obj") + b"\nv 900 900 900\n"
    assert measured(tmp_path, stray, "thing.obj") == pytest.approx((31, 17, 9))
    body = wedge()
    more = trimesh.Trimesh(np.vstack((body.vertices, (900, 0, 0))), body.faces, process=False)
    raw = package({ROOT: model(mesh_object(1, more), '<item objectid="1"/>')})
    assert measured(tmp_path, raw, "thing.3mf") == pytest.approx((31, 17, 9))


def test_an_obj_follows_no_material(tmp_path: Path) -> None:
    """A material library that is a pipe would hold the program for ever."""
    (tmp_path / "models").mkdir()
    os.mkfifo(tmp_path / "models" / "pipe.mtl")
    raw = b"mtllib pipe.mtl\nusemtl red\n" + written("obj")
    assert measured(tmp_path, raw, "thing.obj") == pytest.approx((31, 17, 9))


def test_names_that_are_no_file(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    os.mkfifo(tmp_path / "models" / "pipe.stl")
    (tmp_path / "models" / "folder.stl").mkdir()
    for name in ("pipe.stl", "folder.stl", "gone.stl", "x" * 300 + ".stl", "a\\u0000b.stl"):
        with pytest.raises(InputError, match="no such mesh file") as caught:
            named(tmp_path, name)
        assert len(caught.value.lines) == 1 and len(caught.value.lines[0]) < 400 + len(
            str(tmp_path)
        )


def test_a_file_beyond_the_largest_is_refused(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    with open(tmp_path / "models" / "big.stl", "wb") as stream:
        stream.truncate(Most.MESH.size_bytes + 1)
    with pytest.raises(InputError, match="is larger than 200 MB"):
        named(tmp_path, "big.stl")


BROKEN_3MF = {
    "no unit": ("inchworm", "its unit is 'inchworm'; allowed: micron, millimeter"),
    "no transform": ('transform="1 2 3"', "its item has"),
    "flattening": ('transform="1 0 0 0 1 0 0 0 0 0 0 0"', "its item has"),
    "no number": ('transform="1 0 0 0 1 0 0 0 x 0 0 0"', "its item has"),
}


@pytest.mark.parametrize("name", BROKEN_3MF)
def test_a_3mf_with_a_broken_part(name: str, tmp_path: Path) -> None:
    text, says = BROKEN_3MF[name]
    item = '<item objectid="1" ' + (text if "transform" in text else "") + "/>"
    unit = "millimeter" if "transform" in text else text
    raw = package({ROOT: model(mesh_object(1, wedge()), item, unit)})
    assert says in refused(tmp_path, raw, "thing.3mf")


def test_a_3mf_whose_objects_are_missing_or_hold_themselves(tmp_path: Path) -> None:
    missing = package({ROOT: model(mesh_object(1, wedge()), '<item objectid="4"/>')})
    assert "places an object '4' that it lacks" in refused(tmp_path, missing, "thing.3mf")
    ring = (
        '<object id="2"><components><component objectid="3"/></components></object>'
        '<object id="3"><components><component objectid="2"/></components></object>'
    )
    round_it = package({ROOT: model(ring, '<item objectid="2"/>')})
    assert "an object that holds itself" in refused(tmp_path, round_it, "thing.3mf")


def test_a_3mf_that_needs_more_than_triangles(tmp_path: Path) -> None:
    lattice = "http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02"
    more = f'xmlns:b="{lattice}" requiredextensions="b"'
    raw = package({ROOT: model(mesh_object(1, wedge()), '<item objectid="1"/>', "inch", more)})
    assert "needs the 3MF extension" in refused(tmp_path, raw, "thing.3mf")


def test_an_archive_that_is_no_3mf(tmp_path: Path) -> None:
    assert "without a 3MF model" in refused(tmp_path, package({"a.txt": "hello"}), "thing.3mf")
    flipped = bytearray(simple_3mf())
    flipped[flipped.index(b"3D/3dmodel.model") + 40] ^= 0xFF
    assert "is no whole archive" in refused(tmp_path, bytes(flipped), "thing.3mf")
    encrypted = bytearray(simple_3mf())
    for place in range(len(encrypted) - 4):
        if encrypted[place : place + 4] == b"PK\x01\x02":
            encrypted[place + 8] |= 1
    assert "encrypted" in refused(tmp_path, bytes(encrypted), "thing.3mf")


def test_a_binary_stl_may_start_with_solid(tmp_path: Path) -> None:
    """Many writers put their name there."""
    raw = bytearray(written("stl"))
    raw[:5] = b"solid"
    assert struct.unpack_from("<I", raw, 80) == (8,)
    assert measured(tmp_path, bytes(raw), "thing.stl") == pytest.approx((31, 17, 9))
