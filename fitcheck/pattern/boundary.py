"""The stretches that bound a panel's paper: its own edges, notches let in, windows taken out."""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from fitcheck.arcs import Point, facet_weights, segment_area
from fitcheck.errors import ModelError
from fitcheck.pattern.cutouts import Cutout, CutoutKind
from fitcheck.pattern.sheet import Corner, Sheet, Shifts

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SAME_MM = 1e-6
BRIDGE_MM = 0.01
"""So much paper at least is left between two cut-outs, and between a window and an edge."""


class Stretch(NamedTuple):
    """From one corner of a boundary to the next, the paper at its left."""

    start: Corner
    stop: Corner
    bulge: float = 0.0
    """Positive where the arc turns anticlockwise."""
    cutout: str = ""
    """The name of the cut-out that it bounds; empty for the panel's own edge."""


Ring = tuple[Stretch, ...]


@dataclass(frozen=True)
class Boundary:
    """What bounds the paper of a panel."""

    outer: Ring
    """Anticlockwise."""
    holes: tuple[Ring, ...] = ()
    """Clockwise."""
    slits: tuple[Ring, ...] = ()
    """Chains that bound nothing."""

    @property
    def rings(self) -> tuple[Ring, ...]:
        """What bounds it, the outer ring first."""
        return (self.outer, *self.holes)

    def area(self, sheet: Sheet, shifts: Shifts) -> float:
        """Area of paper, mm2, arcs exact."""
        return sum(_area(sheet, ring, shifts) for ring in self.rings)

    def polygons(self, sheet: Sheet) -> list[NDArray[np.float64]]:
        """The rings as drawn, (n, 2) mm each, arcs as facets."""
        import numpy as np

        return [np.array(faceted(sheet, ring)) for ring in self.rings]


def ring_of(corners: Sequence[Corner], bulges: Sequence[float] = (), cutout: str = "") -> Ring:
    """The stretches from each corner to the next."""
    return tuple(
        Stretch(start, stop, bulge, cutout)
        for start, stop, bulge in zip(
            corners, (*corners[1:], corners[0]), bulges or [0.0] * len(corners), strict=True
        )
    )


@functools.lru_cache(maxsize=1024)
def boundary_of(
    sheet: Sheet,
    panel: str,
    corners: tuple[Corner, ...],
    bulges: tuple[float, ...],
    cutouts: tuple[Cutout, ...],
) -> Boundary:
    """The boundary of a panel with these corners and cut-outs.

    Raises ModelError where what is left is no single piece of paper, and says which cut-out is to
    blame.
    """
    names = [cutout.name for cutout in cutouts]
    if len(set(names)) < len(names):
        twice = next(name for name in names if names.count(name) > 1)
        raise ModelError(f"the {panel} has two cut-outs named {twice}: give each its own name")
    _count(f"the {panel}", corners, bulges, len(corners))
    outer = ring_of(corners, bulges)
    _whole(sheet, f"the {panel}", outer)
    holes, slits = [], []
    for cutout in cutouts:
        whose = f"the {cutout.name} of the {panel}"
        if cutout.kind is CutoutKind.WINDOW:
            _count(whose, cutout.corners, cutout.bulges, len(cutout.corners))
            holes.append(_window(sheet, whose, cutout))
        else:
            _count(whose, cutout.corners, cutout.bulges, len(cutout.corners) - 1)
            chain = _chain(cutout)
            if cutout.kind is CutoutKind.SLIT:
                slits.append(chain)
            else:
                outer = _notched(sheet, whose, outer, chain)
    found = Boundary(outer, tuple(holes), tuple(slits))
    _one_piece(sheet, panel, found)
    return found


def _count(whose: str, corners: Sequence[Corner], bulges: Sequence[float], wanted: int) -> None:
    if len(corners) < 2 or (bulges and len(bulges) != wanted):
        raise ModelError(
            f"{whose} has {len(corners)} corners and {len(bulges)} bulges: give it at least 2 "
            f"corners, and a bulge for each of its {max(wanted, 1)} stretches or none"
        )
    if not all(math.isfinite(bulge) for bulge in bulges):
        raise ModelError(f"{whose} has a bulge that is no number: a full round is two half rounds")


def _chain(cutout: Cutout) -> Ring:
    """A notch's or a slit's stretches, the paper taken to be at the left of them."""
    bulges = cutout.bulges or [0.0] * (len(cutout.corners) - 1)
    return tuple(
        Stretch(start, stop, -bulge, cutout.name)
        for (start, stop), bulge in zip(itertools.pairwise(cutout.corners), bulges, strict=True)
    )


def _window(sheet: Sheet, whose: str, cutout: Cutout) -> Ring:
    """A window's ring, clockwise, so that the paper is at its left."""
    ring = ring_of(cutout.corners, cutout.bulges, cutout.name)
    if _area(sheet, tuple(one._replace(bulge=0.0) for one in ring), {}) < 0.0:
        ring = _backwards(ring)
    _whole(sheet, whose, ring)
    return tuple(one._replace(bulge=-one.bulge) for one in _backwards(ring))


def _backwards(ring: Ring) -> Ring:
    """The stretches the other way round; each keeps its bulge, and so turns to its other side."""
    return tuple(one._replace(start=one.stop, stop=one.start) for one in reversed(ring))


