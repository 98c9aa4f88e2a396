"""A hinged panel's poses, speeds and shapes against parts that are folded anew, by differences."""

from __future__ import annotations

import math
from dataclasses import replace

import coal
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from fitcheck.errors import ModelError
from fitcheck.fit.turn import swing, swings
from fitcheck.fit.turn_apart import nearest
from fitcheck.fit.turn_cells import Scene, examine, least_reach
from fitcheck.fit.turn_fit import Outcome
from fitcheck.fit.turn_slices import slice_bodies
from fitcheck.folding.flat import Flat
from fitcheck.folding.fold import fold
from fitcheck.folding.hinges import Hinges, chosen, refolded
from fitcheck.folding.many import FoldedParts
from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.pose import apply
from fitcheck.folding.prisms import prism
from fitcheck.folding.shapes import Shapes
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.pattern import Panel, Pattern, Role
from fitcheck.pattern.sheet import Corner, Fence, Rule, Sheet
from fitcheck.stock.crease import Crease
from fitcheck.styles.hinged_tray import Hinge, LipSide
from tests.boxes import paper
from tests.hinged import HingedTray, made
from tests.hinged_trays import part_of, spec_of
from tests.stepping import Bench

CREASES = [Crease(0.0, 0.5, 0.3), Crease(0.4, 0.42, 0.25)]
TRAY = HingedTray(CREASES[0], width=47.0, length=31.0, back=15.6, lid=30.4, tuck=4.0, ear=3.0)


def slanted(crease: Crease) -> Pattern:
    """A floor of uneven sides, a flap on each, none of them along the sheet."""
    floor = np.array([[20.0, 22.0], [63.0, 15.0], [71.0, 48.0], [27.0, 57.0]])
    panels = [Panel("floor", Role.FLOOR, _corners(floor))]
    creases = []
    for k, (one, other) in enumerate(zip(floor, np.roll(floor, -1, axis=0), strict=True)):
        along = (other - one) / np.linalg.norm(other - one)
        out = np.array([along[1], -along[0]])
        start, stop = one + 1.5 * along, other - 1.5 * along
        far = (13.0 + k) * out
        flap = [start, start + far + 2.0 * along, stop + far - 2.0 * along, stop]
        name = f"flap {k}"
        panels.append(Panel(name, Role.FLAP, _corners(np.array(flap))))
        ends = _corners(np.array([start, stop]))
        creases.append(CreaseLine("floor", name, *ends, math.radians(140.0 - 4.0 * k)))
    return Pattern("flaps", Sheet(100.0, 80.0), tuple(panels), tuple(creases))


def _corners(points: np.ndarray) -> tuple[Corner, ...]:
    return tuple(Corner(Rule(Fence.LEFT, x), Rule(Fence.BOTTOM, y)) for x, y in points.tolist())


def parts(count: int) -> FoldedParts:
    """Boxes as made."""
    return made(TRAY, count, 8)


@pytest.mark.parametrize("angle", [0.0, 0.4, 1.7, math.pi])
@pytest.mark.parametrize("crease", CREASES, ids=str)
def test_poses_are_those_of_folding_anew(crease: Crease, angle: float) -> None:
    for part, panel in ((TRAY.folded(), "lid"), (fold(slanted(crease), crease, 0.1), "flap 2")):
        hinges, at = Hinges(part.among, panel), np.array([angle])
        anew = refolded(part.among, {panel: at})
        carried = hinges.poses(at)[0]
        for name in hinges.beyond:
            k = part.layout.tree.panel[name]
            assert carried @ part.among.poses[0, k] == pytest.approx(anew.poses[0, k], abs=1e-11)


def test_no_point_moves_faster_than_is_said() -> None:
    among = parts(3)
    hinges = Hinges(among, "lid")
    points = np.random.default_rng(1).uniform(-40.0, 40.0, (3, 50, 3))
    most = hinges.speeds_mm(points)
    step = 1e-4
    fastest = np.zeros(most.shape)
    for angle in np.linspace(0.0, math.pi - step, 200):
        poses = [hinges.poses(np.full(3, at)) for at in (angle, angle + step)]
        for box in range(3):
            moved = apply(poses[1][box], points[box]) - apply(poses[0][box], points[box])
            fastest[box] = np.maximum(fastest[box], np.linalg.norm(moved, axis=1) / step)
    assert np.all(fastest <= most + 1e-3)
    assert np.all(fastest >= most - 2.0)


