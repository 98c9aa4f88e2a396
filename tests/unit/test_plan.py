"""A plan holds every edge of every panel once: as a score, a cut, a slant or the sheet's edge."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings

from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.plan import Plan, plan_of, scored_rules
from fitcheck.pattern.sheet import Axis, Corner, Fence, Rule, Sheet
from fitcheck.styles import draw
from tests.boxes import shadow_box, shadow_boxes, tray, trays


def lines_of(plan: Plan, which: str) -> list[shapely.LineString]:
    return [
        shapely.LineString([plan.sheet.spot(r.fence, r.at_mm, v) for v in (r.start_mm, r.stop_mm)])
        for r in getattr(plan, which)
    ]


def scores_of(pattern: Pattern) -> shapely.Geometry:
    return shapely.union_all([shapely.LineString(pattern.score(c, {})) for c in pattern.creases])


def edges_of(pattern: Pattern) -> shapely.Geometry:
    outlines = [shapely.Polygon(pattern.outline(p, {})).exterior for p in pattern.panels]
    return shapely.union_all(outlines, grid_size=1e-6)


def apart_mm(one: shapely.Geometry, two: shapely.Geometry) -> float:
    """Length of what only one of two sets of lines covers, to a hundredth of a thousandth."""
    return float(one.difference(two.buffer(1e-5)).length + two.difference(one.buffer(1e-5)).length)


def check(pattern: Pattern) -> None:
    plan = plan_of(pattern)
    scores = shapely.union_all(lines_of(plan, "scores"))
    slants = [shapely.LineString([c.start_mm, c.stop_mm]) for c in plan.slant_cuts]
    rim = shapely.box(0, 0, plan.sheet.width_mm, plan.sheet.length_mm).exterior
    cuts = shapely.union_all([*lines_of(plan, "cuts"), *slants])
    assert apart_mm(scores, scores_of(pattern)) < 1e-6
    inner = edges_of(pattern).difference(scores.buffer(1e-5)).difference(rim.buffer(1e-5))
    assert apart_mm(cuts.difference(scores.buffer(1e-5)), inner) < 1e-3
    assert cuts.intersection(scores.buffer(1e-6)).length < 1e-3
    total = sum(line.length for line in [*lines_of(plan, "scores"), *lines_of(plan, "cuts")])
    assert total == pytest.approx(
        shapely.union_all(lines_of(plan, "scores")).length
        + shapely.union_all(lines_of(plan, "cuts")).length,
        abs=1e-6,
    )


@given(trays())
@settings(max_examples=12, deadline=None)
def test_a_trays_plan_is_its_pattern(recipe) -> None:  # type: ignore[no-untyped-def]
    check(draw(recipe))


@given(shadow_boxes())
@settings(max_examples=12, deadline=None)
def test_a_shadow_boxs_plan_is_its_pattern(recipe) -> None:  # type: ignore[no-untyped-def]
    check(draw(recipe))


def test_the_stretches_that_meet_on_one_rule_are_one_score() -> None:
    # the floor's crease and a tab's crease at either end of it lie on one line
    plan = plan_of(draw(tray(80.0, 100.0, 20.0, tabs=Axis.LENGTH)))
    assert [(s.fence, s.at_mm, s.start_mm, s.stop_mm) for s in plan.scores] == [
        (Fence.LEFT, 20.0, 20.0, 120.0),
        (Fence.RIGHT, 20.0, 20.0, 120.0),
        (Fence.TOP, 20.0, 0.0, 120.0),
        (Fence.BOTTOM, 20.0, 0.0, 120.0),
    ]
    assert plan.scores[2].of == (
        "left wall / left wall's tab, back",
        "floor / back wall",
        "right wall / right wall's tab, back",
    )


def test_a_setback_gives_the_tabs_scores_of_their_own() -> None:
    plan = plan_of(draw(tray(80.0, 100.0, 20.0, tabs=Axis.LENGTH, setback=0.5)))
    top = [(s.at_mm, s.start_mm, s.stop_mm) for s in plan.scores if s.fence is Fence.TOP]
    assert top == [(20.0, 20.0, 100.0), (20.5, 0.0, 20.0), (20.5, 100.0, 120.0)]


def test_the_sheets_own_edges_are_no_cuts_inside_it() -> None:
    plan = plan_of(draw(shadow_box()))
    assert all(cut.at_mm > 1.0 for cut in plan.cuts)


def test_a_score_that_runs_to_no_fence_is_one_from_point_to_point() -> None:
    left, low = Rule(Fence.LEFT, 0.0), Rule(Fence.BOTTOM, 0.0)
    right, high = Rule(Fence.LEFT, 10.0), Rule(Fence.BOTTOM, 10.0)
    corners = (Corner(left, low), Corner(right, low), Corner(right, high))
    others = (Corner(left, low), Corner(right, high), Corner(left, high))
    pattern = Pattern(
        "odd",
        Sheet(10.0, 10.0),
        (Panel("a", Role.FLOOR, corners), Panel("b", Role.WALL, others)),
        (CreaseLine("a", "b", corners[0], corners[2]),),
    )
    plan = plan_of(pattern)
    assert plan.scores == plan.cuts == plan.slant_cuts == ()
    (slant,) = plan.slant_scores
    assert (slant.start_mm, slant.stop_mm, slant.of) == ((0.0, 0.0), (10.0, 10.0), "a / b")
    assert scored_rules(pattern) == ()
