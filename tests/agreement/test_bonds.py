"""Creases either way and bonds, against a section walked along by hand and a general optimiser.

The independent section is a polyline and true arcs, walked along the paper's outside face: straight
over what stays flat, round on r + t where a fold goes towards the inside face and on r where it
goes towards the outside one (bend allowance of sheet-metal handbooks, half on each side of the
score). SciPy's sequential least squares closes it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
import pytest
import trimesh
from scipy.optimize import minimize

from fitcheck.errors import ModelError
from fitcheck.fit.selffit import self_fit
from fitcheck.folding.fold import Making, fold, fold_all
from fitcheck.folding.measure import measure
from fitcheck.folding.parts import FoldedPart
from fitcheck.pattern.bonds import Bond, Face, JointKind, lining, seam
from fitcheck.pattern.creases import CreaseKind, CreaseLine
from fitcheck.pattern.pattern import Pattern, flat_area
from fitcheck.solids.folded import folded_mesh
from fitcheck.stock.crease import Crease, crease_from_allowance
from tests.hand_drawn import QUARTER, double_tray, strip

SHARP, ROUND = (crease_from_allowance(a, t) for a, t in ((0.20, 0.33), (0.24, 0.33)))
MIDDLE = Crease(0.0, 0.5, 0.33)
PAPERS = [SHARP, ROUND, Crease(0.06, 0.5, 0.41)]
AGREE_RAD = 1e-7
AGREE_MM = 1e-7


class Walked(NamedTuple):
    """Where the last panel's outside face came to lie, from the first score, mm and rad."""

    near: np.ndarray
    tip: np.ndarray
    heading: float

    def inside(self, caliper: float) -> np.ndarray:
        """The tip of its inside face."""
        found: np.ndarray = self.tip + caliper * np.array(
            [-math.sin(self.heading), math.cos(self.heading)]
        )
        return found


def walked(crease: Crease, widths: Sequence[float], folds: Sequence[float]) -> Walked:
    """Walk along the outside face over folds and the panels behind each."""
    flat = crease.radius_mm + crease.neutral * crease.caliper_mm
    halves = [0.5 * abs(fold) * flat for fold in folds] + [0.0]
    at, heading = np.array([-halves[0], 0.0]), 0.0
    near = at
    for k, (width, turn) in enumerate(zip(widths, folds, strict=True)):
        sign = math.copysign(1.0, turn)
        radius = crease.radius_mm + (crease.caliper_mm if turn > 0.0 else 0.0)
        middle = at + sign * radius * np.array([-math.sin(heading), math.cos(heading)])
        heading += turn
        at = middle - sign * radius * np.array([-math.sin(heading), math.cos(heading)])
        near = at
        straight = width - halves[k] - halves[k + 1]
        at = at + straight * np.array([math.cos(heading), math.sin(heading)])
    return Walked(near, at, heading)


def least(
    start: Sequence[float],
    equal: Callable[[np.ndarray], np.ndarray],
    beyond: Callable[[np.ndarray], np.ndarray] | None = None,
) -> np.ndarray:
    """The angles of least total squared departure under conditions, by SciPy."""
    targets = np.array(start)
    constraints = [{"type": "eq", "fun": equal}]
    if beyond is not None:
        constraints.append({"type": "ineq", "fun": beyond})
    found = minimize(
        lambda x: float((x - targets) @ (x - targets)),
        targets,
        jac=lambda x: 2.0 * (x - targets),
        constraints=constraints,
        method="SLSQP",
        options={"ftol": 1e-15, "maxiter": 500},
    )
    assert np.abs(equal(found.x)).max(initial=0.0) < 1e-9
    x: np.ndarray = found.x
    return x


def end_of(part: FoldedPart, crease: Crease, widths: Sequence[float]) -> None:
    """The last panel of a strip lies where it was walked to, in the plane of the section."""
    lines = part.pattern.creases
    there = walked(crease, widths, [part.angles[line.child] for line in lines])
    layout, last = part.layout, lines[-1].child
    outward, origin = layout.outward(lines[0].child)[0], layout.origin(lines[0].child)[0]
    outline = layout.outline(last)[0]
    tip = outline[int(np.argmax(outline @ outward))]
    placed = part.plate(last).pose @ np.array([*tip, 0.0, 1.0])
    level = (placed[:2] - origin) @ outward
    assert [level, placed[2]] == pytest.approx(there.tip.tolist(), abs=1e-10)


