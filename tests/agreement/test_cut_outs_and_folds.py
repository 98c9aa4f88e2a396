"""Cut-outs in parts with folds to the outside, half cuts, webs and double walls, by arithmetic.

Paper is neither lost nor gained in a fold about its middle, so a folded part has the volume of what
is left of its sheet; a cut-out clear of glue and rims changes no fold.
"""

from __future__ import annotations

import io
import math
from collections.abc import Mapping
from dataclasses import replace

import ezdxf
import pytest
import shapely
import trimesh

from fitcheck.arcs import CHORD_ERROR_MM
from fitcheck.fit.selffit import self_fit
from fitcheck.folding.fold import fold
from fitcheck.outputs.write_dxf import dxf_file
from fitcheck.pattern.bonds import Face
from fitcheck.pattern.creases import CreaseKind, CreaseLine
from fitcheck.pattern.cutouts import Cutout, CutoutKind
from fitcheck.pattern.pattern import Panel, Pattern, Role, flat_area
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.rounding import rounded
from fitcheck.pattern.sheet import Axis, Sheet
from fitcheck.sheet.instructions import instructions_for
from fitcheck.sheet.part_drawing import DrawnPart, draw_part
from fitcheck.sheet.steps import steps_for
from fitcheck.solids.folded import folded_mesh
from fitcheck.stock.crease import Crease
from fitcheck.stock.tools import Tools
from fitcheck.units import Unit
from tests.cut_panels import at, quad
from tests.hand_drawn import QUARTER, double_tray, gusset_tray

CARD = Crease(radius_mm=0.0, neutral=0.5, caliper_mm=0.4)
PRINTED = Crease(radius_mm=0.035, neutral=0.5, caliper_mm=0.33)
TOOLS = Tools("board", 5.0, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)
WIDTH, DEEP, WALL, FLAP = 70.0, 50.0, 25.0, 14.0
RADIUS, ROUND = 6.5, 4.0
FLAP_LEFT, FLAP_RIGHT = 27.0, 61.0
NOTCH_X = 13.0
SLOT = (36.0, 41.0, 9.0)
"""From, to, and how deep into the flap."""


def notched_wall(
    flap_kind: CreaseKind = CreaseKind.SCORED,
    foot_kind: CreaseKind = CreaseKind.SCORED,
    angle: float = -QUARTER,
) -> Pattern:
    """A floor with a wall in front; at its rim a thumb notch and, beside that, a flap folded out.

    The flap has one rounded corner, and a slot from its tip.
    """
    foot, rim = FLAP + WALL, FLAP
    sheet = Sheet(WIDTH, foot + DEEP)
    ends = at(NOTCH_X - RADIUS, rim), at(NOTCH_X + RADIUS, rim)
    low, high, deep = SLOT
    slot = at(low, 0.0), at(low, deep), at(high, deep), at(high, 0.0)
    flap = Panel(
        "flap",
        Role.FLAP,
        quad(FLAP_LEFT, 0.0, FLAP_RIGHT, rim),
        cutouts=(Cutout("slot", CutoutKind.NOTCH, slot),),
    )
    return Pattern(
        "tray",
        sheet,
        (
            Panel("floor", Role.FLOOR, quad(0.0, foot, WIDTH, foot + DEEP)),
            Panel(
                "wall",
                Role.WALL,
                quad(0.0, rim, WIDTH, foot),
                cutouts=(Cutout("thumb notch", CutoutKind.NOTCH, ends, (1.0,)),),
            ),
            rounded(sheet, flap, {1: ROUND}),
        ),
        (
            CreaseLine("floor", "wall", at(0.0, foot), at(WIDTH, foot), QUARTER, foot_kind),
            CreaseLine("wall", "flap", at(FLAP_LEFT, rim), at(FLAP_RIGHT, rim), angle, flap_kind),
        ),
    )


def area_by_hand() -> float:
    low, high, deep = SLOT
    flap = (FLAP_RIGHT - FLAP_LEFT) * FLAP - deep * (high - low) - (1.0 - math.pi / 4) * ROUND**2
    return WIDTH * (DEEP + WALL) - math.pi * RADIUS**2 / 2 + flap


ARCS_MM = math.pi * RADIUS + QUARTER * ROUND


