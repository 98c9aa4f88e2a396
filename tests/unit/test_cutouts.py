"""Panels with cut-outs: what is allowed, what is left of them, and the convex cells they become."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.arcs import CHORD_ERROR_MM, arc_of, facet_weights, segment_area
from fitcheck.errors import ModelError
from fitcheck.folding.fold import Making, fold_all
from fitcheck.folding.lines import Creases, lay_out
from fitcheck.folding.splitting import split_of
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.cutouts import Cutout, CutoutKind
from fitcheck.pattern.pattern import Panel, Pattern, Role, flat_area
from fitcheck.pattern.plan import knives_of, plan_of
from fitcheck.pattern.rounding import rounded
from fitcheck.pattern.sheet import Corner, Fence, Line, Rule, Sheet
from fitcheck.stock.crease import Crease
from tests.cut_panels import (
    BACK,
    DEEP,
    FLOOR,
    FRONT,
    LEFT,
    RADIUS,
    SLOT_DEEP,
    THUMB,
    THUMB_X,
    area_by_hand,
    at,
    cut_box,
    hole,
    quad,
    slot,
    thumb_notch,
    window,
)

CARD = Crease(radius_mm=0.0, neutral=0.5, caliper_mm=0.4)


def card(*cutouts: Cutout, bulges: tuple[float, ...] = (), corners: int = 4) -> Pattern:
    """A floor 90 x 60 mm with a wall at its back, and cut-outs in the floor."""
    floor = (*quad(0.0, 0.0, 90.0, 60.0),)[:corners]
    return Pattern(
        "insert",
        Sheet(90.0, 80.0),
        (
            Panel("floor", Role.FLOOR, floor, bulges, cutouts),
            Panel("back wall", Role.WALL, quad(0.0, 60.0, 90.0, 80.0)),
        ),
        (CreaseLine("floor", "back wall", at(0.0, 60.0), at(90.0, 60.0)),),
    )


def notch(*corners: Corner, bulges: tuple[float, ...] = (), name: str = "notch") -> Cutout:
    return Cutout(name, CutoutKind.NOTCH, corners, bulges)


def opening(*corners: Corner, bulges: tuple[float, ...] = (), name: str = "window") -> Cutout:
    return Cutout(name, CutoutKind.WINDOW, corners, bulges)


def floor_area(pattern: Pattern) -> float:
    return pattern.boundary(pattern.panels[0]).area(pattern.sheet, {})


def paper(pattern: Pattern, panel: Panel) -> shapely.Polygon:
    outer, *holes = pattern.boundary(panel).polygons(pattern.sheet)
    return shapely.Polygon(outer, holes)


def drawn_cells(pattern: Pattern) -> list[tuple[str, shapely.Polygon]]:
    layout, problems = lay_out(pattern, Creases.of([CARD]), {})
    assert not problems
    cells = layout.cells
    return [
        (pattern.panels[panel].name, shapely.Polygon(points[:count]))
        for panel, points, count in zip(cells.panels, cells.points[0], cells.counts, strict=True)
    ]


def test_the_area_left_is_what_a_hand_works_out() -> None:
    """Rectangles, a half disc, a disc and two corners of (1 - pi / 4) r2 each."""
    assert flat_area(cut_box()) == pytest.approx(area_by_hand(), rel=1e-12)


def test_a_bulge_is_the_tangent_of_a_quarter_of_the_angle() -> None:
    """A quarter round from (6, 0) to (0, 6) about the origin, anticlockwise."""
    arc = arc_of((6.0, 0.0), (0.0, 6.0), math.tan(math.pi / 8))
    assert arc.centre_mm == pytest.approx((0.0, 0.0), abs=1e-12)
    assert (arc.radius_mm, arc.sweep_rad) == pytest.approx((6.0, math.pi / 2))
    assert arc.at(0.5) == pytest.approx((6.0 * math.sqrt(0.5), 6.0 * math.sqrt(0.5)))


@pytest.mark.parametrize("bulge", [0.05, 0.4142, 1.0, 2.3])
def test_a_segments_area_is_that_of_a_fine_polygon(bulge: float) -> None:
    start, stop = (3.0, -2.0), (14.0, 5.5)
    fine = [arc_of(start, stop, bulge).at(k / 20_000) for k in range(20_001)]
    assert segment_area(start, stop, bulge) == pytest.approx(shapely.Polygon(fine).area, rel=1e-6)
    other = segment_area(start, stop, -bulge)
    assert other == pytest.approx(-segment_area(start, stop, bulge), rel=1e-12)


@given(
    st.floats(0.05, 4.0), st.floats(1.0, 200.0), st.floats(-3.1, 3.1), st.sampled_from([1.0, -1.0])
)
@settings(max_examples=60, deadline=None)
def test_facets_lie_off_an_arc_on_the_side_away_from_paper(
    bulge: float, length: float, turn: float, side: float
) -> None:
    """And by no more than said; where the arc is furthest along the sheet's axes they touch it."""
    start = (11.0, -4.0)
    stop = (start[0] + length * math.cos(turn), start[1] + length * math.sin(turn))
    arc = arc_of(start, stop, side * bulge)
    a, chord = complex(*start), complex(*stop) - complex(*start)
    inner = [a + w * chord for w in facet_weights(start, stop, side * bulge)]
    points = [a, *inner, complex(*stop)]
    middle = complex(*arc.centre_mm)
    reach = [abs(p - middle) - arc.radius_mm for p in points]
    halfway = [abs(0.5 * (p + q) - middle) - arc.radius_mm for p, q in itertools.pairwise(points)]
    # paper lies at the left: inside an arc that turns anticlockwise, outside one that does not
    if side > 0.0:
        assert min(halfway) >= -1e-9 and max(reach) <= CHORD_ERROR_MM + 1e-9
    else:
        assert max(halfway) <= 1e-9 and min(halfway) >= -CHORD_ERROR_MM - 1e-9
    fine = np.array([arc.at(k / 4000) for k in range(4001)])
    faceted = np.array([[p.real, p.imag] for p in points])
    for axis in (0, 1):
        assert faceted[:, axis].max() >= fine[:, axis].max() - 1e-4
        assert faceted[:, axis].max() <= fine[:, axis].max() + 1e-4
        assert faceted[:, axis].min() == pytest.approx(fine[:, axis].min(), abs=1e-4)


