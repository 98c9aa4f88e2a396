"""A lid that goes over a neck in its base ends on the neck, or flush where the two rims meet.

It has some play there, so that hands put rim on rim where the papers' thickness would just miss:
the side that is highest in both says where they meet. A lid that is wider than the base all round
passes it, and slides past the base too; one that is smaller than its inside all round goes down
between its walls and the neck.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from fitcheck.design.model import Bands
from fitcheck.fit.assembly import Assembly
from fitcheck.fit.frames import ACROSS
from fitcheck.fit.lid import LidFit, fit_lid, fit_lids, hanging, sliding, turned_over, verdict_for
from fitcheck.fit.pairs import Pairs
from fitcheck.fit.placed import both_of, tops_of
from fitcheck.fit.rest import rests_of
from fitcheck.fit.right import rim_room
from fitcheck.fit.slide import Slide, slide_all
from fitcheck.fit.stood import neck_of
from fitcheck.fit.way_in import CLEAR_MM
from fitcheck.folding.corners import outward_of
from fitcheck.folding.measure import inside_of, outside_of
from fitcheck.folding.parts import FoldedPart, pieces_in
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, Array, Flags

Chosen = Callable[[Pieces, str], Pieces]
"""Given all pieces of lids and the name of their floor."""
PASSES_MM = 1.0
"""A lid whose rim ends so far below the base's passes it: walls differ by less in height."""


def fit_lid_of(assembly: Assembly, bands: Bands) -> LidFit | None:
    """How an assembly's lid sits on what it goes over; None without a lid."""
    if assembly.lid is not None and neck_of(assembly) is None:
        return fit_lid(assembly.base, assembly.lid, bands)
    return fit_lids_of(assembly, [[part.folded for part in assembly.parts]], bands)[0]


def fit_lids_of(
    assembly: Assembly, boxes: Sequence[Sequence[FoldedPart]], bands: Bands
) -> Sequence[LidFit | None]:
    """The same in each of many boxes of a design, given by their parts."""
    if assembly.lid is None or not boxes:
        return [None] * len(boxes)
    place = [part.recipe.part for part in assembly.parts].index(assembly.lid.recipe.part)
    both = [(parts[0], parts[place]) for parts in boxes]
    neck = neck_of(assembly)
    if neck is None:
        return fit_lids(both, bands)
    necks = neck.movers([both_of(neck.mate, parts) for parts in boxes])
    return _fit_over(both, necks, bands)


def _fit_over(
    boxes: Sequence[tuple[FoldedPart, FoldedPart]], necks: Pieces, bands: Bands
) -> list[LidFit]:
    """The fit of each box's lid over its neck, given as base and lid."""
    bases, lids = pieces_in([base for base, _ in boxes]), [lid for _, lid in boxes]
    on_neck, hung = seats_on(lying, lids, necks), seats_on(hanging, lids, bases)
    tops = tops_of(necks, len(boxes))
    inside = np.array(
        [falls_past(lid, *both) for lid, *both in zip(lids, on_neck, tops, strict=True)]
    )
    on_neck = np.where(inside, tops, on_neck)
    passes = ~inside & [
        passes_rim(base, lid, at) for (base, lid), at in zip(boxes, hung.tolist(), strict=True)
    ]
    rims = np.array([max(rim_seats(base, lid).values()) for base, lid in boxes])
    on_rim = np.where(passes, hung, rims)
    seats = np.maximum(on_neck, on_rim)
    walls = turned_over(lids, seats, sliding)
    holders = past_of(necks, bases, passes)
    path = UP * (float(tops.max()) + max(lid.height_mm for lid in lids) + CLEAR_MM)
    pairs = Pairs(walls, holders, path)
    slides = slide_all(pairs, np.zeros((len(boxes), 3)), by_sides=inside)
    lines = [
        None if past else (float(line), lands_on(*both))
        for both, past, line in zip(boxes, passes.tolist(), on_neck - on_rim, strict=True)
    ]
    told = zip(boxes, tops, seats, slides, lines, inside, strict=True)
    return [
        _lid_fit(base, lid, float(top), float(seat), found, line, bool(falls), bands)
        for (base, lid), top, seat, found, line, falls in told
    ]


