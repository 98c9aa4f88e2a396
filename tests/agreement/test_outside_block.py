"""The outside block against the folded base itself, meshed by the modeller and measured by trimesh.

Walls lean in where a tab's score is set back by more than paper and adhesive (then the base is
widest at its foot), and out where it is set back by less (widest at the rim).
"""

from __future__ import annotations

from pathlib import Path

import pytest
import trimesh

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.outputs.dummy_files import DummyOrder, dummy_files
from fitcheck.outputs.dummy_kinds import DummyKind
from fitcheck.solids.blocks import Side
from fitcheck.solids.correction import IDENTITY
from fitcheck.solids.finishing import Bed
from fitcheck.workspace.progress import SILENT

DESIGN = """\
format = 1
title = "Tray"
unit = "mm"
joint = "0.1 mm"
[base]
style = "tray"
stock = "tag-165"
floor = [71, 103]
depth = 24
tabs = "{tabs}"
tab_setback = {setback}
"""


@pytest.mark.parametrize("tabs", ["width", "length"])
@pytest.mark.parametrize("setback", [0.0, 0.25, 1.1])
def test_the_block_is_as_wide_as_the_base_anywhere(
    tmp_path: Path, setback: float, tabs: str
) -> None:
    path = tmp_path / "tray.toml"
    path.write_text(DESIGN.format(setback=setback, tabs=tabs), encoding="utf-8")
    found = check(read_design(path))
    kinds = (DummyKind.OUTSIDE, DummyKind.BOX, DummyKind.FOLDED)
    order = DummyOrder(kinds, Side.OUTSIDE, 2.0, Bed(), IDENTITY, step=False)
    made = dummy_files(found, order, SILENT)
    extents = {}
    for name in ("dummy-tray-outside", "dummy-tray-box", "folded-base"):
        file = tmp_path / f"{name}.stl"
        file.write_bytes(made.files[f"{name}.stl"])
        extents[name] = trimesh.load_mesh(file).extents
    for name in ("dummy-tray-outside", "dummy-tray-box"):
        assert extents[name] == pytest.approx(extents["folded-base"], abs=5e-3), name
    told = {m.stem: m.size_mm for m in made.made}
    assert told["folded-base"] == pytest.approx(extents["folded-base"], abs=5e-3)

    (block,) = [m for m in made.made if m.stem == "dummy-tray-outside"]
    (said,) = [f.message for f in block.findings if f.code.startswith("outside-")]
    across = 1 if tabs == "length" else 0
    lean = setback - (found.assembly.base.folded.caliper_mm + 0.1)
    rim = found.assembly.base.sizes.outside_mm[across]
    if lean > 0.0:
        assert extents["dummy-tray-outside"][across] - rim == pytest.approx(2 * lean, abs=0.02)
        assert "at its foot" in said and f"{2 * lean:.2f} mm narrower" in said
    else:
        assert extents["dummy-tray-outside"][across] == pytest.approx(rim, abs=1e-3)
        assert "at its rim" in said and f"{-2 * lean:.2f} mm narrower" in said