def test_cells_are_convex_and_make_up_the_paper() -> None:
    pattern = cut_box()
    layout, _ = lay_out(pattern, Creases.of([CARD]), {})
    root = pattern.outline(pattern.panels[0], {})
    shift = 0.5 * (root.min(axis=0) + root.max(axis=0))
    cells = drawn_cells(pattern)
    for panel in pattern.panels:
        own = [cell for name, cell in cells if name == panel.name]
        whole = shapely.transform(paper(pattern, panel), lambda points: points - shift)
        assert all(cell.convex_hull.area == pytest.approx(cell.area, rel=1e-12) for cell in own)
        assert sum(cell.area for cell in own) == pytest.approx(whole.area, rel=1e-12)
        assert shapely.union_all(own, grid_size=1e-9).symmetric_difference(whole).area < 1e-6
    assert layout.cells.panels.tolist() == sorted(layout.cells.panels.tolist())


def test_a_convex_panel_with_round_corners_is_few_cells() -> None:
    """Its arcs are split off where they start, so that errors turn no cell inside out.

    Two caps, and what is between them.
    """
    own = [cell for name, cell in drawn_cells(cut_box()) if name == "back wall"]
    assert len(own) == 3


def test_a_pattern_without_cut_outs_is_not_split() -> None:
    plain = replace(card(), panels=card().panels)
    assert split_of(plain) is None
    layout, _ = lay_out(plain, Creases.of([CARD]), {})
    assert layout.cells.points is layout.points and layout.cells.whole


def test_cells_follow_the_errors_of_rules_and_knives() -> None:
    """The paper of each box is that of its own outline: in errors of 0.2 mm, box by box."""
    pattern = cut_box()
    lines = dict.fromkeys(
        rule for panel in pattern.panels for end in panel.every_corner for rule in (end.x, end.y)
    )
    rng = np.random.default_rng(20)
    makings = [
        Making(CARD, 0.1, {line: rng.normal(0.0, 0.1) for line in [*lines, THUMB]})
        for _ in range(25)
    ]
    folded = fold_all(pattern, makings)
    assert not folded.problems
    for box, making in enumerate(makings):
        own = sum(
            pattern.boundary(panel).area(pattern.sheet, making.shifts) for panel in pattern.panels
        )
        # facets stand off the arcs by up to a chord's error all along them
        most = CHORD_ERROR_MM * (math.pi * RADIUS + 8.0 * math.pi + 6.0 * math.pi)
        assert 0.0 <= folded.part(box).volume_mm3 / 0.4 - own <= most