@pytest.mark.parametrize("angle", [0.2, 0.9, 1.5])
def test_shapes_are_those_of_folding_anew(angle: float) -> None:
    """Each panel reaches as far in any direction, each bend but for the facets that it is given.

    Those are chosen by how it lies, and where it ends aslant it stands out along itself by what its
    end gains over one of them.
    """
    among, rng = parts(2), np.random.default_rng(3)
    hinges = Hinges(among, "lid")
    still, turned = hinges.shapes(np.full(2, 0.1), np.full(2, 1.6))
    anew = refolded(among, {"lid": np.full(2, angle)})
    turn = hinges.frames @ hinges.turns(np.full(2, angle))
    directions = rng.normal(size=(40, 3))
    directions /= np.linalg.norm(directions, axis=1)[:, None]
    seen = set()
    for box in range(2):
        reach: dict[str, np.ndarray] = {}
        for shapes, poses in ((still, hinges.frames), (turned, turn)):
            for k in np.flatnonzero((shapes.pieces.boxes == box) & ~shapes.sliced).tolist():
                place = shapes.pieces.vertices.of(k) + angle * shapes.rates.of(k)
                own = (apply(poses[box], place) @ directions.T).max(axis=0)
                name = shapes.pieces[k].name
                reach[name] = np.maximum(reach.get(name, own), own)
        told: dict[str, np.ndarray] = {}
        for piece in anew.pieces.of_box(box):
            own = (piece.vertices @ directions.T).max(axis=0)
            told[piece.name] = np.maximum(told.get(piece.name, own), own)
        del told["back / lid"]
        assert reach.keys() == told.keys()
        for name, own in reach.items():
            assert own == pytest.approx(told[name], abs=1e-9 if "/" not in name else 0.01), name
            seen.add(name)
    assert {"lid", "back", "tuck", "back / back left tab", "lid / lip"} <= seen


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6))
def test_distances_are_those_of_a_general_library(seed: int) -> None:
    """coal, on hulls of few corners, among them edges that run alike and slivers of paper."""
    rng = np.random.default_rng(seed)
    ones, others = ([_body(rng) for _ in range(12)] for _ in range(2))
    ways = rng.normal(size=(12, 3)) * [1.0, 1.0, 0.2]
    others = [
        points + 40.0 * way / np.linalg.norm(way) for points, way in zip(others, ways, strict=True)
    ]
    one, other = (np.stack(own, axis=-1).transpose(1, 0, 2) for own in (ones, others))
    start = (ways / np.linalg.norm(ways, axis=1)[:, None]).T
    found, across = nearest(one, other, start)
    for k in range(12):
        told = coal.DistanceResult()
        hulls, here = [_hull(own[k]) for own in (ones, others)], coal.Transform3s()
        apart = coal.distance(hulls[0], here, hulls[1], here, coal.DistanceRequest(), told)
        assert found[k] == pytest.approx(apart, abs=1e-6)
        gap = (others[k] @ across[:, k]).min() - (ones[k] @ across[:, k]).max()
        assert found[k] == pytest.approx(gap, abs=1e-9)


def _body(rng: np.random.Generator) -> np.ndarray:
    size = rng.uniform(0.3, 15.0, 3) * rng.choice([0.02, 1.0], 3)
    return np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]) * size


def _hull(points: np.ndarray) -> object:
    corners = coal.StdVec_Vec3s()
    for point in points:
        corners.append(point)
    return coal.Convex.convexHull(corners, True, "Qt")


def test_a_bound_over_an_interval_is_below_all_that_happens_in_it() -> None:
    """Random pairs of a lid's scene, at many angles of intervals of all widths."""
    among, rng = parts(2), np.random.default_rng(5)
    hinges = Hinges(among, "lid")
    still, turned = hinges.shapes(np.full(2, 0.0), np.full(2, 1.7))
    scene = Scene(still, turned, hinges.drifts_mm, hinges.radii_mm)
    count = 400
    b = rng.integers(0, len(turned.pieces), count)
    a = np.array(
        [rng.choice(np.flatnonzero(still.pieces.boxes == turned.pieces.boxes[k])) for k in b]
    )
    width = 10.0 ** rng.uniform(-4.0, -0.3, count)
    start = rng.uniform(0.0, 1.7 - width)
    every = np.full(count, np.inf)
    bound = examine(scene, a, b, start, start + width, every)
    assert np.all(bound.apart_mm >= bound.least_mm - 1e-9)
    close = []
    for share in (0.0, 0.13, 0.5, 0.77, 1.0):
        at = start + share * width
        within = examine(scene, a, b, at, at, every).apart_mm
        assert np.all(within >= bound.least_mm - 1e-9)
        close.append(within)
    missed = np.min(close, axis=0) - bound.least_mm
    narrow = (width < 1e-3) & np.isfinite(missed)
    assert narrow.any() and np.all(missed[narrow] < 0.1)


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10**6))
def test_a_bound_holds_where_bodies_pass_each_other(seed: int) -> None:
    """Small bodies about as far from an axis that drifts, and shifting in themselves as well."""
    rng, count = np.random.default_rng(seed), 30
    sides = []
    for _ in range(2):
        far, at = rng.uniform(8.0, 10.0, count), rng.uniform(-0.2, 0.2, count)
        places = np.stack(
            [far * np.cos(at), rng.uniform(-1.0, 1.0, count), far * np.sin(at)], axis=1
        )
        pieces = [_turned_box(rng, place) for place in places]
        shapes = Shapes.of(Pieces.joined([pieces]))
        by = rng.uniform(-40.0, 40.0, (count, 3)) * rng.choice([0.0, 1.0], (count, 1))
        ends = shapes.pieces.vertices.ends
        sides.append(replace(shapes, rates=Flat(by.repeat(np.diff(ends), axis=0).T, ends)))
    scene = Scene(sides[0], sides[1].turning(), rng.uniform(0.0, 20.0, 1), np.array([[0.1, 0.4]]))
    every, width = np.arange(count), 10.0 ** rng.uniform(-2.0, 0.0, count)
    start = rng.uniform(-0.3, 0.3, count) - 0.5 * width
    none = np.full(count, np.inf)
    bound = examine(scene, every, every, start, start + width, none).least_mm
    for share in np.linspace(0.0, 1.0, 17):
        at = start + share * width
        assert np.all(examine(scene, every, every, at, at, none).apart_mm >= bound - 1e-9)