def falls_past(lid: FoldedPart, on_neck_mm: float, top_mm: float) -> bool:
    """Whether the floor of a lid finds no neck's rim to lie on, as it is smaller than that."""
    return on_neck_mm < top_mm - lid.caliper_mm


def _lid_fit(
    base: FoldedPart,
    lid: FoldedPart,
    top_mm: float,
    seat_mm: float,
    found: Slide,
    line: tuple[float, tuple[float, float]] | None,
    inside: bool,
    bands: Bands,
) -> LidFit:
    line_mm, lands_mm = line or (None, None)
    reach_down = lid.height_mm - lid.caliper_mm
    rim = seat_mm - reach_down
    reveal = min(rim, base.height_mm)
    fit = LidFit(
        verdict=verdict_for(found, bands),
        slide=found,
        seat_mm=seat_mm,
        overlap_mm=max(0.0, top_mm - max(0.0, rim)),
        reveal_mm=reveal,
        closed_height_mm=max(seat_mm, reach_down) + lid.caliper_mm,
        rim_mm=float(rim_room(reveal, lid.caliper_mm)),
        falls_in=inside,
        line_mm=line_mm,
        lands_mm=lands_mm,
    )
    return replace(fit, falls_in=inside or fit.inside_base)


def lying(pieces: Pieces, root: str) -> Pieces:
    """A lid's floor by itself: round creases beside it only ever meet a neck that presses."""
    return pieces.named({root})


def seats_on(chosen: Chosen, lids: Sequence[FoldedPart], below: Pieces) -> Array:
    """The heights of lid floors' inside faces, (b,) mm, where chosen pieces of lids come to rest.

    0 where nothing of them is over what is below.
    """
    above = turned_over(lids, np.zeros(len(lids)), chosen)
    rests = rests_of(above, below, len(lids), 0.0)
    return np.array([max(found.values(), default=0.0) for found in rests])


def rim_seats(base: FoldedPart, lid: FoldedPart) -> dict[tuple[str, str], float]:
    """At what height of the lid floor's inside face each wall's rim meets the base's below, mm."""
    found = {}
    for wall, outward, height in _rims(lid):
        # turned over about its width, its front is at the back
        facing = outward * np.array([1.0, -1.0, 1.0])
        below, _, under = max(_rims(base), key=lambda own: float(own[1] @ facing))
        found[wall, below] = height + under + base.lap_rise_mm - lid.caliper_mm
    return found


def _rims(part: FoldedPart) -> list[tuple[str, Array, float]]:
    """Each wall with its way out (3,) and how high it reaches with all that it carries, mm."""
    pattern = part.pattern
    plates, bends = part.reaches(UP)
    found = []
    for line in pattern.creases:
        if line.parent != pattern.panels[0].name:
            continue
        own = set(pattern.beyond(line.child))
        reached = [
            float(height)
            for height, panel in zip(plates, pattern.panels, strict=True)
            if panel.name in own
        ]
        reached += [
            float(height)
            for height, bend in zip(bends, part.bends, strict=True)
            if own.issuperset(bend.panels)
        ]
        found.append((line.child, outward_of(part.layout, line.child), max(reached)))
    return found


def lands_on(base: FoldedPart, lid: FoldedPart) -> tuple[float, float]:
    """By how much a lid is wider and longer at its rim than the room between a base's walls, mm.

    Tabs that are glued inside the base's walls stand in the way too.
    """
    wide, long = (a - b for a, b in zip(outside_of(lid), inside_of(base), strict=True))
    return wide, long


def passes_rim(base: FoldedPart, lid: FoldedPart, on_rim_mm: float) -> bool:
    """Whether a lid that hangs so high at the least has its rim below the base's, outside it."""
    if on_rim_mm >= base.height_mm + lid.height_mm - lid.caliper_mm - PASSES_MM:
        return False
    return all(_far(lid, way) > _far(base, way) for way in ACROSS)


def _far(part: FoldedPart, way: Array) -> float:
    """How far a part's plates reach a way (3,), mm."""
    return float(part.reaches(way)[0].max())


def past_of(necks: Pieces, bases: Pieces, passes: Flags) -> Pieces:
    """What each box's lid goes past: its neck, and its base where the lid passes that."""
    if not passes.any():
        return necks
    return necks.beside(bases.take(np.flatnonzero(passes[bases.boxes])))
