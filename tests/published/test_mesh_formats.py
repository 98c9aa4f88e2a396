"""Mesh formats, mass, printer model and small-parts rules, each held to its source.

STL: the binary format as its descriptions agree. 3MF: 3MF Core Specification. Mass: PLA at the
data sheets' nominal 1.24 g/cm3. Small parts: 16 CFR 1501.4 and 1500.18.
"""

import io
import struct
import xml.etree.ElementTree as ET
import zipfile

import numpy as np
import pytest

from fitcheck import cautions, kinds
from fitcheck.design.model import Item
from fitcheck.kinds.kind import Kind
from fitcheck.solids import write_3mf, write_stl
from fitcheck.solids.correction import Correction
from fitcheck.solids.finishing import mass_g
from fitcheck.solids.meshes import Mesh, make_mesh
from tests.published.rows import Row

CORNERS = np.array([(x, y, z) for x in (0, 1) for y in (0, 1) for z in (0, 1)], float)
FACES = np.array(
    [
        *((0, 1, 3), (0, 3, 2), (4, 6, 7), (4, 7, 5), (0, 4, 5), (0, 5, 1)),
        *((2, 3, 7), (2, 7, 6), (0, 2, 6), (0, 6, 4), (1, 5, 7), (1, 7, 3)),
    ]
)
STL = "binary STL format descriptions"
CPSC = "16 CFR 1501.4 (inch figures, value from memory)"
OWN = "definition of the printer model, recomputed"

# Diameter and thickness, mm: US Mint's specifications; Regulation (EC) 975/98, annex; IEC CR2032.
COINS = {
    "cent": (19.05, 1.52),
    "nickel": (21.21, 1.95),
    "dime": (17.91, 1.35),
    "quarter": (24.26, 1.75),
    "half dollar": (30.61, 2.15),
    "dollar": (26.49, 2.00),
    "1 euro cent": (16.25, 1.67),
    "2 euro cents": (18.75, 1.67),
    "5 euro cents": (21.25, 1.67),
    "10 euro cents": (19.75, 1.93),
    "20 euro cents": (22.25, 2.14),
    "50 euro cents": (24.25, 2.38),
    "1 euro": (23.25, 2.33),
    "2 euro": (25.75, 2.20),
    "CR2032": (20.0, 3.2),
}


def box(x: float, y: float, z: float) -> Mesh:
    return make_mesh(CORNERS * (x, y, z), FACES, "box")


def model_root() -> ET.Element:
    with zipfile.ZipFile(io.BytesIO(write_3mf.encode({"a": box(1, 2, 3)}))) as archive:
        return ET.fromstring(archive.read("3D/3dmodel.model"))


def small(kind: Kind, *size: float) -> bool | None:
    thing = Item("thing", kind, size, 0.0, None, (), None, "", frozenset())
    return cautions.fits_small_parts_cylinder(thing)


_BED = Correction(scale_x=-0.002, outside_offset_mm=0.10, hole_offset_mm=0.10)

