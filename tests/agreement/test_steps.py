"""A board that follows the steps to the letter makes exactly the lines of the pattern."""

from __future__ import annotations

import itertools
import re

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.plan import Plan, RuledLine, plan_of
from fitcheck.pattern.sheet import Fence, Rule, Sheet
from fitcheck.sheet.actions import (
    Cut,
    CutAway,
    CutToSize,
    GlueCorner,
    LaySheet,
    RollSide,
    Score,
    SlantedCut,
    Step,
    TurnSheet,
)
from fitcheck.sheet.board import NEAREST, quarter_turns, seen_from_maker, shortest_round
from fitcheck.sheet.instructions import instructions_for
from fitcheck.sheet.steps import steps_for, turns_of
from fitcheck.stock.tools import Tools
from fitcheck.styles import draw
from fitcheck.styles.tuck_end import TuckEndSpec
from fitcheck.styles.walled import WalledRecipe as Recipe
from fitcheck.units import Unit
from tests.boxes import shadow_boxes, trays
from tests.tuck_ends import ordinary, part_of

TOOLS = Tools("board", 5.0, 0.1, 0.25, 0.05, 0.2, 0.1, 0.03)
BOXES = st.one_of(trays(), shadow_boxes())


class Board:
    """A maker who can turn a sheet, and score and cut where a step says, and nothing else.

    The sheet is a set of marks on a rectangle; turning turns the marks. On the board x is the
    distance from the fence and y the distance from the edge nearest the maker.
    """

    def __init__(self, width: float, length: float) -> None:
        self.size = np.array([width, length])
        self.corner_names = {"left": (0.0, 0.5), "right": (1.0, 0.5)}
        self.corner_names |= {"bottom": (0.5, 0.0), "top": (0.5, 1.0)}
        # an affine map from the board back to the sheet as it was cut
        self.turn = np.eye(2)
        self.shift = np.zeros(2)
        self.scored: list[shapely.LineString] = []
        self.cut: list[shapely.LineString] = []

    def rotate(self, quarters: int) -> None:
        """Turn the sheet anticlockwise and push it back against the fence and the maker."""
        for _ in range(quarters % 4):
            # a point (x, y) of the sheet comes to (size_y - y, x): its old place from the new
            old_y = self.size[1]
            step, back = np.array([[0.0, 1.0], [-1.0, 0.0]]), np.array([0.0, old_y])
            self.shift = self.turn @ back + self.shift
            self.turn = self.turn @ step
            self.size = self.size[::-1]

    def on_paper(self, x: float, y: float) -> tuple[float, float]:
        place = self.turn @ np.array([x, y]) + self.shift
        return float(place[0]), float(place[1])

    def edge_at(self, x_share: float, y_share: float, width: float, length: float) -> str:
        """Which edge of the cut sheet lies at a place of the board."""
        x, y = self.on_paper(x_share * self.size[0], y_share * self.size[1])
        return next(
            name
            for name, (a, b) in self.corner_names.items()
            if abs(x - a * width) < 1e-9 and abs(y - b * length) < 1e-9
        )

    def rule(self, at: float, start: float, stop: float) -> shapely.LineString:
        return shapely.LineString([self.on_paper(at, start), self.on_paper(at, stop)])


def follow(steps: tuple[Step, ...]) -> Board:
    sheet = steps[0]
    assert isinstance(sheet, CutToSize)
    width, length = sheet.width_mm, sheet.length_mm
    board = Board(width, length)
    for step in steps[1:]:
        if isinstance(step, LaySheet):
            turns = {"left": 0, "top": 1, "right": 2, "bottom": 3}[step.fence.value]
            board.rotate(turns)
        elif isinstance(step, TurnSheet):
            board.rotate(step.quarter_turns)
        elif isinstance(step, Score):
            board.scored.append(board.rule(step.at_mm, step.start_mm, step.stop_mm))
        elif isinstance(step, Cut):
            board.cut.append(board.rule(step.at_mm, step.start_mm, step.stop_mm))
        elif isinstance(step, SlantedCut):
            board.cut.append(slant(step, width, length))
        if isinstance(step, LaySheet | TurnSheet):
            assert board.edge_at(0.0, 0.5, width, length) == step.fence.value
            assert board.edge_at(0.5, 0.0, width, length) == step.nearest.value
    return board


