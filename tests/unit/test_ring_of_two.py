"""A ring that is made from two strips has two seams, and both flaps take room inside it.

By its steps each strip's flap is glued inside the other's free end, so that two opposite walls are
doubled there: what is left between is the outside less four sheets and two layers of glue. The
layers are added up here; paper, boxes and contents are invented.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.check import Check, check
from fitcheck.odds.odds import odds_of
from fitcheck.outputs.steps_text import steps_text
from fitcheck.sheet.job import sheet_job
from fitcheck.solids.folded import folded_mesh
from fitcheck.workspace.paths import shipped_workspace

T, GLUE, SEAM = 0.3, 0.1, 12.7
GROWN = T * (1 - math.pi / 8)
FLOOR, EASE = (90.0, 120.0), 1.6
STOCK = """\
format = 1
kind = "cardstock"
caliper_mm = 0.3
caliper_u_mm = 0.01
source = "invented"
"""
CRATE = """\
format = 1
title = "Spice crate"
unit = "mm"
tools = "{tools}"
joint = "0.1 mm"
[base]
style = "tray"
stock = "plain"
floor = [90, 120]
depth = 30
[collar]
style = "collar"
stock = "plain"
ease = [1.6, 1.6]
rise = 8
seam = 12.7
[lid]
style = "tray"
stock = "plain"
oversize = 0
depth = 30
[[content]]
item = "brick"
lay = "flat"
"""
LARGE = """\
format = 1
sheets = [["500 mm", "700 mm"]]
joint_mm = 0.10
joint_u_mm = 0.03
score_u_mm = {on_grid = 0.10, off_grid = 0.25}
fence_u_mm = 0.05
cut_u_mm = 0.20
source = "invented"
"""
OUTSIDE = FLOOR[1] - EASE + 2 * GROWN
ONE_SEAM = OUTSIDE - 3 * T - GLUE
"""117.764 mm"""
TWO_SEAMS = OUTSIDE - 4 * T - 2 * GLUE
"""117.364 mm"""


def crate(folder: Path, brick: tuple[float, float, float], tools: str = "none-listed") -> Check:
    """The crate with a block in it, whatever sheets its tools list."""
    for shelf in ("stocks", "tools"):
        (folder / "calibration" / shelf).mkdir(parents=True, exist_ok=True)
    (folder / "calibration" / "stocks" / "plain.toml").write_text(STOCK)
    (folder / "calibration" / "tools" / "roomy.toml").write_text(LARGE)
    (folder / "models").mkdir(exist_ok=True)
    (folder / "models" / "items.toml").write_text(
        f'[brick]\nkind = "block"\nsize = {list(brick)}\nsource = "invented"\n'
    )
    path = folder / "models" / "crate.toml"
    path.write_text(CRATE.format(tools=tools))
    return check(read_design(path, roots=(folder, shipped_workspace())))


SMALL = "score-board-metric"


def inside(found: Check) -> tuple[float, float]:
    """The ring's inside."""
    ring = found.assembly.ring
    assert ring is not None
    return ring.sizes.inside_mm


def test_both_flaps_of_a_ring_of_two_strips_take_room(tmp_path: Path) -> None:
    found = crate(tmp_path, (60, 100, 20), SMALL)
    assert inside(found)[1] == pytest.approx(TWO_SEAMS, abs=0.002)
    assert inside(found)[0] == pytest.approx(FLOOR[0] - EASE + 2 * GROWN - 2 * T, abs=0.002)
    ring = found.assembly.ring
    assert ring is not None
    assert ring.sizes.outside_mm[1] == pytest.approx(OUTSIDE, abs=0.002)


def test_a_ring_of_one_strip_has_one_seam(tmp_path: Path) -> None:
    found = crate(tmp_path, (60, 100, 20), "roomy")
    assert inside(found)[1] == pytest.approx(ONE_SEAM, abs=0.002)


@pytest.mark.parametrize(("tools", "goes"), [(SMALL, False), ("roomy", True)])
def test_what_only_one_seam_has_room_for_is_not_said_to_go_in(
    tmp_path: Path, tools: str, goes: bool
) -> None:
    """A block of 117.6 mm between 117.764 or 117.364 mm. It is as wide as the ring but for a tenth,
    so that it reaches over both flaps, and turned by 0.1 in 117.6 it gains 0.07 mm at the most."""
    found = crate(tmp_path, (88.05, 117.6, 20), tools)
    assert found.contents[0].verdict.value == ("fits" if goes else "does not fit")
    assert found.fits is goes


def test_contents_lie_against_both_flaps(tmp_path: Path) -> None:
    """Straight in the ring, what is left along the length is between the flaps."""
    (content,) = crate(tmp_path, (88.0, 117.0, 20), SMALL).contents
    assert content.slack is not None
    assert content.slack.length_mm == pytest.approx(TWO_SEAMS - 117.0, abs=0.01)


def test_the_odds_are_those_of_two_seams(tmp_path: Path) -> None:
    """Its length has 0.06 mm to spare and its width 0.16, each there in little more than half of
    boxes made to some tenths, and both have to be: in fewer than 4 of 10. The 0.46 mm of one seam
    would hold it in more than half."""
    found = crate(tmp_path, (88.0, 117.3, 20), SMALL)
    odds = odds_of(found, 2000, 1)
    (content,) = odds.contents
    assert 0.15 < content.fits.share < 0.40


def test_the_ring_that_is_printed_has_both_flaps_at_opposite_corners(tmp_path: Path) -> None:
    """Both strips are alike and one is the other turned by half a turn, as its flap is then: the
    inside faces of both flaps lie as far apart as is left, from one side wall's inside face to the
    seam's 12.7 mm beyond that wall's score, which lies a growth less inside its outside face."""
    ring = crate(tmp_path, (60, 100, 20), SMALL).assembly.ring
    assert ring is not None
    corners = np.asarray(folded_mesh(ring.folded).vertices)
    corners -= 0.5 * (corners.min(axis=0) + corners.max(axis=0))
    half, wide = TWO_SEAMS / 2, FLOOR[0] - EASE + 2 * GROWN
    spans = []
    for side in (-1.0, 1.0):
        level = corners[np.abs(side * corners[:, 1] - half) < 0.02][:, 0]
        spans.append((float(level.min()), float(level.max())))
    (left, tip), (other_tip, right) = spans
    flap = SEAM + T + GLUE  # it is cut wider by what the wall on it is shorter
    assert tip == pytest.approx(-wide / 2 + GROWN + flap, abs=0.2)
    assert other_tip == pytest.approx(-tip, abs=0.2)
    assert left < -wide / 2 + T + 0.2
    assert right > wide / 2 - T - 0.2


def test_the_steps_no_longer_tell_the_odds_of_another_ring(tmp_path: Path) -> None:
    found = crate(tmp_path, (60, 100, 20), SMALL)
    text = steps_text(sheet_job(found.design, Paper.A4, (), 1))
    assert "so it is made from two strips" in text
    assert "ring from one strip" not in text
