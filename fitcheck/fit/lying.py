"""How one content lies best: every lay straight, and turned in plan where that can be felt.

Turns are not taken from a plain room alone: tabs stand in the corners only, so candidates come
from all the rooms that a base stands for and from evenly spread angles, the exact slide judges
each, and the best is drawn out to a hundredth of a degree.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from fitcheck.fit.cavity import Cavity, shifted
from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.content_fit import Slack
from fitcheck.fit.passage import Passage
from fitcheck.kinds.poses import Disc, Pose
from fitcheck.packing.placing import Demand, Placement
from fitcheck.packing.turned_pack import turned_about
from fitcheck.packing.turning import FELT_MM, likely_angles, turn_at, turning_pays

GOLDEN = 0.5 * (5.0**0.5 - 1.0)
WITHIN_DEG = 4.0
EXACT_DEG = 0.01
ALIKE_DIGITS = 6
"""Lays that differ by less than a nanometre are alike, and the first one is taken."""


@dataclass(frozen=True, eq=False)
class Lying:
    """One way to lay a content on the floor, shifted to the middle of its travel."""

    placement: Placement
    passage: Passage
    slack: Slack

    @property
    def sideways_mm(self) -> float:
        """The smaller slack in plan."""
        return min(self.slack.width_mm, self.slack.length_mm)


def lie_best(cavity: Cavity, demand: Demand) -> Lying:
    """The lay and the turn in which one content goes in best, or comes nearest to going in."""
    straight = max(
        (_lie(cavity, demand.item, pose, 0.0) for pose in demand.poses),
        key=lambda one: _merit(one, cavity),
    )
    if straight.sideways_mm >= FELT_MM and _stands(straight, cavity) == (True, True):
        return straight
    turned = [
        _turned_best(cavity, demand.item, pose)
        for pose in _once(demand.poses)
        if not isinstance(pose.footprint, Disc)
    ]
    best = max(turned, key=lambda one: _merit(one, cavity), default=straight)
    if _rank(best, cavity) != _rank(straight, cavity):
        return max(best, straight, key=lambda one: _rank(one, cavity))
    return best if turning_pays(straight.sideways_mm, best.sideways_mm) else straight


def goes_in(lying: Lying, cavity: Cavity) -> bool:
    """Whether it goes in on the whole way and stays below a lid."""
    return lying.passage.free and (not cavity.lidded or lying.slack.height_mm >= -TOUCH_MM)


def _stands(lying: Lying, cavity: Cavity) -> tuple[bool, bool]:
    """Whether it goes in, and whether it does not stand out."""
    return goes_in(lying, cavity), lying.slack.height_mm >= -TOUCH_MM


def _rank(lying: Lying, cavity: Cavity) -> tuple[bool, bool]:
    """Whether it goes in, and then does not stand out: one that does not is as bad as any other."""
    fits, stays = _stands(lying, cavity)
    return fits, fits and stays


def _merit(lying: Lying, cavity: Cavity) -> tuple[bool, bool, float]:
    """Fitting ones first, then those that do not stand out, then the most of the least slack."""
    least = lying.sideways_mm
    if cavity.lidded:
        least = min(least, lying.slack.height_mm)
    return *_rank(lying, cavity), round(least, ALIKE_DIGITS)


def _lie(cavity: Cavity, item: str, pose: Pose, turn_deg: float) -> Lying:
    placed = cavity.in_clear_room([Placement(item, pose, 0.0, 0.0, 0.0, turn_deg)], cavity.room)
    found = cavity.passage(placed)
    (place,) = shifted(placed, *found.shift)
    slack = Slack(*found.play_mm, cavity.ceiling_mm - pose.height_mm)
    return Lying(place, found, slack)


def _once(poses: tuple[Pose, ...]) -> list[Pose]:
    """Poses without those that are another one turned by a quarter."""
    kept: dict[tuple[float, ...], Pose] = {}
    for pose in poses:
        sides = sorted((pose.width_mm, pose.length_mm))
        kept.setdefault((*sides, pose.height_mm), pose)
    return list(kept.values())


def _turned_best(cavity: Cavity, item: str, pose: Pose) -> Lying:
    """The best turn of a pose by the exact slide."""

    def lie(angle: float) -> Lying:
        return _lie(cavity, item, pose, angle)

    widest = cavity.widest
    # nothing is left more than between the walls where they stand furthest apart
    most = {
        angle: turn_at(pose, widest.width_mm, widest.length_mm, angle).least_mm
        for angle in likely_angles(pose, cavity.rooms.tried)
    }
    best_first = sorted(most, key=lambda angle: -most[angle])
    first = lie(best_first[0])
    for angle in best_first[1:]:
        if most[angle] <= first.sideways_mm:
            break
        first = max(first, lie(angle), key=_sideways)
    drawn = _drawn_out(lie, _sideways, first.placement.turn_deg)
    return max(first, drawn, key=_sideways)


def _sideways(lying: Lying) -> float:
    return lying.sideways_mm


def best_turned(cavity: Cavity, placements: Sequence[Placement]) -> tuple[Placement, ...]:
    """A pile or a pack that lies turned in the base, turned on to where the base leaves it most.

    Anything else comes back as it is.
    """
    spots = {(place.x_mm, place.y_mm) for place in placements}
    turns = {place.turn_deg for place in placements}
    if turns == {0.0} or len(spots) > 1 < len(turns):
        return tuple(placements)

    def turned(by: float) -> tuple[Placement, ...]:
        first = placements[0].x_mm, placements[0].y_mm
        moved = turned_about(tuple(placements), first, first, by)
        return cavity.in_clear_room(moved, cavity.room)

    def least(stack: Sequence[Placement]) -> float:
        found = cavity.passage(stack)
        return min(found.play_mm) if found.free else -math.inf

    best = max(_drawn_out(turned, least, 0.0), tuple(placements), key=least)
    return shifted(best, *cavity.passage(best).shift)


T = TypeVar("T")


def _drawn_out(make: Callable[[float], T], worth: Callable[[T], float], angle: float) -> T:
    """The best near an angle in degrees, by golden sections: its worth has one peak there."""
    low, high = angle - WITHIN_DEG, angle + WITHIN_DEG
    inner = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)]
    found = [make(inner[0]), make(inner[1])]
    while high - low > EXACT_DEG:
        if worth(found[0]) >= worth(found[1]):
            high = inner[1]
            inner = [high - GOLDEN * (high - low), inner[0]]
            found = [make(inner[0]), found[0]]
        else:
            low = inner[0]
            inner = [inner[1], low + GOLDEN * (high - low)]
            found = [found[1], make(inner[1])]
    return max(found, key=worth)
