"""A folded part with cut-outs against arithmetic, and its drawings and solids by other readers."""

from __future__ import annotations

import io
import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from functools import cache

import ezdxf
import numpy as np
import pytest
import shapely
import trimesh
from pypdf import PdfReader
from pypdf.generic import ContentStream

from fitcheck.arcs import CHORD_ERROR_MM, arc_of
from fitcheck.drawing.clipping import clip_arc
from fitcheck.drawing.page_sizes import Paper
from fitcheck.drawing.pages import lay_on_pages
from fitcheck.drawing.shapes import Box, Drawing
from fitcheck.fit.pairs import Pairs
from fitcheck.fit.rest import rests_of
from fitcheck.fit.selffit import self_fit
from fitcheck.folding.fold import fold
from fitcheck.folding.measure import measure
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.pose import translation
from fitcheck.folding.prisms import prism
from fitcheck.outputs.write_dxf import dxf_file
from fitcheck.outputs.write_pdf import pdf_file
from fitcheck.outputs.write_svg import svg_page
from fitcheck.pattern.cutouts import Cutout, CutoutKind
from fitcheck.pattern.pattern import Panel, Pattern, Role, flat_area
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import Axis, Sheet
from fitcheck.sheet.part_drawing import DrawnPart, draw_part
from fitcheck.solids.folded import folded_mesh
from fitcheck.stock.crease import Crease
from fitcheck.styles import draw
from fitcheck.units import Unit
from tests.boxes import tray
from tests.cut_panels import (
    BACK,
    DEEP,
    FLOOR,
    FRONT,
    HOLE_RADIUS,
    LEFT,
    RADIUS,
    ROUND,
    SLOT_DEEP,
    SLOT_HIGH,
    SLOT_LOW,
    THUMB_X,
    WINDOW,
    area_by_hand,
    at,
    cut_box,
    quad,
    window,
)

SHARP = Crease(radius_mm=0.0, neutral=0.5, caliper_mm=0.4)
ROUNDED = Crease(radius_mm=0.3, neutral=0.5, caliper_mm=0.4)
ARCS_MM = math.pi * RADIUS + 2.0 * math.pi * HOLE_RADIUS + math.pi * ROUND
"""Length of all arcs of the example."""
UP = np.array([0.0, 0.0, 1.0])


@cache
def part(crease: Crease = SHARP, *, cut: bool = True) -> FoldedPart:
    return fold(cut_box(cut=cut), crease, 0.1)


def on_part(x: float, y: float) -> np.ndarray:
    """A place on the sheet's floor in the folded part, where the floor's middle is at 0."""
    return np.array([x - LEFT - FLOOR / 2, y - FRONT - DEEP / 2])


def bar(low: tuple[float, float], high: tuple[float, float], foot: float) -> ConvexPiece:
    """An upright block over a rectangle of the plan, far higher than the part."""
    outline = np.array([low, (high[0], low[1]), high, (low[0], high[1])])
    return prism("bar", frozenset(["bar"]), outline, foot, foot + 200.0)


def listed(*pieces: ConvexPiece) -> Pieces:
    return Pieces.joined([list(pieces)])


@pytest.mark.parametrize("crease", [SHARP, ROUNDED])
def test_the_folded_volume_is_the_flat_area_times_the_caliper(crease: Crease) -> None:
    """To the facets of the arcs, which stand off them by up to 0.005 mm on the paper's side."""
    found = part(crease).volume_mm3 / 0.4
    assert flat_area(cut_box()) == pytest.approx(area_by_hand(), rel=1e-12)
    assert 0.0 <= found - area_by_hand() <= CHORD_ERROR_MM * ARCS_MM


