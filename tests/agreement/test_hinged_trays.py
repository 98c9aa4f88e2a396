"""Trays with a hinged lid against arithmetic by hand and two general collision libraries.

By hand: with floor L, walls H, a paper of caliper t and allowance a, the lid's outside is H + t +
2 a above the table, as its crease is scored a caliper higher than the other walls are cut; the
front wall stands from L + a - t to L + a before the back wall's score, and the lip of a lid of L'
from L' + a - t to L' + a when it is closed (the shared design's section 4; worked by hand).
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh

from fitcheck import kinds
from fitcheck.design.model import Content, Item, Lay
from fitcheck.design.read import read_design
from fitcheck.findings import Severity
from fitcheck.fit.check import Check, check
from fitcheck.fit.hinged import closings
from fitcheck.fit.turn_fit import SIDE, SWING, Outcome, TurnFit
from fitcheck.odds.odds import odds_of
from fitcheck.pattern.counted import sheet_by_hand_mm
from fitcheck.pattern.creases import CreaseKind
from fitcheck.pattern.pattern import Role, flat_area
from fitcheck.pattern.plan import plan_of
from fitcheck.solids.folded import folded_mesh
from fitcheck.solids.meshes import mesh_fault
from fitcheck.styles.hinged_tray import EASE_MM, Hinge, HingedTraySpec, LipSide
from fitcheck.styles.mates import Turned
from fitcheck.units import Unit
from tests.agreement.test_odds_closed_forms import BASE_STOCK
from tests.boxes import paper
from tests.cli.commands import ROOT
from tests.hinged_trays import design_of, ordinary, part_of, spec_of
from tests.stepping import AGREE_MM, AGREE_RAD, FAR_MM, Bench

T, A = BASE_STOCK.caliper_mm, BASE_STOCK.crease_allowance_mm
CLOSED = math.pi / 2.0
TURN = Turned("base", "base", "lid", 0.0)


def fit_of(spec: HingedTraySpec) -> tuple[Check, TurnFit]:
    found = check(design_of(spec))
    (fit,) = found.turns
    return found, fit


class LipBench(Bench):
    """What hangs on the lid, past what stays; the lid itself may lie on the rims."""

    def _meant(self, one: frozenset[str], other: frozenset[str]) -> bool:
        return "lid" in one | other or super()._meant(one, other)


def agrees(spec: HingedTraySpec, start: float) -> Outcome:
    """The closing turn, from an angle on, held against both libraries."""
    part = part_of(spec).folded
    bench = LipBench(part, ["lid"])
    (found,) = closings(replace(TURN, start_rad=start), [part], 0.0)
    stepped = bench.stepped(start, CLOSED)
    if stepped.first_rad is None:
        assert found.outcome is Outcome.FREE
        assert found.least is not None
        apart = min(found.least.apart_mm, FAR_MM)
        assert apart == pytest.approx(min(stepped.least_mm, FAR_MM), abs=AGREE_MM)
        return found.outcome
    assert found.outcome is Outcome.BLOCKED
    assert found.angle_rad is not None
    assert found.angle_rad == pytest.approx(stepped.first_rad, abs=2.0 * AGREE_RAD)
    assert not bench.collide(found.angle_rad - AGREE_RAD)
    assert bench.collide(found.angle_rad + AGREE_RAD)
    return found.outcome


def test_lids_close_or_stop_where_collision_libraries_see_it() -> None:
    outcomes = {agrees(spec, 1.25) for spec in ordinary(4, 3)}
    assert outcomes == {Outcome.FREE, Outcome.BLOCKED}


@pytest.mark.long
@pytest.mark.parametrize("spec", ordinary(100, 17), ids=lambda own: f"{own.front} {own.lip_mm:.3f}")
def test_many_lids_close_or_stop_where_collision_libraries_see_it(spec: HingedTraySpec) -> None:
    agrees(spec, 0.6)


@pytest.mark.parametrize("clear", [0.6, 1.1])
def test_a_lip_over_the_front_wall_has_what_the_lid_is_longer_less_a_caliper(clear: float) -> None:
    found, fit = fit_of(spec_of(LipSide.OVER, clear=clear))
    assert fit.clearance_mm == pytest.approx(clear - T, abs=1e-4)
    assert fit.verdict is Outcome.FREE and fit.pieces == ("front wall", "lip")
    assert found.fits
    assert found.assembly.base.sizes.outside_mm[1] == pytest.approx(55.0 + clear + 2 * A, abs=1e-6)


@pytest.mark.parametrize("front", LipSide)
def test_closed_height_and_the_room_over_the_rims(front: LipSide) -> None:
    found, fit = fit_of(spec_of(front))
    sizes = found.assembly.base.sizes
    assert fit.closed_height_mm == pytest.approx(23.0 + T + 2 * A, abs=1e-9)
    assert sizes.height_mm == fit.closed_height_mm
    # a wall that leans over its tabs stands lower by the cosine, and lifts an edge of its rim
    assert fit.rim_gap_mm == pytest.approx(A, abs=0.02)
    assert sizes.depth_mm == pytest.approx(23.0 + A - T, abs=0.02)
    assert sizes.inside_mm[1] == pytest.approx(55.0 + 2 * A - 2 * T, abs=1e-9)


@pytest.mark.parametrize("lip", [6.0, 11.0, 16.0])
@pytest.mark.parametrize("floor", [(80.0, 55.0), (60.0, 90.0)])
def test_a_lip_that_goes_in_has_its_ease_where_its_edge_swings_out(
    lip: float, floor: tuple[float, float]
) -> None:
    """Its outer edge is furthest from the hinge's outer edge: the theorem of Pythagoras."""
    _, fit = fit_of(spec_of(LipSide.IN, lip=lip, floor=floor))
    assert fit.verdict is Outcome.FREE
    assert fit.clearance_mm == pytest.approx(EASE_MM, abs=0.12)
    assert fit.clearance_mm >= EASE_MM - 0.02


