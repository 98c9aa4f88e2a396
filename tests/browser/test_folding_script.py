"""The page's folding, run by Node, ends where the part was folded: any way and by any crease."""

from __future__ import annotations

import json
import math
import shutil
import subprocess
from importlib import resources

import numpy as np
import pytest

from fitcheck.folding.fold import fold
from fitcheck.outputs.report.folds import part_folds
from fitcheck.outputs.report.packed import Packer
from fitcheck.pattern.creases import CreaseKind
from fitcheck.pattern.pattern import Pattern
from fitcheck.stock.crease import Crease, crease_from_allowance
from tests.hand_drawn import QUARTER, gusset_tray, strip

NODE = shutil.which("node")
SCORED, HALF = CreaseKind.SCORED, CreaseKind.HALF_CUT
STRIP = strip(
    ["hem", "lip", "lid", "wall", "floor"],
    [6.0, 9.0, 30.0, 20.0, 30.0],
    [-math.pi, QUARTER, QUARTER, -0.8],
    kinds=[SCORED, SCORED, HALF, SCORED],
)
ASK = """
const part = JSON.parse(require("fs").readFileSync(0, "utf8"));
const found = [1, 0].map((share) => {
  const { poses, turns } = panelPoses(part, share, part.pose);
  const rows = part.bends.map((bend) => {
    const crease = part.creases[bend.crease], turn = turns[bend.crease];
    return bendRows(part, bend, turn, times(poses[crease.parent], bendPose(crease, turn)));
  });
  return { poses, rows };
});
process.stdout.write(JSON.stringify(found));
"""


@pytest.mark.skipif(NODE is None, reason="no Node to run the page's scripts with")
@pytest.mark.parametrize("crease", [crease_from_allowance(0.2, 0.33), Crease(0.1, 0.5, 0.33)])
@pytest.mark.parametrize("pattern", [STRIP, gusset_tray(40.0, 50.0, 12.0)], ids=["strip", "web"])
def test_the_page_folds_either_way_as_the_part_was_folded(pattern: Pattern, crease: Crease) -> None:
    part = fold(pattern, crease, 0.1)
    page = resources.files("fitcheck.outputs.report") / "page"
    scripts = "\n".join((page / f"{name}.js").read_text() for name in ("algebra", "folding"))
    asked = json.dumps(part_folds(part, np.eye(4), Packer()))
    assert NODE is not None
    told = subprocess.run(
        [NODE, "-e", scripts + ASK], input=asked, capture_output=True, text=True, check=True
    )
    closed, flat = json.loads(told.stdout)
    for k, plate in enumerate(part.plates):
        pose = np.array(closed["poses"][str(k)]).reshape(4, 4)
        assert pose == pytest.approx(plate.pose, abs=2e-5)
        lying = np.array(flat["poses"][str(k)]).reshape(4, 4)
        assert lying == pytest.approx(np.eye(4), abs=5e-3)
    for bend, rows in zip(part.bends, closed["rows"], strict=True):
        points = np.array(rows).reshape(-1, 3)
        local = (points - bend.pose[:3, 3]) @ bend.pose[:3, :3]
        radii = np.hypot(local[:, 0], local[:, 2]).reshape(-1, 4)
        assert radii[:, :2] == pytest.approx(bend.radius_mm, abs=2e-5)
        assert radii[:, 2:] == pytest.approx(bend.outer_mm, abs=2e-5)