@pytest.mark.parametrize("angle", [QUARTER, -QUARTER, -2.2])
def test_a_notch_beside_a_flap_folded_either_way_leaves_the_volume_law(angle: float) -> None:
    pattern = notched_wall(angle=angle)
    assert flat_area(pattern) == pytest.approx(area_by_hand(), rel=1e-12)
    found = fold(pattern, CARD, 0.1).volume_mm3 / CARD.caliper_mm - area_by_hand()
    assert 0.0 <= found <= CHORD_ERROR_MM * ARCS_MM


def test_a_half_cut_hinge_loses_what_gapes() -> None:
    """Half the caliper t is gone over the hinge's flat length th t / 4: th t2 / 8 by its width."""
    scored, hinged = (
        fold(notched_wall(foot_kind=kind), CARD, 0.1).volume_mm3 for kind in CreaseKind
    )
    gone = QUARTER * CARD.caliper_mm**2 / 8.0 * WIDTH
    assert scored - hinged == pytest.approx(gone, rel=1e-9)


def test_the_flap_stands_out_from_the_notched_wall() -> None:
    """Outside the wall, square to it; every piece is its panel's, and none stands in another."""
    part = fold(notched_wall(), CARD, 0.1)
    names = {piece.name for piece in part.pieces if len(piece.panels) == 1}
    assert names == {"floor", "wall", "flap"}
    assert len(part.plate("wall").cells) > 1 and len(part.plate("flap").cells) > 1
    assert self_fit(part) == ()
    wall = part.plate("wall").corners()
    flap = part.plate("flap")
    assert flap.corners()[:, 1].max() <= wall[:, 1].min() + 1e-9
    assert flap.pose[:3, 2] == pytest.approx([0.0, 0.0, 1.0], abs=1e-12)
    paper = shapely.union_all([shapely.Polygon(cell) for cell in part.plate("wall").cells])
    off = paper.distance(shapely.Point(NOTCH_X - WIDTH / 2, -WALL - DEEP / 2))
    assert RADIUS - CHORD_ERROR_MM <= off <= RADIUS + 1e-9


def test_the_plan_has_the_rim_the_arc_and_the_half_cut_in_one() -> None:
    plan = plan_of(notched_wall(CreaseKind.HALF_CUT))
    assert [(s.at_mm, s.start_mm, s.stop_mm, s.outer, s.half_cut) for s in plan.scores] == [
        (FLAP, FLAP_LEFT, FLAP_RIGHT, Face.INSIDE, True),
        (FLAP + WALL, 0.0, WIDTH, Face.OUTSIDE, False),
    ]
    rims = [c for c in plan.cuts if c.at_mm == FLAP]
    spans = [(c.start_mm, c.stop_mm, c.of) for c in rims]
    assert spans == [
        (0.0, NOTCH_X - RADIUS, ("wall",)),
        (NOTCH_X + RADIUS, FLAP_LEFT, ("wall",)),
        (FLAP_RIGHT, WIDTH, ("wall",)),
    ]
    assert sorted((cut.of, cut.cutout, cut.arc.radius_mm) for cut in plan.arc_cuts) == [
        ("flap", "", pytest.approx(ROUND)),
        ("wall", "thumb notch", pytest.approx(RADIUS)),
    ]
    told = steps_for(notched_wall(), plan, "card", Axis.LENGTH, TOOLS, Unit.MM)
    steps = list(instructions_for(told, Unit.MM))
    texts = [line.text for line in steps]
    assert any(text.startswith("Cut the thumb notch: a half round") for text in texts)
    (folding,) = [line for line in steps if line.text.startswith("Fold all 2 creases")]
    assert folding.details == ("wall / flap",)
    halves = [t for line in steps for t in (line.text, *line.details) if "half through" in t]
    assert len(halves) == 1


def with_cutouts(pattern: Pattern, cutouts: Mapping[str, Cutout]) -> Pattern:
    panels = tuple(
        replace(one, cutouts=(cutouts[one.name],)) if one.name in cutouts else one
        for one in pattern.panels
    )
    return replace(pattern, panels=panels)


def window(left: float, bottom: float, right: float, top: float) -> Cutout:
    return Cutout("window", CutoutKind.WINDOW, quad(left, bottom, right, top))