def test_straight_cut_outs_leave_the_volume_exact() -> None:
    """A mat of 90 x 60 mm with a window of 43 x 29 mm, which has no crease at all."""
    own = Panel("mat", Role.FLOOR, quad(0.0, 0.0, 90.0, 60.0), cutouts=(window(),))
    mat = fold(Pattern("mat", Sheet(90.0, 60.0), (own,), ()), SHARP, 0.1)
    opening = (WINDOW[2] - WINDOW[0]) * (WINDOW[3] - WINDOW[1])
    assert mat.volume_mm3 == pytest.approx((90.0 * 60.0 - opening) * 0.4, rel=1e-12)
    assert {piece.name for piece in mat.pieces} == {"mat"}


def test_a_cut_out_that_reaches_into_a_bend_leaves_the_volume_exact() -> None:
    """The bend takes 0.157 mm of the wall; the notch ends 0.05 mm from its score."""
    pattern = cut_box()
    name = "left wall"
    deep = LEFT - 0.05
    ends = at(0.0, 40.0), at(deep, 40.0), at(deep, 47.0), at(0.0, 47.0)
    panels = tuple(
        replace(one, cutouts=(Cutout("slot", CutoutKind.NOTCH, ends),)) if one.name == name else one
        for one in pattern.panels
    )
    folded = fold(replace(pattern, panels=panels), SHARP, 0.1)
    plain = part(cut=False)
    gone = cut_gone() + deep * 7.0 - SLOT_DEEP * (SLOT_HIGH - SLOT_LOW)
    assert 0.0 <= folded.volume_mm3 / 0.4 - plain.volume_mm3 / 0.4 + gone <= 0.005 * ARCS_MM
    assert len(folded.plate(name).rings) == 2


def cut_gone() -> float:
    """What the cut-outs of the example take away, mm2."""
    opening = (WINDOW[2] - WINDOW[0]) * (WINDOW[3] - WINDOW[1])
    rounds = math.pi * RADIUS**2 / 2 + math.pi * HOLE_RADIUS**2
    return opening + rounds + SLOT_DEEP * (SLOT_HIGH - SLOT_LOW)


def test_every_piece_has_its_panels_name_and_fits_its_neighbours() -> None:
    panels = {panel.name for panel in cut_box().panels}
    plates = [piece for piece in part().pieces if len(piece.panels) == 1]
    assert {piece.name for piece in plates} == panels
    assert len(plates) > 100
    # at the corners of a part without tabs its walls press as they do without cut-outs
    cut, plain = ({p.pieces: p.press_mm for p in self_fit(part(cut=c))} for c in (True, False))
    assert cut.keys() == plain.keys()
    assert cut == pytest.approx(plain, abs=1e-9)


def test_a_windows_free_opening() -> None:
    """A block of 39.5 x 21.4 mm set down off the middle has 1.5 and 0.6 mm of play in it."""
    low, high = on_part(*WINDOW[:2]), on_part(*WINDOW[2:])
    middle = 0.5 * (low + high)
    floor = part().pieces.named(["floor"]).moved(translation(np.array([*-middle, 0.0])))
    block = bar((-19.3, -10.9), (20.2, 10.5), -50.0)
    pairs = Pairs.of([(floor, [block])], UP)
    across, along = pairs.travel(Axis.WIDTH, np.zeros(3)), pairs.travel(Axis.LENGTH, np.zeros(3))
    assert across.low is not None and across.high is not None
    assert along.low is not None and along.high is not None
    assert (across.low.travel_mm, across.high.travel_mm) == pytest.approx((-1.2, 0.3), abs=1e-9)
    assert (along.low.travel_mm, along.high.travel_mm) == pytest.approx((-0.1, 0.5), abs=1e-9)
    assert {across.low.outer, along.high.outer} == {"floor"}


@pytest.mark.parametrize("off", [0.0, 1.7, -3.1])
def test_a_tongue_comes_to_rest_in_a_thumb_notch(off: float) -> None:
    """Its further corner is `reach` from the notch's middle: sqrt(r2 - reach2) below the rim."""
    half = 4.0
    reach = half + abs(off)
    centre = on_part(THUMB_X, 0.0)[0] + off
    wall = part().plate("front wall")
    depth = -wall.corners()[:, 1].min()
    tongue = bar((centre - half, -depth - 5.0), (centre + half, -depth + 5.0), -30.0)
    found = rests_of(listed(tongue), part().pieces, 1, 1e-9)[0]
    wanted = rim_of("front wall") - math.sqrt(RADIUS**2 - reach**2)
    ((pair, lift),) = found.items()
    assert pair == ("bar", "front wall")
    # the facets stand off the arc by up to 0.005 mm square to it, towards the notch
    slope = math.sqrt(RADIUS**2 - reach**2) / RADIUS
    assert 0.0 <= -30.0 + lift - wanted <= CHORD_ERROR_MM / slope + 1e-9


