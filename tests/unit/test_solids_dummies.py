"""Dummies are true to size, closed, engraved, chamfered, weighed, and the same bytes each time."""

import itertools
import shutil
import subprocess
from pathlib import Path

import lib3mf
import manifold3d
import numpy as np
import pytest
import trimesh

from fitcheck import kinds
from fitcheck.design.model import Item
from fitcheck.findings import Severity
from fitcheck.kinds.kind import Kind
from fitcheck.solids import write_3mf, write_step, write_stl
from fitcheck.solids.blocks import Side, block
from fitcheck.solids.body import Body, Oval, rectangle
from fitcheck.solids.body_mesh import mesh_of
from fitcheck.solids.body_solid import solid_of
from fitcheck.solids.correction import Correction
from fitcheck.solids.dummies import (
    ContentDummy,
    Dummy,
    InsideBlock,
    OutsideBlock,
    Request,
    WalledBox,
    make_dummies,
)
from fitcheck.solids.finishing import Bed
from fitcheck.solids.meshes import GRID_MM, mesh_fault


def item(name: str, kind: Kind, *size: float, radius: float = 0.0) -> Item:
    return Item(name, kind, size, radius, None, (), None, "invented", frozenset())


NO_MODELLER = "the solid modeller is not made for this machine"
CARD = item("ticket", kinds.CARD, 85.60, 53.98, 0.76, radius=3.18)
REQUESTS: dict[str, Request] = {
    "card": ContentDummy(CARD),
    "rod": ContentDummy(item("roll", kinds.CYLINDER, 40.0, 54.0)),
    "ball": ContentDummy(item("ball", kinds.SPHERE, 20.0)),
    "bar": ContentDummy(item("soap", kinds.BLOCK, 25.0, 80.0, 50.0)),
    "outside": OutsideBlock(83.81, 60.0, 22.42, words="as wide as the base is at its rim"),
    "inside": InsideBlock(63.0, 50.0, 20.0),
    "outside-true": WalledBox(83.8, 60.0, 22.4, Side.OUTSIDE, 1.6, "base"),
    "inside-true": WalledBox(83.8, 60.0, 22.4, Side.INSIDE, 1.6, "base"),
}
SIZES = {
    "card": (85.60, 53.98, 0.76),
    "rod": (40.0, 40.0, 54.0),
    "ball": (20.0, 20.0, 20.0),
    "bar": (80.0, 50.0, 25.0),
    "outside": (83.81, 60.0, 22.42),
    "inside": (63.0, 50.0, 20.0),
    "outside-true": (83.8, 60.0, 22.4),
    "inside-true": (87.0, 63.2, 24.0),
}


class Watcher:
    def __init__(self) -> None:
        self.steps: list[tuple[int, int, str]] = []

    def step(self, done: int, total: int, text: str) -> None:
        self.steps.append((done, total, text))


@pytest.fixture(scope="module")
def made() -> dict[str, Dummy]:
    return dict(zip(REQUESTS, make_dummies(REQUESTS.values()), strict=True))


def codes(dummy: Dummy) -> list[str]:
    return [finding.code for finding in dummy.findings]


@pytest.mark.parametrize("key", REQUESTS)
def test_true_to_size_closed_and_standing_on_the_bed(made: dict[str, Dummy], key: str) -> None:
    dummy = made[key]
    assert dummy.size_mm == pytest.approx(SIZES[key])
    assert dummy.mesh.size_mm == pytest.approx(SIZES[key], abs=1e-3)
    assert dummy.mesh.corners[0][2] == 0.0
    assert mesh_fault(dummy.mesh) is None
    seen = trimesh.Trimesh(dummy.mesh.vertices, dummy.mesh.faces, process=False)
    assert seen.is_watertight and seen.is_winding_consistent and seen.volume > 0
    solid = manifold3d.Manifold(
        manifold3d.Mesh64(dummy.mesh.vertices, dummy.mesh.faces.astype(np.uint64))
    )
    assert solid.status() == manifold3d.Error.NoError
    assert dummy.mass_g == pytest.approx(seen.volume * 1.24e-3)


