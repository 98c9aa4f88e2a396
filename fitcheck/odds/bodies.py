"""A piece of the contents as a body with sizes of its own: how far it reaches along a direction."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.design.model import Item
from fitcheck.fit.contents import ContentFit
from fitcheck.fit.outline import turned_outline, upright_pieces
from fitcheck.folding.pieces import ConvexPiece, Pieces
from fitcheck.folding.pose import Array, Rows
from fitcheck.kinds.poses import Disc, Polygon, Pose
from fitcheck.packing.placing import Placement
from fitcheck.packing.room import Room

LEAST_SIZE_MM = 0.01
MOST_CORNERS = 12
"""Of an outline, those that may reach furthest when the sizes come out a little otherwise."""
DISC_SIDES = 16
AXES: tuple[Array, Array] = (np.array([1.0, 0.0]), np.array([0.0, 1.0]))

Sides = tuple[int, int, int]
"""Which of an item's sizes a pose has as its width, its length and its height."""


@dataclass(frozen=True, eq=False)
class Body:
    """One piece where it was placed as designed."""

    line: int
    """Which line of the contents it belongs to."""
    piece: int
    """Which one of the line."""
    place: Placement
    """In the box's own frame: the middle of the floor is the origin."""
    sides: Sides

    @property
    def round(self) -> bool:
        """Whether its plan is a disc."""
        return isinstance(self.place.pose.footprint, Disc)

    @property
    def symmetric(self) -> bool:
        """Whether it reaches as far to one side as to the other."""
        return not isinstance(self.place.pose.footprint, Polygon)

    @property
    def middle(self) -> Array:
        """(2,) mm, of its plan."""
        return np.array([self.place.x_mm, self.place.y_mm])

    @property
    def size(self) -> Array:
        """(3,) width, length and height of its pose as designed, mm."""
        pose = self.place.pose
        return np.array([pose.width_mm, pose.length_mm, pose.height_mm])

    @property
    def normals(self) -> tuple[Array, ...]:
        """Unit normals (2,) of its plan's edges that are not along the axes; none for a disc."""
        footprint = self.place.pose.footprint
        if isinstance(footprint, Polygon):
            corners = np.array(footprint.points)
            edges = np.roll(corners, -1, axis=0) - corners
            ways = np.column_stack([edges[:, 1], -edges[:, 0]])
            ways /= np.linalg.norm(ways, axis=1)[:, None]
        elif isinstance(footprint, Disc) or self.place.turn_deg % 90.0 == 0.0:
            return ()
        else:
            ways = np.array(AXES)
        turn = math.radians(self.place.turn_deg)
        spin = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
        return tuple(spin @ way for way in ways)

    def reach(self, direction: Array) -> Array:
        """How far it reaches from its middle along a unit direction (2,), as forms (v, 4).

        Each form is width, length, height and one, the furthest of them counts; the plan keeps
        its corner radius, and an outline is stretched along its pose's sides.
        """
        turn = math.radians(self.place.turn_deg)
        cos, sin = math.cos(turn), math.sin(turn)
        across = cos * direction[0] + sin * direction[1]
        along = cos * direction[1] - sin * direction[0]
        pose = self.place.pose
        if isinstance(pose.footprint, Disc):
            return np.array([[0.5, 0.0, 0.0, 0.0]])
        if isinstance(pose.footprint, Polygon):
            corners = np.array(pose.footprint.points) * [across, along]
            first = np.argsort(-corners.sum(axis=1), kind="stable")[:MOST_CORNERS]
            shares = corners[first] / [pose.width_mm, pose.length_mm]
            return np.column_stack([shares, np.zeros((len(first), 2))])
        rounded = pose.footprint.corner_radius_mm * (1.0 - abs(across) - abs(along))
        return np.array([[0.5 * abs(across), 0.5 * abs(along), 0.0, rounded]])


def directions_among(bodies: Sequence[Body]) -> Callable[[int, int], Sequence[Array]]:
    """Along what a pair may be apart, beside the line of its middles; nothing for two discs."""

    def directions(i: int, j: int) -> Sequence[Array]:
        if bodies[i].round and bodies[j].round:
            return ()
        return (*AXES, *bodies[i].normals, *bodies[j].normals)

    return directions


