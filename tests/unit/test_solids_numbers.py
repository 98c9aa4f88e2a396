"""What solids need from numbers alone: corrections, sizes, poses, names, cautions, loading."""

import math
import subprocess
import sys
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck import cautions, kinds
from fitcheck.design.model import Item
from fitcheck.errors import InputError, MissingLibraryError, ModelError
from fitcheck.findings import Severity
from fitcheck.kinds.block import lying
from fitcheck.kinds.kind import Kind
from fitcheck.solids import libraries
from fitcheck.solids.blocks import Side, walled_box
from fitcheck.solids.correction import IDENTITY, Correction
from fitcheck.solids.finishing import Bed, bed_findings, lay_flat
from fitcheck.solids.meshes import GRID_MM, Mesh, make_mesh, mesh_fault
from fitcheck.workspace.filenames import LONGEST_BYTES, distinct_stems, safe_stem

CUBE = np.array([(x, y, z) for x in (0, 1) for y in (0, 1) for z in (0, 1)], float)
CUBE_FACES = np.array(
    [
        *((0, 1, 3), (0, 3, 2), (4, 6, 7), (4, 7, 5), (0, 4, 5), (0, 5, 1)),
        *((2, 3, 7), (2, 7, 6), (0, 2, 6), (0, 6, 4), (1, 5, 7), (1, 7, 3)),
    ]
)


def item(kind: Kind, *size: float, name: str = "thing", hazards: tuple[str, ...] = ()) -> Item:
    return Item(name, kind, size, 0.0, None, (), None, "invented", frozenset(hazards))


@given(
    st.floats(-0.02, 0.02),
    st.floats(-0.3, 0.3),
    st.floats(-0.3, 0.3),
    st.floats(5, 200),
)
def test_correction_undoes_what_the_printer_does(
    scale: float, outside: float, hole: float, nominal: float
) -> None:
    printer = Correction("p", scale, scale, scale, outside, hole, 0.1, 0.05)
    modelled = printer.outside(nominal, nominal, nominal)
    assert (1 + scale) * modelled[0] + 2 * outside == pytest.approx(nominal, abs=1e-9)
    assert (1 + scale) * modelled[2] + 0.05 == pytest.approx(nominal, abs=1e-9)
    for opening in printer.inside(nominal, nominal):
        assert (1 + scale) * opening - 2 * hole == pytest.approx(nominal, abs=1e-9)


def test_correction_refuses_what_no_printer_has() -> None:
    assert IDENTITY.is_identity and not Correction(scale_y=0.001).is_identity
    with pytest.raises(ValueError, match="scale_x"):
        Correction(scale_x=0.5)
    with pytest.raises(ValueError, match="hole_offset_mm"):
        Correction(hole_offset_mm=math.nan)
    with pytest.raises(ModelError, match="cannot be printed"):
        Correction(outside_offset_mm=1.0).outside(1.5, 20.0, 20.0)


@given(st.lists(st.floats(1, 100), min_size=3, max_size=3))
def test_a_block_lies_on_its_largest_face(size: list[float]) -> None:
    laid = lying(*size)
    assert sorted(laid) == sorted(size)
    assert laid[2] == min(size)


def test_walls_must_print_and_leave_room() -> None:
    with pytest.raises(InputError, match=r"1\.2 mm or more"):
        walled_box(50, 50, 20, wall_mm=1.19, true=Side.OUTSIDE)
    with pytest.raises(InputError, match="leave no room"):
        walled_box(50, 2.4, 20, wall_mm=1.2, true=Side.OUTSIDE)


def test_bed_is_tried_turned_too() -> None:
    bed = Bed(100, 200, 50)
    assert bed_findings("a", (200, 100, 50), bed) == ()
    (fault,) = bed_findings("a", (200.1, 100, 50), bed)
    assert fault.severity is Severity.FAULT
    assert bed_findings("a", (10, 10, 50.1), bed)


def test_a_mesh_is_closed_wound_outward_and_on_the_grid() -> None:
    mesh = make_mesh(CUBE * 10.3, CUBE_FACES, "cube")
    assert mesh_fault(mesh) is None
    assert mesh.volume_mm3 == pytest.approx(10.3**3, rel=1e-4)
    assert np.array_equal(mesh.vertices.astype(np.float32), mesh.vertices)
    assert np.array_equal(mesh.vertices / GRID_MM, np.round(mesh.vertices / GRID_MM))


@pytest.mark.parametrize(
    ("faces", "says"),
    [
        (CUBE_FACES[:-1], "one side only"),
        (CUBE_FACES[:, ::-1], "wound inward"),
        (np.vstack([CUBE_FACES[:1, ::-1], CUBE_FACES[1:]]), "twice in one direction"),
        (CUBE_FACES[:3], "at least 4"),
    ],
)
def test_a_broken_mesh_is_refused(faces: np.ndarray, says: str) -> None:
    with pytest.raises(ModelError, match=says):
        make_mesh(CUBE, faces, "cube")