def test_a_box_among_others_is_the_box_alone() -> None:
    pattern = cut_box()
    shifts = [{THUMB: 0.3}, {}, {THUMB: -0.2}]
    many = fold_all(pattern, [Making(CARD, 0.1, own) for own in shifts])
    alone = fold_all(pattern, [Making(CARD, 0.1, shifts[2])])
    for one, other in zip(many.part(2).pieces, alone.part(0).pieces, strict=True):
        assert one.name == other.name and np.array_equal(one.vertices, other.vertices)


def test_a_box_whose_slot_has_run_into_its_end_is_named() -> None:
    """The slot's floor is placed by a rule 9.3 mm from the rim; the wall is 18 mm deep."""
    pattern = cut_box()
    floor_of_slot = next(c.x for c in slot().corners if c.x.at_mm == SLOT_DEEP)
    folded = fold_all(pattern, [Making(CARD, 0.1, {floor_of_slot: by}) for by in (0.2, 12.0)])
    assert list(folded.problems) == [1]
    assert "left wall has hardly any paper left beside a cut-out" in folded.problems[1]


def test_a_notch_may_be_given_either_way_round() -> None:
    """The smaller part falls off, and a positive bulge makes the cut-out larger in both."""
    there = notch(at(20.0, 0.0), at(44.0, 0.0), bulges=(0.7,))
    back = notch(at(44.0, 0.0), at(20.0, 0.0), bulges=(0.7,))
    sweep = 4.0 * math.atan(0.7)
    radius = 12.0 / math.sin(sweep / 2)
    segment = 0.5 * radius**2 * (sweep - math.sin(sweep))
    for one in (there, back):
        assert floor_area(card(one)) == pytest.approx(90 * 60 - segment, rel=1e-12)


def test_a_window_may_be_given_either_way_round() -> None:
    corners = (at(20.0, 10.0), at(41.0, 10.0), at(41.0, 33.0))
    for own, bulges in ((corners, (0.3, 0.0, -0.1)), (corners[::-1], (0.0, 0.3, -0.1))):
        arcs = [((20.0, 10.0), (41.0, 10.0), 0.3), ((41.0, 33.0), (20.0, 10.0), -0.1)]
        wanted = 21.0 * 23.0 / 2 + sum(segment_area(*arc) for arc in arcs)
        found = 90 * 60 - floor_area(card(opening(*own, bulges=bulges)))
        assert found == pytest.approx(wanted, rel=1e-12)


def test_a_notch_may_go_from_one_edge_to_another() -> None:
    """A corner cut off aslant: half of 14 x 9 mm goes."""
    corner = notch(at(0.0, 9.0), at(14.0, 0.0))
    assert floor_area(card(corner)) == pytest.approx(90 * 60 - 63.0)


def test_two_notches_and_a_slit_leave_one_another_alone() -> None:
    slit = Cutout("lock", CutoutKind.SLIT, (at(90.0, 20.0), at(70.0, 20.0)))
    pattern = card(
        notch(at(10.0, 0.0), at(10.0, 7.0), at(13.0, 7.0), at(13.0, 0.0), name="first"),
        notch(at(50.0, 0.0), at(50.0, 9.0), at(57.0, 9.0), at(57.0, 0.0), name="second"),
        slit,
    )
    assert floor_area(pattern) == pytest.approx(90 * 60 - 21.0 - 63.0)
    cuts = [line for line in plan_of(pattern).cuts if line.cutout == "lock"]
    assert [(line.at_mm, line.start_mm, line.stop_mm) for line in cuts] == [(20.0, 70.0, 90.0)]