# creases: either way, half a turn, half cut


@pytest.mark.parametrize("crease", PAPERS)
@pytest.mark.parametrize(
    "folds",
    [
        [-QUARTER],
        [QUARTER, -QUARTER],
        [-0.7, 1.9, -2.4],
        [math.pi, -QUARTER],
        [-math.pi, 0.4],
    ],
)
@pytest.mark.parametrize("far", [False, True])
@pytest.mark.parametrize("upright", [False, True])
def test_folds_either_way_lie_where_the_section_is_walked(
    crease: Crease, folds: list[float], far: bool, upright: bool
) -> None:
    widths = [17.0, 11.5, 23.0][: len(folds)]
    names = [f"panel {k}" for k in range(len(folds))] + ["root"]
    pattern = strip(names, [*widths[::-1], 31.0], folds[::-1], far=far, upright=upright)
    end_of(fold(pattern, crease, 0.1), crease, widths)


@pytest.mark.parametrize("angle", [0.3, QUARTER, 2.2, math.pi])
@pytest.mark.parametrize("crease", [MIDDLE, Crease(0.1, 0.5, 0.33)])
def test_a_fold_to_the_outside_is_the_mirror_image_of_one_to_the_inside(
    angle: float, crease: Crease
) -> None:
    """Reflected in the middle of the root's thickness, plates and bends are the same solids."""
    both = []
    for sign in (1.0, -1.0):
        pattern = strip(["leaf", "root"], [14.0, 20.0], [sign * angle])
        part = fold(pattern, crease, 0.1)
        assert part.volume_mm3 == pytest.approx(flat_area(pattern) * crease.caliper_mm, rel=1e-12)
        points = np.concatenate([piece.vertices for piece in part.pieces])
        if sign < 0.0:
            points[:, 2] = crease.caliper_mm - points[:, 2]
        both.append(np.unique(points.round(9), axis=0))
    one, other = both
    assert one.shape == other.shape
    assert np.abs(one - other).max() < 1e-8


@pytest.mark.parametrize("crease", PAPERS)
@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize("joint", [None, 0.1])
def test_a_hem_lies_at_twice_its_radius_or_at_the_glue(
    crease: Crease, sign: float, joint: float | None
) -> None:
    """Section 4 at half a turn: BA = pi (r + k t), the layers 2 r apart, the edge r + t beyond the
    axis. Glued flat, half the joint is the radius (common practice, no source)."""
    inward = sign > 0.0
    face = Face.INSIDE if inward else Face.OUTSIDE
    bonds = [] if joint is None else [Bond("leaf", "root", face, face)]
    pattern = strip(["leaf", "root"], [14.0, 20.0], [sign * math.pi], bonds)
    part = fold(pattern, crease, joint or 0.2)
    t = crease.caliper_mm
    radius = crease.radius_mm if joint is None else 0.5 * joint
    half = 0.5 * math.pi * (radius + crease.neutral * t)
    pose = part.plate("leaf").pose
    assert pose[:3, 2] == pytest.approx([0.0, 0.0, -1.0], abs=1e-12)
    apart = (pose[2, 3] - 2.0 * t) if inward else -pose[2, 3]
    assert apart == pytest.approx(2.0 * radius, abs=1e-12)
    score = part.layout.origin("leaf")[0, 0]
    edge = part.reaches(np.array([-1.0, 0.0, 0.0]))[1].max()
    assert edge == pytest.approx(-score - half + radius + t, abs=1e-12)
    tip = (pose @ [score - 14.0, 0.0, 0.0, 1.0])[0]
    assert tip == pytest.approx(score + half + (14.0 - half), abs=1e-12)


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_half_cut_hinge_turns_about_the_uncut_face(sign: float) -> None:
    """Closed forms: no radius, half the caliper left, its neutral line in its middle.

    So a fold uses th t / 4 of the flat, the inside faces cross in the axis, and the plates keep
    their full thickness up to it (common practice, no source).
    """
    t, wall = 0.48, 15.0
    pattern = strip(
        ["lid", "wall", "floor"],
        [20.0, wall, 30.0],
        [sign * QUARTER, sign * QUARTER],
        kinds=[CreaseKind.HALF_CUT, CreaseKind.HALF_CUT],
    )
    crease = crease_from_allowance(0.35, t)  # of the scored paper: no matter here
    part = fold(pattern, crease, 0.1)
    used = QUARTER * t / 4.0
    lid = part.plate("lid").pose[2, 3]
    # between the inside faces, or the outside ones, of floor and lid: the wall less half a fold
    # at either end
    between = (lid - t) - t if sign > 0.0 else -lid
    assert between == pytest.approx(wall - used, abs=1e-12)
    assert {bend.thickness_mm for bend in part.bends} == {0.5 * t}
    assert {bend.radius_mm for bend in part.bends} == {0.0}
    lost = 2.0 * used * 60.0 * (t - 0.5 * t)
    assert part.volume_mm3 == pytest.approx(flat_area(pattern) * t - lost, rel=1e-12)