def test_a_lip_that_goes_in_stands_behind_the_wall_by_what_the_lid_is_shorter() -> None:
    clear = -2.0
    folded = part_of(spec_of(LipSide.IN, clear=clear)).folded
    front, lip = (folded.plate(name).corners()[:, 1] for name in ("front wall", "lip"))
    # the front is at lesser y
    assert lip.min() - front.max() == pytest.approx(-clear - T, abs=1e-9)
    below = float(folded.plate("lip").corners()[:, 2].min())
    assert below == pytest.approx(23.0 + T + 2 * A - (11.0 + A), abs=1e-9)


@pytest.mark.parametrize(
    ("front", "clear", "way"),
    [(LipSide.OVER, 0.1, "longer"), (LipSide.IN, -0.6, "shorter")],
)
def test_a_lip_that_does_not_pass_is_a_fault_with_the_change_that_cures_it(
    front: LipSide, clear: float, way: str
) -> None:
    found, fit = fit_of(spec_of(front, clear=clear))
    assert fit.verdict is Outcome.BLOCKED and not found.fits
    assert fit.swing.angle_rad is not None and 1.2 < fit.swing.angle_rad < CLOSED
    (fault,) = [one for one in found.findings if one.severity == "fault"]
    assert fault.code == "mate-blocked"
    said = fault.message.rsplit(": ", 1)[1]
    assert said.startswith("make the lid ") and said.endswith(way)
    by = float(said.split()[3]) * (1.0 if way == "longer" else -1.0)
    cured, _ = fit_of(spec_of(front, clear=clear + by))
    assert cured.fits


@pytest.mark.parametrize("front", LipSide)
def test_contents_lie_under_the_lid_and_before_a_lip_that_goes_in(front: LipSide) -> None:
    size = (60.0, 40.0, 21.0)
    block = Item("block", kinds.BLOCK, size, 0.0, None, (0.0,) * 3, None, "invented", frozenset())
    spec = spec_of(front)
    found = check(design_of(spec, Content(block, 1, Lay.FLAT)))
    (fit,) = found.contents
    assert fit.slack is not None
    lid = found.assembly.base.recipe.lid_mm
    inside = 23.0 + T + 2 * A - 2 * T
    assert fit.slack.height_mm == pytest.approx(inside - size[2], abs=1e-6)
    long = (55.0 if front is LipSide.OVER else lid) + 2 * A - 2 * T
    assert fit.slack.length_mm == pytest.approx(long - size[1], abs=0.12)
    assert found.cover == "lid"


@pytest.mark.parametrize("front", LipSide)
def test_odds_of_a_lid_hold_in_boxes_that_are_folded_anew(front: LipSide) -> None:
    usual = part_of(spec_of(front)).recipe.clear_mm
    near = usual + (-EASE_MM + 0.2 if front is LipSide.OVER else EASE_MM - 0.2)
    found = check(design_of(spec_of(front, clear=near)))
    odds = odds_of(found, 5_000)
    (one,) = odds.mates
    assert 0.5 < one.goes.share < 0.97
    assert odds.good.share == pytest.approx(one.goes.share, abs=0.02)
    assert odds.agreement.trusted
    assert one.plays[SWING].u_mm > 0.1