GUSSETS = {
    "floor": window(30.0, 41.0, 55.0, 52.0),
    "left wall": window(5.0, 35.0, 13.0, 60.0),
    "front wall's left web": window(14.5, 3.0, 18.5, 6.0),
}
GUSSETS_MM2 = 25.0 * 11.0 + 8.0 * 25.0 + 4.0 * 3.0


@pytest.mark.parametrize("outside", [False, True])
def test_windows_in_a_tray_of_folded_corners(outside: bool) -> None:
    """In the floor, a wall, and the triangle that is folded flat between score and diagonal."""
    plain = gusset_tray(62.0, 47.0, 20.0, outside=outside)
    cut = with_cutouts(plain, GUSSETS)
    one, other = fold(plain, CARD, 0.1), fold(cut, CARD, 0.1)
    assert (one.volume_mm3 - other.volume_mm3) / CARD.caliper_mm == pytest.approx(
        GUSSETS_MM2, rel=1e-9
    )
    assert other.angles == pytest.approx(one.angles, abs=1e-9)
    pressed = [{p.pieces: p.press_mm for p in self_fit(part)} for part in (one, other)]
    assert pressed[1].keys() == pressed[0].keys()
    plan = plan_of(cut)
    assert plan.slant_scores == plan_of(plain).slant_scores
    assert {(line.of, line.cutout) for line in plan.cuts} == {
        ((name,), "window") for name in GUSSETS
    }
    solids = [folded_mesh(fold(one, PRINTED, 0.1)) for one in (plain, cut)]
    printed = trimesh.Trimesh(solids[1].vertices, solids[1].faces, process=False)
    assert printed.is_watertight and printed.body_count == 1
    gone = (solids[0].volume_mm3 - solids[1].volume_mm3) / PRINTED.caliper_mm
    assert gone == pytest.approx(GUSSETS_MM2, rel=0.02)


def test_a_finger_hole_through_a_double_wall() -> None:
    """Holes of one size in wall and lining, at one height: light goes through, folds stay."""
    lining_mm, rim_mm, depth = 18.0, 1.3, 20.0
    plain = double_tray(
        80.0, 60.0, depth, lining_mm=lining_mm, rims=(rim_mm, rim_mm), tab=8.0, ends=(1.5, 1.5)
    )
    out = lining_mm + rim_mm + depth
    middle, half, low = out + 30.0, 5.0, 8.0
    # both bends of the rim lie between the holes: as far on either side of its middle
    rim = lining_mm + 0.5 * rim_mm
    holes = {
        "front wall": window(middle - half, rim + low, middle + half, rim + low + 6.0),
        "front lining": window(middle - half, rim - low - 6.0, middle + half, rim - low),
    }
    one, other = fold(plain, CARD, 0.1), fold(with_cutouts(plain, holes), CARD, 0.1)
    assert other.angles == pytest.approx(one.angles, abs=1e-9)
    assert (one.volume_mm3 - other.volume_mm3) / CARD.caliper_mm == pytest.approx(
        2 * 10.0 * 6.0, rel=1e-9
    )
    seen = []
    for name in holes:
        plate = other.plate(name)
        (hole,) = [ring for ring in plate.rings if shapely.LinearRing(ring).is_ccw is False]
        places = hole @ plate.pose[:3, :2].T + plate.pose[:3, 3]
        seen.append(shapely.box(*places[:, [0, 2]].min(axis=0), *places[:, [0, 2]].max(axis=0)))
    assert seen[0].intersection(seen[1]).area == pytest.approx(60.0, rel=0.01)


def test_arcs_and_slanted_scores_are_drawn_in_one_file() -> None:
    own = Cutout("thumb notch", CutoutKind.NOTCH, (at(40.0, 0.0), at(54.0, 0.0)), (1.0,))
    pattern = with_cutouts(gusset_tray(62.0, 47.0, 20.0), {"front wall": own})
    plan = plan_of(pattern)
    assert len(plan.slant_scores) == 4 and len(plan.arc_cuts) == 1
    assert plan.slant_cuts == ()
    drawing = draw_part(DrawnPart("Cut", pattern, plan, Unit.MM, "card", score_face="inside"))
    space = ezdxf.read(io.StringIO(dxf_file(drawing))).modelspace()
    (arc,) = space.query("ARC")
    assert arc.dxf.layer == "CUT" and arc.dxf.radius == pytest.approx(7.0)
    lines = [e for e in space if e.dxf.layer.startswith("SCORE")]
    assert len(lines) >= 8
