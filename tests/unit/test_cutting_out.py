"""Cut-outs in steps, words, tables and JSON, as a maker reads them."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from fitcheck.folding.fold import fold
from fitcheck.outputs.report.folds import part_folds
from fitcheck.outputs.report.packed import Packer
from fitcheck.outputs.report.views.projection import camera
from fitcheck.outputs.report.views.solids import BASE, part_solids
from fitcheck.outputs.report.views.view import view
from fitcheck.pattern.bonds import Face
from fitcheck.pattern.cutouts import Cutout, CutoutKind
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import Axis, Corner, Fence, Sheet
from fitcheck.sheet.actions import CutToSize
from fitcheck.sheet.areas import waste_pieces
from fitcheck.sheet.cutout_text import cutting_words
from fitcheck.sheet.cuts import CutOutline
from fitcheck.sheet.cutting_out import CutOut, Place, RoundCorners, Shape, cutting_out
from fitcheck.sheet.instructions import instructions_for
from fitcheck.sheet.part_drawing import DrawnPart, draw_part
from fitcheck.sheet.steps import steps_for
from fitcheck.solids.folded_solids import folded_solids
from fitcheck.stock.crease import Crease
from fitcheck.stock.tools import Tools
from fitcheck.units import Unit
from tests.cut_panels import FLOOR, FRONT, LEFT, RADIUS, area_by_hand, at, cut_box, quad

TOOLS = Tools("board", 5.0, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)
CARD = Crease(radius_mm=0.0, neutral=0.5, caliper_mm=0.4)


def with_cutout(panel: str, cutout: Cutout) -> Pattern:
    """The example with one cut-out only."""
    pattern = cut_box(cut=False)
    panels = tuple(
        replace(one, cutouts=(cutout,)) if one.name == panel else one for one in pattern.panels
    )
    return replace(pattern, panels=panels)


def words_of(panel: str, cutout: Cutout, unit: Unit = Unit.MM) -> tuple[str, tuple[str, ...]]:
    pattern = with_cutout(panel, cutout)
    (step,) = [s for s in cutting_out(pattern) if isinstance(s, CutOut)]
    return cutting_words([step], unit, as_drawn(pattern.sheet))


def as_drawn(sheet: Sheet) -> CutToSize:
    """A sheet cut exactly as large as it is drawn."""
    return CutToSize("base", "card", sheet, sheet.sides_mm, None, Face.OUTSIDE)


def notch(*corners: Corner, bulges: tuple[float, ...] = ()) -> Cutout:
    return Cutout("thumb notch", CutoutKind.NOTCH, corners, bulges)


def test_a_thumb_notch_in_the_middle_of_a_rim() -> None:
    middle = LEFT + FLOOR / 2
    own = notch(at(middle - RADIUS, 0.0), at(middle + RADIUS, 0.0), bulges=(1.0,))
    text, places = words_of("front wall", own, Unit.IN)
    assert text == (
        "Cut the thumb notch: a half round of 3/8 in (9.5 mm) radius in the middle of the front "
        "wall's rim. Its middle lies:"
    )
    assert places == ("2 3/32 in (53.2 mm) from the left edge and on the bottom edge",)


def test_other_shapes_are_told_by_their_sizes() -> None:
    box = quad(LEFT + 8.0, FRONT + 4.0, LEFT + 20.0, FRONT + 13.0)
    text, places = words_of("floor", Cutout("window", CutoutKind.WINDOW, box))
    assert "a rectangle 12 mm" in text and "and 9 mm" in text and "in the floor" in text
    assert len(places) == 2 and places[0].endswith("from the left edge")
    slot = notch(at(0.0, 40.0), at(9.0, 40.0), at(9.0, 42.0), at(0.0, 42.0))
    text, _ = words_of("left wall", slot)
    assert text.startswith("Cut the thumb notch, 2 mm (3/32 in) wide and 9 mm (11/32 in) deep")
    assert "square into the left wall's rim" in text
    slit = Cutout("lock", CutoutKind.SLIT, (at(30.0, 40.0), at(44.0, 40.0)))
    assert words_of("floor", slit)[0].startswith("Cut the lock, a slit in the floor")
    odd = notch(at(30.0, 0.0), at(37.0, 9.0), at(44.0, 0.0), bulges=(0.2, 0.0))
    text, places = words_of("front wall", odd)
    assert "Its outline runs through these points" in text
    assert places[1].startswith("round, with a radius of") and len(places) == 3


def test_steps_cut_the_outline_by_the_fence_and_each_cut_out_by_itself() -> None:
    """The lengths of the cuts at the fence are those of the part without cut-outs."""
    cut, plain = (
        steps_for(p, plan_of(p), "card", Axis.LENGTH, TOOLS, Unit.MM)
        for p in (cut_box(), cut_box(cut=False))
    )
    fenced = [step for step in cut if isinstance(step, CutOutline)]
    assert fenced == [step for step in plain if isinstance(step, CutOutline)]
    shapes = {step.name: step.shape for step in cut if isinstance(step, CutOut)}
    assert shapes == {
        "window": Shape.RECTANGLE,
        "thumb notch": Shape.HALF_ROUND,
        "slot": Shape.SLOT,
        "hole": Shape.ROUND,
    }
    (corners,) = [step for step in cut if isinstance(step, RoundCorners)]
    assert corners.radius_mm == pytest.approx(6.0) and len(corners.middles) == 2
    told = instructions_for(cut, Unit.IN)
    assert sum(one.text.startswith("Cut the thumb notch:") for one in told) == 1


def test_what_falls_off_is_the_sheet_less_the_paper() -> None:
    pattern = cut_box()
    sheet = pattern.sheet.width_mm * pattern.sheet.length_mm
    waste = sum(piece.area.area for piece in waste_pieces(pattern))
    # facets of arcs lie up to 0.005 mm on the waste's side
    assert 0.0 <= sheet - area_by_hand() - waste <= 0.005 * 80.0


def test_no_text_stands_in_a_cut_out() -> None:
    pattern = cut_box()
    drawing = draw_part(DrawnPart("Cut", pattern, plan_of(pattern), Unit.IN, "card"))
    rim = np.array(next(s.points for s in drawing.strokes if s.closed)).min(axis=0)
    gone = shapely.union_all([piece.area for piece in waste_pieces(pattern)])
    holes = [
        p for p in shapely.get_parts(gone) if not p.touches(shapely.box(0, 0, 110, 106).exterior)
    ]
    inside = [hole for hole in holes if hole.within(shapely.box(1, 1, 109, 105))]
    assert len(inside) == 2
    for label in drawing.labels:
        box = label.box
        text = shapely.box(box.left, box.bottom, box.right, box.top)
        assert all(
            shapely.transform(hole, lambda points: points + rim).disjoint(text) for hole in inside
        )
    names = {label.text for label in drawing.labels}
    assert {"front wall", "back wall"} <= names


def test_a_picture_shows_through_the_window() -> None:
    """What is painted of the inside face of a mat is its paper, seen foreshortened."""
    pattern = with_cutout(
        "floor", Cutout("window", CutoutKind.WINDOW, quad(LEFT + 8.0, FRONT + 4.0, 60.0, 60.0))
    )
    mat = replace(pattern, panels=pattern.panels[:1], creases=())
    folded = fold(mat, CARD, 0.1)
    solids = part_solids(folded, np.eye(4), BASE)
    up = [
        face.corners for solid in solids for face in solid.faces if face.corners[:, 2].min() > 0.3
    ]
    seen = camera()
    area = sum(abs(shapely.Polygon(seen.flat(corners)).area) for corners in up)
    hole = (60.0 - LEFT - 8.0) * (60.0 - FRONT - 4.0)
    share = abs(seen.eye[2])
    assert area == pytest.approx((FLOOR * 50.0 - hole) * share, rel=1e-9)
    edges = sum(
        float(np.linalg.norm(face.corners[k] - face.corners[(k + 1) % len(face.corners)]))
        for solid in solids
        for face in solid.faces
        if face.corners[:, 2].min() > 0.3
        for k, edged in enumerate(face.edged)
        if edged
    )
    wanted = 2 * (FLOOR + 50.0) + 2 * (60.0 - LEFT - 8.0 + 60.0 - FRONT - 4.0)
    assert edges == pytest.approx(wanted, rel=1e-9)
    assert view("mat", "mat", "a mat", solids).marks


def test_the_turning_view_has_the_cells_with_their_inner_sides() -> None:
    """Sides that are not inner ones are as long as what bounds each panel's paper."""
    folded = fold(cut_box(), CARD, 0.1)
    plates = part_folds(folded, np.eye(4), Packer())["plates"]
    for plate, made in zip(plates, folded.plates, strict=True):
        outer = 0.0
        for cell, entry in zip(made.cells, plate["cells"], strict=True):
            sides = np.linalg.norm(np.roll(cell, -1, axis=0) - cell, axis=1)
            outer += sides.sum() - sides[entry["inner"]].sum()
        around = sum(
            np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1).sum() for ring in made.rings
        )
        assert outer == pytest.approx(around, abs=1e-5)


