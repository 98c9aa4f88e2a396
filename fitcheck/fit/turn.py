"""A flap or a hinged lid turns about its crease: free, blocked at an angle, or undecided.

Nothing is stepped past: an interval of angles counts as free only where a bound on how fast two
pieces can near each other proves it (`turn_cells`), and as blocked only from an angle at which they
are seen to stand in each other.
"""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from fitcheck.fit.contact import TOUCH_MM
from fitcheck.fit.turn_cells import Scene
from fitcheck.fit.turn_fit import Clearance, Outcome, Swing
from fitcheck.fit.turn_near import Nearby, may_meet
from fitcheck.fit.turn_search import UNDECIDED_RAD, Contact, Least, Search
from fitcheck.folding.hinges import Hinges, chosen
from fitcheck.folding.many import FoldedParts
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import Array, apply
from fitcheck.folding.shapes import Shapes

LEAST_TURN_RAD = 1e-6
"""A shorter turn is none."""
SUPPORT_MM = 1e-5
"""Corners that reach as far as the furthest but for this belong to what touches."""


def swing(
    part: FoldedPart,
    panel: str,
    start_rad: float,
    stop_rad: float,
    others: Pieces | None = None,
    *,
    may_touch: Collection[tuple[str, str]] = (),
    give_mm: float = TOUCH_MM,
    within_mm: float | None = 0.0,
) -> Swing:
    """Turn a panel, with all that it carries, from one fold angle of its crease to another.

    It must pass the rest of its part, but for what touches it by intent (`pattern.touching`), and
    all `others`, pieces that stand in the part's place. `may_touch` names more pairs (what stays,
    what turns) that need not pass each other. A press up to `give_mm` does not block. Clearances
    within `within_mm` of the least are told, none for None. Raises ModelError where a panel would
    vanish in its bends, ValueError for angles below 0 or above pi or for two that are the same,
    KeyError for a panel without a crease.
    """
    one = chosen(part.among, np.array([part.box]))
    return swings(
        one,
        panel,
        np.array([start_rad]),
        np.array([stop_rad]),
        others,
        may_touch=may_touch,
        give_mm=give_mm,
        within_mm=within_mm,
    )[0]


def swings(
    parts: FoldedParts,
    panel: str,
    start_rad: Array,
    stop_rad: Array,
    others: Pieces | None = None,
    *,
    may_touch: Collection[tuple[str, str]] = (),
    give_mm: float = TOUCH_MM,
    within_mm: float | None = 0.0,
) -> tuple[Swing, ...]:
    """The turns of one panel in many boxes, each between its own two angles (b,), as `swing`.

    `others` are those of each box, or of one box and then the same for all.
    """
    hinges = Hinges(parts, panel)
    start, stop = (np.asarray(own, dtype=float) for own in (start_rad, stop_rad))
    if np.any(np.abs(start - stop) < LEAST_TURN_RAD):
        raise ValueError("a turn goes from one angle to another")
    nearby = nearby_of(hinges, start, stop, others, may_touch)
    contact, least = Search(nearby, start, stop, give_mm, within_mm).run()
    told = _clearances(nearby, least, parts.boxes, within_mm)
    way = np.where(stop >= start, 1.0, -1.0)
    found = []
    for box in range(parts.boxes):
        outcome, travel, pair = _outcome(contact, box)
        names = None if pair is None else _names(nearby.scene, pair)
        at = None
        if outcome is Outcome.BLOCKED:
            angle = start[box] + way[box] * contact.touch[box]
            spot = _meeting(nearby.scene, pair or (0, 0), float(angle), contact.across[box])
            x, y, z = apply(hinges.frames[box], spot[None])[0].tolist()
            at = (x, y, z)
        angle = None if travel is None else float(start[box] + way[box] * travel)
        found.append(Swing(outcome, angle, names, at, told[box]))
    return tuple(found)


def nearby_of(
    hinges: Hinges,
    start: Array,
    stop: Array,
    others: Pieces | None,
    may_touch: Collection[tuple[str, str]],
) -> Nearby:
    """What may meet in turns between two angles (b,) each."""
    low, high = np.minimum(start, stop), np.maximum(start, stop)
    still, turned = hinges.shapes(low, high)
    own = len(still.pieces.names)
    if others is not None and len(others):
        if not others.boxes.any() and len(low) > 1:
            others = Pieces.joined([others.of_box(0)] * len(low))
        still = still.with_others(Shapes.of(others).carried(hinges.homes))
    scene = Scene(still, turned, hinges.drifts_mm, hinges.radii_mm)
    may = may_meet(hinges.parts.pattern, still.pieces, turned.pieces, set(may_touch), own)
    return Nearby(scene, low, high, may)


def _outcome(contact: Contact, box: int) -> tuple[Outcome, float | None, tuple[int, int] | None]:
    """What is said of one box, up to what travel it is free, and the pair that ends it."""
    touch, stuck = float(contact.touch[box]), float(contact.stuck[box])
    if touch == np.inf and stuck == np.inf:
        return Outcome.FREE, None, None
    if touch - min(stuck, touch) <= UNDECIDED_RAD:
        a, b = contact.touching[box].tolist()
        return Outcome.BLOCKED, min(stuck, touch), (a, b)
    a, b = contact.doubtful[box].tolist()
    return Outcome.UNDECIDED, stuck, (a, b)


def _names(scene: Scene, pair: tuple[int, int]) -> tuple[str, str]:
    return scene.still.pieces[pair[0]].name, scene.turned.pieces[pair[1]].name


def _clearances(
    nearby: Nearby, least: Least, boxes: int, within_mm: float | None
) -> list[tuple[Clearance, ...]]:
    """The nearest pairs of names of each box."""
    nearest = np.full(boxes, np.inf)
    np.minimum.at(nearest, nearby.boxes, least.apart_mm)
    told = least.apart_mm <= (nearest + (within_mm or 0.0))[nearby.boxes]
    told &= least.apart_mm < np.inf
    names = nearby.names
    found: list[list[Clearance]] = [[] for _ in range(boxes)]
    for k in np.flatnonzero(told)[np.argsort(least.apart_mm[told], kind="stable")].tolist():
        own = Clearance(names[k], float(least.apart_mm[k]), float(least.angle_rad[k]))
        found[int(nearby.boxes[k])].append(own)
    return [tuple(own) for own in found]


def _meeting(scene: Scene, pair: tuple[int, int], angle: float, across: Array) -> Array:
    """The middle of where two pieces touch along a direction, in the hinge's frame, (3,) mm."""
    a, b = pair
    still = scene.still.pieces.vertices.of(a) + angle * scene.still.rates.of(a)
    turned = scene.turned.pieces.vertices.of(b) + angle * scene.turned.rates.of(b)
    if scene.turned.spins[b]:
        drift = scene.drifts_mm[scene.turned.pieces.boxes[b]] * angle
        x, y, z = (turned - [drift, 0.0, 0.0]).T
        cos, sin = np.cos(angle), np.sin(angle)
        turned = np.stack([cos * x - sin * z - drift, y, sin * x + cos * z], axis=1)
    ends = [_furthest(still, across), _furthest(turned, -across)]
    low = np.maximum(*(own.min(axis=0) for own in ends))
    high = np.minimum(*(own.max(axis=0) for own in ends))
    return np.asarray(0.5 * (low + high))


def _furthest(corners: Array, direction: Array) -> Array:
    """The corners that reach furthest along a direction."""
    reach = corners @ direction
    found: Array = corners[reach >= reach.max() - SUPPORT_MM]
    return found
