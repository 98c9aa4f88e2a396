"""A folded part as solids and as one mesh: two ways to the same volume, exact where they say."""

import numpy as np
import pytest
import trimesh

from fitcheck.folding.bends import Bend
from fitcheck.folding.fold import fold
from fitcheck.folding.parts import FoldedPart
from fitcheck.solids.folded import SAG_MM, bend_mesh, folded_mesh
from fitcheck.solids.folded_solids import bend_solid, folded_solids
from fitcheck.solids.meshes import mesh_fault
from fitcheck.styles import draw
from tests import boxes

occ = pytest.importorskip("netgen.occ", reason="the solid modeller is not made for this machine")

RECIPES = {
    "tray": boxes.tray(),
    "round tray": boxes.tray(stock=boxes.paper(0.3, 0.3)),
    "shadow box": boxes.shadow_box(),
}


def part_of(key: str) -> FoldedPart:
    recipe = RECIPES[key]
    return fold(draw(recipe), recipe.stock.crease, recipe.joint_mm)


@pytest.mark.parametrize("key", RECIPES)
def test_every_solid_is_exact_and_named(key: str) -> None:
    part = part_of(key)
    solids = folded_solids(part)
    pieces = [*part.plates, *part.bends]
    assert len(solids) == len(pieces)
    for solid, piece in zip(solids.values(), pieces, strict=True):
        assert solid.mass == pytest.approx(piece.volume_mm3, rel=1e-4)


@pytest.mark.parametrize("key", RECIPES)
def test_one_closed_mesh_of_the_right_size(key: str) -> None:
    part = part_of(key)
    mesh = folded_mesh(part)
    assert mesh_fault(mesh) is None
    seen = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    assert seen.is_watertight and seen.is_winding_consistent
    for axis in np.eye(3):
        reach = max(piece.support(axis) for piece in (*part.plates, *part.bends))
        assert (mesh.vertices @ axis).max() == pytest.approx(reach, abs=1e-3)
    # Pieces overlap where glued corners press into each other, so their sum is an upper bound.
    assert 0.98 * part.volume_mm3 < mesh.volume_mm3 < part.volume_mm3


def test_the_mesh_encloses_what_the_modeller_fuses() -> None:
    """Two routes: a mesh library over facets, the B-rep kernel over exact solids."""
    part = part_of("tray")
    first, *others = folded_solids(part).values()
    fused = occ.Fuse([first, *others])
    assert len(fused.solids) == 1
    assert folded_mesh(part).volume_mm3 == pytest.approx(fused.mass, rel=1e-3)


@pytest.mark.parametrize("radius", [0.0, 0.4])
@pytest.mark.parametrize(
    ("start", "stop"),
    [((0.0, 20.0), (0.0, 20.0)), ((0.0, 20.0), (3.0, 20.0)), ((1.0, 20.0), (0.0, 18.0))],
)
def test_bends_of_every_kind(
    radius: float, start: tuple[float, float], stop: tuple[float, float]
) -> None:
    pose = np.array([[0.0, -1, 0, 5], [0, 0, 1, 6], [-1, 0, 0, 7], [0, 0, 0, 1]])
    bend = Bend("b", frozenset("ab"), radius, 0.3, 0.2, 1.4, start, stop, pose)
    solid = bend_solid(bend)
    assert solid.mass == pytest.approx(bend.volume_mm3, rel=1e-4)
    # Its facets lie inside the round, by no more than the sag all over the outer face.
    missing = solid.mass - bend_mesh(bend, reach_mm=0.0).volume_mm3
    assert 0 < missing < SAG_MM * bend.outer_mm * 1.2 * 20.0
    lows, highs = (np.array(tuple(corner)) for corner in solid.bounding_box)
    for axis in np.eye(3):
        low, high = lows @ axis, highs @ axis
        assert high == pytest.approx(bend.support(axis), abs=2e-3)
        assert low == pytest.approx(-bend.support(-axis), abs=2e-3)
