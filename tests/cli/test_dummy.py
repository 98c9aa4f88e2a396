"""`fitcheck dummy` and `fitcheck demo`: the files, what is said of them, nothing by halves."""

from __future__ import annotations

from pathlib import Path

import lib3mf
import numpy as np
import pytest
import trimesh

from fitcheck.workspace.digests import DIGESTS
from tests.cli.commands import ROOT, Ran, fitcheck

HARBOUR = ROOT / "models" / "harbour.toml"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Ran]:
    folder = tmp_path_factory.mktemp("demo")
    return folder / "bench", fitcheck("demo", "bench", cwd=folder)


def test_demo_checks_makes_and_tells_what_is_next(demo: tuple[Path, Ran]) -> None:
    folder, ran = demo
    assert ran.status == 0, ran.err
    assert "everything fits" in ran.out
    assert "What to look at" in ran.out and "What to type next" in ran.out
    assert (folder / "models" / "items.toml").is_file()
    assert (folder / "calibration" / "stocks" / "cardstock-270.toml").is_file()


def test_demo_overwrites_nothing(demo: tuple[Path, Ran]) -> None:
    folder, _ = demo
    again = fitcheck("demo", folder, cwd=folder)
    assert again.status == 2 and "already has" in again.err


@pytest.mark.parametrize("ending", ["stl", "3mf"])
def test_every_stand_in_is_a_closed_solid(demo: tuple[Path, Ran], ending: str) -> None:
    folder, _ = demo
    files = sorted((folder / "dummies").glob(f"*.{ending}"))
    assert {f.stem for f in files} == {
        "dummy-card-id1", "dummy-harbour-outside", "dummy-harbour-inside", "dummy-harbour-box",
        "folded-base", "folded-lid",
    }  # fmt: skip
    for file in files:
        mesh = _read_3mf(file) if ending == "3mf" else trimesh.load_mesh(file)
        assert mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0, file.name


def test_blocks_measure_what_the_check_says(demo: tuple[Path, Ran]) -> None:
    """Outside at the rim 83.81 x 114.70 mm: W + 2a + 2p and L + 2a for this box."""
    folder, _ = demo
    size = trimesh.load_mesh(folder / "dummies" / "dummy-harbour-outside.stl").extents
    caliper, allowance = 0.330, 0.330 * (1 - np.pi / 8)
    width = 82.55 + 2 * allowance + 2 * (caliper + 0.1)
    assert size[:2] == pytest.approx([width, 114.3 + 2 * allowance], abs=1e-3)
    card = trimesh.load_mesh(folder / "dummies" / "dummy-card-id1.stl").extents
    assert sorted(card) == pytest.approx([0.76, 53.98, 85.60], abs=1e-3)


def test_the_folded_solids_are_written_as_step(demo: tuple[Path, Ran]) -> None:
    folder, _ = demo
    for part in ("base", "lid"):
        text = (folder / "dummies" / f"folded-{part}.step").read_text()
        assert text.startswith("ISO-10303-21") and text.rstrip().endswith("END-ISO-10303-21;")


def test_all_files_of_a_folded_part_are_called_alike(tmp_path: Path) -> None:
    """A part whose name has a blank in it: its solid once had the blank, its meshes a hyphen."""
    ran = fitcheck("dummy", "ferry", "-o", "d", "--only", "folded", cwd=tmp_path)
    assert ran.status == 0, ran.err
    written = {path.name for path in (tmp_path / "d").iterdir() if path.name != DIGESTS}
    named = {"folded-base", "folded-lid", "folded-dividers-across", "folded-dividers-along"}
    assert written == {f"{stem}.{end}" for stem in named for end in ("stl", "3mf", "step")}
    assert named <= {line.strip().partition(":")[0] for line in ran.out.splitlines()}


