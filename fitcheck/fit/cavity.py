"""The inside of a base as contents meet it: the base itself, and the plain rooms it stands for."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.outline import placed_body
from fitcheck.fit.passage import Body, Passage, passage
from fitcheck.fit.remembered import MEMORY
from fitcheck.fit.walls import Walls
from fitcheck.fit.way_in import room_sides
from fitcheck.folding.pose import Array
from fitcheck.packing.arrange import Rooms
from fitcheck.packing.placing import Placement, extents
from fitcheck.packing.room import Room

SAME_MM = 1e-6
"""Rooms whose sides differ by less are one."""


@dataclass(frozen=True, eq=False)
class Cavity:
    """The inside of a base as contents meet it."""

    base: Walls
    """The base with what stands in it."""
    room: Room
    """Clear for square-edged bodies on the floor, from tab to tab. The corner of this room, which
    is centred over the middle of the floor, is the origin of all placements."""
    between: Room
    """From wall to wall on the floor, the tabs in its corners left out: no upright prism on the
    floor is larger."""
    widest: Room
    """From wall to wall where they stand furthest apart: nothing reaches beyond it."""
    rim_mm: float
    """Height of the rim above the floor's inside face."""
    lidded: bool
    bare: bool = True
    """Whether nothing but a base's own rim is round the contents: no ring, strips or window, and
    no lid that hangs at a wall or is tucked in."""
    tucked: bool = False
    """Whether they are in a carton, whose lid is tucked in over its whole end."""

    @property
    def ceiling_mm(self) -> float:
        """The lid's height above the floor's inside face, or the rim's where there is no lid."""
        return self.room.height_mm if self.lidded else self.rim_mm

    @property
    def hollow(self) -> bool:
        """True where the walls are rolled into a frame."""
        return self.base.hollow

    @property
    def rooms(self) -> Rooms:
        """The plain rooms in which arrangements are looked for, from tab to tab first, then from
        tab to tab one way and from wall to wall the other, then from wall to wall."""
        clear, between = self.room, self.between
        mixed = [
            replace(clear, width_mm=width, length_mm=length)
            for width, length in itertools.product(
                (clear.width_mm, between.width_mm), (clear.length_mm, between.length_mm)
            )
        ]
        kept: list[Room] = []
        for room in (*mixed, self.widest):
            if not any(_same(room, other) for other in kept):
                kept.append(room)
        return Rooms(self.widest, tuple(kept))

    def passage(self, placements: Sequence[Placement]) -> Passage:
        """The exact way in of everything together; placements in the clear room's frame."""
        corner = np.array(
            [-0.5 * self.room.width_mm, -0.5 * self.room.length_mm, self.base.caliper_mm]
        )
        return passage(self.base, _bodies(placements, corner))

    def accept(self, placements: Sequence[Placement], room: Room) -> tuple[Placement, ...] | None:
        """An arrangement of one of the plain rooms, shifted to where the base lets it in."""
        placed = self.in_clear_room(placements, room)
        found = self.passage(placed)
        return shifted(placed, *found.shift) if found.free else None

    def in_clear_room(self, placements: Sequence[Placement], room: Room) -> tuple[Placement, ...]:
        """Placements of another room centred like this one, centred themselves."""
        boxes = np.array([extents(place) for place in placements])
        middle = 0.5 * (boxes[:, :2].min(axis=0) + boxes[:, 2:].max(axis=0))
        return shifted(
            placements,
            0.5 * self.room.width_mm - float(middle[0]),
            0.5 * self.room.length_mm - float(middle[1]),
        )


def cavity_of(
    base: Walls,
    inside_mm: tuple[float, float],
    depth_mm: float,
    lid_mm: float | None,
    *,
    bare: bool = True,
    tucked: bool = False,
) -> Cavity:
    """The cavity of a base; `lid_mm` is the height of the lid above the floor's inside face.

    Where what stands in the base comes to its rim or to what closes it, nothing is left: a hair.
    """
    depth_mm = max(depth_mm, TOUCH_MM)
    lid_mm = None if lid_mm is None else max(lid_mm, TOUCH_MM)
    known = cavity_of, base, inside_mm, depth_mm, lid_mm, bare, tucked
    return MEMORY.of(
        known,
        lambda: replace(_cavity(base, inside_mm, depth_mm, lid_mm), bare=bare, tucked=tucked),
    )


def _cavity(
    base: Walls, inside_mm: tuple[float, float], depth_mm: float, lid_mm: float | None
) -> Cavity:
    height = math.inf if lid_mm is None else lid_mm
    rim = depth_mm if lid_mm is None else math.inf

    def room(sides: tuple[float, float]) -> Room:
        # above the rim there are no walls; what stands there is no wider than they are apart
        within = (
            own if math.isfinite(own) else most for own, most in zip(sides, inside_mm, strict=True)
        )
        width, length = (max(own, TOUCH_MM) for own in within)
        return Room(width, length, height, rim)

    clear, between, widest = room_sides(base, inside_mm)
    return Cavity(base, room(clear), room(between), room(widest), depth_mm, lid_mm is not None)


def _same(one: Room, other: Room) -> bool:
    width, length = one.width_mm - other.width_mm, one.length_mm - other.length_mm
    return max(abs(width), abs(length)) < SAME_MM


def shifted(placements: Sequence[Placement], dx: float, dy: float) -> tuple[Placement, ...]:
    """Placements moved sideways, mm."""
    return tuple(replace(p, x_mm=p.x_mm + dx, y_mm=p.y_mm + dy) for p in placements)


def _bodies(placements: Sequence[Placement], corner: Array) -> list[Body]:
    """The bodies that meet the base; of a pile of alike ones the lowest sweeps all the others."""
    lowest: dict[object, Placement] = {}
    for place in sorted(placements, key=lambda p: p.z_mm):
        pose = place.pose
        plan = (pose.footprint, pose.shape, pose.width_mm, pose.length_mm)
        lowest.setdefault((plan, place.x_mm, place.y_mm, place.turn_deg), place)
    return [placed_body(place, corner) for place in lowest.values()]