def slant(step: SlantedCut, width: float, length: float) -> shapely.LineString:
    def point(ends: tuple[float, float]) -> tuple[float, float]:
        x = ends[0] if step.upright is Fence.LEFT else width - ends[0]
        y = ends[1] if step.level is Fence.BOTTOM else length - ends[1]
        return x, y

    return shapely.LineString([point(step.start_mm), point(step.stop_mm)])


def apart_mm(one: shapely.Geometry, two: shapely.Geometry) -> float:
    return float(one.difference(two.buffer(1e-5)).length + two.difference(one.buffer(1e-5)).length)


def steps_of(recipe: Recipe) -> tuple[Pattern, Plan, tuple[Step, ...]]:
    pattern = draw(recipe)
    plan = plan_of(pattern)
    return pattern, plan, steps_for(pattern, plan, recipe.stock.name, None, TOOLS)


@given(BOXES)
@settings(max_examples=25, deadline=None)
def test_the_scores_made_are_the_patterns_creases(recipe: Recipe) -> None:
    pattern, _, steps = steps_of(recipe)
    made = shapely.union_all(follow(steps).scored)
    creases = [shapely.LineString(pattern.score(c, {})) for c in pattern.creases]
    assert apart_mm(made, shapely.union_all(creases)) < 1e-6
    assert made.length == pytest.approx(sum(line.length for line in creases), abs=1e-6)


@given(BOXES)
@settings(max_examples=25, deadline=None)
def test_what_falls_off_and_what_stays_is_the_pattern(recipe: Recipe) -> None:
    pattern, plan, steps = steps_of(recipe)
    board = follow(steps)
    rim = shapely.box(0.0, 0.0, plan.sheet.width_mm, plan.sheet.length_mm).exterior
    cuts = shapely.union_all([rim, *(longer(line) for line in board.cut)])
    faces = [f for f in shapely.get_parts(shapely.polygonize([cuts])) if f.area > 1e-3]
    part = max(faces, key=lambda face: face.contains(shapely.Point(*middle(pattern))))
    kept = shapely.union_all(
        [shapely.Polygon(pattern.outline(p, {})) for p in pattern.panels], grid_size=1e-7
    )
    assert part.symmetric_difference(kept).area < 1e-3
    away = next(step for step in steps if isinstance(step, CutAway))
    assert len(away.places) == len([f for f in faces if f is not part])


@pytest.mark.parametrize("spec", ordinary(3, 53), ids=lambda own: f"{own.size_mm[1]:.2f}")
def test_a_carton_is_scored_and_cut_along_its_panels_edges(spec: TuckEndSpec) -> None:
    """Slits and all; its rounds are cut by their own steps."""
    recipe = part_of(spec).recipe
    pattern = draw(recipe)
    plan = plan_of(pattern)
    board = follow(steps_for(pattern, plan, recipe.stock.name, None, TOOLS))
    creases = shapely.union_all(
        [shapely.LineString(pattern.score(line, {})) for line in pattern.creases]
    )
    assert apart_mm(shapely.union_all(board.scored), creases) < 1e-6
    rim = shapely.box(0.0, 0.0, plan.sheet.width_mm, plan.sheet.length_mm).exterior
    edges = []
    for panel in pattern.panels:
        spots = pattern.outline(panel, {})
        bulges = panel.bulges or (0.0,) * len(spots)
        sides = zip(spots, np.roll(spots, -1, axis=0), bulges, strict=True)
        edges += [shapely.LineString([a, b]) for a, b, bulge in sides if not bulge]
    paper = shapely.union_all([creases, rim]).buffer(1e-6)
    assert apart_mm(shapely.union_all(board.cut), shapely.union_all(edges).difference(paper)) < 1e-3


def longer(line: shapely.LineString) -> shapely.LineString:
    """A cut with a hundredth of a thousandth more at both ends, so that cuts that meet do cross."""
    (x0, y0), (x1, y1) = line.coords
    dx, dy = (x1 - x0) / line.length * 1e-5, (y1 - y0) / line.length * 1e-5
    return shapely.LineString([(x0 - dx, y0 - dy), (x1 + dx, y1 + dy)])


