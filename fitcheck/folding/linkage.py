"""Parallel creases cut across: they carry their panels as a linkage in the plane.

The creases of a chain are columns, from what the last panel is laid on to that panel; the chains of
all boxes are rows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import NamedTuple

import numpy as np

from fitcheck.folding.lines import Layout
from fitcheck.folding.pose import Array, Flags, Rows, bend_shift
from fitcheck.pattern.bonds import Bond, Face
from fitcheck.pattern.joints import Joint
from fitcheck.pattern.pattern import Pattern

WALL, FLAP = 0, -1


@dataclass(frozen=True, eq=False)
class Chains:
    """Chains cut across, lengths in mm along the first crease's direction from the root's middle.

    What is flat there is as it lies on the sheet; the panel that the chain begins on stays.
    """

    scores: Array
    """(r, c) the creases of each, that of the first wall first and the flap's last."""
    targets: Array
    """(r, c) rad, what the pattern asks for."""
    signs: Array
    """(r, c) -1 for folds towards the outside face, else 1."""
    tip: Array
    """(r,) the last panel's free edge."""
    foot_height: Array
    """(r,) height of the panel that ends at the last one."""
    face: Array
    """(r,) how high above its own outside face the last panel is glued, 0 or its caliper."""
    rest: Array
    """(r,) where that face comes to lie, above the outside face of what it is laid on."""
    radius: Array
    """(r, c)"""
    caliper: Array
    """(r,)"""
    flat: Array
    """(r, c) flat length that a fold uses up for each radian."""
    lift: Array
    """(r, c) how high above the panel before it the axis of each bend is."""

    def take(self, rows: Rows | Flags) -> Chains:
        """Some of them."""
        return replace(self, **{one.name: getattr(self, one.name)[rows] for one in fields(self)})


def chain_of(pattern: Pattern, bond: Bond) -> tuple[str, ...]:
    """The panels that a chain leads through, the first wall first and the flap last."""
    return tuple(crossing.into for crossing in pattern.path(bond.onto, bond.panel))


def columns_of(layout: Layout, bond: Bond) -> Rows:
    """(c,) the creases of a chain."""
    path = layout.pattern.path(bond.onto, bond.panel)
    return np.array([layout.tree.crease[crossing.line.child] for crossing in path], dtype=np.intp)


def chains_of(layout: Layout, bonds: Sequence[Bond], joint_mm: Array) -> Chains:
    """The chains that some bonds close, box by box; they have the same number of creases."""
    paths = [layout.pattern.path(bond.onto, bond.panel) for bond in bonds]
    chains = [[bond.onto, *chain_of(layout.pattern, bond)] for bond in bonds]
    columns = np.stack([columns_of(layout, bond) for bond in bonds])
    outwards = np.array([[1.0 if crossing.outwards else -1.0 for crossing in p] for p in paths])
    own = layout.outwards[:, columns]
    if (outwards < 0.0).any():
        own = own * outwards[..., None]
    outward = own[:, :, WALL]
    across = np.abs((own * outward[:, :, None]).sum(axis=-1) - 1.0)
    assert across.max() < 1e-9, "the creases of a chain are parallel"

    def reach(panels: list[str]) -> tuple[Array, Array]:
        rows = [layout.outline(name) for name in panels]
        along = [np.einsum("bni,bi->bn", own, outward[:, k]) for k, own in enumerate(rows)]
        return (
            np.stack([own.min(axis=1) for own in along], axis=1).reshape(-1),
            np.stack([own.max(axis=1) for own in along], axis=1).reshape(-1),
        )

    foot = reach([chain[-2] for chain in chains])
    count, width = len(bonds), columns.shape[1]
    caliper = layout.creases.caliper_mm.repeat(count)
    within = np.tile([bond.side is Face.INSIDE for bond in bonds], layout.boxes)
    upper = np.tile([bond.face is Face.INSIDE for bond in bonds], layout.boxes)
    gaps = [bond.gap_mm(layout.creases.caliper_mm, joint_mm) for bond in bonds]
    gap = np.stack(gaps, axis=1).reshape(-1)
    return Chains(
        scores=np.einsum("bjci,bji->bjc", layout.origins[:, columns], outward).reshape(-1, width),
        targets=np.tile(layout.targets_rad[columns], (layout.boxes, 1)),
        signs=np.tile(layout.signs[columns], (layout.boxes, 1)),
        tip=reach([chain[-1] for chain in chains])[1],
        foot_height=foot[1] - foot[0],
        face=np.where(upper, caliper, 0.0),
        rest=np.where(within, caliper + gap, -gap),
        radius=layout.creases.radius_mm[:, columns].reshape(-1, width),
        caliper=caliper,
        flat=layout.creases.flat_mm_per_rad[:, columns].reshape(-1, width),
        lift=layout.lifts[:, columns].reshape(-1, width),
    )