def test_a_fold_is_from_nothing_to_half_a_turn() -> None:
    ends = strip(["a", "b"], [1.0, 1.0], [1.0]).creases[0]
    for angle in (0.0, 3.2, -3.2):
        with pytest.raises(ValueError, match="half a turn"):
            CreaseLine("a", "b", ends.start, ends.stop, angle)


# tubes


def sleeve(
    width: float, height: float, seam_side: float, flap: float, bottom: float | None = None
) -> Pattern:
    """Flap, side, top, side, bottom, as they lie on the sheet."""
    return strip(
        ["flap", "left side", "top", "right side", "bottom"],
        [flap, seam_side, width, height, width if bottom is None else bottom],
        [QUARTER] * 4,
        [seam("flap", "bottom")],
    )


SIZES = [(50.0, 20.0, 12.0), (31.3, 44.0, 9.5), (90.0, 12.7, 25.0)]


@pytest.mark.parametrize("crease", PAPERS)
@pytest.mark.parametrize(("width", "height", "flap"), SIZES)
def test_a_sleeve_with_its_seam_side_shorter_is_square(
    crease: Crease, width: float, height: float, flap: float
) -> None:
    """Drawn shorter by caliper and joint: inside W - 2 (t - a) and H - 2 (t - a) on both sides."""
    t, g = crease.caliper_mm, 0.12
    part = fold(sleeve(width, height, height - t - g, flap), crease, g)
    (tube,) = part.tubes
    assert tube.turns_deg == pytest.approx([90.0] * 4, abs=1e-9)
    bite = t - crease.growth(QUARTER)
    high, wide = height - 2.0 * bite, width - 2.0 * bite
    assert tube.inside_mm == pytest.approx([high, wide, high, wide], abs=AGREE_MM)
    assert tube.seam_mm == pytest.approx(t + g, abs=1e-12)
    assert part.height_mm == pytest.approx(height + 2.0 * crease.growth(QUARTER), abs=AGREE_MM)


@pytest.mark.parametrize("crease", PAPERS)
@pytest.mark.parametrize(("width", "height", "flap"), SIZES)
@pytest.mark.parametrize("longer", [0.0, 0.9, -0.6])
def test_a_sleeve_closes_where_a_general_optimiser_closes_it(
    crease: Crease, width: float, height: float, flap: float, longer: float
) -> None:
    """With all four sides alike, or the seam's side drawn otherwise: it racks."""
    t, g = crease.caliper_mm, 0.1
    widths = [height, width, height + longer, flap]
    part = fold(sleeve(width, height, height + longer, flap), crease, g)
    end_of(part, crease, widths)

    def met(folds: np.ndarray) -> np.ndarray:
        there = walked(crease, widths, folds)
        return np.array([there.near[1] - t - g, there.tip[1] - t - g])

    want = least([QUARTER] * 4, met)
    (tube,) = part.tubes
    assert np.radians(tube.turns_deg) == pytest.approx(want.tolist(), abs=AGREE_RAD)
    # closed form, to the first order: the top slopes by what the seam's side has too much over
    # the distance of the two sides' middles, and both sides lean by half of that
    slope = (longer + t + g) / (width + 2.0 * crease.growth(QUARTER) - t)
    second = 6.0 * slope**2
    departures = np.radians(tube.turns_deg) - QUARTER
    assert departures == pytest.approx(
        [-0.5 * slope, -0.5 * slope, 0.5 * slope, 0.5 * slope], abs=second + 1e-9
    )
    bite = t - crease.growth(QUARTER)
    left, _, right, below = tube.inside_mm
    assert right - left == pytest.approx(longer + t + g, abs=second * width)
    assert left == pytest.approx(height - 2.0 * bite, abs=second * height + 0.01)
    # both lean the same way, so what is below is as long as the top
    assert below == pytest.approx(width - 2.0 * bite, abs=2.0 * second * (width + height))
    feet, tops = tube.corners_mm[::3], tube.corners_mm[1:3]
    for foot, top in zip(feet, tops, strict=True):
        lean = (top[0] - foot[0]) / (top[1] - foot[1])
        assert lean == pytest.approx(-0.5 * slope, abs=second + 1e-9)