def rim_of(wall: str) -> float:
    """How high a wall's rim is."""
    return float(part().plate(wall).corners()[:, 2].max())


def test_a_strip_in_a_slot() -> None:
    """It falls onto the slot's floor; 0.45 mm thick in a slot of 0.6, it has 0.15 mm of play."""
    low, high = on_part(0.0, SLOT_LOW)[1], on_part(0.0, SLOT_HIGH)[1]
    thick = 0.45
    strip = bar((-60.0, low + 0.03), (-10.0, low + 0.03 + thick), -30.0)
    found = rests_of(listed(strip), part().pieces, 1, 1e-9)[0]
    rim = rim_of("left wall")
    assert found == {("bar", "left wall"): pytest.approx(30.0 + rim - SLOT_DEEP, abs=1e-9)}
    middle = 0.5 * (low + high)
    wall = part().pieces.named(["left wall"]).moved(translation(np.array([0.0, -middle, 0.0])))
    standing = strip.moved(translation(np.array([0.0, -middle, 30.0 + rim - SLOT_DEEP + 0.01])))
    travel = Pairs.of([(wall, [standing])], UP * 1e-6).travel(Axis.LENGTH, np.zeros(3))
    assert travel.low is not None and travel.high is not None
    assert (travel.low.travel_mm, travel.high.travel_mm) == pytest.approx((-0.03, 0.12), abs=1e-9)


def test_the_printed_solid_is_one_clean_body() -> None:
    """Volume as folded, to the hair by which pieces are grown; as many handles as it has holes."""
    made = folded_mesh(part())
    mesh = trimesh.Trimesh(made.vertices, made.faces, process=False)
    assert mesh.is_watertight and mesh.is_winding_consistent and mesh.body_count == 1
    # each face is grown by up to 2.4 micrometres
    assert mesh.volume == pytest.approx(part().volume_mm3, abs=mesh.area * 0.0024)
    # a genus of 2, the window and the round hole: v - e + f = 2 - 2 genus
    assert mesh.euler_number == 2 - 2 * 2


@cache
def drawing() -> Drawing:
    pattern = cut_box()
    plan = plan_of(pattern)
    return draw_part(DrawnPart("Cut", pattern, plan, Unit.IN, "card", score_face="inside"))


def wanted_arcs() -> list[tuple[float, float, float]]:
    """Middles and radii of the five arcs on the sheet (a round hole is two half rounds)."""
    top = FRONT + DEEP + BACK
    hole = LEFT + FLOOR + 10.0, FRONT + 31.0, HOLE_RADIUS
    return sorted(
        [
            (THUMB_X, 0.0, RADIUS),
            hole,
            hole,
            (LEFT + ROUND, top - ROUND, ROUND),
            (LEFT + FLOOR - ROUND, top - ROUND, ROUND),
        ]
    )


def test_the_dxf_has_true_arcs() -> None:
    """As ezdxf reads them; a dimension line's help circle is no arc."""
    document = ezdxf.read(io.StringIO(dxf_file(drawing())))
    arcs = document.modelspace().query("ARC")
    # the drawing is moved by what stands beside the sheet: found by its lowest cut
    cuts = [e for e in document.modelspace().query("LWPOLYLINE") if e.dxf.layer == "CUT"]
    corners = np.array([point[:2] for point in cuts[0].get_points()])
    left, bottom = corners.min(axis=0)
    found = sorted(
        (round(a.dxf.center.x - left, 9), round(a.dxf.center.y - bottom, 9), a.dxf.radius)
        for a in arcs
    )
    assert [pytest.approx(one, abs=1e-6) for one in wanted_arcs()] == found
    assert {arc.dxf.layer for arc in arcs} == {"CUT"}
    thumb = next(arc for arc in arcs if arc.dxf.radius == pytest.approx(RADIUS))
    assert (thumb.dxf.start_angle % 360, thumb.dxf.end_angle % 360) == pytest.approx((0.0, 180.0))