def middle(pattern: Pattern) -> np.ndarray:
    return pattern.outline(pattern.panels[0], {}).mean(axis=0)


@given(BOXES)
@settings(max_examples=10, deadline=None)
def test_gluing_and_rolling_follow_the_joints(recipe: Recipe) -> None:
    pattern, _, steps = steps_of(recipe)
    glued = [(s.tab, s.wall) for s in steps if isinstance(s, GlueCorner)]
    assert glued == [(j.panel, j.onto) for j in pattern.corner_joints]
    rolled: list[str] = []
    for step in steps:
        if isinstance(step, RollSide):
            # what a side comes to lie over must have been rolled before it
            assert all(under in rolled for under in step.over)
            rolled += step.panels
    assert {lap.over for lap in pattern.laps} <= set(rolled)
    assert {j.panel for j in pattern.roll_joints} == {p for p in rolled if p.endswith("flap")}


def ruled(fence: Fence, at: float, start: float, stop: float) -> RuledLine:
    return RuledLine(Rule(fence, at), start, stop)


LOPSIDED = tuple(ruled(fence, 3.0 + n, 1.0 + n, 11.0 + 2 * n) for n, fence in enumerate(Fence))


@pytest.mark.parametrize("line", LOPSIDED, ids=lambda line: line.fence.value)
def test_a_lopsided_line_is_found_again_from_any_fence(line: RuledLine) -> None:
    # the shipped styles are symmetric, which would hide a start measured from the wrong end
    sheet = Sheet(40.0, 70.0)
    board = Board(sheet.width_mm, sheet.length_mm)
    board.rotate(quarter_turns(Fence.LEFT, line.fence))
    made = board.rule(line.at_mm, *seen_from_maker(sheet, line))
    at = line.at_mm
    x = {Fence.LEFT: at, Fence.RIGHT: 40.0 - at}
    y = {Fence.BOTTOM: at, Fence.TOP: 70.0 - at}
    ends = [
        (x[line.fence], v) if line.fence.upright else (v, y[line.fence])
        for v in (line.start_mm, line.stop_mm)
    ]
    assert made.equals_exact(shapely.LineString(ends), 1e-9) or made.equals_exact(
        shapely.LineString(ends[::-1]), 1e-9
    )
    assert board.edge_at(0.5, 0.0, 40.0, 70.0) == NEAREST[line.fence].value


@pytest.mark.parametrize("start", [None, *Fence])
@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_no_other_order_needs_fewer_turns(start: Fence | None, count: int) -> None:
    for fences in itertools.combinations(Fence, count):
        chosen = shortest_round(fences, start)
        assert sorted(chosen) == sorted(fences)
        # each fence once; one turn before each but the first that lies at the stop already
        free = start is None or start in fences
        walk = chosen if start is None else (start, *chosen)
        turns = sum(quarter_turns(a, b) != 0 for a, b in itertools.pairwise(walk))
        assert turns == count - (1 if free else 0)


@given(BOXES)
@settings(max_examples=5, deadline=None)
def test_a_box_takes_six_turns(recipe: Recipe) -> None:
    # four fences to score from and four to cut from, the last and the first of them the same
    _, _, steps = steps_of(recipe)
    assert turns_of(steps) == 6


@given(BOXES)
@settings(max_examples=10, deadline=None)
def test_every_score_is_told_with_its_numbers(recipe: Recipe) -> None:
    _, plan, steps = steps_of(recipe)
    told = [t for t in instructions_for(steps, Unit.MM) if "Then score" in t.text]
    fences = [re.search(r"its (\w+) edge (is )?against", t.text) for t in told]
    lines = {found[1]: t.details for found, t in zip(fences, told, strict=True) if found}
    assert sum(len(details) for details in lines.values()) == len(plan.scores)
    for fence in Fence:
        wanted = sorted(f"at {s.at_mm:.2f} mm" for s in plan.scores if s.fence is fence)
        assert sorted(d.split(" (")[0] for d in lines[fence.value]) == wanted
