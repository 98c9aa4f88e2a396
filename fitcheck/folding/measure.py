"""The sizes of a folded part, read off its plates and bends as a caliper would."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from fitcheck.folding.bends import Bend
from fitcheck.folding.corners import outward_of, rim_reaches
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import UP, Array, translation
from fitcheck.folding.prisms import Plate
from fitcheck.folding.rings import four_square, room_between, square
from fitcheck.pattern.pattern import Role
from fitcheck.pattern.rows import Row
from fitcheck.pattern.sheet import Axis

SIDEWAYS: tuple[Array, Array] = (np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0]))

LEVEL = 0.5
HAIR_MM = 1e-6
"""What stands further out than a rim by no more is level with it."""


@dataclass(frozen=True)
class PartSizes:
    """Sizes of a folded part, mm; pairs are (width, length)."""

    outside_mm: tuple[float, float]
    """At the rim, where glued corners push the walls out, with what is turned outwards there."""
    height_mm: float
    floor_outside_mm: tuple[float, float]
    """At the creases round the floor."""
    inside_mm: tuple[float, float]
    """Between what stands inside the walls; of a rolled frame it is the opening."""
    depth_mm: float
    """From the floor's inside face to the top."""
    corner_rise_mm: float
    """How much higher the corners are where one frame laps the other."""


def measure(part: FoldedPart) -> PartSizes:
    """Measure a folded part."""
    if not part.pattern.lines:
        return _flat(part)
    if part.pattern.open_tube:
        return _tube(part)
    if part.pattern.tucks:
        return _carton(part)
    extent = _pair(lambda axis: _extent(part, axis)) if part.pattern.hung else None
    return PartSizes(
        outside_mm=extent or outside_of(part),
        height_mm=part.height_mm,
        floor_outside_mm=_pair(lambda axis: _floor_outside(part, axis)),
        inside_mm=inside_of(part),
        depth_mm=_rim(part) - part.caliper_mm,
        corner_rise_mm=part.lap_rise_mm,
    )


def outside_of(part: FoldedPart) -> tuple[float, float]:
    """The width and the length of a part with walls at its rim, outside, mm.

    What hangs on a wall and stands further out than its rim counts: so far a caliper opens.
    """
    walls = [p.name for p in part.pattern.panels if p.role is Role.WALL]
    angles = part.among.angles[part.box : part.box + 1]
    reached = rim_reaches(part.layout, walls, angles)[0].tolist()
    outwards = [outward_of(part.layout, wall) for wall in walls]
    if not four_square(outwards):
        return _pair(lambda axis: _extent(part, axis))

    plates, bends = _hanging(part)

    def side(axis: Array) -> float:
        own = [rim for rim, way in zip(reached, outwards, strict=True) if way @ axis > LEVEL]
        rim = float(max(own))
        on_plates, on_bends = part.reaches(axis)
        far = max([*on_plates[plates].tolist(), *on_bends[bends].tolist()], default=rim)
        return far if far > rim + HAIR_MM else rim

    return _pair(lambda axis: side(axis) + side(-axis))


def _hanging(part: FoldedPart) -> tuple[list[int], list[int]]:
    """The plates and bends, by their places, of what hangs on walls and is glued in no corner."""
    pattern, root = part.pattern, part.pattern.panels[0].name
    stands = {root, *(panel.name for panel in pattern.panels if panel.role is Role.WALL)}
    stands |= pattern.buried | {bond.panel for bond in pattern.corner_joints}
    plates = [k for k, panel in enumerate(pattern.panels) if panel.name not in stands]
    bends = [k for k, one in enumerate(part.bends) if pattern.far_panel(one.panels) not in stands]
    return plates, bends


def inside_of(part: FoldedPart) -> tuple[float, float]:
    """The clear width and length between what stands inside the walls of a part, mm."""
    bounds = _bounds_of_room(part)
    if not four_square(bounds.values()):
        return room_between(part, bounds)
    return _pair(lambda axis: _inside(part, bounds, axis))