@pytest.mark.parametrize("spin", [-1.0, 0.0, 1.0])
def test_the_least_reach_of_corners_on_their_way(spin: float) -> None:
    """By trying many angles, with complex numbers across the axis; corners that shift, too."""
    rng, count = np.random.default_rng(9), 3000
    within, corners, rates = (rng.normal(size=(3, 1, count)) * size for size in (1.0, 9.0, 6.0))
    within /= np.sqrt((within**2).sum(axis=0))
    level, drift = rng.uniform(-1.0, 1.0, count), rng.uniform(-2.0, 2.0, count)
    half = 10.0 ** rng.uniform(-2.0, 0.0, count)
    bound = least_reach(within[:, 0], level, corners, rates, drift, half, np.full(count, spin))
    least = np.full(count, np.inf)
    for by in np.linspace(-1.0, 1.0, 201)[:, None] * half:
        x, y, z = (corners + rates * by)[:, 0]
        turned = (x + 1j * z) * np.exp(1j * spin * by)
        reach = turned.real * within[0, 0] + turned.imag * within[2, 0] + y * within[1, 0]
        least = np.minimum(least, reach + level * drift * by)
    assert np.all(bound <= least + 1e-9)
    assert np.all(bound >= least - 40.0 * half**2)


def _turned_box(rng: np.random.Generator, place: np.ndarray) -> ConvexPiece:
    half = rng.uniform(0.05, 1.0, 2)
    square = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]) * half
    pose = np.eye(4)
    pose[:3, :3] = Rotation.random(random_state=int(rng.integers(2**31))).as_matrix()
    pose[:3, 3] = place
    return prism("body", frozenset(["body"]), square, -0.2, 0.3).moved(pose)


@pytest.mark.parametrize("angle", [0.05, 0.7, 1.5])
@pytest.mark.parametrize("crease", CREASES, ids=str)
def test_slices_of_a_bend_reach_as_far_as_its_true_round(crease: Crease, angle: float) -> None:
    """Before the score it ends at the tabs' bends, beyond it at the lid's sides: at any angle."""
    part = replace(TRAY, crease=crease).folded()
    hinges = Hinges(part.among, "lid")
    _, turned = hinges.shapes(np.zeros(1), np.full(1, 1.6))
    table, at = turned.slices[turned.sliced], np.full(turned.sliced.sum(), angle)
    bodies, there = slice_bodies(table, hinges.radii_mm.repeat(len(at), axis=0), at, at)
    corners = bodies.corners[..., there].reshape(3, -1).T
    corners[:, 0] -= hinges.drifts_mm[0] * angle
    anew = refolded(part.among, {"lid": np.array([angle])}).part(0)
    bends = [one for one in anew.bends if one.name == "back / lid"]
    frame = hinges.frames[0]
    rng = np.random.default_rng(2)
    for way in rng.normal(size=(300, 3)) * [1.0, 0.3, 1.0]:
        direction = way / np.linalg.norm(way)
        found = (apply(frame, corners) @ direction).max()
        assert found == pytest.approx(max(one.support(direction) for one in bends), abs=1e-4)
    # and each slice is as long as the bend is where it begins and where it ends
    for k in np.flatnonzero(there).tolist():
        begin = max(table[k, 0], table[k, 2] * angle)
        end = min(table[k, 1], table[k, 3] * angle)
        middle = 0.5 * (begin + end)
        [bend] = [one for one in bends if one.start_rad < middle < one.stop_rad]
        for corner, phi in ((0, begin), (2, end)):
            share = (phi - bend.start_rad) / (bend.stop_rad - bend.start_rad)
            ends = np.array(bend.ends_start) * (1.0 - share) + np.array(bend.ends_stop) * share
            assert bodies.corners[1, [corner, corner + 5], k] == pytest.approx(ends, abs=1e-6)