def middle_of(a: complex, b: complex, radius: float, large: int, sweep: int) -> complex:
    """The middle of an SVG arc (SVG 1.1, appendix F.6.5, for a circle)."""
    half = 0.5 * (b - a)
    rise = math.sqrt(max(radius**2 - abs(half) ** 2, 0.0))
    side = 1.0 if large != sweep else -1.0
    return 0.5 * (a + b) + side * rise * 1j * half / abs(half)


def test_the_svg_has_true_arcs() -> None:
    (page,) = lay_on_pages(drawing(), Paper.A4)
    root = ET.fromstring(svg_page(page))
    svg = "{http://www.w3.org/2000/svg}"
    (group,) = [g for g in root.iter(f"{svg}g") if g.attrib["id"] == "cut"]
    found, straight = [], []
    number = r"(-?[\d.]+)"
    arc = re.compile(rf"M {number},{number} A {number},{number} 0 ([01]) ([01]) {number},{number}$")
    for path in group:
        match = arc.match(path.attrib["d"])
        if match is None:
            straight.append(path.attrib["d"])
            continue
        x0, y0, rx, ry, large, sweep, x1, y1 = map(float, match.groups())
        assert rx == ry
        middle = middle_of(complex(x0, y0), complex(x1, y1), rx, int(large), int(sweep))
        found.append((middle.real, page.height_mm - middle.imag, rx))
    sheet = [float(v) for v in re.findall(r"-?[\d.]+", straight[0])]
    left, bottom = min(sheet[::2]), page.height_mm - max(sheet[1::2])
    moved = sorted((x - left, y - bottom, r) for x, y, r in found)
    for one, other in zip(moved, wanted_arcs(), strict=True):
        assert one == pytest.approx(other, abs=5e-4)
    # a half round goes up from the sheet's lower edge, which is anticlockwise on the page: 0
    assert any(" 0 0 0 " in path.attrib["d"] for path in group if "A 9.525" in path.attrib["d"])


def test_the_pdfs_curves_lie_on_their_arcs() -> None:
    """Cubic Bezier curves as pypdf reads them, to 1e-3 mm of the true round all along."""
    pages = lay_on_pages(drawing(), Paper.A4)
    reader = PdfReader(io.BytesIO(pdf_file("Cut", pages)))
    content = ContentStream(reader.pages[0].get_contents(), reader)
    curves: list[list[complex]] = []
    at = 0j
    for operands, operator in content.operations:
        numbers = [float(v) for v in operands if isinstance(v, int | float)]
        if operator in (b"m", b"l"):
            at = complex(*numbers)
        elif operator == b"c":
            handles = [complex(numbers[k], numbers[k + 1]) for k in (0, 2, 4)]
            curves.append([at, *handles])
            at = handles[-1]
    assert curves
    dx, dy = pages[0].offset
    rim = np.array(next(s.points for s in drawing().strokes if s.closed))
    sheet, low = rim.min(axis=0)
    on = {one: 0 for one in wanted_arcs()}
    for a, b, c, d in curves:
        t = np.linspace(0.0, 1.0, 41)
        path = a * (1 - t) ** 3 + 3 * b * t * (1 - t) ** 2 + 3 * c * t**2 * (1 - t) + d * t**3
        spots = path - complex(dx + sheet, dy + low)
        best = min(on, key=lambda arc: np.abs(np.abs(spots - complex(*arc[:2])) - arc[2]).max())
        assert np.abs(np.abs(spots - complex(*best[:2])) - best[2]).max() < 1e-3
        on[best] += 1
    assert all(on.values())