def reached(forms: Array, sizes: Array) -> Array:
    """The furthest of some forms (v, 4) for boxes whose body has the sizes (3, m), (m,) mm."""
    found: Array = (forms[:, :3] @ sizes + forms[:, 3:]).max(axis=0)
    return found


def sides_of(item: Item, pose: Pose) -> Sides:
    """Which of the item's sizes a pose has as its width, length and height."""
    own = item.kind.sides
    wanted = np.array([pose.width_mm, pose.length_mm, pose.height_mm])
    sizes = np.array([item.size_mm[side] for side in own])

    def off(order: tuple[int, ...]) -> float:
        return float(np.abs(sizes[list(order)] - wanted).max())

    first, second, third = min(itertools.permutations(range(3)), key=off)
    return own[first], own[second], own[third]


def resized(pose: Pose, sides: Sides, size_mm: Sequence[float]) -> Pose:
    """The pose of a piece whose item came out with other sizes: it lies as it was meant to lie."""
    width, length, height = (max(LEAST_SIZE_MM, size_mm[side]) for side in sides)
    footprint = pose.footprint
    if isinstance(footprint, Polygon):
        wide, long = width / pose.width_mm, length / pose.length_mm
        footprint = Polygon(tuple((x * wide, y * long) for x, y in footprint.points))
    return replace(pose, width_mm=width, length_mm=length, height_mm=height, footprint=footprint)


def standing(place: Placement, floor_mm: float) -> ConvexPiece:
    """A placed piece as an upright piece of the box; `floor_mm` is the floor's inside face."""
    return standing_all([place], np.array([floor_mm]), np.zeros(1, dtype=np.intp))[0]


def standing_all(places: Sequence[Placement], floors_mm: Array, boxes: Rows) -> Pieces:
    """Placed pieces as upright pieces of their boxes (n,), which grow, on floors of (n,) mm.

    A disc becomes the regular polygon of 16 sides round it, which meets walls as the disc does
    and is on the safe side at corners: it is read for every input, and fine facets are slow.
    """
    ends = [(place.z_mm, place.top_mm) for place in places]
    return upright_pieces(
        [place.item for place in places],
        [_outline(place) for place in places],
        floors_mm[:, None] + ends,
        np.array([(place.x_mm, place.y_mm) for place in places]),
        boxes,
    )


def _outline(place: Placement) -> Array:
    """The outline of a placed piece about its middle, (n, 2) mm."""
    if not isinstance(place.pose.footprint, Disc):
        return turned_outline(place.pose, place.turn_deg)
    turns = (np.arange(DISC_SIDES) + 0.5) * (2.0 * math.pi / DISC_SIDES)
    corner = 0.5 * place.pose.width_mm / math.cos(math.pi / DISC_SIDES)
    return corner * np.column_stack([np.cos(turns), np.sin(turns)])


def bodies_of(fits: Sequence[ContentFit], room: Room) -> tuple[Body, ...]:
    """Every piece of contents that were placed, numbered by line and piece.

    Lines of one item share out that item's places in their order.
    """
    places: dict[str, list[Placement]] = {}
    for fit in fits:
        places.setdefault(fit.content.item.name, list(fit.placements))
    found = []
    for line, fit in enumerate(fits):
        own = places[fit.content.item.name]
        if len(own) < fit.content.count:
            own += fit.placements
        for piece, place in enumerate(own[: fit.content.count]):
            sides = sides_of(fit.content.item, place.pose)
            found.append(Body(line, piece, _in_box(place, room), sides))
        del own[: fit.content.count]
    return tuple(found)


def _in_box(place: Placement, room: Room) -> Placement:
    """A placement of the room's frame in the box's: the room lies over the middle of the floor."""
    return replace(
        place,
        x_mm=place.x_mm - 0.5 * room.width_mm,
        y_mm=place.y_mm - 0.5 * room.length_mm,
    )