def joint_of(pattern: Pattern, bond: Bond) -> Joint:
    """What a bond makes; KeyError if it is none of the pattern's."""
    for joint in pattern.joints:
        if joint.bond == bond:
            return joint
    raise KeyError(bond)


def tip_gaps(chains: Chains, angles: Array) -> Array:
    """How far lying flaps' tips are from the outer walls' inside faces or their feet's rounds, mm.

    (r,); negative where a tip would stand in the wall. Level, at the nearer of the tip's edges.
    """
    x, z = np.repeat(chains.tip[:, None], 2, axis=1), np.zeros((len(angles), 2))
    z[:, 1] = chains.caliper
    x, z = carried(chains, angles, x, z)
    gaps = _inside_faces(chains, angles[:, WALL], z) - (x - chains.scores[:, :1])
    least: Array = gaps.min(axis=1)
    return least


def carried(chains: Chains, angles: Array, x: Array, z: Array) -> tuple[Array, Array]:
    """Points (r, k) of flaps, along and above their own place on the sheet, as they stand, mm."""
    turns, points = _turns(chains, angles), np.array([x.T, z.T])
    for k in reversed(range(angles.shape[1])):
        points = turns.carry(k, points)
    return points[0].T, points[1].T


def _inside_faces(chains: Chains, angle: Array, height: Array) -> Array:
    """How far walls' inside faces stand beyond their scores at heights (r, k), mm."""
    radius, lift = chains.radius[:, :1], chains.lift[:, :1]
    start = -0.5 * (chains.flat[:, WALL] * angle)[:, None]
    sin, cos = np.sin(angle)[:, None], np.cos(angle)[:, None]
    end = lift - radius * cos
    below = np.clip(lift - height, 0.0, radius)
    face = start + radius * sin + (height - end) * cos / sin
    found: Array = np.where(height >= end, face, start + np.sqrt(radius**2 - below**2))
    return found


@dataclass(frozen=True, eq=False)
class _Turns:
    """How each crease at its angle carries what lies beyond it: turned, then shifted.

    Creases first and rows last, so that arithmetic runs along the rows.
    """

    sin: Array
    """(c, 1, r)"""
    cos: Array
    along: Array
    """(2, c, 1, r) where a step along the panel beyond leads, along and above the one before it."""
    above: Array
    """(2, c, 1, r) the same of a step above it."""
    shift: Array
    """(2, c, 1, r) mm."""

    def carry(self, k: int, points: Array) -> Array:
        """Points (2, n, r) beyond crease k in the place of the panel before it."""
        x, z = points
        found: Array = self.along[:, k] * x + self.above[:, k] * z + self.shift[:, k]
        return found


def _turns(chains: Chains, angles: Array) -> _Turns:
    angles, flat, scores, lift = (
        _creases_first(own) for own in (angles, chains.flat, chains.scores, chains.lift)
    )
    sin, cos = np.sin(angles), np.cos(angles)
    shift = bend_shift(scores, 0.5 * np.abs(angles) * flat, lift, sin, cos)
    return _Turns(sin, cos, np.array([cos, sin]), np.array([-sin, cos]), np.array(shift))


def _creases_first(own: Array) -> Array:
    """What is told of the creases of chains (r, c), as (c, 1, r)."""
    return own.T[:, None]


class Moved(NamedTuple):
    """Points (r, n) of last panels as they stand, and how they move, mm for each radian."""

    x: Array
    z: Array
    x_slopes: Array
    """(r, n, c)"""
    z_slopes: Array


