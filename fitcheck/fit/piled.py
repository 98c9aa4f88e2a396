"""What lies on what, where things are piled in a box."""

from __future__ import annotations

from collections.abc import Sequence

from fitcheck.fit.content_fit import ContentFit
from fitcheck.packing.placing import Placement, overlap_in_plan

LEVEL_MM = 1e-3
"""Heights that differ by no more are the same."""


def lies_on(fits: Sequence[ContentFit]) -> dict[str, tuple[str, ...]]:
    """The items that some piece of an item lies on, by item; none that lie on their own kind."""
    every = [placement for fit in fits for placement in fit.placements]
    found: dict[str, dict[str, None]] = {}
    for above in every:
        for below in every:
            if below.item != above.item and carries(below, above):
                found.setdefault(above.item, {})[below.item] = None
    return {item: tuple(below) for item, below in found.items()}


def pile_tops(every: Sequence[Placement]) -> dict[str, float]:
    """How high the highest pile reaches that has a piece of an item in it, mm, by item."""
    tops: dict[int, float] = {}
    for number in sorted(range(len(every)), key=lambda k: -every[k].z_mm):
        own = every[number]
        over = [tops[k] for k in tops if carries(own, every[k])]
        tops[number] = max([own.top_mm, *over])
    found: dict[str, float] = {}
    for number, top in tops.items():
        item = every[number].item
        found[item] = max(found.get(item, top), top)
    return found


def carries(below: Placement, above: Placement) -> bool:
    """Whether a body's top is where the other's underside is, and they meet in plan."""
    if below.top_mm < LEVEL_MM or abs(below.top_mm - above.z_mm) > LEVEL_MM:
        return False
    return overlap_in_plan(below, above)