def test_copies_of_a_vertex_join_although_they_differ_in_the_last_place() -> None:
    corners = (
        np.tile(CUBE[:, None] * (7 + GRID_MM / 2), (1, 12, 1))
        + np.linspace(-1e-12, 1e-12, 12)[:, None]
    )
    copies = corners.reshape(-1, 3)
    faces = CUBE_FACES * 12 + np.arange(12)[:, None]
    assert len(make_mesh(copies, faces, "cube").vertices) == 8


@settings(deadline=None)
@given(st.lists(st.floats(-1, 1), min_size=4, max_size=4).filter(lambda q: max(map(abs, q)) > 0.1))
def test_a_turned_body_is_laid_on_its_largest_side(q: list[float]) -> None:
    w, x, y, z = np.array(q) / np.linalg.norm(q)
    turn = np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    )
    laid = lay_flat(Mesh(CUBE * (30, 20, 5) @ turn.T, CUBE_FACES))
    assert laid.size_mm[2] == pytest.approx(5, abs=1e-6)
    assert laid.corners[0][2] == pytest.approx(0, abs=1e-9)
    assert laid.volume_mm3 == pytest.approx(3000)


def test_a_body_that_lies_flat_is_left_as_it_is() -> None:
    laid = lay_flat(Mesh(CUBE * (30, 20, 5), CUBE_FACES))
    assert np.allclose(laid.vertices, CUBE * (30, 20, 5) - (15, 10, 0))


@given(st.text(max_size=300))
def test_any_text_makes_a_harmless_file_name(text: str) -> None:
    stem = safe_stem(text)
    assert stem and len(stem.encode()) <= LONGEST_BYTES
    assert ".." not in stem and stem[0] not in ".-" and stem[-1] not in ".-"
    assert not set(stem) & set('/\\:*?"<>|\0\n\t ')
    assert safe_stem(stem) == stem


def test_letters_of_every_alphabet_stay_and_names_stay_apart() -> None:
    assert safe_stem("Музей порта 漢字 é") == "Музей-порта-漢字-é"
    assert safe_stem("a" * (LONGEST_BYTES - 1) + "-b") == "a" * (LONGEST_BYTES - 1)
    assert safe_stem("nul") == "_nul" and safe_stem("COM1.x") == "_COM1.x"
    stems = distinct_stems(("a", "A", "a-2", "a"))
    assert len({stem.casefold() for stem in stems}) == 4


def test_hazards_are_named_and_defer() -> None:
    risky = item(kinds.CYLINDER, 20.0, 3.2, name="cell", hazards=("button-cell", "food"))
    found = cautions.content_cautions([risky, risky])
    assert [one.code for one in found] == ["small-parts", "swallow", "food-contact"]
    assert all(one.severity is Severity.CAUTION for one in found)
    assert all("makers' instructions" in one.message for one in found)
    assert [one.code for one in cautions.cutting_cautions()] == ["blade"]
    assert [one.code for one in cautions.printing_cautions()] == ["hot-end", "print-food"]
    sharp = item(kinds.BLOCK, 80, 60, 40, hazards=("sharp",))
    assert [one.code for one in cautions.content_cautions([sharp])] == ["sharp-content"]


def test_a_mesh_whose_box_is_too_big_is_not_called_safe() -> None:
    assert cautions.fits_small_parts_cylinder(item(kinds.MESH, 60, 60, 60)) is None
    assert cautions.fits_small_parts_cylinder(item(kinds.MESH, 9, 9, 9)) is True


@pytest.mark.parametrize(
    ("module", "load", "package"),
    [
        ("manifold3d", libraries.load_manifold, "manifold3d"),
        ("netgen.occ", libraries.load_modeller, "netgen-mesher"),
    ],
)
@pytest.mark.parametrize(
    ("error", "says"),
    [
        (ImportError("libGL.so.1: cannot open shared object file"), "libGL.so.1"),
        (ImportError("No module named 'x'"), "pip install"),
        (OSError("a broken\nbuild"), "a broken build"),
        (AttributeError(), "AttributeError"),
    ],
)
def test_a_library_that_cannot_load_names_the_cure(
    monkeypatch: pytest.MonkeyPatch,
    module: str,
    load: Callable[[], object],
    package: str,
    error: Exception,
    says: str,
) -> None:
    real = libraries.importlib.import_module

    def broken(name: str) -> object:
        if name == module:
            raise error
        return real(name)

    monkeypatch.setattr(libraries.importlib, "import_module", broken)
    with pytest.raises(MissingLibraryError) as caught:
        load()
    assert caught.value.package == package
    said = str(caught.value)
    assert says in said and package in said and "install" in said and "\n" not in said


def test_every_module_of_solids_imports_without_the_heavy_libraries() -> None:
    script = (
        "import sys, pkgutil, importlib, fitcheck.solids as s\n"
        "for m in pkgutil.iter_modules(s.__path__):\n"
        "    importlib.import_module('fitcheck.solids.' + m.name)\n"
        "heavy = {'netgen', 'pyngcore', 'trimesh', 'manifold3d', 'scipy.spatial', 'fontTools'}\n"
        "print(sorted(heavy & set(sys.modules)))\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=60
    )
    assert ran.stdout.strip() == "[]"