def test_a_seam_outside_needs_no_shorter_side_but_a_longer_one() -> None:
    """The flap glued under the bottom: the seam's side reaches down by caliper and joint."""
    t, g, crease = 0.33, 0.1, SHARP
    names = ["flap", "left side", "top", "right side", "bottom"]

    def made(height: float) -> FoldedPart:
        widths, bonds = [12.0, height, 50.0, 20.0, 50.0], [seam("flap", "bottom", outside=True)]
        return fold(strip(names, widths, [QUARTER] * 4, bonds), crease, g)

    (tube,) = made(20.0 + t + g).tubes
    assert tube.turns_deg == pytest.approx([90.0] * 4, abs=1e-9)
    assert tube.seam_mm == 0.0
    plain = made(20.0)
    (racked,) = plain.tubes

    def met(folds: np.ndarray) -> np.ndarray:
        there = walked(crease, [20.0, 50.0, 20.0, 12.0], folds)
        up = math.cos(there.heading) * t
        return np.array([there.near[1] + up + g, there.inside(t)[1] + g])

    want = least([QUARTER] * 4, met)
    assert np.radians(racked.turns_deg) == pytest.approx(want.tolist(), abs=AGREE_RAD)


@pytest.mark.parametrize(("seam_side", "flap"), [(20.0, 12.0), (19.2, 29.9)])
def test_a_tube_folded_to_the_outside_is_the_mirror_image(seam_side: float, flap: float) -> None:
    pattern = sleeve(30.0, 20.0, seam_side, flap)
    (want,) = fold(pattern, ROUND, 0.1).tubes
    lines = [
        CreaseLine(line.parent, line.child, line.start, line.stop, -QUARTER)
        for line in pattern.creases
    ]
    bond = Bond("flap", "bottom", Face.INSIDE, Face.OUTSIDE)
    mirrored = Pattern("strip", pattern.sheet, pattern.panels, tuple(lines), (bond,))
    (found,) = fold(mirrored, ROUND, 0.1).tubes
    assert found.turns_deg == pytest.approx([-turn for turn in want.turns_deg], abs=1e-9)
    assert found.inside_mm == pytest.approx(want.inside_mm, abs=1e-9)
    assert found.seam_mm == pytest.approx(want.seam_mm, abs=1e-12)


def test_a_tube_closes_alike_from_whichever_panel_stays() -> None:
    """The root in the middle of the strip, or the flap itself: the same tube elsewhere."""
    pattern = sleeve(50.0, 20.0, 20.0, 12.0)
    want = fold(pattern, SHARP, 0.1)
    for root in ("top", "left side", "flap"):
        panels = sorted(pattern.panels, key=lambda one: one.name != root)
        names = [panel.name for panel in pattern.panels]
        middle, lines = names.index(root), []
        for line in pattern.creases:
            ends = (line.parent, line.child)
            nearer = min(ends, key=lambda name: abs(names.index(name) - middle))
            other = ends[1 - ends.index(nearer)]
            lines.append(CreaseLine(nearer, other, line.start, line.stop))
        lines.sort(key=lambda line: abs(names.index(line.child) - middle))
        turned = Pattern(pattern.part, pattern.sheet, tuple(panels), tuple(lines), pattern.bonds)
        assert turned.joints[0].kind is JointKind.TUBE
        (tube,) = fold(turned, SHARP, 0.1).tubes
        assert tube.turns_deg == pytest.approx(want.tubes[0].turns_deg, abs=1e-7)
        assert tube.inside_mm == pytest.approx(want.tubes[0].inside_mm, abs=1e-7)


