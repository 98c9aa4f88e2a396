"""A roll cut across: its parallel creases carry its panels as a linkage in the plane.

A roll's creases from the wall to the flap are columns, the rolls of all boxes are rows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from fitcheck.folding.lines import Layout
from fitcheck.folding.pose import Array, Flags, Rows, bend_shift
from fitcheck.pattern.pattern import Pattern, RollJoint

WALL, FLAP = 0, -1


@dataclass(frozen=True, eq=False)
class Rolls:
    """Rolled sides cut across, lengths in mm along the outward direction from the root's middle."""

    scores: Array
    """(r, c) the creases of each, of the wall first and the flap last."""
    targets: Array
    """(r, c) rad, what the pattern asks for."""
    tip: Array
    """(r,) the flap's free edge."""
    foot_height: Array
    """(r,) height of the panel that ends at the flap."""
    joint: Array
    """(r,) thickness of the glue."""
    radius: Array
    caliper: Array
    flat: Array
    """(r,) flat length that a fold uses up for each radian."""

    @property
    def lift(self) -> Array:
        """(r, 1) how high above the panel before it the axis of each bend is."""
        found: Array = (self.radius + self.caliper)[:, None]
        return found

    def take(self, rows: Rows | Flags) -> Rolls:
        """Some of them."""
        return replace(self, **{one.name: getattr(self, one.name)[rows] for one in fields(self)})


def chain_of(pattern: Pattern, joint: RollJoint) -> tuple[str, ...]:
    """The panels of a rolled side, the outer wall first and the flap last."""
    return tuple(line.child for line in pattern.chain(joint.flap))


def rolls_of(layout: Layout, joints: Sequence[RollJoint], joint_mm: Array) -> Rolls:
    """The rolls that end in some joints, box by box; they have the same number of creases."""
    chains = [chain_of(layout.pattern, joint) for joint in joints]
    columns = np.array([[layout.tree.crease[name] for name in chain] for chain in chains])
    outward = layout.outwards[:, columns[:, WALL]]
    across = np.abs((layout.outwards[:, columns] * outward[:, :, None]).sum(axis=-1) - 1.0)
    assert across.max() < 1e-9, "the creases of a roll are parallel"

    def reach(panels: list[str]) -> tuple[Array, Array]:
        rows = [layout.outline(name) for name in panels]
        along = [np.einsum("bni,bi->bn", own, outward[:, k]) for k, own in enumerate(rows)]
        return (
            np.stack([own.min(axis=1) for own in along], axis=1).reshape(-1),
            np.stack([own.max(axis=1) for own in along], axis=1).reshape(-1),
        )

    foot = reach([chain[-2] for chain in chains])
    count = len(joints)
    return Rolls(
        scores=np.einsum("bjci,bji->bjc", layout.origins[:, columns], outward).reshape(
            -1, columns.shape[1]
        ),
        targets=np.tile(layout.targets_rad[columns], (layout.boxes, 1)),
        tip=reach([chain[-1] for chain in chains])[1],
        foot_height=foot[1] - foot[0],
        joint=joint_mm.repeat(count),
        radius=layout.creases.radius_mm[:, columns[:, WALL]].reshape(-1),
        caliper=layout.creases.caliper_mm.repeat(count),
        flat=layout.creases.flat_mm_per_rad[:, columns[:, WALL]].reshape(-1),
    )


def tip_gaps(rolls: Rolls, angles: Array) -> Array:
    """How far lying flaps' tips are from the outer walls' inside faces or their feet's rounds, mm.

    (r,); negative where a tip would stand in the wall. Level, at the nearer of the tip's edges.
    """
    x, z = np.repeat(rolls.tip[:, None], 2, axis=1), np.zeros((len(angles), 2))
    z[:, 1] = rolls.caliper
    x, z = carried(rolls, angles, x, z)
    gaps = _inside_faces(rolls, angles[:, WALL], z) - (x - rolls.scores[:, :1])
    least: Array = gaps.min(axis=1)
    return least


def carried(rolls: Rolls, angles: Array, x: Array, z: Array) -> tuple[Array, Array]:
    """Points (r, k) of flaps, along and above their own place on the sheet, as they stand, mm."""
    turns = _turns(rolls, angles)
    for k in reversed(range(angles.shape[1])):
        x, z = turns.carry(k, x, z)
    return x, z


def _inside_faces(rolls: Rolls, angle: Array, height: Array) -> Array:
    """How far walls' inside faces stand beyond their scores at heights (r, k), mm."""
    radius, lift = rolls.radius[:, None], rolls.lift
    start = -0.5 * (rolls.flat * angle)[:, None]
    sin, cos = np.sin(angle)[:, None], np.cos(angle)[:, None]
    end = lift - radius * cos
    below = np.clip(lift - height, 0.0, radius)
    face = start + radius * sin + (height - end) * cos / sin
    found: Array = np.where(height >= end, face, start + np.sqrt(radius**2 - below**2))
    return found


@dataclass(frozen=True, eq=False)
class _Turns:
    """How each crease at its angle carries what lies beyond it: turned, then shifted; (r, c)."""

    sin: Array
    cos: Array
    level: Array
    """Shift along the outward direction, mm."""
    height: Array
    """Shift upwards, mm."""

    def carry(self, k: int, x: Array, z: Array) -> tuple[Array, Array]:
        """Points (r, n) beyond crease k in the place of the panel before it."""
        sin, cos = self.sin[:, k, None], self.cos[:, k, None]
        return (
            cos * x - sin * z + self.level[:, k, None],
            sin * x + cos * z + self.height[:, k, None],
        )


def _turns(rolls: Rolls, angles: Array) -> _Turns:
    sin, cos = np.sin(angles), np.cos(angles)
    half = 0.5 * angles * rolls.flat[:, None]
    return _Turns(sin, cos, *bend_shift(rolls.scores, half, rolls.lift, sin, cos))


def flap_misses(rolls: Rolls, angles: Array, free: list[int]) -> tuple[Array, Array]:
    """How far both ends of flaps are from lying flat, (r, 2) mm, and the slopes (r, 2, k) of that.

    The slopes are mm for each radian of the free creases. A flap's near end is half a bend beyond
    its score, so it moves along the flap as that crease turns.
    """
    turns, grow, lift = _turns(rolls, angles), 0.5 * rolls.flat[:, None], rolls.lift
    near = rolls.scores[:, FLAP] + grow[:, 0] * angles[:, FLAP]
    x, z = np.stack([near, rolls.tip], axis=1), np.zeros((len(angles), 2))
    before = np.zeros_like(angles)
    np.cumsum(angles[:, :-1], axis=1, out=before[:, 1:])
    out, up = np.sin(before), np.cos(before)
    slopes = np.zeros((len(angles), 2, angles.shape[1]))
    beyond = rolls.scores + grow * angles
    level_slope = turns.sin * beyond - grow - turns.cos * grow + turns.cos * lift
    height_slope = turns.sin * lift - turns.sin * grow - turns.cos * beyond
    for k in reversed(range(angles.shape[1])):
        if k in free:
            sin, cos = turns.sin[:, k, None], turns.cos[:, k, None]
            slopes[:, :, k] = out[:, k, None] * (level_slope[:, k, None] - sin * x - cos * z) + up[
                :, k, None
            ] * (height_slope[:, k, None] + cos * x - sin * z)
        x, z = turns.carry(k, x, z)
    slopes[:, 0, FLAP] += grow[:, 0] * np.sin(before[:, FLAP] + angles[:, FLAP])
    return z - (rolls.caliper + rolls.joint)[:, None], slopes[:, :, free]