ROWS: list[Row] = [
    Row(
        STL,
        "file of a cube of 12 triangles, bytes",
        684,
        len(write_stl.encode({"": box(1, 1, 1)})),
        0,
    ),
    Row(STL, "header, bytes", 80, len(write_stl.HEADER), 0),
    Row(STL, "one triangle, bytes", 50, write_stl.RECORD.itemsize, 0),
    Row(
        "PLA at 1.24 g/cm3, recomputed",
        "mass of 85.60 x 53.98 x 10 mm, g",
        57.2965,
        mass_g(85.60 * 53.98 * 10),
        4,
    ),
    Row(OWN, "outside to model for 20.16 mm", 20, _BED.outside(20.16, 1, 1)[0], 2),
    Row(OWN, "outside to model for 60.08 mm", 60, _BED.outside(60.08, 1, 1)[0], 2),
    Row(OWN, "inside to model for 19.76 mm", 20, _BED.inside(19.76, 1)[0], 2),
    Row(OWN, "inside to model for 59.68 mm", 60, _BED.inside(59.68, 1)[0], 2),
    Row(CPSC, "small-parts cylinder, bore, mm", 31.75, cautions.BORE_MM, 2),
    Row(CPSC, "small-parts cylinder, least depth, mm", 25.4, cautions.SHALLOW_MM, 1),
    Row(CPSC, "small-parts cylinder, greatest depth, mm", 57.15, cautions.DEEP_MM, 2),
    Row("16 CFR 1500.18(a)(17)", "ball gauge, mm", 44.45, cautions.BALL_GAUGE_MM, 2),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_row(row: Row) -> None:
    assert row.agrees, str(row)


def test_floor_of_the_cylinder_slants_by_45_degrees() -> None:
    """The depths of 16 CFR 1501.4 differ by the bore."""
    assert pytest.approx(2.25 * 25.4) == cautions.DEEP_MM


def test_stl_pitfalls() -> None:
    """Little-endian count, attribute 0, no header 'solid', counter-clockwise from outside."""
    data = write_stl.encode({"": box(1, 2, 3)})
    assert not data.lstrip().lower().startswith(b"solid")
    assert struct.unpack_from("<I", data, 80) == (12,)
    for number in range(12):
        values = struct.unpack_from("<12fH", data, 84 + 50 * number)
        assert values[12] == 0
        normal, a, b, c = np.array(values[:12]).reshape(4, 3)
        assert np.allclose(np.cross(b - a, c - a) / np.linalg.norm(np.cross(b - a, c - a)), normal)
        # The box is convex about its middle, so an outward normal points away from it.
        assert normal @ (a - np.array([0.5, 1, 1.5])) > 0


def test_3mf_unit_and_single_resources_and_build() -> None:
    """3MF Core: attribute unit on model; exactly one resources and one build."""
    root = model_root()
    space = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
    assert root.tag == f"{space}model"
    assert root.get("unit") == "millimeter"
    assert [child.tag for child in root] == [f"{space}resources", f"{space}build"]


def test_3mf_package_parts_and_strings() -> None:
    """3MF Core table 2-1 and appendix C: the model part, its content type and its relation."""
    with zipfile.ZipFile(io.BytesIO(write_3mf.encode({"a": box(1, 2, 3)}))) as archive:
        assert set(archive.namelist()) == {"[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"}
        types = archive.read("[Content_Types].xml").decode()
        relations = archive.read("_rels/.rels").decode()
    assert "application/vnd.ms-package.3dmanufacturing-3dmodel+xml" in types
    assert "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel" in relations
    assert 'Target="/3D/3dmodel.model"' in relations


def test_3mf_mesh_rules() -> None:
    """3MF Core ch. 4: edges shared by two triangles in opposite order, distinct indices, >= 4."""
    triangles = [
        tuple(int(node.get(key) or -1) for key in ("v1", "v2", "v3"))
        for node in model_root().iter()
        if node.tag.endswith("}triangle")
    ]
    assert len(triangles) >= 4
    assert all(len(set(triangle)) == 3 for triangle in triangles)
    edges = [(t[k], t[(k + 1) % 3]) for t in triangles for k in range(3)]
    assert len(set(edges)) == len(edges)
    assert {(b, a) for a, b in edges} == set(edges)


@pytest.mark.parametrize("coin", COINS)
def test_every_coin_and_cell_fits_the_cylinder(coin: str) -> None:
    """CPSC rule-makings: coins and coin cells are small parts."""
    assert small(kinds.CYLINDER, *COINS[coin]) is True


def test_what_just_does_and_does_not_fit_the_cylinder() -> None:
    """Closed forms from the cylinder of 16 CFR 1501.4."""
    bore, deep = cautions.BORE_MM, cautions.DEEP_MM
    assert small(kinds.SPHERE, bore - 0.01) is True
    assert small(kinds.SPHERE, bore + 0.01) is False
    # Upright and as wide as the bore, a rod rests at the shallow side.
    assert small(kinds.CYLINDER, bore, cautions.SHALLOW_MM - 0.01) is True
    assert small(kinds.CYLINDER, bore, cautions.SHALLOW_MM + 0.01) is False
    # No straight thing is longer than the diagonal of the cylinder's long section.
    diagonal = float(np.hypot(bore, deep))
    assert small(kinds.BLOCK, 0.01, 0.01, diagonal - 0.1) is True
    assert small(kinds.BLOCK, 0.01, 0.01, diagonal + 0.01) is False
    assert small(kinds.CARD, 85.60, 53.98, 0.76) is False


def test_balls_are_held_to_the_wider_gauge() -> None:
    """16 CFR 1500.18(a)(17): a ball that passes 44.45 mm is small though no cylinder takes it."""
    ball = Item("ball", kinds.SPHERE, (44.0,), 0.0, None, (), None, "", frozenset())
    assert small(kinds.SPHERE, 44.0) is False
    assert [one.code for one in cautions.content_cautions([ball])] == ["small-ball"]
    large = Item("ball", kinds.SPHERE, (44.5,), 0.0, None, (), None, "", frozenset())
    assert cautions.content_cautions([large]) == ()