@pytest.mark.parametrize("key", REQUESTS)
def test_the_exact_solid_is_the_mesh_without_its_facets(made: dict[str, Dummy], key: str) -> None:
    """Two routes from the same numbers: a mesh library, and a solid modeller that knows rounds."""
    pytest.importorskip("netgen.occ", reason=NO_MODELLER)
    dummy = made[key]
    assert dummy.body is not None
    exact = solid_of(dummy.body, key).mass
    # Corners lie on a grid, up to a step beside their place, and facets inside the rounds.
    surface = trimesh.Trimesh(dummy.mesh.vertices, dummy.mesh.faces, process=False).area
    rounds = exact * 1e-3 if key in ("card", "rod", "ball") else 0.0
    assert dummy.mesh.volume_mm3 == pytest.approx(exact, abs=surface * GRID_MM + rounds)


@pytest.mark.parametrize("radius", [0.05, 0.1, 0.29, 0.3, 0.31, 2.0])
def test_a_chamfer_may_be_larger_than_the_rounds_of_the_corners(radius: float) -> None:
    """By hand: a prism of girth P loses P c^2 / 2 at its foot, but for its corners (c^3)."""
    pytest.importorskip("netgen.occ", reason=NO_MODELLER)
    x, y, z, c = 40.0, 30.0, 5.0, 0.3
    body = Body(rectangle(x, y, radius), z, chamfer_mm=c)
    area = x * y - (4 - np.pi) * radius**2
    girth = 2 * (x + y) - (8 - 2 * np.pi) * radius
    by_hand = area * z - girth * c**2 / 2
    assert mesh_of(body, "a").volume_mm3 == pytest.approx(by_hand, abs=0.06)
    assert solid_of(body, "a").mass == pytest.approx(by_hand, abs=0.06)


def test_an_oval_is_what_a_stretching_printer_needs() -> None:
    pytest.importorskip("netgen.occ", reason=NO_MODELLER)
    for x, y in ((40.0, 39.5), (39.5, 40.0)):
        body = Body(Oval(x, y), 20.0)
        assert mesh_of(body, "a").size_mm == pytest.approx((x, y, 20.0), abs=1e-4)
        # The modeller integrates over ellipses to a share of 1e-6.
        assert solid_of(body, "a").mass == pytest.approx(np.pi / 4 * x * y * 20.0, rel=1e-6)
        assert mesh_of(body, "a").volume_mm3 == pytest.approx(np.pi / 4 * x * y * 20.0, rel=1e-3)


@pytest.mark.parametrize("key", REQUESTS)
def test_read_back_from_every_format(made: dict[str, Dummy], key: str, tmp_path: Path) -> None:
    named = {"Łódź <&\"'>": made[key].mesh}
    (tmp_path / "a.stl").write_bytes(write_stl.encode(named))
    read = trimesh.load_mesh(tmp_path / "a.stl")
    assert read.is_watertight and read.is_winding_consistent
    assert read.extents == pytest.approx(SIZES[key], abs=1e-3)
    assert read.volume == pytest.approx(made[key].mesh.volume_mm3, rel=1e-6)
    (tmp_path / "a.3mf").write_bytes(write_3mf.encode(named))
    (found,) = strictly_read(tmp_path / "a.3mf")
    assert found == ("Łódź <&\"'>", True, len(made[key].mesh.faces))


def strictly_read(path: Path) -> list[tuple[str, bool, int]]:
    """Names, soundness and triangles of all objects; fails on any warning."""
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    assert reader.GetWarningCount() == 0
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    objects = model.GetMeshObjects()
    found = []
    while objects.MoveNext():
        one = objects.GetCurrentMeshObject()
        found.append((one.GetName(), one.IsManifoldAndOriented(), one.GetTriangleCount()))
    return found