def test_an_arc_parted_by_a_seam_keeps_its_round() -> None:
    """Either window shows its own stretch of the arc, as long as shapely finds it."""
    whole = arc_of((10.0, 0.0), (40.0, 6.0), 0.8)
    pieces = [
        piece
        for left, right in ((-50.0, 21.0), (21.0, 90.0))
        for piece in clip_arc(whole, Box(left, -50.0, right, 50.0))
    ]
    assert {piece.centre_mm for piece in pieces} == {whole.centre_mm}
    assert sum(piece.sweep_rad for piece in pieces) == pytest.approx(whole.sweep_rad, rel=1e-12)
    line = shapely.LineString(whole.chords(1e-6))
    for left, right in ((-50.0, 21.0), (21.0, 90.0)):
        window = Box(left, -50.0, right, 50.0)
        length = sum(p.radius_mm * p.sweep_rad for p in clip_arc(whole, window))
        cut = line.intersection(shapely.box(left, -50.0, right, 50.0)).length
        assert length == pytest.approx(cut, rel=1e-5)


@cache
def lids() -> tuple[FoldedPart, FoldedPart]:
    """A glued lid, and the same with a thumb notch in its front wall and a window in its floor."""
    pattern = draw(tray(84.93, 115.9, 15.9))
    panels = []
    for panel in pattern.panels:
        cutouts: tuple[Cutout, ...] = ()
        if panel.name == "front wall":
            ends = at(50.0, 0.0), at(64.0, 0.0)
            cutouts = (Cutout("thumb notch", CutoutKind.NOTCH, ends, (1.0,)),)
        if panel.name == "floor":
            cutouts = (Cutout("window", CutoutKind.WINDOW, quad(35.0, 44.0, 72.0, 88.0)),)
        panels.append(replace(panel, cutouts=cutouts))
    papers = SHARP, 0.1
    return fold(pattern, *papers), fold(replace(pattern, panels=tuple(panels)), *papers)


def test_a_glued_lid_stands_as_it_did_without_its_cut_outs() -> None:
    """Same angles, sizes and bends.

    Its glued walls are pushed out, so the corners between bends are shared out aslant.
    """
    plain, cut = lids()
    assert plain.angles == cut.angles
    assert measure(plain) == measure(cut)
    assert len(set(plain.angles.values())) == 2
    for one, other in zip(plain.bends, cut.bends, strict=True):
        assert one.name == other.name
        ends = (*one.ends_start, *one.ends_stop), (*other.ends_start, *other.ends_stop)
        assert ends[0] == pytest.approx(ends[1], abs=1e-9)


def test_a_cut_glued_lid_prints_as_one_body() -> None:
    _, cut = lids()
    made = folded_mesh(cut)
    mesh = trimesh.Trimesh(made.vertices, made.faces, process=False)
    assert mesh.is_watertight and mesh.body_count == 1
    # a glued part overlaps itself: it may have less than its paper, but not much more
    assert 0.95 * cut.volume_mm3 < mesh.volume < cut.volume_mm3 + mesh.area * 0.0024


@pytest.mark.parametrize("radius", [0.0, 1.1, 3.4])
def test_a_bend_broader_than_the_clear_border_keeps_the_volume(radius: float) -> None:
    """The window ends 1.5 mm from a score; half a bend of 3.4 mm radius takes 2.8 mm."""
    pattern = cut_box(cut=False)
    near = Cutout("window", CutoutKind.WINDOW, quad(LEFT + 20.0, FRONT + 1.5, LEFT + 41.0, 60.0))
    floor = replace(pattern.panels[0], cutouts=(near,))
    pattern = replace(pattern, panels=(floor, *pattern.panels[1:]))
    folded = fold(pattern, Crease(radius_mm=radius, neutral=0.5, caliper_mm=0.4), 0.1)
    off = folded.volume_mm3 / 0.4 - flat_area(pattern)
    assert 0.0 <= off <= CHORD_ERROR_MM * math.pi * ROUND