def test_a_flap_too_long_for_the_sleeve_meets_the_first_side() -> None:
    """The contact of its tip is an inequality: SciPy with the tip kept out of the wall."""
    crease, t, g = SHARP, 0.33, 0.1
    widths = [20.0, 30.0, 19.2, 29.9]
    part = fold(sleeve(30.0, 20.0, 19.2, 29.9), crease, g)

    def met(folds: np.ndarray) -> np.ndarray:
        there = walked(crease, widths, folds)
        return np.array([there.near[1] - t - g, there.tip[1] - t - g])

    def apart(folds: np.ndarray) -> np.ndarray:
        # the first side's inside face, a line through the axis of a sharp crease
        there, half = walked(crease, widths, folds), 0.5 * folds[0] * crease.neutral * t
        way = np.array([math.sin(folds[0]), -math.cos(folds[0])])
        corners = [there.tip, there.inside(t)]
        return np.array([-(np.asarray(one) - [-half, t]) @ way for one in corners])

    assert apart(least([QUARTER] * 4, met)).min() < -0.02
    want = least([QUARTER] * 4, met, apart)
    assert np.radians(part.tubes[0].turns_deg) == pytest.approx(want.tolist(), abs=1e-6)


def test_tubes_folded_together_are_those_folded_by_themselves() -> None:
    pattern = sleeve(50.0, 20.0, 20.0, 12.0)
    score = pattern.creases[0].start.x
    makings = [Making(SHARP, 0.1, {score: 0.1 * k}) for k in range(-3, 4)]
    makings.append(Making(ROUND, 0.05))
    found = fold_all(pattern, makings)
    for box, making in enumerate(makings):
        (alone,) = fold_all(pattern, [making]).part(0).tubes
        assert found.part(box).tubes[0] == alone


def test_a_tube_that_cannot_close_is_an_error() -> None:
    with pytest.raises(ModelError, match="the tube that ends in the flap cannot be closed"):
        fold(sleeve(50.0, 20.0, 120.0, 12.0), SHARP, 0.1)  # it would lie beside the bottom


def test_faces_that_cannot_lie_on_each_other_are_refused() -> None:
    names, widths = ["flap", "left", "top", "right", "bottom"], [12.0, 20.0, 50.0, 20.0, 50.0]
    for bond in (Bond("flap", "bottom", Face.INSIDE), lining("flap", "bottom")):
        with pytest.raises(ValueError, match="comes to lie otherwise"):
            fold(strip(names, widths, [QUARTER] * 4, [bond]), SHARP, 0.1)


# linings


def double_wall(rim: float, inner: float, wall: float, *, glued: bool = True) -> Pattern:
    """Lining, rim, wall, floor, as they lie on the sheet."""
    return strip(
        ["lining", "rim", "wall", "floor"],
        [inner, rim, wall, 50.0],
        [QUARTER] * 3,
        [lining("lining", "wall", glued=glued)],
    )


@pytest.mark.parametrize("crease", PAPERS)
def test_a_double_wall_as_wide_as_its_rim_stands_upright(crease: Crease) -> None:
    """A rim of 2 (t - a) + g is 2 t + g over all; the lining ends t - a below the wall's height.

    The same with the foot on the floor by closed form: from the outside of the rim, H + 2 a up,
    the lining reaches down by its height and a, and the floor is t thick.
    """
    t, g, a = crease.caliper_mm, 0.1, crease.growth(QUARTER)
    rim, wall = 2.0 * (t - a) + g + (0.4 if crease.radius_mm else 0.0), 18.0
    made = fold(double_wall(rim, 15.0, wall, glued=not crease.radius_mm), crease, g)
    (found,) = made.linings
    assert found.turns_deg == pytest.approx([90.0, 90.0], abs=1e-6)
    assert found.rim_mm == pytest.approx(rim + 2.0 * a, abs=AGREE_MM)
    assert found.foot_mm == pytest.approx(rim + 2.0 * a, abs=AGREE_MM)
    assert found.stands_off_mm == pytest.approx(wall + a - 15.0 - t, abs=AGREE_MM)


