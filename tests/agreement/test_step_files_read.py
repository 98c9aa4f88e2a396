"""STEP files (ISO 10303-21) read back by a modeller that did not write them: CadQuery's kernel.

CadQuery's wheel needs a graphics library that bare servers lack; there these tests are left out.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from fitcheck.folding.fold import fold
from fitcheck.solids import write_step
from fitcheck.solids.folded_solids import folded_solids
from fitcheck.styles import draw
from tests import boxes

pytest.importorskip("netgen.occ", reason="the solid modeller is not made for this machine")
RECIPES = {
    "tray": boxes.tray(stock=boxes.paper(0.3, 0.3)),
    "shadow box": boxes.shadow_box(),
}


def reader() -> Any:
    return pytest.importorskip("cadquery", reason="needs libGL", exc_type=ImportError)


@pytest.mark.parametrize("key", RECIPES)
def test_another_kernel_reads_the_folded_part(key: str, tmp_path: Path) -> None:
    """As many valid solids as plates and bends, the paper's own volume, the same outside."""
    cadquery = reader()
    recipe = RECIPES[key]
    part = fold(draw(recipe), recipe.stock.crease, recipe.joint_mm)
    path = tmp_path / "part.step"
    path.write_bytes(write_step.encode(folded_solids(part), "a part"))
    solids = cadquery.importers.importStep(str(path)).solids().vals()
    assert len(solids) == len(part.plates) + len(part.bends)
    assert all(solid.isValid() for solid in solids)
    assert sum(solid.Volume() for solid in solids) == pytest.approx(part.volume_mm3, rel=1e-6)
    box = cadquery.Compound.makeCompound(solids).BoundingBox(tolerance=1e-4)
    assert box.zmax == pytest.approx(part.height_mm, abs=2e-3)
    assert box.zmin == pytest.approx(0.0, abs=2e-3)