def test_exact_solids_have_the_plates_volumes() -> None:
    pytest.importorskip("netgen.occ")
    folded = fold(cut_box(), CARD, 0.1)
    solids = folded_solids(folded)
    for plate in folded.plates:
        assert solids[plate.name].mass == pytest.approx(plate.volume_mm3, rel=1e-7)
    assert math.isclose(sum(s.mass for s in solids.values()), folded.volume_mm3, rel_tol=1e-6)


def test_round_corners_at_both_edges_are_told_in_one_line() -> None:
    """Two distances across, one along from either edge: four middles, and each said once."""
    middles = [
        Place(Fence.LEFT, across, level, 7.0)
        for level in (Fence.BOTTOM, Fence.TOP)
        for across in (8.0, 57.0)
    ]
    steps = [RoundCorners(f"{name} flap", 7.0, tuple(middles[2 * k : 2 * k + 2]))
             for k, name in enumerate(("bottom", "top"))]  # fmt: skip
    text, places = cutting_words(steps, Unit.MM, as_drawn(cut_box(cut=False).sheet))
    assert text.startswith(
        "Round 4 corners of the bottom flap and the top flap to a radius of 7 mm"
    )
    assert places == (
        "8 and 57 mm (5/16 and 2 1/4 in) from the left edge, and 7 mm (9/32 in) from the bottom "
        "and top edge",
    )
    odd = replace(steps[0], middles=(middles[0], middles[3], middles[2]))
    _, apart = cutting_words([odd], Unit.MM, as_drawn(cut_box(cut=False).sheet))
    assert len(apart) == 3