@pytest.mark.parametrize("rim", [0.36, 0.5, 0.9, 1.4])
@pytest.mark.parametrize("inner", [14.0, 17.5, 17.86, 17.92])
def test_a_glued_lining_settles_where_a_general_optimiser_settles_it(
    rim: float, inner: float
) -> None:
    """Its foot held at the glue, above the floor: SciPy with the contact as an inequality."""
    crease, t, g, wall = SHARP, 0.33, 0.1, 18.0
    made = fold(double_wall(rim, inner, wall), crease, g)
    end_of(made, crease, [wall, rim, inner])
    widths = [wall, rim, inner]

    def folds(own: np.ndarray) -> list[float]:
        return [QUARTER, *own]

    def held(own: np.ndarray) -> np.ndarray:
        # the wall is upright, its inside face at x = - half for a sharp crease
        half = 0.5 * QUARTER * crease.neutral * t
        return np.array([-half - g - walked(crease, widths, folds(own)).inside(t)[0]])

    def above(own: np.ndarray) -> np.ndarray:
        there = walked(crease, widths, folds(own))
        return np.array([there.tip[1] - t, there.inside(t)[1] - t])

    want = least([QUARTER] * 2, held, above)
    (found,) = made.linings
    assert np.radians(found.turns_deg) == pytest.approx(want.tolist(), abs=2e-6)
    assert found.foot_mm == pytest.approx(2.0 * t + g, abs=0.002)  # over a foot that leans
    assert found.stands_off_mm >= -1e-9


@pytest.mark.parametrize(("inner", "stands"), [(17.8, False), (17.9, True), (18.0, True)])
def test_a_lining_that_is_only_laid_there_stands_on_its_foot(inner: float, stands: bool) -> None:
    """Not glued, it keeps its right angles until it is higher than H - (t - a)."""
    crease, t, wall, rim = SHARP, 0.33, 18.0, 0.9
    made = fold(double_wall(rim, inner, wall, glued=False), crease, 0.1)
    (found,) = made.linings
    assert (found.stands_off_mm < 1e-9) == stands
    if not stands:
        assert found.turns_deg == pytest.approx([90.0, 90.0], abs=1e-12)
        return
    widths = [wall, rim, inner]

    def conditions(own: np.ndarray) -> np.ndarray:
        there = walked(crease, widths, [QUARTER, *own])
        half = 0.5 * QUARTER * crease.neutral * t
        inside = there.inside(t)
        near = there.near + inside - there.tip
        return np.array([there.tip[1] - t, inside[1] - t, -half - inside[0], -half - near[0]])

    starts = [[QUARTER + d, QUARTER + e] for d in (-0.1, 0.1) for e in (-0.1, 0.1)]
    found_by = [
        minimize(
            lambda x: float(((x - QUARTER) ** 2).sum()),
            start,
            jac=lambda x: 2.0 * (x - QUARTER),
            constraints=[{"type": "ineq", "fun": conditions}],
            method="SLSQP",
            options={"ftol": 1e-15, "maxiter": 500},
        )
        for start in starts
    ]
    good = [one for one in found_by if conditions(one.x).min() > -1e-8]
    want = min(good, key=lambda one: one.fun)
    assert np.radians(found.turns_deg) == pytest.approx(want.x.tolist(), abs=2e-6)


def test_a_lining_on_a_round_crease_is_lifted_by_the_round() -> None:
    """Where r is more than the glue the foot's edge meets the round before the floor.

    Closed form: the edge stands the glue inside the wall's face, so it ends r - sqrt(r2 - (r-g)2)
    above the floor.
    """
    crease, g = Crease(0.3, 0.5, 0.33), 0.05
    t, a = crease.caliper_mm, crease.growth(QUARTER)
    r, wall, rim = crease.radius_mm, 18.0, 2.0 * (t - a) + g
    rise = r - math.sqrt(r**2 - (r - g) ** 2)
    high = wall + a - t - rise
    over = 1.2  # a rim that its bends do not take up; the lining then leans a little
    inner = high - 0.3
    (loose,) = fold(double_wall(rim + over, inner, wall), crease, g).linings
    assert loose.stands_off_mm == pytest.approx(0.3 + rise, abs=0.06)
    (tight,) = fold(double_wall(rim + over, high + 0.2, wall), crease, g).linings
    lean = math.radians(sum(tight.turns_deg) - 180.0)
    assert tight.stands_off_mm == pytest.approx(rise - t * math.sin(lean), abs=0.003)