def test_blocks_of_a_shoulder_box_are_of_its_neck(tmp_path: Path) -> None:
    """The lid goes over the collar and contents go into it: by the design card's closed forms a
    ring of 58.5 x 48 mm score to score measures W + 2 a outside and W - 2 (t - a) inside.

    Its flap, glued inside, takes a caliper and the adhesive of one side more. It is 35 mm high, 15
    above a base of 20, and stands on the base's floor, 0.267 mm thick.
    """
    ran = fitcheck("dummy", "boathouse", "-o", "d", cwd=tmp_path)
    assert ran.status == 0, ran.err
    allowance = 0.222 * (1 - np.pi / 8)
    width, length = (own + 2 * allowance for own in (60 - 1.5, 50 - 2))
    block = trimesh.load_mesh(tmp_path / "d" / "dummy-boathouse-outside.stl").extents
    assert block == pytest.approx([width, length, 35 + 0.267], abs=0.02)
    room = trimesh.load_mesh(tmp_path / "d" / "dummy-boathouse-inside.stl").extents
    one_way, other = width - 2 * 0.222, length - 2 * 0.222 - 0.222
    assert room == pytest.approx([one_way, other, 35.0], abs=0.12)
    words = " ".join(ran.out.split())
    assert "as wide as the collar that the lid goes over, and as high as its top lies" in words
    assert "the room within the collar, which stands on the base's floor" in words


def test_of_a_divided_base_the_inside_block_is_said_to_be_of_the_empty_one(tmp_path: Path) -> None:
    ran = fitcheck("dummy", "ferry", "-o", "d", "--only", "inside", cwd=tmp_path)
    assert "the inside of the empty base, without the dividers" in " ".join(ran.out.split())


def test_cautions_are_said(demo: tuple[Path, Ran]) -> None:
    _, ran = demo
    assert "hot" in ran.out and "food" in ran.out and "makers' instructions" in ran.out


def test_the_same_files_again(demo: tuple[Path, Ran], tmp_path: Path) -> None:
    folder, _ = demo
    ran = fitcheck(
        "dummy", HARBOUR, "-o", "again", "--only", "contents", "--only", "folded", cwd=tmp_path
    )
    assert ran.status == 0, ran.err
    written = [path for path in (tmp_path / "again").iterdir() if path.name != DIGESTS]
    assert len(written) == 2 + 6
    for file in written:
        assert file.read_bytes() == (folder / "dummies" / file.name).read_bytes(), file.name


def test_step_on_request_and_a_box_true_inside(tmp_path: Path) -> None:
    ran = fitcheck(
        "dummy", HARBOUR, "-o", "d", "--only", "box", "--true", "inside", "--step", cwd=tmp_path
    )
    assert ran.status == 0, ran.err
    assert (tmp_path / "d" / "dummy-harbour-box.step").is_file()
    box = trimesh.load_mesh(tmp_path / "d" / "dummy-harbour-box.stl")
    # the opening at the inner walls' feet, 114.3 - 2 (9.525 + 0.2004) - 2 x 0.13, and both walls
    assert box.extents[1] == pytest.approx(94.59 + 2 * 2.0, abs=0.01)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--wall", "0.5 mm"], "1.2"),
        (["--wall", "thick"], "--wall"),
        (["--bed", "180x180"], "--bed"),
        (["--only", "lids"], "contents"),
    ],
)
def test_what_cannot_be_printed_is_refused(tmp_path: Path, options: list[str], said: str) -> None:
    ran = fitcheck("dummy", HARBOUR, "-o", "d", "--only", "box", *options, cwd=tmp_path)
    assert ran.status == 2 and said in ran.err
    assert not (tmp_path / "d").exists()


def test_a_small_bed_is_said(tmp_path: Path) -> None:
    ran = fitcheck(
        "dummy", HARBOUR, "-o", "d", "--only", "outside", "--bed", "100x100x100", cwd=tmp_path
    )
    assert ran.status == 0 and "bed" in ran.out


def _read_3mf(file: Path) -> trimesh.Trimesh:
    """By the reference library, strictly: any warning fails."""
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(file))
    assert reader.GetWarningCount() == 0
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    meshes = model.GetMeshObjects()
    assert meshes.MoveNext()
    mesh = meshes.GetCurrentMeshObject()
    assert mesh.GetName()
    vertices = [v.Coordinates[:] for v in mesh.GetVertices()]
    faces = [t.Indices[:] for t in mesh.GetTriangleIndices()]
    return trimesh.Trimesh(vertices, faces, process=False)