def _flat(part: FoldedPart) -> PartSizes:
    """The sizes of a sheet without a crease, lying; of a strip as it stands on its edge."""
    width, length = _pair(
        lambda axis: sum(
            float(max(own.max() for own in part.reaches(way) if len(own))) for way in (axis, -axis)
        )
    )
    row, caliper = part.pattern.row, part.caliper_mm
    size, height = (width, length), caliper
    if row is not None:
        size = (width, caliper) if row.runs is Axis.WIDTH else (caliper, width)
        height = length
    return PartSizes(size, height, size, size, height, 0.0)


def _tube(part: FoldedPart) -> PartSizes:
    """The sizes of a tube: across between its sides, along from end to end, up under its top.

    One that stands on end is open upwards, and what lies over its root is beside it.
    """

    def between(axis: Array) -> float:
        """From face to face of the plates across an axis; where none is, from end to end."""
        plates = [k for k, one in enumerate(part.plates) if _along(one.pose[:3, 2], axis)]
        low, high = (part.reaches(way)[0] for way in (-axis, axis))
        middle = 0.5 * (high.max() - low.max())
        near = [float(high[k]) for k in plates if high[k] < middle]
        far = [float(-low[k]) for k in plates if -low[k] > middle]
        return min(far) - max(near) if near and far else _extent(part, axis)

    if part.pattern.on_end:
        size = _extent(part, SIDEWAYS[0]), _extent(part, UP)
        height = _extent(part, SIDEWAYS[1])
        inside = float(between(SIDEWAYS[0])), float(between(UP))
        return PartSizes(size, height, size, inside, height, 0.0)
    size = _pair(lambda axis: _extent(part, axis))
    return PartSizes(
        outside_mm=size,
        height_mm=part.height_mm,
        floor_outside_mm=size,
        inside_mm=_pair(between),
        depth_mm=between(UP),
        corner_rise_mm=0.0,
    )


def _carton(part: FoldedPart) -> PartSizes:
    """The sizes of an upright tube that is closed at its ends, closed; inside between what stands.

    Flaps that hang at its lids and what closes it above are left out, but what is tucked in below
    counts: what is tucked in above takes the same room there.
    """
    panels = part.pattern.panels
    stands = [k for k, one in enumerate(panels) if one.name not in part.pattern.hung]

    def between(axis: Array) -> float:
        own = [k for k in stands if _along(part.plates[k].pose[:3, 2], axis)]
        low, high = (part.reaches(way)[0] for way in (-axis, axis))
        near = [float(high[k]) for k in own if high[k] < 0.0]
        far = [float(-low[k]) for k in own if low[k] < 0.0]
        return min(far) - max(near)

    outside = _pair(lambda axis: _extent(part, axis))
    return PartSizes(
        outside_mm=outside,
        height_mm=part.height_mm,
        floor_outside_mm=outside,
        inside_mm=_pair(between),
        depth_mm=_between_flaps(part),
        corner_rise_mm=0.0,
    )


def _between_flaps(part: FoldedPart) -> float:
    """From what is turned in over the floor to what is turned in under the lid."""
    up, down = (part.reaches(way)[0].tolist() for way in (UP, -UP))
    roles = [panel.role for panel in part.pattern.panels]
    low = max(top for top, role in zip(up, roles, strict=True) if role is Role.BOTTOM_FLAP)
    return float(
        min(-foot for foot, role in zip(down, roles, strict=True) if role is Role.DUST_FLAP) - low
    )