def moved(chains: Chains, angles: Array, x: Array, z: Array, free: Sequence[int]) -> Moved:
    """Points (r, n) of last panels, as `carried`, with their slopes by the free creases.

    A slope by a crease is what the points beyond it, where they stand before it carries them, gain
    in its place, turned by all creases before it.
    """
    turns, creases = _turns(chains, angles), angles.shape[1]
    at, points = np.empty((creases, 2, *x.T.shape)), np.array([x.T, z.T])
    for k in reversed(range(creases)):
        at[k] = points
        points = turns.carry(k, points)
    rate = 0.5 * chains.flat * chains.signs
    beyond = chains.scores + 0.5 * chains.flat * np.abs(angles)
    rate, lift, beyond = (_creases_first(own) for own in (rate, chains.lift, beyond))
    before = np.zeros((creases, 1, len(angles)))
    for k, angle in enumerate(angles.T[:-1]):
        before[k + 1] = before[k] + angle
    sin, cos, x, z = turns.sin, turns.cos, at[:, 0], at[:, 1]
    level = sin * beyond - rate - cos * rate + cos * lift - sin * x - cos * z
    height = sin * lift - sin * rate - cos * beyond + cos * x - sin * z
    out, up = np.sin(before), np.cos(before)
    slopes = np.empty((2, *points.shape[:0:-1], creases))
    slopes[0] = (up * level - out * height).T
    slopes[1] = (out * level + up * height).T
    slopes[..., [k for k in range(creases) if k not in free]] = 0.0
    return Moved(*np.ascontiguousarray(points.transpose(0, 2, 1)), *slopes)


def flap_misses(chains: Chains, angles: Array, free: list[int]) -> tuple[Array, Array]:
    """How far both ends of flaps are from where they are held, (r, 2) mm, and its slopes (r, 2, k).

    The slopes are mm for each radian of the free creases. A flap's near end is half a bend beyond
    its score, so it moves along the flap as that crease turns.
    """
    grow = 0.5 * chains.flat[:, FLAP]
    near = chains.scores[:, FLAP] + grow * np.abs(angles[:, FLAP])
    x, z = np.array([near, chains.tip]).T, np.array([chains.face, chains.face]).T
    found = moved(chains, angles, x, z, free)
    slopes = found.z_slopes
    slopes[:, 0, FLAP] += grow * chains.signs[:, FLAP] * np.sin(angles.sum(axis=1))
    return found.z - chains.rest[:, None], slopes[:, :, free]


@dataclass(frozen=True, eq=False)
class Fillets:
    """Points as they stand beside the round between what a chain begins on and its first wall.

    Seen from the round's axis, on the side of the fold: (r, n), with slopes (r, n, c).
    """

    level: Array
    height: Array
    level_slopes: Array
    height_slopes: Array
    radius: Array
    """(r, 1) of the face that points come to touch."""
    sign: Array
    """(r, 1)"""

    @classmethod
    def of(cls, chains: Chains, angles: Array, at: Moved) -> Fillets:
        """Points of the last panels that have been moved."""
        rate = 0.5 * chains.flat[:, WALL] * chains.signs[:, WALL]
        middle = chains.scores[:, WALL] - rate * angles[:, WALL]
        level_slopes = at.x_slopes.copy()
        level_slopes[:, :, WALL] += rate[:, None]
        return cls(
            at.x - middle[:, None],
            at.z - chains.lift[:, :1],
            level_slopes,
            at.z_slopes,
            chains.radius[:, :1],
            chains.signs[:, :1],
        )

    def round_gaps(self) -> tuple[Array, Array]:
        """How far the points are from the round, and the slopes of that."""
        far = np.hypot(self.level, self.height)
        with np.errstate(invalid="ignore", divide="ignore"):
            u, v = self.level / far, self.height / far
        slopes = u[..., None] * self.level_slopes + v[..., None] * self.height_slopes
        return self.radius - far, -slopes

    def below_gaps(self) -> tuple[Array, Array]:
        """How far the points are from the face that the chain begins on, and the slopes of that."""
        gaps = self.radius + self.sign * self.height
        return gaps, self.sign[..., None] * self.height_slopes

    def wall_gaps(self, foot_rad: Array) -> tuple[Array, Array]:
        """How far the points are from the first wall's face, and the slopes of that."""
        sin, cos = np.sin(foot_rad)[:, None], np.cos(foot_rad)[:, None]
        out = self.sign * (sin * self.level - cos * self.height)
        slopes = self.sign[..., None] * (
            sin[..., None] * self.level_slopes - cos[..., None] * self.height_slopes
        )
        slopes[:, :, WALL] += self.sign * (cos * self.level + sin * self.height)
        return self.radius - out, -slopes