def test_a_concave_panel_is_split_and_folds() -> None:
    """An L of 90 x 60 less 30 x 25 at its front right: its wall hangs on the whole back edge."""
    corners = (
        at(0.0, 0.0), at(60.0, 0.0), at(60.0, 25.0), at(90.0, 25.0), at(90.0, 60.0), at(0.0, 60.0),
    )  # fmt: skip
    pattern = card()
    ell = replace(pattern.panels[0], corners=corners)
    pattern = replace(pattern, panels=(ell, pattern.panels[1]))
    folded = fold_all(pattern, [Making(CARD, 0.1)]).part(0)
    assert folded.volume_mm3 == pytest.approx((90 * 60 - 30 * 25 + 90 * 20) * 0.4, rel=1e-12)
    assert [len(plate.cells) for plate in folded.plates] == [2, 1]


def test_the_plan_has_true_arcs() -> None:
    arcs = {(cut.of, cut.cutout): cut.arc for cut in plan_of(cut_box()).arc_cuts}
    thumb = arcs["front wall", "thumb notch"]
    assert thumb.centre_mm == pytest.approx((THUMB_X, 0.0), abs=1e-12)
    assert (thumb.radius_mm, thumb.start_rad, thumb.sweep_rad) == pytest.approx(
        (RADIUS, 0.0, math.pi)
    )
    round_corners = [cut for cut in plan_of(cut_box()).arc_cuts if not cut.cutout]
    assert sorted(cut.arc.centre_mm for cut in round_corners) == [
        pytest.approx((LEFT + 6.0, FRONT + DEEP + BACK - 6.0)),
        pytest.approx((LEFT + FLOOR - 6.0, FRONT + DEEP + BACK - 6.0)),
    ]


def test_the_sides_of_cut_outs_are_cuts_with_their_names() -> None:
    cuts = plan_of(cut_box()).cuts
    own = [(str(c.fence), c.at_mm, c.start_mm, c.stop_mm) for c in cuts if c.cutout == "window"]
    assert own == [
        ("left", LEFT + 11.0, FRONT + 9.0, FRONT + 31.0),
        ("left", LEFT + 52.0, FRONT + 9.0, FRONT + 31.0),
        ("bottom", FRONT + 9.0, LEFT + 11.0, LEFT + 52.0),
        ("bottom", FRONT + 31.0, LEFT + 11.0, LEFT + 52.0),
    ]
    assert THUMB in knives_of(cut_box())


@pytest.mark.parametrize(
    ("cutout", "words"),
    [
        (opening(*quad(70.0, 5.0, 95.0, 20.0)), "the window of the floor reaches its edge"),
        (opening(*quad(70.0, 0.0, 80.0, 20.0)), "open it at the edge as a notch"),
        (opening(at(5.0, 5.0), at(20.0, 20.0), at(20.0, 5.0), at(5.0, 20.0)), "crosses itself"),
        (opening(at(5.0, 5.0), at(20.0, 5.0)), "bounds no area"),
        (notch(at(20.0, 3.0), at(30.0, 3.0)), "does not run from one place"),
        (notch(at(20.0, 0.0), at(20.0, 70.0), at(30.0, 70.0), at(30.0, 0.0)), "beyond the panel"),
        (notch(at(20.0, 0.0), at(30.0, 0.0), bulges=(-1.0,)), "beyond the panel"),
        (notch(at(20.0, 0.0), at(30.0, 0.0), bulges=(1.0, 1.0)), "2 corners and 2 bulges"),
        (notch(at(20.0, 60.0), at(25.0, 51.0), at(30.0, 60.0)), "floor / back wall"),
        (opening(*quad(30.0, 30.0, 40.0, 40.0), bulges=(math.nan,) * 4), "is no number"),
        (
            Cutout("lock", CutoutKind.SLIT, (at(0.0, 20.0), at(90.0, 20.0))),
            "cuts it in two",
        ),
        (
            Cutout("lock", CutoutKind.SLIT, (at(20.0, 20.0), at(120.0, 20.0))),
            "does not lie in its paper",
        ),
    ],
)
def test_what_is_not_allowed_is_refused(cutout: Cutout, words: str) -> None:
    with pytest.raises(ModelError, match=words) as refused:
        split_of(card(cutout))
    assert "\n" not in str(refused.value)


