"""Discs in opposite corners of boxes that came out narrower: whether both go in, by Pythagoras.

Two discs go into a rectangle when their middles can be as far apart as both radii: they can be
apart by the width less both radii and by the length less both radii. A bar along a wall takes its
own width from the room.
"""

from __future__ import annotations

import numpy as np
import pytest

from fitcheck.folding.pose import Array
from fitcheck.kinds.poses import Disc, Pose
from fitcheck.odds.bodies import Body
from fitcheck.odds.content_readings import Face
from fitcheck.odds.stands import Drawn, Stands
from fitcheck.packing.placing import Placement

WALLS = np.array([[-20.0, -20.0], [20.0, 20.0]])
"""As designed: side, axis."""
AWAY = np.array([19.0, 17.0])
"""From the small disc's middle to the large one's as designed."""
APART = 6.0 + 10.0
BAR = 4.0


def disc(diameter: float, at: Array) -> Body:
    pose = Pose("flat", diameter, diameter, 5.0, Disc())
    return Body(0, 0, Placement("disc", pose, *at.tolist(), 0.0), (0, 0, 1))


def bar(along: int) -> Body:
    """A bar the whole length or width of the box, at the low side of the other axis."""
    size, at = [BAR, 40.0], [-20.0 + 0.5 * BAR, 0.0]
    if along == 0:
        size, at = [40.0, BAR], [0.0, -20.0 + 0.5 * BAR]
    return Body(1, 0, Placement("bar", Pose("flat", *size, 5.0), *at, 0.0), (0, 1, 2))


def stands_of(bodies: list[Body]) -> Stands:
    faces = tuple(
        tuple(
            tuple(Face(f"{side} {axis}", 0.0, 1.0, float(WALLS[side, axis])) for _ in bodies)
            for axis in (0, 1)
        )
        for side in (0, 1)
    )
    alone = tuple((index,) for index in range(len(bodies)))
    return Stands(tuple(bodies), alone, faces, (False,))


def room_in(bodies: list[Body], sides: Array) -> Array:
    """The least room in boxes whose sides (2, m) are given, the low walls off by a little each."""
    low = WALLS[0][:, None] + np.array([[0.3], [-0.2]])
    stands = stands_of(bodies)
    sizes = np.repeat(stands.designed, sides.shape[1], axis=2)
    for body, one in enumerate(bodies):
        if not one.round:
            # a bar is as long as the box that it lies in
            along = int(np.argmax(one.size[:2]))
            sizes[body, along] = sides[along]
    least = {f"0 {axis}": np.full(sides.shape[1], low[axis, 0]) for axis in (0, 1)}
    least |= {f"1 {axis}": low[axis] + sides[axis] for axis in (0, 1)}
    assert stands.free is not None
    found: Array = stands.sideways(stands.free, Drawn(sizes, least)).min(axis=0)
    return found


@pytest.mark.parametrize("swapped", [False, True])
@pytest.mark.parametrize("beside", [None, 0, 1])
def test_discs_in_opposite_corners(swapped: bool, beside: int | None) -> None:
    """Boxes whose sides leave 2 to 20 in 100 more or less than the discs' distance."""
    rng = np.random.default_rng(6)
    more = np.concatenate([rng.uniform(1.02, 1.2, 30), rng.uniform(0.8, 0.98, 30)])
    lean = np.arctan2(AWAY[1], AWAY[0]) + np.radians(rng.uniform(-4.0, 4.0, 60))
    sides = APART + more * APART * np.array([np.cos(lean), np.sin(lean)])
    discs = [disc(12.0, -AWAY / 2), disc(20.0, AWAY / 2)]
    bodies = discs[::-1] if swapped else discs
    if beside is not None:
        bodies = [bar(beside), *bodies]
        sides[1 - beside] += BAR
    assert ((room_in(bodies, sides) >= 0.0) == (more > 1.0)).all()