@pytest.mark.skipif(shutil.which("admesh") is None, reason="admesh is not installed")
@pytest.mark.parametrize("key", ["card", "inside-true", "ball"])
def test_admesh_finds_nothing_to_repair(made: dict[str, Dummy], key: str, tmp_path: Path) -> None:
    (tmp_path / "a.stl").write_bytes(write_stl.encode({"a": made[key].mesh}))
    ran = subprocess.run(
        ["admesh", str(tmp_path / "a.stl")], capture_output=True, text=True, check=True, timeout=60
    )
    said = {
        line.split(":")[0].strip(): line.split(":")[1].split()[0]
        for line in ran.stdout.splitlines()
        if ":" in line and line.split(":")[1].split()
    }
    for fault in ("Total disconnected facets", "Degenerate facets", "Backwards edges"):
        assert said[fault] == "0", ran.stdout
    assert said["Normals fixed"] == "0" and said["Facets reversed"] == "0"


def test_several_parts_keep_their_names_and_do_not_overlap(
    made: dict[str, Dummy], tmp_path: Path
) -> None:
    meshes = {key: dummy.mesh for key, dummy in made.items()}
    (tmp_path / "all.3mf").write_bytes(write_3mf.encode(meshes))
    assert [name for name, _, _ in strictly_read(tmp_path / "all.3mf")] == list(REQUESTS)
    model = lib3mf.get_wrapper().CreateModel()
    model.QueryReader("3mf").ReadFromFile(str(tmp_path / "all.3mf"))
    items = model.GetBuildItems()
    spans = []
    while items.MoveNext():
        outbox = model_box(items.GetCurrent())
        assert outbox[0] >= -1e-4
        spans.append((outbox[0], outbox[1]))
    assert len(spans) == len(REQUESTS)
    assert all(a[1] < b[0] for a, b in itertools.pairwise(spans))


def model_box(build_item: object) -> tuple[float, float]:
    """Least and greatest x of a build item in its place."""
    thing = build_item.GetObjectResource()  # type: ignore[attr-defined]
    shift = build_item.GetObjectTransform().Fields[3][0]  # type: ignore[attr-defined]
    box = thing.GetOutbox()
    return box.MinCoordinate[0] + shift, box.MaxCoordinate[0] + shift


@pytest.mark.parametrize("_attempt", range(3))
def test_the_same_bytes_each_time(made: dict[str, Dummy], _attempt: int) -> None:
    (again,) = make_dummies([REQUESTS["card"]])
    first = made["card"]
    meshes, repeated = {"card": first.mesh}, {"card": again.mesh}
    assert write_stl.encode(meshes) == write_stl.encode(repeated)
    assert write_3mf.encode(meshes) == write_3mf.encode(repeated)


def test_the_same_step_bytes_each_time(made: dict[str, Dummy]) -> None:
    assert step_of(made["card"], "t") == step_of(make_dummies([REQUESTS["card"]])[0], "t")


def step_of(dummy: Dummy, title: str) -> bytes:
    pytest.importorskip("netgen.occ", reason=NO_MODELLER)
    assert dummy.body is not None
    return write_step.encode({dummy.name: solid_of(dummy.body, dummy.name)}, title)