def test_cut_outs_that_meet_are_refused() -> None:
    two = (
        opening(*quad(10.0, 10.0, 30.0, 30.0), name="one"),
        opening(*quad(25.0, 20.0, 50.0, 40.0), name="other"),
    )
    with pytest.raises(ModelError, match="the one and the other of the floor meet"):
        split_of(card(*two))
    with pytest.raises(ModelError, match="two cut-outs named one"):
        split_of(card(two[0], two[0]))
    inner = notch(at(20.0, 0.0), at(20.0, 15.0), at(28.0, 15.0), at(28.0, 0.0))
    with pytest.raises(ModelError, match="the one of the floor reaches its edge or another"):
        split_of(card(two[0], inner))


def test_paper_beyond_a_score_is_refused() -> None:
    """A T whose bar stands on both sides of the line of its wall's score."""
    corners = (
        at(0.0, 0.0), at(90.0, 0.0), at(90.0, 60.0), at(50.0, 60.0), at(50.0, 75.0), at(40.0, 75.0),
        at(40.0, 60.0), at(0.0, 60.0),
    )  # fmt: skip
    pattern = card()
    tee = replace(pattern.panels[0], corners=corners)
    line = replace(pattern.creases[0], stop=at(40.0, 60.0))
    wall = replace(pattern.panels[1], corners=quad(0.0, 60.0, 40.0, 80.0))
    pattern = replace(pattern, panels=(tee, wall), creases=(line,))
    with pytest.raises(ModelError, match="paper on both sides of the line of the score"):
        split_of(pattern)


def test_every_cut_out_of_the_example_is_of_its_kind() -> None:
    kinds = {c.name: c.kind for c in (thumb_notch(), slot(), window(), hole())}
    assert kinds == {
        "thumb notch": CutoutKind.NOTCH,
        "slot": CutoutKind.NOTCH,
        "window": CutoutKind.WINDOW,
        "hole": CutoutKind.WINDOW,
    }


def test_rounded_corners_lose_what_a_fillet_takes() -> None:
    """r2 (tan(a / 2) - a / 2) where two edges turn by a: of a right angle (1 - pi / 4) r2."""
    flap = Panel("flap", Role.FLAP, (at(0.0, 0.0), at(40.0, 0.0), at(33.0, 17.0), at(0.0, 17.0)))
    sheet = Sheet(40.0, 17.0)
    soft = rounded(sheet, flap, {2: 5.0, 3: 3.0})
    slant = math.atan2(17.0, 7.0)  # from the direction of the slanted edge to that of the upper
    lost = 25.0 * (math.tan(slant / 2) - slant / 2) + 9.0 * (1.0 - math.pi / 4)
    whole = (40.0 + 33.0) / 2 * 17.0
    pattern = Pattern("flap", sheet, (soft,), ())
    assert flat_area(pattern) == pytest.approx(whole - lost, rel=1e-12)
    radii = sorted(cut.arc.radius_mm for cut in plan_of(pattern).arc_cuts)
    assert radii == pytest.approx([3.0, 5.0])


def test_a_corner_that_turns_inwards_is_rounded_inwards() -> None:
    """The notch of an L: the fillet adds (1 - pi / 4) r2."""
    ell = (
        at(0.0, 0.0), at(60.0, 0.0), at(60.0, 25.0), at(90.0, 25.0), at(90.0, 60.0), at(0.0, 60.0),
    )  # fmt: skip
    sheet = Sheet(90.0, 60.0)
    soft = rounded(sheet, Panel("mat", Role.FLOOR, ell), {2: 4.0})
    wanted = 90.0 * 60.0 - 30.0 * 25.0 + 16.0 * (1.0 - math.pi / 4)
    assert flat_area(Pattern("mat", sheet, (soft,), ())) == pytest.approx(wanted, rel=1e-12)


def strip_of(wide: float, high: float, *cutouts: Cutout) -> Pattern:
    foot, top = Rule(Fence.BOTTOM, 0.0), Rule(Fence.TOP, 0.0)
    left, right = Rule(Fence.LEFT, 0.0), Rule(Fence.RIGHT, 0.0)
    outline = Corner(left, foot), Corner(right, foot), Corner(right, top), Corner(left, top)
    panel = Panel("strip", Role.WALL, outline, cutouts=cutouts)
    return Pattern("strip", Sheet(wide, high, between_walls=True), (panel,), ())


