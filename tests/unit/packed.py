"""Poses and places to pack with."""

import itertools

from fitcheck.kinds.poses import Disc, Pose, Rectangle
from fitcheck.packing.placing import Placement

WORK = 0.5


def block(*size: float) -> tuple[Pose, ...]:
    """Every right-angled pose of a block."""
    return tuple(
        Pose("x".join(f"{part:g}" for part in order), *order)
        for order in sorted(set(itertools.permutations(size)))
    )


def flat(w: float, l: float, h: float, radius: float = 0.0) -> tuple[Pose, ...]:  # noqa: E741
    plan = Rectangle(radius)
    return (Pose("flat", w, l, h, plan), Pose("flat, turned 90", l, w, h, plan))


def disc(d: float, h: float) -> tuple[Pose, ...]:
    return (Pose("flat", d, d, h, Disc()),)


def put(pose: Pose, x: float, y: float, z: float = 0.0, turn: float = 0.0) -> Placement:
    return Placement("it", pose, x, y, z, turn)