def test_step_is_silent_named_and_in_millimetres(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    occ = pytest.importorskip("netgen.occ", reason=NO_MODELLER)
    body = block(80.0, 50.0, 25.0)
    solid = solid_of(body, "bar")
    solids = {"Łódź's": solid, "two": solid_of(body, "2")}
    (tmp_path / "a.step").write_bytes(write_step.encode(solids, "soap's"))
    out, err = capfd.readouterr()
    assert out == err == ""
    text = (tmp_path / "a.step").read_text("ascii")
    assert "_BREP('\\X4\\00000141000000F3\\X0\\d\\X4\\0000017A\\X0\\''s'" in text
    assert "PRODUCT('soap''s','soap''s'" in text
    assert "SI_UNIT(.MILLI.,.METRE.)" in text and "Open CASCADE STEP translator" not in text
    read = occ.OCCGeometry(str(tmp_path / "a.step")).shape
    assert len(read.solids) == 2
    assert read.mass == pytest.approx(2 * solid.mass, rel=1e-9)
    assert solid.mass == pytest.approx(80.0 * 50.0 * 25.0, rel=1e-12)


@pytest.mark.parametrize("key", [key for key in REQUESTS if key != "ball"])
def test_engraving_takes_material_from_the_face_it_should(made: dict[str, Dummy], key: str) -> None:
    assert not [code for code in codes(made[key]) if code.startswith("engrave")]
    x, y, z = SIZES[key]
    vertices = made[key].mesh.vertices
    if key == "inside-true":
        sunk = vertices[np.isclose(vertices[:, 1], -y / 2 + 0.5, atol=1e-3)]
    else:
        top = 1.6 if key == "outside-true" else z
        depth = min(0.5, top / 3)
        sunk = vertices[np.isclose(vertices[:, 2], top - depth, atol=1e-3)]
    assert len(sunk) > 200
    assert np.ptp(sunk[:, 0]) < x and np.ptp(sunk[:, 0]) > x / 3


def test_notes_bed_and_progress() -> None:
    watcher = Watcher()
    dummies = make_dummies(
        [REQUESTS["outside"], REQUESTS["ball"]], bed=Bed(50, 80, 80), progress=watcher
    )
    assert {"outside-widest", "first-layer-chamfer", "bed-too-small"} <= set(codes(dummies[0]))
    (fault,) = [one for one in dummies[0].findings if one.code == "bed-too-small"]
    assert fault.severity is Severity.FAULT
    assert {"sphere-supports", "small-ball"} == set(codes(dummies[1]))
    assert [step[:2] for step in watcher.steps] == [(0, 2), (1, 2), (2, 2)]


@pytest.mark.parametrize("true", Side)
def test_a_corrected_print_weighs_what_its_true_walls_do(true: Side) -> None:
    """Arithmetic: outside less room, at 1.24 g/cm3; letters and cut edges are under 0.3 g of it.

    What is modelled has walls thinner by both offsets, so that what comes off the bed is true.
    """
    mine = Correction("mine", outside_offset_mm=0.3, hole_offset_mm=0.3)
    (box,) = make_dummies([WalledBox(83.8, 60.0, 22.4, true, 2.0)], mine)
    (x, y, z), (a, b, c) = (83.8, 60.0, 22.4), (83.8 - 4.0, 60.0 - 4.0, 22.4 - 2.0)
    if true is Side.INSIDE:
        (x, y, z), (a, b, c) = (83.8 + 4.0, 60.0 + 4.0, 22.4 + 2.0), (x, y, z)
    assert box.mass_g == pytest.approx((x * y * z - a * b * c) * 1.24e-3, abs=0.3)
    (block,) = make_dummies([OutsideBlock(83.8, 60.0, 22.4)], mine)
    assert block.mass_g == pytest.approx(83.8 * 60.0 * 22.4 * 1.24e-3, abs=0.3)
    (ball,) = make_dummies([ContentDummy(item("ball", kinds.SPHERE, 20.0))], mine)
    assert ball.mass_g == pytest.approx(np.pi * 20.0**3 / 6.0 * 1.24e-3, abs=0.03)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (ContentDummy(item("straw", kinds.CYLINDER, 8.0, 120.0)), "15 times as high as it is wide"),
        (ContentDummy(item("roll", kinds.CYLINDER, 40.0, 54.0)), ""),
        (OutsideBlock(12.0, 90.0, 90.0), "7.5 times as high as it is wide"),
        (ContentDummy(item("ruler", kinds.BLOCK, 8.0, 120.0, 8.0)), ""),  # it is printed lying
    ],
)
def test_a_tower_is_printed_with_a_word(asked: Request, told: str) -> None:
    """Height over the narrower side: a print above five sways (common practice, no source)."""
    (dummy,) = make_dummies([asked])
    found = [finding for finding in dummy.findings if finding.code == "stands-tall"]
    assert [told in one.message for one in found] == [True] * bool(told)
    for one in found:
        assert "brim" in one.message and one.severity is Severity.NOTE
