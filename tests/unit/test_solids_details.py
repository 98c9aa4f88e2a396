"""Engraved letters, chamfers, corrections and meshes of stand-ins."""

from pathlib import Path

import numpy as np
import pytest
import trimesh

from fitcheck import kinds
from fitcheck.design.model import Item
from fitcheck.errors import InputError, MissingLibraryError, ModelError
from fitcheck.solids import engraving, letters
from fitcheck.solids.blocks import block
from fitcheck.solids.body_mesh import mesh_of
from fitcheck.solids.correction import IDENTITY, Correction
from fitcheck.solids.dummies import ContentDummy, OutsideBlock, make_dummies
from fitcheck.solids.finishing import chamfer_first_layer
from tests.unit.test_solids_dummies import REQUESTS, SIZES, codes, item


def test_letters_are_not_mirrored() -> None:
    """An L has its foot at the lower right of its stem, seen from outside."""
    plain = block(30, 30, 10)
    face = engraving.Face((0, 0, 10), (1, 0, 0), (0, 0, 1), 30, 30, 10)
    sunk, _ = engraving.engrave(plain, face, "L", "L")
    points = mesh_of(sunk, "L").vertices
    floor = points[np.isclose(points[:, 2], 9.5)]
    upper = floor[floor[:, 1] > 0]
    low, high = upper[:, 1].min(), upper[:, 1].max()
    foot = upper[np.isclose(upper[:, 1], low, atol=1e-3)]
    head = upper[np.isclose(upper[:, 1], high, atol=1e-3)]
    assert foot[:, 0].min() == pytest.approx(head[:, 0].min(), abs=1e-3)
    assert foot[:, 0].max() > head[:, 0].max() + 1
    assert high - low == pytest.approx(engraving.LARGEST_LETTER_MM, abs=1e-3)


def test_what_cannot_be_engraved_is_said() -> None:
    requests = [
        ContentDummy(item("dime with a long name", kinds.CYLINDER, 17.91, 1.35)),
        ContentDummy(item("slip", kinds.CARD, 60.0, 40.0, 0.4)),
        OutsideBlock(40.0, 40.0, 10.0, "漢 box"),
        OutsideBlock(15.0, 20.0, 10.0, "base"),
    ]
    small, thin, foreign, part = make_dummies(requests)
    assert "engrave-small" in codes(small) and "engrave-thin" in codes(thin)
    assert "engrave-letters" in codes(foreign) and "engrave-part" in codes(part)
    assert small.mesh.volume_mm3 == pytest.approx(np.pi / 4 * 17.91**2 * 1.35, rel=0.02)


def test_a_lost_font_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(letters, "FONT_FILE", "gone.ttf")
    with pytest.raises(MissingLibraryError, match=r"gone\.ttf"):
        letters.font_path()


def test_letters_outside_their_face_are_refused() -> None:
    plain = block(30, 30, 10)
    face = engraving.Face((0, 0, 10), (1, 0, 0), (0, 0, 1), 200, 30, 10)
    with pytest.raises(ModelError, match="within its face"):
        mesh_of(engraving.engrave(plain, face, "a very long name that runs out", "1")[0], "a")
    for height in (9.0, 11.0):
        nowhere = engraving.Face((0, 0, height), (1, 0, 0), (0, 0, 1), 30, 30, 10)
        with pytest.raises(ModelError, match="within its face"):
            mesh_of(engraving.engrave(plain, nowhere, "L", "L")[0], "a")


def test_chamfer_takes_a_prism_from_each_lowest_edge() -> None:
    """Four prisms of 0.3 x 0.3 / 2 less what they share at the corners."""
    plain = block(30, 20, 10)
    cut, (note,) = chamfer_first_layer(plain, "a", IDENTITY)
    c = 0.3
    frustum = c / 3 * (600 + (30 - 2 * c) * (20 - 2 * c) + np.sqrt(600 * 29.4 * 19.4))
    removed = 6000.0 - mesh_of(cut, "a").volume_mm3
    assert removed == pytest.approx(600 * c - frustum, rel=1e-3)
    assert note.numbers["chamfer_mm"] == 0.3
    _, (wide,) = chamfer_first_layer(plain, "a", Correction(first_layer_mm=0.45))
    assert wide.numbers["chamfer_mm"] == 0.45


