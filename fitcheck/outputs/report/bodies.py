"""Contents as closed triangle meshes in the place and pose in which they were put in."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fitcheck.fit.check import Check
from fitcheck.fit.outline import plan_outline
from fitcheck.fit.stood import rises_mm, stood_in
from fitcheck.folding.pose import Array
from fitcheck.kinds.poses import Disc, Pose, Shape
from fitcheck.packing.placing import Placement

ROUND = 96
"""Sides of a round that is drawn as one: its outline turns by less than four degrees a side."""
BALL = 32
"""Sides of a ball's rings: hundreds of balls may be in one picture."""
RING = 12


@dataclass(frozen=True, eq=False)
class Body:
    """One content in its place."""

    item: str
    vertices: Array
    """(n, 3) mm."""
    faces: tuple[tuple[int, ...], ...]
    """Flat convex faces, counter-clockwise from outside."""
    smooth: bool
    """True where the edges between faces are not edges of the real thing."""


def bodies_of(check: Check) -> tuple[Body, ...]:
    """All contents that were placed, in each compartment where there are some.

    A mesh file is shown as the box that it was packed as.
    """
    room, floor = check.cavity.room, check.assembly.base.folded.caliper_mm
    (rise,) = rises_mm(stood_in(check.assembly), [[part.folded for part in check.assembly.parts]])
    corner = np.array([-0.5 * room.width_mm, -0.5 * room.length_mm, floor + rise])
    rooms = check.compartments
    middles = [(0.0, 0.0)] if rooms is None else rooms.middles()
    return tuple(
        _body(place, corner + np.array([*middle, 0.0]))
        for middle in middles
        for fit in check.contents
        for place in fit.placements
    )


def _body(place: Placement, corner: Array) -> Body:
    turn = math.radians(place.turn_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    spin = np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]])
    vertices, faces, smooth = _shape(place.pose)
    at = corner + np.array([place.x_mm, place.y_mm, place.z_mm])
    return Body(place.item, vertices @ spin.T + at, faces, smooth)


Shaped = tuple[Array, tuple[tuple[int, ...], ...], bool]


def _shape(pose: Pose) -> Shaped:
    """A pose standing on z = 0 about the origin."""
    if pose.shape is Shape.BALL:
        return _ball(0.5 * pose.width_mm)
    if pose.shape in (Shape.ALONG_WIDTH, Shape.ALONG_LENGTH):
        lying, along = (
            (pose.width_mm, (2, 0, 1))
            if pose.shape is Shape.ALONG_WIDTH
            else (pose.length_mm, (1, 2, 0))
        )
        vertices, faces, _ = _prism(_circle(0.5 * pose.height_mm), lying)
        vertices = vertices[:, along] - _middle(lying, along)
        return vertices + np.array([0.0, 0.0, 0.5 * pose.height_mm]), faces, True
    plan = _circle(0.5 * pose.width_mm) if isinstance(pose.footprint, Disc) else plan_outline(pose)
    return _prism(_thinned(plan), pose.height_mm)


def _middle(lying: float, along: tuple[int, int, int]) -> Array:
    """Half the length of a lying cylinder, along the direction that its axis was turned to."""
    half: Array = np.array([0.0, 0.0, 0.5 * lying])[list(along)]
    return half


def _prism(plan: Array, height: float) -> Shaped:
    count = len(plan)
    vertices = np.zeros((2 * count, 3))
    vertices[:count, :2] = vertices[count:, :2] = plan
    vertices[count:, 2] = height
    sides = [(i, (i + 1) % count, (i + 1) % count + count, i + count) for i in range(count)]
    ends = [tuple(range(count - 1, -1, -1)), tuple(range(count, 2 * count))]
    return vertices, (*sides, *ends), count > 12


def _circle(radius: float) -> Array:
    at = np.linspace(0.0, 2.0 * np.pi, ROUND, endpoint=False)
    points: Array = radius * np.column_stack([np.cos(at), np.sin(at)])
    return points


def _thinned(plan: Array) -> Array:
    """A rounded plan with no more corners than the eye needs."""
    most = 4 * 8
    if len(plan) <= most:
        return plan
    step = len(plan) / most
    kept: Array = plan[np.unique((np.arange(most) * step).astype(int))]
    return kept


def _ball(radius: float) -> Shaped:
    rings = np.linspace(0.0, np.pi, RING + 1)[1:-1]
    turn = np.linspace(0.0, 2.0 * np.pi, BALL, endpoint=False)
    ring = np.column_stack([np.cos(turn), np.sin(turn)])
    middle = [np.column_stack([math.sin(p) * ring, np.full(BALL, -math.cos(p))]) for p in rings]
    vertices = np.vstack([[[0.0, 0.0, -1.0]], *middle, [[0.0, 0.0, 1.0]]])
    last = len(vertices) - 1
    faces: list[tuple[int, ...]] = []
    for j in range(BALL):
        k = (j + 1) % BALL
        faces.append((0, 1 + k, 1 + j))
        for i in range(len(rings) - 1):
            low, high = 1 + i * BALL, 1 + (i + 1) * BALL
            faces.append((low + j, low + k, high + k, high + j))
        top = last - BALL
        faces.append((top + j, top + k, last))
    return radius * (vertices + np.array([0.0, 0.0, 1.0])), tuple(faces), True
