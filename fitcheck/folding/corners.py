"""A wall glued over its neighbours' tabs is pushed out at its rim and leans about its foot."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.folding.clip import Polygons
from fitcheck.folding.closure import Closed, close_rolls, unclosed
from fitcheck.folding.kinematics import panel_poses, plate_outlines, swallowed
from fitcheck.folding.lines import Layout
from fitcheck.folding.linkage import chain_of, rolls_of
from fitcheck.folding.pose import Array, Flags, bend_shift
from fitcheck.pattern.pattern import RIGHT_ANGLE, Pattern, RollJoint

ROUNDS = 40
PARALLEL = 0.5
LEANT_MM = 1e-10


def outward_of(layout: Layout, wall: str) -> Array:
    """The level direction in which a wall stands beside the floor, (3,), alike in all boxes."""
    return np.append(layout.outward(wall)[0], 0.0)


@dataclass(frozen=True, eq=False)
class Walls:
    """Walls beside the floor cut across, (w,) mm along their outward directions."""

    score: Array
    """Where the foot is scored."""
    rim: Array
    """Where the panel ends, or the score at which it goes on."""
    goes_on: Flags
    """Whether another panel is folded on at the rim."""
    radius: Array
    caliper: Array
    flat: Array
    """Flat length that a fold uses up for each radian."""

    @classmethod
    def of(cls, layout: Layout, names: Sequence[str]) -> Walls:
        """The walls of those names, box by box."""
        tree, count = layout.tree, len(names)
        columns = [tree.crease[name] for name in names]
        outward = layout.outwards[:, columns]
        rims, goes_on = [], []
        for k, name in enumerate(names):
            on = _rim_crease(layout, name)
            along = layout.outline(name) if on is None else layout.origins[:, [on]]
            rims.append(np.einsum("bni,bi->bn", along, outward[:, k]).max(axis=1))
            goes_on.append(on is not None)
        return cls(
            score=np.einsum("bwi,bwi->bw", layout.origins[:, columns], outward).reshape(-1),
            rim=np.stack(rims, axis=1).reshape(-1),
            goes_on=np.tile(goes_on, layout.boxes),
            radius=layout.creases.radius_mm[:, columns].reshape(-1),
            caliper=layout.creases.caliper_mm.repeat(count),
            flat=layout.creases.flat_mm_per_rad[:, columns].reshape(-1),
        )

    def reach(self, foot_rad: Array, rim_rad: Array) -> Array:
        """How far the rims reach outwards, mm: the far edge, or the bend that starts there."""
        sin, cos = np.sin(foot_rad), np.cos(foot_rad)
        half, lift = 0.5 * self.flat * foot_rad, self.radius + self.caliper
        level, _ = bend_shift(self.score, half, lift, sin, cos)
        edge = self.rim - np.where(self.goes_on, 0.5 * self.flat * rim_rad, 0.0)
        plate = cos * edge + level + np.maximum(0.0, -sin * self.caliper)
        towards = np.sin(np.clip(RIGHT_ANGLE, foot_rad, foot_rad + rim_rad))
        bend = cos * edge - sin * lift + level + lift * towards
        found: Array = np.where(self.goes_on, np.maximum(plate, bend), plate)
        return found

    def inside_face(self, foot_rad: Array) -> Array:
        """How far in the walls' flat parts come, mm."""
        sin, cos = np.sin(foot_rad), np.cos(foot_rad)
        half, lift = 0.5 * self.flat * foot_rad, self.radius + self.caliper
        level, _ = bend_shift(self.score, half, lift, sin, cos)
        edge = self.rim - np.where(self.goes_on, half, 0.0)
        ends = np.minimum(cos * (self.score + half), cos * edge)
        found: Array = ends + level - np.maximum(0.0, sin * self.caliper)
        return found


def _rim_crease(layout: Layout, wall: str) -> int | None:
    """The crease at which a wall goes on upwards; None where it ends at a cut edge."""
    own = layout.outward(wall)[0]
    for line in layout.pattern.creases:
        if line.parent == wall and layout.outward(line.child)[0] @ own > PARALLEL:
            return layout.tree.crease[line.child]
    return None