def test_a_thin_thing_keeps_a_foot_to_stand_on() -> None:
    """A rod thinner than two usual chamfers: its foot is half as wide as it is."""
    (pin,) = make_dummies([ContentDummy(item("pin", kinds.CYLINDER, 0.5, 9.0))])
    foot = pin.mesh.vertices[pin.mesh.vertices[:, 2] < 1e-3]
    assert np.ptp(foot[:, 0]) == pytest.approx(0.25, abs=1e-3)
    assert 0.9 * np.pi / 16 * 9.0 < pin.mesh.volume_mm3 < np.pi / 16 * 9.0


PRINTER = Correction("bench", -0.002, 0.003, 0.001, 0.10, 0.05, 0.2, 0.04)


@pytest.mark.parametrize("key", ["card", "rod", "ball", "bar", "outside-true", "inside-true"])
def test_correction_shows_in_the_mesh(key: str) -> None:
    (dummy,) = make_dummies([REQUESTS[key]], PRINTER)
    assert dummy.corrected_by == "bench"
    assert dummy.size_mm == pytest.approx(SIZES[key])
    x, y, z = dummy.mesh.size_mm
    printed = (0.998 * x + 0.2, 1.003 * y + 0.2, 1.001 * z + 0.04)
    assert printed == pytest.approx(SIZES[key], abs=1e-3)
    if key == "inside-true":
        top = dummy.mesh.vertices[np.isclose(dummy.mesh.vertices[:, 2], z, atol=1e-3)]
        inner = top[np.abs(top[:, 0]) < x / 2 - 0.5]
        assert 0.998 * np.ptp(inner[:, 0]) - 0.1 == pytest.approx(83.8, abs=1e-3)


def test_a_mesh_item_is_laid_flat_corrected_and_checked(tmp_path: Path) -> None:
    turned = trimesh.creation.box((5, 30, 20))
    turned.apply_transform(trimesh.transformations.rotation_matrix(0.4, (1, 2, 3)))
    turned.export(tmp_path / "a.stl")
    extents = tuple(float(one) for one in turned.extents)
    thing = Item("idol", kinds.MESH, extents, 0.0, tmp_path / "a.stl", (), None, "", frozenset())
    (dummy,) = make_dummies([ContentDummy(thing)], PRINTER)
    assert dummy.body is None
    assert dummy.size_mm[2] == pytest.approx(5, abs=1e-3)
    assert 1.001 * dummy.mesh.size_mm[2] + 0.04 == pytest.approx(5, abs=1e-3)
    assert "mesh-size" not in codes(dummy)
    off = Item("idol", kinds.MESH, (9, 9, 9), 0.0, tmp_path / "a.stl", (), None, "", frozenset())
    assert "mesh-size" in codes(make_dummies([ContentDummy(off)])[0])


@pytest.mark.parametrize("fault", ["gone", "open", "garbage"])
def test_a_bad_mesh_file_is_one_line(tmp_path: Path, fault: str) -> None:
    path = tmp_path / "a.stl"
    if fault == "open":
        opened = trimesh.creation.box((5, 30, 20))
        opened.faces = opened.faces[1:]
        opened.export(path)
    elif fault == "garbage":
        path.write_bytes(b"no mesh at all")
    thing = Item("idol", kinds.MESH, (5, 30, 20), 0.0, path, (), None, "", frozenset())
    with pytest.raises(InputError) as caught:
        make_dummies([ContentDummy(thing)])
    assert len(caught.value.lines) == 1 and "a.stl" in caught.value.lines[0]