def test_boxes_swing_together_as_alone() -> None:
    among = parts(6)
    start, stop = np.linspace(0.0, 0.3, 6), np.linspace(1.4, 1.6, 6)
    together = swings(among, "lid", start, stop)
    for box, found in enumerate(together):
        alone = swing(among.part(box), "lid", float(start[box]), float(stop[box]))
        assert alone.outcome is found.outcome
        assert alone.pieces == found.pieces
        if found.angle_rad is not None:
            assert alone.angle_rad == pytest.approx(found.angle_rad, abs=1e-7)
        assert alone.least is not None and found.least is not None
        assert alone.least.apart_mm == pytest.approx(found.least.apart_mm, abs=2e-5)


START_RAD = 0.9


@pytest.mark.parametrize("crease", CREASES, ids=str)
def test_a_slanted_flap_meets_its_neighbour(crease: Crease) -> None:
    """Folded in over a corner, flaps lie in each other's way; a general library says from where."""
    part = fold(slanted(crease), crease, 0.1)
    found = swing(part, "flap 1", START_RAD, 2.6)
    stepped = Bench(part, ["flap 1"]).stepped(START_RAD, 2.6)
    assert found.outcome is Outcome.BLOCKED
    assert stepped.first_rad is not None
    assert found.angle_rad == pytest.approx(stepped.first_rad, abs=2e-4)


def test_another_part_in_the_way_and_pairs_that_may_touch() -> None:
    part = HingedTray(CREASES[0], width=47.0, length=31.0, back=15.6, lid=30.4, lip=0.0).folded()
    square = np.array([[-3.0, -8.0], [4.0, -8.0], [4.0, -5.0], [-3.0, -5.0]])
    post = prism("post", frozenset(["post"]), square, 10.0, 22.0)
    others = Pieces.joined([[post]])
    found = swing(part, "lid", 0.0, 1.5, others)
    stepped = Bench(part, ["lid"], others).stepped(0.0, 1.5)
    assert found.pieces == ("post", "lid")
    assert found.angle_rad == pytest.approx(stepped.first_rad, abs=2e-4)
    x, y, z = found.at_mm or (0.0, 0.0, 0.0)
    assert -3.001 <= x <= 4.001 and -8.001 <= y <= -4.999 and z == pytest.approx(22.0, abs=1e-3)
    past = swing(part, "lid", 0.0, 1.0, others, may_touch=[("post", "lid")])
    assert past.pieces != ("post", "lid")
    two = chosen(part.among, np.array([0, 0]))
    boxes = swings(two, "lid", np.zeros(2), np.full(2, 1.5), others)
    assert [own.pieces for own in boxes] == [("post", "lid")] * 2


def test_what_is_asked_wrongly_is_refused() -> None:
    part = TRAY.folded()
    with pytest.raises(ValueError, match="0 to pi"):
        swing(part, "lid", -0.1, 1.0)
    with pytest.raises(ValueError, match="from one angle to another"):
        swing(part, "lid", 1.0, 1.0)
    with pytest.raises(KeyError):
        swing(part, "floor", 0.0, 1.0)
    low = HingedTray(Crease(3.0, 0.5, 0.4), lid=6.0, lip=8.0, tabs=0.0).folded()
    with pytest.raises(ModelError, match="lid is all taken up"):
        swing(low, "lid", 0.0, math.pi)


def test_boxes_chosen_are_those_of_before() -> None:
    among = parts(3)
    own = chosen(among, np.array([2, 0, 2]))
    for here, there in enumerate((2, 0, 2)):
        for one, other in zip(own.part(here).pieces, among.part(there).pieces, strict=True):
            assert one.name == other.name
            assert np.array_equal(one.vertices, other.vertices)


def test_what_is_left_of_a_half_cut_bends_as_thick_when_it_is_folded_again() -> None:
    """The sheet is 0.4 mm thick and cut half through at the hinge: 0.2 mm are left to bend."""
    among = part_of(spec_of(LipSide.IN, stock=paper(0.4), hinge=Hinge.HALF_CUT)).folded.among
    hinges = Hinges(among, "lid")
    for parts in (among, chosen(among, np.array([0])), refolded(among, {"lid": np.array([0.5])})):
        thick = parts.bends.thickness_mm[parts.bends.kinds == hinges.crease]
        assert len(thick)
        assert thick == pytest.approx(0.2, abs=1e-12)
    assert hinges.radii_mm[0] == pytest.approx([0.0, 0.2], abs=1e-12)