def rim_reaches(layout: Layout, walls: Sequence[str], angles: Array) -> Array:
    """How far the rims of walls reach outwards in each box, (b, w) mm, for fold angles (b, c)."""
    found = Walls.of(layout, walls).reach(*_foot_and_rim(layout, walls, angles))
    return found.reshape(layout.boxes, -1)


def _foot_and_rim(layout: Layout, walls: Sequence[str], angles: Array) -> tuple[Array, Array]:
    rims = [_rim_crease(layout, wall) for wall in walls]
    feet = [layout.tree.crease[wall] for wall in walls]
    at_rim = [foot if rim is None else rim for foot, rim in zip(feet, rims, strict=True)]
    return angles[:, feet].reshape(-1), angles[:, at_rim].reshape(-1)


def _pushes(
    layout: Layout,
    walls: Sequence[str],
    joint_mm: Array,
    give: Array,
    angles: Array,
    plates: Polygons,
) -> Array:
    """How far glued tabs push walls out at their rims, (b, w) mm, signed: p = give (t + g - s).

    Taken from the panels as they would stand unglued: the gap between the tab's outside face and
    the wall's inside face has to become the joint's thickness. The give is what a paper's coupons
    measured of that; 1 where nobody measured.
    """
    tree, cells = layout.tree, layout.cells
    inside = Walls.of(layout, walls).inside_face(
        angles[:, [tree.crease[wall] for wall in walls]].reshape(-1)
    )
    poses = panel_poses(layout, angles)
    points = plates.points.reshape(layout.boxes, len(cells.panels), -1, 2)
    there = plates.valid.reshape(layout.boxes, len(cells.panels), -1)
    reaches = []
    for wall in walls:
        outward = np.append(layout.outward(wall), np.zeros((layout.boxes, 1)), axis=1)
        joints = [joint for joint in layout.pattern.corner_joints if joint.wall == wall]
        tabs = cells.of(tree.panel[joint.tab] for joint in joints)
        own = np.einsum("bi,bkij->bkj", outward, poses[:, cells.panels[tabs], :3])
        reach = np.einsum("bkni,bki->bkn", points[:, tabs], own[..., :2])
        reach = np.where(there[:, tabs], reach, -np.inf).max(axis=2)
        reach += own[..., 3] + np.maximum(0.0, layout.creases.caliper_mm[:, None] * own[..., 2])
        reaches.append(reach.max(axis=1))
    gaps = np.stack(reaches, axis=1) - inside.reshape(layout.boxes, -1)
    found: Array = give[:, None] * (joint_mm[:, None] + gaps)
    return found


def folded_angles(layout: Layout, joint_mm: Array, give: Array) -> tuple[Array, dict[int, str]]:
    """The fold angles (b, c) of glued parts: corners pushed out, rolled frames closed.

    A glued corner holds both its walls: the one over the tabs leans as far as they push it, the
    one that carries them stays as it was glued. Only the rest of a roll gives way to close it.
    Boxes that cannot be folded are given with the reason.
    """
    pattern = layout.pattern
    angles = np.tile(layout.targets_rad, (layout.boxes, 1))
    problems: dict[int, str] = {}
    rolls = {chain_of(pattern, joint)[0]: joint for joint in pattern.roll_joints}
    pushed = list(dict.fromkeys(joint.wall for joint in pattern.corner_joints))
    carrying = {pattern.crease_to(joint.tab).parent for joint in pattern.corner_joints}
    free = [wall for wall in rolls if wall not in pushed]
    for walls, held in (
        ([wall for wall in free if wall in carrying], [0]),
        ([wall for wall in free if wall not in carrying], []),
    ):
        if walls:
            group = _Group(layout, walls, [rolls[wall] for wall in walls], joint_mm)
            found = group.closed(group.read(angles), held)
            group.write(found, angles, problems)
    if pushed:
        outlines = plate_outlines(layout, angles)
        if gone := swallowed(layout, outlines):
            return angles, problems | gone
        pushes = _pushes(layout, pushed, joint_mm, give, angles, outlines)
        for walls in (
            [wall for wall in pushed if wall in rolls],
            [wall for wall in pushed if wall not in rolls],
        ):
            if walls:
                group = _Group(layout, walls, [rolls[w] for w in walls if w in rolls], joint_mm)
                by = pushes[:, [pushed.index(wall) for wall in walls]].reshape(-1)
                found = group.leaning(group.read(angles), by)
                group.write(found, angles, problems)
    return angles, problems