@pytest.mark.parametrize("front", LipSide)
@pytest.mark.parametrize("hinge", Hinge)
def test_paper_keeps_its_volume_and_the_solid_is_closed(front: LipSide, hinge: Hinge) -> None:
    part = part_of(spec_of(front, stock=paper(0.4), hinge=hinge))
    lid = next(line for line in part.pattern.creases if line.child == "lid")
    assert lid.kind is CreaseKind(hinge.value)
    assert [one.name for one in part.pattern.panels if one.role is Role.LID] == ["lid"]
    if hinge is Hinge.SCORED:
        flat = flat_area(part.pattern) * 0.4
        assert part.folded.volume_mm3 == pytest.approx(flat, rel=1e-12)
    mesh = folded_mesh(part.folded)
    assert mesh_fault(mesh) is None
    seen = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
    assert seen.is_watertight and seen.is_winding_consistent
    assert np.ptp(mesh.vertices[:, 2]) == pytest.approx(part.folded.height_mm, abs=1e-3)


@pytest.mark.parametrize("clear", [-4.0, -2.0, -1.0, -0.5, 0.0, 0.4, 1.0, 3.0])
@pytest.mark.parametrize("front", LipSide)
def test_a_lip_comes_down_on_the_side_that_the_design_says(front: LipSide, clear: float) -> None:
    """The lid is so much longer than the floor: from hinge to front wall both fold alike, so lip
    and wall stand one over the other where the lid is a caliper longer, as that wall is in front.
    """
    found = check(design_of(spec_of(front, clear=clear)))
    (fit,) = found.turns
    over = clear if front is LipSide.OVER else -clear
    assert fit.side_mm == pytest.approx(over, abs=0.35)
    faults = [one for one in found.findings if one.severity is Severity.FAULT]
    if over < 0.0:
        (fault,) = faults
        assert fault.code == "mate-wrong-side"
        assert odds_of(found, 2_000, folded_again=0).good.share < 0.5
    if over < 2.0 and faults:
        # a lid that is changed as it is told to comes out on its own side
        longer = front is LipSide.OVER
        assert f"{'longer' if longer else 'shorter'}" in faults[0].message
        own = part_of(spec_of(front, clear=clear)).recipe
        by = own.stock.caliper_mm - (fit.side_mm or 0.0)
        (cured,) = check(design_of(spec_of(front, clear=clear + (by if longer else -by)))).turns
        assert cured.side_mm is not None and cured.side_mm > 0.0


@pytest.mark.parametrize("front", LipSide)
def test_lips_of_drawn_boxes_are_on_the_sides_that_folded_ones_are(front: LipSide) -> None:
    """Half of the boxes on either side: the odds say of which, and the whole fold agrees."""
    found = check(design_of(spec_of(front, clear=0.0)))
    odds = odds_of(found, 2_000)
    (one,) = odds.mates
    assert odds.good.share < 0.4
    assert one.plays[SIDE].u_mm > 0.05
    named = {own.name: own for own in odds.agreement.refolded}
    side = next(own for name, own in named.items() if name.endswith(SIDE))
    assert side.rms_mm < 0.02


PENS = """format = 1
title  = "Pens"
unit   = "in"
tools  = "score-board-inch"
[base]
style  = "hinged-tray"
stock  = "{}"
floor  = [4, 2]
depth  = "3/4"
lip    = "1/2"
"""


@pytest.mark.parametrize("stock", ["cardstock-270", "cover-100", "index-140"])
def test_rounding_leaves_a_back_wall_the_caliper_that_its_lid_lies_on(
    tmp_path: Path, stock: str
) -> None:
    """Floor 2 in, walls 3/4 in, a back wall of one caliper more: 6 3/16 in and a caliper. Rounded
    to 6 3/16 in it is gone, and what stands close under the lid with it: 95 of 100 became 84."""
    path = tmp_path / "pens.toml"
    path.write_text(PENS.format(stock), encoding="utf-8")
    found = check(read_design(path, roots=[ROOT]))
    (part,) = found.assembly.parts
    plan = plan_of(part.pattern)
    drawn, cut = plan.sheet.length_mm, sheet_by_hand_mm(plan, Unit.IN, found.design.tools)[1]
    assert drawn - 0.005 <= cut < drawn + 25.4 / 32
    odds = odds_of(found, 4_000, 0, folded_again=0)
    told = odds.good if odds.rounded is None else odds.rounded
    assert told.share > odds.good.share - 0.005
