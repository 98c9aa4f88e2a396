"""A kind of another package, called through one guard, the poses of each item looked at once."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any

from fitcheck.kinds.kind import Item, Kind, Lay, Problem, Standing
from fitcheck.kinds.poses import Disc, Polygon, Pose
from fitcheck.workspace.outside import Outside, is_number

NAMED = ("name", "summary", "sizes", "sides", "solid", "keys", "sized")
"""What a kind names beside its code."""
NO_POSE = "read none; allowed: one pose or more"
SAME_MM, SAME_SHARE = 0.01, 1e-6
"""Sizes are alike that differ by no more, or by no larger share."""
Point = tuple[float, float]


class Guarded(Kind):
    """The kind with everything that it gives looked at; beside that it is what it was."""

    def __init__(self, own: Kind, who: str) -> None:
        self._own, self._outside = own, Outside(who)
        for key in NAMED:
            setattr(self, key, getattr(own, key))

    def upright(self, item: Item, up: int, word: str) -> tuple[Pose, ...]:
        """Its poses with one of its three dimensions upright."""
        return self._outside.made_all(
            f"stand {item.name} up", lambda: self._own.upright(item, up, word), Pose
        )

    def printed(self, item: Item) -> Pose:
        """As its stand-in is printed best."""
        return self._outside.made(
            f"lay {item.name} out for printing", lambda: self._own.printed(item), Pose
        )

    def key_problems(self, table: Any, *, own: bool) -> Iterator[Problem]:
        """What is wrong with the keys that only it has."""
        doing = "say what is wrong with an item's keys"
        find = partial(self._own.key_problems, table, own=own)
        for words in self._outside.told(doing, find, least=3, most=3):
            wrong, allowed, cure = words
            yield wrong, allowed, cure

    def item(self, common: Mapping[str, Any], table: Any, at: Standing) -> Item:
        """The item that a sound table says, once all its poses have been looked at."""
        doing = f"read the item {common['name']}"
        item = self._outside.made(doing, lambda: self._own.item(common, table, at), Item)
        sizes = self.extents(item)
        for up, side in enumerate(("width", "length", "height")):
            doing = f"stand {item.name} up on its {side}"
            poses = self._outside.made_all(doing, partial(self._own.upright, item, up, ""), Pose)
            if not poses:
                self._outside.fails(doing, NO_POSE)
            for pose in poses:
                self._look_at(doing, pose, sizes, up)
        self._look_at(f"lay {item.name} out for printing", self.printed(item), sizes)
        return item

    def extents(self, item: Item) -> tuple[float, float, float]:
        """Its width, length and height, mm."""
        doing = f"say how large {item.name} is"
        found = self._outside.call(doing, lambda: tuple(map(float, self._own.extents(item))))
        if len(found) != 3 or not all(0.0 < size < math.inf for size in found):
            self._outside.fails(doing, f"read {_sizes(found)}; allowed: three lengths above 0")
        first, second, third = found
        return first, second, third

    def lays(self, item: Item, lay: Lay, like: Item) -> tuple[Pose, ...]:
        """Every upright pose that a lay allows."""
        doing = f"lay {item.name} {lay.value}"
        found = self._outside.made_all(doing, lambda: self._own.lays(item, lay, like), Pose)
        if not found:
            self._outside.fails(doing, NO_POSE)
        return found

    def size_text(self, item: Item) -> str:
        """Its sizes as they are engraved."""
        return self._outside.made(
            f"write the sizes of {item.name}", lambda: self._own.size_text(item), str
        )

    def _look_at(
        self, doing: str, pose: Pose, sizes: tuple[float, ...], up: int | None = None
    ) -> None:
        """Refuse a pose of other sizes than the item's, or with a plan that is not its own."""
        self._outside.measured(doing, pose)
        own = pose.width_mm, pose.length_mm, pose.height_mm
        if not all(map(_alike, sorted(own), sorted(sizes))) or min(own) <= 0.0:
            self._outside.fails(
                doing,
                f"read a pose of {_sizes(own)}; allowed: the sides {_sizes(sizes)} in any order",
            )
        if up is not None and not _alike(pose.height_mm, sizes[up]):
            self._outside.fails(
                doing, f"read a pose {pose.height_mm:g} mm high; allowed: {sizes[up]:g} mm"
            )
        wrong = _fault_of_plan(pose)
        if wrong:
            self._outside.fails(doing, wrong)


def _sizes(sizes: tuple[float, ...]) -> str:
    return " x ".join(f"{size:g}" for size in sizes) + " mm"


def _alike(one: float, other: float) -> bool:
    return abs(one - other) <= max(SAME_MM, SAME_SHARE * abs(other))


def _fault_of_plan(pose: Pose) -> str:
    """What keeps a pose's plan from being its own and what is allowed; empty where nothing does."""
    wide, long, plan = pose.width_mm, pose.length_mm, pose.footprint
    if isinstance(plan, Disc):
        round_ = _alike(wide, long)
        return (
            ""
            if round_
            else f"read a round plan of {wide:g} x {long:g} mm; allowed: as wide as long"
        )
    if not isinstance(plan, Polygon):
        radius, most = plan.corner_radius_mm, 0.5 * min(wide, long)
        fits = -SAME_MM <= radius <= most + SAME_MM
        return "" if fits else f"read corners of {radius:g} mm; allowed: from 0 to {most:g} mm"
    return _fault_of_corners(plan.points) or _fault_of_extents(plan.points, wide, long)


def _fault_of_corners(points: tuple[Point, ...]) -> str:
    """The same of its corners."""
    if len(points) < 3:
        return f"read a plan of {len(points)} corners; allowed: three or more"
    if not all(len(point) == 2 and all(map(is_number, point)) for point in points):
        return "read a plan with a corner that is no place; allowed: pairs of finite numbers"
    if not _convex(points):
        return "read a plan with a corner inwards; allowed: a convex one, counter-clockwise"
    return ""


def _fault_of_extents(points: tuple[Point, ...], wide: float, long: float) -> str:
    """The same of how far they reach."""
    for across, size, values in zip(
        ("wide", "long"), (wide, long), zip(*points, strict=True), strict=True
    ):
        low, high = min(values), max(values)
        if not (_alike(high, 0.5 * size) and _alike(-low, 0.5 * size)):
            return (
                f"read a plan from {low:g} to {high:g} mm where the pose is {size:g} mm {across}; "
                f"allowed: from {-0.5 * size:g} to {0.5 * size:g} mm"
            )
    return ""


def _convex(points: tuple[Point, ...]) -> bool:
    """Whether corners run once round a convex polygon, counter-clockwise.

    >>> square = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
    >>> _convex(square), _convex(square[::-1]), _convex((*square[:2], square[3], square[2]))
    (True, False, False)
    """
    turned = 0.0
    edges = [
        (stop[0] - start[0], stop[1] - start[1])
        for start, stop in zip(points, points[1:] + points[:1], strict=True)
    ]
    for one, other in zip(edges, edges[1:] + edges[:1], strict=True):
        cross, dot = one[0] * other[1] - one[1] * other[0], one[0] * other[0] + one[1] * other[1]
        turn = math.atan2(cross, dot)
        if turn < -SAME_SHARE:
            return False
        turned += turn
    return abs(turned - math.tau) < 1.0