class _Group:
    """Walls of all boxes that are settled together; they are rolled all or none."""

    def __init__(
        self, layout: Layout, walls: Sequence[str], joints: Sequence[RollJoint], joint_mm: Array
    ) -> None:
        self.walls = walls
        self.rolls = rolls_of(layout, joints, joint_mm) if joints else None
        self.cut = Walls.of(layout, walls)
        chains = _chains(layout.pattern, walls, joints)
        self.columns = np.array([[layout.tree.crease[name] for name in own] for own in chains])
        outlines = [
            np.einsum("bni,bi->bn", layout.outline(wall), layout.outward(wall)) for wall in walls
        ]
        self.heights = np.stack([np.ptp(own, axis=1) for own in outlines], axis=1).reshape(-1)
        self.flaps = [joint.flap for joint in joints]

    def read(self, angles: Array) -> Array:
        """The angles of the walls and what they carry, (r, k)."""
        return angles[:, self.columns].reshape(-1, self.columns.shape[1])

    def write(self, found: Closed, angles: Array, problems: dict[int, str]) -> None:
        """Put them among the angles of their boxes (b, c), with what could not be settled."""
        angles[:, self.columns] = found.angles.reshape(len(angles), *self.columns.shape)
        for row in np.flatnonzero(~found.ok).tolist():
            box, k = divmod(row, len(self.walls))
            problems.setdefault(
                box,
                unclosed(self.flaps[k])
                if self.flaps
                else f"the {self.walls[k]} cannot lean as far as its glued tabs push it: set the "
                "tabs back",
            )

    def closed(self, angles: Array, held: Sequence[int]) -> Closed:
        """The rolls closed; plain walls stay as they are."""
        if self.rolls is None:
            return Closed(angles, np.ones(len(angles), dtype=bool))
        return close_rolls(self.rolls, angles, held)

    def reach(self, angles: Array) -> Array:
        """How far the rims reach outwards, (r,) mm."""
        return self.cut.reach(angles[:, 0], angles[:, min(1, angles.shape[1] - 1)])

    def leaning(self, angles: Array, by_mm: Array) -> Closed:
        """The walls leant until their rims reach so much (r,) further, their rolls closed."""
        target = self.reach(angles) + by_mm
        known = [angles.copy(), np.ones(len(angles), dtype=bool)]

        def miss(foot: Array, active: Flags) -> Array:
            trial = known[0].copy()
            trial[:, 0] = np.where(active, foot, trial[:, 0])
            found = self.closed(trial, [0])
            known[1] &= (found.ok & (foot > 0.0) & (foot < np.pi)) | ~active
            known[0] = np.where((active & known[1])[:, None], found.angles, known[0])
            return np.where(known[1], self.reach(known[0]) - target, np.nan)

        first = np.full(len(angles), RIGHT_ANGLE)
        settled = _roots(miss, first, first - by_mm / self.heights)
        return Closed(known[0], known[1] & settled)


def _chains(
    pattern: Pattern, walls: Sequence[str], joints: Sequence[RollJoint]
) -> list[tuple[str, ...]]:
    return [chain_of(pattern, joint) for joint in joints] or [(wall,) for wall in walls]


def _roots(miss: Callable[[Array, Flags], Array], first: Array, second: Array) -> Flags:
    """Brings each row to where its `miss` vanishes, by secants from two guesses.

    Says which rows came there; `miss` is told which rows are still sought, and is nan where a row
    is given up.
    """
    active = np.ones(len(first), dtype=bool)
    a, b = first, second
    at_a, at_b = miss(a, active), miss(b, active)
    for _ in range(ROUNDS):
        active = active & ~((np.abs(at_b) < LEANT_MM) | (a == b) | np.isnan(at_b))
        if not active.any():
            break
        with np.errstate(invalid="ignore", divide="ignore"):
            following = b - at_b * (b - a) / (at_b - at_a)
        a, b, at_a = np.where(active, b, a), np.where(active, following, b), at_b
        at_b = np.where(active, miss(b, active), at_b)
    found: Flags = ~active
    return found
