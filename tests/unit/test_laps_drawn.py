"""Of a frame that another laps nothing pokes through it in pictures: no ticks beside the mitres."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from fitcheck.design.read import read_design
from fitcheck.fit.assembly import assemble
from fitcheck.folding.pose import apply
from fitcheck.outputs.report.views.solids import BASE, part_solids

MODELS = Path(__file__).resolve().parents[2] / "models"
NEAR_MM = 0.3


@pytest.mark.parametrize("name", ["harbour", "rope"])
def test_nothing_lies_in_the_frame_that_laps_another(name: str) -> None:
    """All corners near the frame's own plane lie at its edges or outside of it, seen from above."""
    part = assemble(read_design(MODELS / f"{name}.toml")).base.folded
    corners = np.vstack([solid.vertices for solid in part_solids(part, np.eye(4), BASE)])
    laps = {lap.over for lap in part.pattern.laps}
    assert laps
    for over in laps:
        plate = part.plate(over)
        ground = shapely.Polygon(plate.outline).buffer(-NEAR_MM)
        own = apply(np.linalg.inv(plate.pose), corners)
        level = np.abs(own[:, 2]) < NEAR_MM + plate.thickness_mm
        inside = shapely.contains_xy(ground, own[level, 0], own[level, 1])
        assert not inside.any(), own[level][inside]