def _notched(sheet: Sheet, whose: str, outer: Ring, chain: Ring) -> Ring:
    """An outer ring less a notch: of the two parts that the chain makes of it the larger one."""
    first, last = chain[0].start, chain[-1].stop
    ends = [_on_ring(sheet, outer, corner) for corner in (first, last)]
    if None in ends or ends[0] == ends[1]:
        raise ModelError(
            f"{whose} does not run from one place on the panel's straight edges to another: put "
            "its first and last corner there, or make it a window"
        )
    at_first, at_last = (end for end in ends if end is not None)
    import shapely

    back = _backwards(chain)
    kept, own = max(
        (
            (_walk(sheet, outer, (at_last, last), (at_first, first)) + chain, chain),
            (_walk(sheet, outer, (at_first, first), (at_last, last)) + back, back),
        ),
        key=lambda found: _area(sheet, found[0], {}),
    )
    before = shapely.Polygon(faceted(sheet, outer)).buffer(BRIDGE_MM)
    if not before.covers(shapely.LineString(faceted(sheet, own))):
        raise ModelError(f"{whose} reaches beyond the panel: keep its corners and arcs inside")
    _whole(sheet, whose, kept)
    return kept


Spot = tuple[int, float]
"""A place on a ring: which stretch, and how far along it, 0 to below 1."""


def _on_ring(sheet: Sheet, ring: Ring, corner: Corner) -> Spot | None:
    """Where a corner lies on a ring as drawn; None where it lies on no straight stretch or end."""
    at = complex(*sheet.place(corner, {}))
    for k, one in enumerate(ring):
        start, stop = complex(*sheet.place(one.start, {})), complex(*sheet.place(one.stop, {}))
        if abs(at - start) < SAME_MM:
            return k, 0.0
        if one.bulge or abs(at - stop) < SAME_MM:
            continue
        share = (at - start) / (stop - start)
        if 0.0 < share.real < 1.0 and abs(share.imag) * abs(stop - start) < SAME_MM:
            return k, share.real
    return None


def _walk(sheet: Sheet, ring: Ring, start: tuple[Spot, Corner], stop: tuple[Spot, Corner]) -> Ring:
    """The stretches of a ring from one place on it to another."""
    (first, share), begin = start
    (last, until), end = stop
    if first == last and share < until:
        walked = [ring[first]._replace(start=begin, stop=end)]
    else:
        count = (last - first) % len(ring) or len(ring)
        walked = [ring[(first + k) % len(ring)] for k in range(count + 1)]
        walked[0] = walked[0]._replace(start=begin)
        walked[-1] = walked[-1]._replace(stop=end)
        if not until:
            walked.pop()
            walked[-1] = walked[-1]._replace(stop=end)
    return tuple(
        one
        for one in walked
        if math.dist(sheet.place(one.start, {}), sheet.place(one.stop, {})) > SAME_MM
    )


def _area(sheet: Sheet, ring: Ring, shifts: Shifts) -> float:
    ends = [(sheet.place(one.start, shifts), sheet.place(one.stop, shifts)) for one in ring]
    return sum(
        0.5 * (a[0] * b[1] - b[0] * a[1]) + segment_area(a, b, one.bulge)
        for (a, b), one in zip(ends, ring, strict=True)
    )


def faceted(sheet: Sheet, ring: Sequence[Stretch]) -> list[Point]:
    """The points along a ring or a chain as drawn, arcs as facets."""
    points = []
    for one in ring:
        start, stop = sheet.place(one.start, {}), sheet.place(one.stop, {})
        a, chord = complex(*start), complex(*stop) - complex(*start)
        points.append(start)
        for weight in facet_weights(start, stop, one.bulge):
            at = a + weight * chord
            points.append((at.real, at.imag))
    if ring[-1].stop != ring[0].start:
        points.append(sheet.place(ring[-1].stop, {}))
    return points


def _whole(sheet: Sheet, whose: str, ring: Ring) -> None:
    """Refuse a ring that crosses itself or bounds nothing on its left."""
    import shapely

    points = faceted(sheet, ring)
    if len(points) < 3 or _area(sheet, ring, {}) < SAME_MM or not shapely.Polygon(points).is_valid:
        raise ModelError(
            f"{whose} has an outline that crosses itself, touches itself or bounds no area: put "
            "its corners in order round it"
        )


def _one_piece(sheet: Sheet, panel: str, found: Boundary) -> None:
    """Refuse windows that leave no bridge of paper, and slits that do not lie in it."""
    import shapely

    outer = shapely.Polygon(faceted(sheet, found.outer))
    windows = [(ring[0].cutout, shapely.Polygon(faceted(sheet, ring))) for ring in found.holes]
    for name, window in windows:
        if not outer.contains(window) or outer.exterior.distance(window) < BRIDGE_MM:
            raise ModelError(
                f"the {name} of the {panel} reaches its edge or another cut-out: keep it inside, "
                "or open it at the edge as a notch"
            )
    for (one, a), (other, b) in itertools.combinations(windows, 2):
        if a.distance(b) < BRIDGE_MM:
            raise ModelError(
                f"the {one} and the {other} of the {panel} meet: leave paper between them, or "
                "make one cut-out of them"
            )
    paper = shapely.Polygon(outer.exterior, [window.exterior for _, window in windows])
    for chain in found.slits:
        line = shapely.LineString(faceted(sheet, chain))
        left = paper.difference(line.buffer(SAME_MM))
        if not (
            line.is_simple
            and paper.buffer(BRIDGE_MM).covers(line)
            and isinstance(left, shapely.Polygon)
        ):
            raise ModelError(
                f"the {chain[0].cutout} of the {panel} does not lie in its paper or cuts it in "
                "two: a slit starts and ends in one piece of paper"
            )
        paper = left
