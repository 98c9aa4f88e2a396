"""How deep the pieces of one part stand in each other, against half spaces and an optimiser."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from fitcheck.fit.contact import depths, difference_body
from fitcheck.fit.groups import PiecePairs
from fitcheck.fit.selffit import FAR_MM, FIGHT_MM, glued_overlap, meetings
from fitcheck.folding.fold import fold
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pieces import ConvexPiece
from fitcheck.folding.prisms import prism
from fitcheck.pattern.touching import touching
from fitcheck.styles import draw
from fitcheck.styles.walled import WalledRecipe as Recipe
from tests.boxes import paper, shadow_box, tray
from tests.unit.test_slide import _random_prism

SAME_MM = 1e-9
RECIPES: dict[str, Recipe] = {
    "tray": tray(63.0, 97.0, 18.0, paper(0.31, 0.17), setback=0.4),
    "flap as wide as its frame": shadow_box(71.0, 93.0, 19.0, flap=9.525),
    "round creases": shadow_box(71.0, 93.0, 19.0, paper(0.3, 0.33)),
    "long inner wall": shadow_box(71.0, 93.0, 19.0, inner_wall=20.1),
}


def part_of(recipe: Recipe) -> FoldedPart:
    """Folded with every score off by its own amount, so that no two sides are alike."""
    pattern = draw(recipe)
    rules = dict.fromkeys(rule for line in pattern.creases for rule in (line.start.x, line.start.y))
    shifts = np.random.default_rng(4).uniform(-0.15, 0.15, len(rules))
    off = dict(zip(rules, shifts.tolist(), strict=True))
    return fold(pattern, recipe.stock.crease, recipe.joint_mm, off)


def one_by_one(outers: list[ConvexPiece], inners: list[ConvexPiece]) -> np.ndarray:
    here = np.zeros(3)
    pairs = zip(outers, inners, strict=True)
    return np.array([difference_body(outer, inner).depth(here)[0] for outer, inner in pairs])


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6))
def test_depths_are_those_of_the_half_spaces(seed: int) -> None:
    rng = np.random.default_rng(seed)
    outers, inners = ([_random_prism(rng) for _ in range(25)] for _ in range(2))
    pairs = PiecePairs.of(outers, inners)
    found = depths(pairs)
    assert found == pytest.approx(one_by_one(outers, inners), abs=SAME_MM)


@pytest.mark.parametrize("recipe", RECIPES.values(), ids=RECIPES)
def test_depths_of_folded_parts(recipe: Recipe) -> None:
    """Neighbours touch, glued corners press, the rest is apart; each pair taken both ways."""
    part = part_of(recipe)
    pairs = [
        (a, b)
        for a, b in itertools.permutations(part.pieces, 2)
        if np.all(a.low < b.high + 1.0) and np.all(b.low < a.high + 1.0)
    ]
    rng = np.random.default_rng(3)
    pairs = [pairs[k] for k in rng.permutation(len(pairs))[:700]]
    outers, inners = (list(side) for side in zip(*pairs, strict=True))
    found = depths(PiecePairs.of(outers, inners))
    assert found == pytest.approx(one_by_one(outers, inners), abs=SAME_MM)
    assert (found > 0.01).any() and (np.abs(found) < 1e-6).any() and (found < -0.1).any()


def test_cubes_stand_in_each_other_by_arithmetic() -> None:
    square = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])

    def cube(x: float, y: float, z: float) -> ConvexPiece:
        return prism("cube", frozenset(), square + np.array([x, y]), z, z + 2.0)

    others = [cube(1.5, 0.3, 0.7), cube(-1.9, 0.0, 0.0), cube(2.0, 0.0, 0.0), cube(0.0, 1.0, 2.4)]
    found = depths(PiecePairs.of([cube(0.0, 0.0, 0.0)] * 4, others))
    assert found == pytest.approx([0.5, 0.1, 0.0, -0.4], abs=1e-12)


def test_pieces_press_where_a_linear_programme_finds_a_shared_point() -> None:
    """A point of both, as weights of the corners of each: scipy's optimiser."""
    rng = np.random.default_rng(8)
    outers, inners = ([_random_prism(rng) for _ in range(60)] for _ in range(2))
    pressing = 0
    deep = depths(PiecePairs.of(outers, inners))
    for a, b, depth in zip(outers, inners, deep, strict=True):
        n, m = len(a.vertices), len(b.vertices)
        same = np.vstack(
            [
                np.column_stack([a.vertices.T, -b.vertices.T]),
                np.repeat(np.eye(2), [n, m], axis=1),
            ]
        )
        found = linprog(np.zeros(n + m), A_eq=same, b_eq=[0, 0, 0, 1, 1], bounds=(0, None))
        assert found.success == (depth > 0.0)
        pressing += found.success
    assert 5 < pressing < 55


@pytest.mark.parametrize("least_mm", [0.05, 0.0, FIGHT_MM - 3.0, -20.0])
@pytest.mark.parametrize("recipe", RECIPES.values(), ids=RECIPES)
def test_meetings_leave_out_no_pair(recipe: Recipe, least_mm: float) -> None:
    """All pairs tried one by one; then some of the names alone."""
    part = part_of(recipe)
    meant = touching(part.pattern)
    slack = max(least_mm, -FAR_MM)
    want: dict[tuple[str, str], float] = {}
    for a, b in itertools.combinations(part.pieces, 2):
        if len(a.panels) == len(b.panels) == 2:
            continue
        if any((p, q) in meant for p in a.panels for q in b.panels):
            continue
        if np.all(a.low + slack < b.high) and np.all(b.low + slack < a.high):
            depth = difference_body(a, b).depth(np.zeros(3))[0]
            if depth > least_mm:
                want[a.name, b.name] = max(depth, want.get((a.name, b.name), depth))
    # what only touches is deeper than nothing, or not, as rounding has it
    want = {names: depth for names, depth in want.items() if depth > least_mm + SAME_MM}
    met = {names: met.depth_mm for names, met in meetings(part, least_mm).items()}
    found = {names: depth for names, depth in met.items() if depth > least_mm + SAME_MM}
    assert found == pytest.approx(want, abs=SAME_MM)
    assert (len(found) > 5) == (least_mm < 0.0)
    for names, met in meetings(part, least_mm).items():
        assert (met.one.name, met.other.name) == names
        own = difference_body(met.one, met.other).depth(np.zeros(3))[0]
        assert met.depth_mm == pytest.approx(own, abs=SAME_MM)


def test_glued_overlap_is_the_deepest_of_the_corners() -> None:
    part = part_of(tray(63.0, 97.0, 18.0, paper(0.31, 0.17)))
    each = [
        difference_body(*(part.plate(name).pieces()[0] for name in (joint.panel, joint.onto)))
        for joint in part.pattern.corner_joints
    ]
    deepest = max(body.depth(np.zeros(3))[0] for body in each)
    assert glued_overlap(part) == pytest.approx(max(0.0, deepest), abs=SAME_MM)
    assert deepest > 0.01