def assert_kept(strip: Pattern, errors: list[dict[Line, float]], cut: list[shapely.Polygon]) -> int:
    """Strips of which at least 3 mm are left everywhere are those that shapely cuts; how many."""
    folded = fold_all(strip, [Making(CARD, 0.1, own) for own in errors])
    holes, sure = len(cut[0].interiors), 0
    for box, paper_left in enumerate(cut):
        core = paper_left.buffer(-1.5)
        if core.geom_type == "Polygon" and len(core.interiors) == holes:
            sure += 1
            assert box not in folded.problems, folded.problems[box]
            assert folded.part(box).volume_mm3 / 0.4 == pytest.approx(paper_left.area, rel=1e-9)
    return sure


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10_000))
def test_errors_of_a_hand_lose_no_slotted_strip(seed: int) -> None:
    """Slots anywhere in a strip, each made where a hand makes it (0.2 mm, common practice)."""
    rng = np.random.default_rng(seed)
    wide, high = rng.uniform(60.0, 200.0), rng.uniform(12.0, 40.0)
    count = int(rng.integers(1, 5))
    places = (np.arange(count) + rng.uniform(0.25, 0.75, count)) * wide / count
    deep = rng.uniform(0.3, 0.7) * high * (1.0 + 0.01 * rng.normal(size=count))
    half, foot = 0.3, Rule(Fence.BOTTOM, 0.0)
    middles = [Rule(Fence.LEFT, x) for x in places.tolist()]
    inner = [Rule(Fence.BOTTOM, y) for y in deep.tolist()]
    slots = [
        notch(
            *(
                Corner(x, own, sign * half)
                for sign, own in ((-1.0, foot), (-1.0, y), (1.0, y), (1.0, foot))
            ),
            name=f"slot {k}",
        )
        for k, (x, y) in enumerate(zip(middles, inner, strict=True))
    ]
    errors: list[dict[Line, float]] = []
    cut = []
    for beside, further in rng.normal(0.0, 0.2, (60, 2, count)):
        both = [*beside.tolist(), *further.tolist()]
        errors.append(dict(zip([*middles, *inner], both, strict=True)))
        gone = [
            shapely.box(x - half, 0.0, x + half, y)
            for x, y in zip(places + beside, deep + further, strict=True)
        ]
        cut.append(shapely.box(0.0, 0.0, wide, high) - shapely.union_all(gone))
    assert assert_kept(strip_of(wide, high, *slots), errors, cut) == 60


@pytest.mark.parametrize("seed", range(60, 75))
def test_errors_of_a_hand_lose_no_strip_with_windows(seed: int) -> None:
    """Windows beside and above each other, their edges nearly in line: thin triangles between."""
    rng = np.random.default_rng(seed)
    wide, high = rng.uniform(60.0, 200.0), rng.uniform(30.0, 90.0)
    across, up = int(rng.integers(1, 5)), int(rng.integers(1, 3))
    windows, rules = [], []
    for a, b in itertools.product(range(across), range(up)):
        x0, x1 = ((a + rng.uniform(*at)) * wide / across for at in ((0.1, 0.4), (0.6, 0.9)))
        y0, y1 = ((b + rng.uniform(*at)) * high / up for at in ((0.1, 0.2), (0.75, 0.9)))
        left, right = Rule(Fence.LEFT, x0), Rule(Fence.LEFT, x1)
        low, top = Rule(Fence.BOTTOM, y0), Rule(Fence.BOTTOM, y1)
        corners = Corner(left, low), Corner(right, low), Corner(right, top), Corner(left, top)
        windows.append(opening(*corners, name=f"window {a} {b}"))
        rules += [left, low, right, top]
    places = np.array([rule.at_mm for rule in rules])
    errors: list[dict[Line, float]] = []
    cut = []
    for own in rng.normal(0.0, 0.25, (60, len(rules))):
        errors.append(dict(zip(rules, own.tolist(), strict=True)))
        gone = [shapely.box(*edges) for edges in (places + own).reshape(-1, 4)]
        cut.append(shapely.box(0.0, 0.0, wide, high) - shapely.union_all(gone))
    assert assert_kept(strip_of(wide, high, *windows), errors, cut) > 0
