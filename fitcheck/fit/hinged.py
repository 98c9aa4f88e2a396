"""A lid in one piece with its walls closes: free, or stopped by what its lip meets on the way.

Closed it lies on the walls' rims, so the lid itself and the creases at it may touch what stays; how
far its inside is above the rims is a length of its own. All that hangs on the lid has to pass.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Sequence

import numpy as np

from fitcheck.fit.turn import swings
from fitcheck.fit.turn_fit import Pair, Swing, TurnFit
from fitcheck.folding.corners import outward_of
from fitcheck.folding.hinges import chosen
from fitcheck.folding.many import FoldedParts
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import UP
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.styles.mates import Turned

AT_ONCE = 200
"""So many boxes are turned together."""


def turn_fits(mate: Turned, parts: Sequence[FoldedPart]) -> list[TurnFit]:
    """How the lid of each box closes."""
    found = closings(mate, parts, 0.0)
    return [
        TurnFit(
            mate,
            own,
            part.angles[mate.panel],
            min(rim_gaps(mate, part).values(), default=np.inf),
            part.height_mm,
            side_mm=side_of(mate, part),
        )
        for part, own in zip(parts, found, strict=True)
    ]


def closings(
    mate: Turned,
    parts: Sequence[FoldedPart],
    within_mm: float,
    only: Collection[Pair] | None = None,
) -> list[Swing]:
    """The closing turn of each box's lid, with the clearances within so much of the least.

    Where `only` is given, other pairs of names are left out.
    """
    found: dict[tuple[int, int], Swing] = {}
    by_among: dict[int, tuple[FoldedParts, list[int]]] = {}
    for part in parts:
        _, boxes = by_among.setdefault(id(part.among), (part.among, []))
        if part.box not in boxes:
            boxes.append(part.box)
    for among, boxes in by_among.values():
        may_touch = turned_pairs(among.pattern, mate.panel, only)
        for first in range(0, len(boxes), AT_ONCE):
            some = boxes[first : first + AT_ONCE]
            own = chosen(among, np.array(some))
            closed = own.angles[:, own.layout.tree.crease[mate.panel]]
            start = np.full(len(some), mate.start_rad)
            turned = swings(
                own, mate.panel, start, closed, may_touch=may_touch, within_mm=within_mm
            )
            found |= {(id(among), box): one for box, one in zip(some, turned, strict=True)}
    return [found[id(part.among), part.box] for part in parts]


def turned_pairs(pattern: Pattern, panel: str, only: Collection[Pair] | None) -> set[Pair]:
    """The pairs that need not pass each other: the lid on the rims, and what is not asked about."""
    turned = set(pattern.beyond(panel))
    creases = [line.name for line in pattern.lines if panel in (line.parent, line.child)]
    stays = [one.name for one in pattern.panels if one.name not in turned]
    stays += [line.name for line in pattern.lines if turned.isdisjoint((line.parent, line.child))]
    own = (line.name for line in pattern.lines if not turned.isdisjoint((line.parent, line.child)))
    turns, free = [*turned, *own], {panel, *creases}
    return {
        (one, other)
        for one, other in itertools.product(stays, turns)
        if other in free or (only is not None and (one, other) not in only)
    }


def rim_gaps(mate: Turned, part: FoldedPart) -> dict[str, float]:
    """How far the closed lid's inside is above the rim of each wall but the one it hangs on, mm."""
    carrier = part.pattern.crease_to(mate.panel).parent
    names = [panel.name for panel in part.pattern.panels]
    up, down = (part.reaches(way)[0] for way in (UP, -UP))
    inside = -float(down[names.index(mate.panel)])
    return {
        panel.name: inside - float(height)
        for panel, height in zip(part.pattern.panels, up, strict=True)
        if panel.role is Role.WALL and panel.name != carrier
    }


def lip_and_wall(mate: Turned, part: FoldedPart) -> tuple[str, str]:
    """What hangs on a lid, and the wall that it comes down at: the one across from its hinge."""
    pattern, layout = part.pattern, part.layout
    (lip, *_) = (name for name in pattern.beyond(mate.panel) if name != mate.panel)
    onward = -outward_of(layout, pattern.crease_to(mate.panel).parent)
    walls = [line.child for line in pattern.creases if line.parent == pattern.panels[0].name]
    return lip, max(walls, key=lambda wall: float(outward_of(layout, wall) @ onward))


def side_of(mate: Turned, part: FoldedPart) -> float | None:
    """How far a closed lid's lip is on its own side of the wall that it comes down at, mm."""
    if mate.over is None:
        return None
    lip, wall = lip_and_wall(mate, part)
    outward = outward_of(part.layout, wall)
    names = [panel.name for panel in part.pattern.panels]
    (out, back) = (part.reaches(way)[0] for way in (outward, -outward))
    at = [0.5 * float(out[k] - back[k]) for k in map(names.index, (lip, wall))]
    return at[0] - at[1] if mate.over else at[1] - at[0]


def room_under(mate: Turned, part: FoldedPart) -> float:
    """How high it is inside over the floor, under the closed lid and what is below it, mm.

    What is turned in below a lid lies under it, whatever line it is scored on.
    """
    panels = part.pattern.panels
    down = dict(zip((one.name for one in panels), part.reaches(-UP)[0].tolist(), strict=True))
    found = -float(down[mate.panel])
    below = [-float(down[one.name]) for one in panels if one.role is Role.DUST_FLAP]
    if below:
        found = min(found - part.caliper_mm, *below)
    return found - part.caliper_mm