def standing(part: FoldedPart) -> Array:
    """The pose (4, 4) that stands a part up from how it was folded, its foot at z = 0.

    What stands on end comes to stand over the middle of its outline, its root at the back. A strip
    of a row stands on its lower edge in the middle of the row, its inside face to the front or to
    the right.
    """
    if part.pattern.row is not None:
        return _on_edge(part, part.pattern.row)
    if part.pattern.turned:
        return np.diag([1.0, -1.0, -1.0, 1.0]) @ translation(-UP * part.height_mm)
    if not part.pattern.on_end:
        return np.eye(4)
    low, high = part.pieces.bounds
    low, high = low.min(axis=0), high.max(axis=0)
    pose = np.eye(4)
    pose[:3, :3] = [[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]
    x, y, z = -0.5 * (low[0] + high[0]), 0.5 * (low[2] + high[2]), -low[1]
    found: Array = translation(np.array([x, y, z])) @ pose
    return found


def _on_edge(part: FoldedPart, row: Row) -> Array:
    foot = float(part.pieces.bounds[0][:, 1].min())
    pose = np.eye(4)
    pose[:3, :3] = [[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]
    pose[:3, 3] = 0.0, 0.5 * part.caliper_mm, -foot
    if row.runs is Axis.WIDTH:
        return pose
    quarter = np.eye(4)
    quarter[:2, :2] = [[0.0, -1.0], [1.0, 0.0]]
    found: Array = quarter @ pose
    return found


def _extent(part: FoldedPart, axis: Array) -> float:
    """How long a part is from end to end along an axis, a lid that it brings and all."""
    return sum(float(max(own.max() for own in part.reaches(way))) for way in (axis, -axis))


def _rim(part: FoldedPart) -> float:
    """The height of what stands round the room: of the lowest wall under a lid that it brings."""
    if not part.pattern.hung:
        return part.height_mm
    plates = zip(part.pattern.panels, part.reaches(UP)[0].tolist(), strict=True)
    return float(min(height for panel, height in plates if panel.role is Role.WALL))


def _pair(read: Callable[[Array], float]) -> tuple[float, float]:
    return float(read(SIDEWAYS[0])), float(read(SIDEWAYS[1]))


def _along(direction: Array, axis: Array) -> bool:
    return bool(abs(direction @ axis) > 0.5)


def _floor_outside(part: FoldedPart, axis: Array) -> float:
    """Width over the floor's own creases, the cut halves of half cuts among them."""
    root = part.pattern.panels[0].name
    every = [k for k, bend in enumerate(part.bends) if root in bend.panels]
    across = [k for k in every if _along(part.bends[k].pose[:3, 0], axis)]
    feet = across if across and all(square(part.bends[k].pose[:3, 0]) for k in across) else every
    cut = part.caliper_mm - np.array([part.bends[k].thickness_mm for k in feet])
    return sum(float((part.reaches(way)[1][feet] + cut).max()) for way in (axis, -axis))


def _inside(part: FoldedPart, bounds: Mapping[int, Array], axis: Array) -> float:
    """Clear width between the flat faces on the two sides."""
    low, high = (np.concatenate(part.reaches(way)).tolist() for way in (-axis, axis))
    reaches = [
        _side_reach(-low[k], high[k]) for k, outward in bounds.items() if _along(outward, axis)
    ]
    return min(r for r in reaches if r > 0.0) - max(r for r in reaches if r < 0.0)


def _bounds_of_room(part: FoldedPart) -> dict[int, Array]:
    """The places among plates and bends of what bounds the room, with its wall's way out (3,).

    The floor and the creases in corners are left out. What is glued in a corner, as a tab is,
    counts across the wall that it lies against.
    """
    pattern, root = part.pattern, part.pattern.panels[0].name
    glued = {joint.panel: joint.onto for joint in pattern.corner_joints}
    pieces: list[Plate | Bend] = [*part.plates, *part.bends]
    found = {}
    for k, piece in enumerate(pieces):
        own = _panels_of(piece)
        if not own.isdisjoint(pattern.hung) or piece.name in pattern.buried:
            continue
        if _standing(piece, root):
            panel = piece.name if isinstance(piece, Plate) else pattern.far_panel(own)
            wall = glued.get(panel) or pattern.chain(panel)[0].child
            found[k] = outward_of(part.layout, wall)
    return found


def _standing(piece: Plate | Bend, root: str) -> bool:
    """Whether a piece is no part of the floor and does not rise as a corner's crease does."""
    if isinstance(piece, Plate):
        return piece.name != root
    return root not in piece.panels and abs(piece.pose[2, 1]) < LEVEL


def _panels_of(piece: Plate | Bend) -> frozenset[str]:
    return frozenset([piece.name]) if isinstance(piece, Plate) else piece.panels


def _side_reach(low: float, high: float) -> float:
    """The place nearest the middle of a piece that stands on one side of it; 0 when it spans it."""
    return low if low > 0.0 else min(high, 0.0)