@pytest.mark.parametrize("crease", PAPERS)
def test_a_lining_of_one_fold_is_two_sheets_and_the_glue(crease: Crease) -> None:
    t, g, a = crease.caliper_mm, 0.1, crease.growth(QUARTER)
    pattern = strip(
        ["lining", "wall", "floor"],
        [16.0, 18.0, 50.0],
        [math.pi, QUARTER],
        [lining("lining", "wall")],
    )
    assert [joint.kind for joint in pattern.joints] == [JointKind.HEM]
    part = fold(pattern, crease, g)
    (found,) = part.linings
    assert found.rim_mm == pytest.approx(2.0 * t + g, abs=1e-9)
    assert found.foot_mm == pytest.approx(2.0 * t + g, abs=1e-9)
    # both lie flat on each other: the foot is as far down as the two flat lengths differ
    assert found.stands_off_mm == pytest.approx(18.0 - 16.0 - (t - a), abs=1e-9)


@pytest.mark.parametrize("crease", [SHARP, MIDDLE, Crease(0.02, 0.5, 0.3)])
@pytest.mark.parametrize("size", [(80.0, 100.0, 20.0), (63.5, 41.0, 31.75)])
def test_a_double_walled_tray_is_its_walls_its_tabs_and_the_glue(
    crease: Crease, size: tuple[float, float, float]
) -> None:
    """Two sheets and the glue beside the walls that carry the tabs, three and more over the tabs.

    The walls over the tabs lean out by t + g at their rims, and their linings with them: their
    outside face keeps r + t from the bend's axis, so the lining's keeps r less one sheet and what
    is in between, and its foot is as far along the wall as its flat length leaves it.
    """
    t, g, a = crease.caliper_mm, 0.1, crease.growth(QUARTER)
    width, length, depth = size
    bite, layer, high = t - a, t + g, depth - 1.0
    clear = bite + layer + g + 0.4
    pattern = double_tray(
        *size,
        lining_mm=high,
        rims=(2.0 * bite + g, 2.0 * bite + g + layer),
        tab=7.0,
        ends=(clear, clear),
    )
    part = fold(pattern, crease, g)
    sizes = measure(part)
    assert self_fit(part) == ()
    assert [lined.rim_mm for lined in part.linings] == pytest.approx(
        [2.0 * t + g] * 2 + [3.0 * t + 2.0 * g] * 2, abs=1e-7
    )
    assert sizes.outside_mm[0] == pytest.approx(width + 2.0 * a, abs=1e-9)
    assert sizes.outside_mm[1] == pytest.approx(length + 2.0 * (a + layer), abs=1e-9)
    assert sizes.inside_mm[0] == pytest.approx(width - 2.0 * (bite + layer), abs=1e-7)
    foot = part.angles["front wall"]
    half = 0.5 * foot * (crease.radius_mm + crease.neutral * t)
    quarter = 0.5 * QUARTER * (crease.radius_mm + crease.neutral * t)
    # along the wall from the axis: its flat, the rim's round, back down the lining
    along = (depth - half - quarter) - (high - quarter)
    off = crease.radius_mm + t - (3.0 * t + 2.0 * g)
    level = along * math.cos(foot) + off * math.sin(foot) - half
    assert sizes.inside_mm[1] == pytest.approx(length + 2.0 * level, abs=1e-7)
    if crease.neutral == 0.5:
        assert part.volume_mm3 == pytest.approx(flat_area(pattern) * t, rel=1e-12)
    mesh = folded_mesh(part)
    assert trimesh.Trimesh(mesh.vertices, mesh.faces).is_watertight


def test_hinges_and_folds_either_way_are_printable() -> None:
    """A half-cut lid, a fold to the outside and a hem: closed meshes, and STEP of their volume."""
    names, widths = ["hem", "lip", "lid", "wall", "floor"], [6.0, 9.0, 30.0, 20.0, 30.0]
    kinds = [CreaseKind.SCORED, CreaseKind.SCORED, CreaseKind.HALF_CUT, CreaseKind.SCORED]
    pattern = strip(names, widths, [-math.pi, QUARTER, QUARTER, QUARTER], kinds=kinds)
    part = fold(pattern, ROUND, 0.1)
    mesh = folded_mesh(part)
    seen = trimesh.Trimesh(mesh.vertices, mesh.faces)
    assert seen.is_watertight
    assert seen.body_count == 1
    # the mesh is grown by micrometres and its rounds are faceted
    assert seen.volume == pytest.approx(part.volume_mm3, rel=3e-3)
