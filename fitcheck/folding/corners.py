"""A wall glued over its neighbours' tabs is pushed out at its rim and leans about its foot."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.folding.clip import Polygons
from fitcheck.folding.closure import Closed, close_rolls, unclosed
from fitcheck.folding.kinematics import panel_poses
from fitcheck.folding.lines import Layout
from fitcheck.folding.linkage import chain_of, chains_of, joint_of
from fitcheck.folding.pose import Array, Flags, bend_shift
from fitcheck.pattern.bonds import Bond, Face
from fitcheck.pattern.creases import RIGHT_ANGLE
from fitcheck.pattern.pattern import Pattern

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

    def inside_face(self, foot_rad: Array, rim_rad: Array) -> Array:
        """How far in the walls' flat parts come, mm."""
        sin, cos = np.sin(foot_rad), np.cos(foot_rad)
        half, lift = 0.5 * self.flat * foot_rad, self.radius + self.caliper
        level, _ = bend_shift(self.score, half, lift, sin, cos)
        edge = self.rim - np.where(self.goes_on, 0.5 * self.flat * rim_rad, 0.0)
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


def pushes_of(
    layout: Layout,
    walls: Sequence[str],
    joint_mm: Array,
    give: Array,
    angles: Array,
    plates: Polygons,
) -> Array:
    """How far glued tabs push walls out at their rims, (b, w) mm, signed: p = give (t + g - s).

    Taken from the panels as they would stand unglued: the gap between the tab's outside face and
    the wall's inside face has to become the joint's thickness, and that of what else is glued in
    between; tabs glued on the outside of a wall pull it in. The give is what a paper's coupons
    measured of that; 1 where nobody measured.
    """
    tree, cells = layout.tree, layout.cells
    cut, bent = Walls.of(layout, walls), _foot_and_rim(layout, walls, angles)
    inside, outside = cut.inside_face(*bent), cut.reach(*bent)
    poses = panel_poses(layout, angles)
    points = plates.points.reshape(layout.boxes, len(cells.panels), -1, 2)
    there = plates.valid.reshape(layout.boxes, len(cells.panels), -1)
    pushes = []
    for k, wall in enumerate(walls):
        outward = np.append(layout.outward(wall), np.zeros((layout.boxes, 1)), axis=1)
        bonds = [bond for bond in layout.pattern.corner_joints if bond.onto == wall]
        own_cells = [(bond, cell) for bond in bonds for cell in cells.of([tree.panel[bond.panel]])]
        tabs = [cell for _, cell in own_cells]
        way = 1.0 if bonds[0].side is Face.INSIDE else -1.0
        own = way * np.einsum("bi,bkij->bkj", outward, poses[:, cells.panels[tabs], :3])
        reach = np.einsum("bkni,bki->bkn", points[:, tabs], own[..., :2])
        reach = np.where(there[:, tabs], reach, -np.inf).max(axis=2)
        reach += own[..., 3] + np.maximum(0.0, layout.creases.caliper_mm[:, None] * own[..., 2])
        if any(bond.between for bond in bonds):
            sheet = layout.creases.caliper_mm + joint_mm
            reach += sheet[:, None] * [bond.between for bond, _ in own_cells]
        face = (inside if way > 0.0 else outside).reshape(layout.boxes, -1)[:, k]
        pushes.append(way * (reach.max(axis=1) - way * face + joint_mm))
    found: Array = give[:, None] * np.stack(pushes, axis=1)
    return found


class WallGroup:
    """Walls of all boxes that are settled together; they are rolled all or none."""

    def __init__(
        self,
        layout: Layout,
        walls: Sequence[str],
        joints: Sequence[Bond],
        joint_mm: Array,
        angles: Array,
    ) -> None:
        self.walls = walls
        self.rolls = chains_of(layout, joints, joint_mm) if joints else None
        self.cut = Walls.of(layout, walls)
        chains = _chains(layout.pattern, walls, joints)
        self.columns = np.array([[layout.tree.crease[name] for name in own] for own in chains])
        outlines = [
            np.einsum("bni,bi->bn", layout.outline(wall), layout.outward(wall)) for wall in walls
        ]
        self.heights = np.stack([np.ptp(own, axis=1) for own in outlines], axis=1).reshape(-1)
        self.pattern, self.bonds = layout.pattern, joints
        _, self.rims = _foot_and_rim(layout, walls, angles)
        """(r,) the fold angles at the rims of walls that carry no roll."""

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
                unclosed(joint_of(self.pattern, self.bonds[k]))
                if self.bonds
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
        return self.cut.reach(angles[:, 0], self.rims if self.rolls is None else angles[:, 1])

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
    pattern: Pattern, walls: Sequence[str], joints: Sequence[Bond]
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
