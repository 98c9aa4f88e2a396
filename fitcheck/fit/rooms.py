"""The room that a box leaves its contents: how high what closes it lies, and the cavity below."""

from __future__ import annotations

import math
from collections.abc import Iterator

from fitcheck.fit.assembly import Assembly
from fitcheck.fit.cavity import Cavity, cavity_of
from fitcheck.fit.lid import LidFit
from fitcheck.fit.mates import cover_of, height_below
from fitcheck.fit.neck import fit_lid_of
from fitcheck.fit.stood import Stood, rises_mm, stood_in, walls_of

Height = tuple[float, float]
"""Of a room, and of the rim over which nothing is piled, mm; infinite where there is none."""


def ceiling_of(assembly: Assembly, lid: LidFit | None) -> float | None:
    """Height of what closes the box above the base's floor, inside; None where it stays open.

    A lid that falls into the base, or is held up by the table, leaves at least the base's depth.
    """
    if lid is None or assembly.lid is None:
        cover = cover_of(assembly.design)
        return None if cover is None else height_below(cover, assembly.folded)
    base = assembly.base
    closed = lid.closed_height_mm - assembly.lid.folded.caliper_mm
    return max(closed, base.sizes.height_mm) - base.folded.caliper_mm


def cavity_in(assembly: Assembly, ceiling_mm: float | None) -> Cavity:
    """The inside of the base, of the ring that stands in it, or of its tightest compartment."""
    base, stood = assembly.base, stood_in(assembly)
    tucked = bool(base.pattern.tucks)
    bare = not (base.pattern.hung or tucked)
    inside, depth = base.sizes.inside_mm, base.sizes.depth_mm
    if not (stood.mates or stood.underlaid):
        own = base.folded.opened
        return cavity_of(own, inside, depth, ceiling_mm, bare=bare, tucked=tucked)
    walls = walls_of(stood, [part.folded for part in assembly.parts])
    if stood.inside_mm is not None:
        return cavity_of(walls, stood.inside_mm, depth, ceiling_mm, bare=False, tucked=tucked)
    if stood.raised or stood.underlaid:
        depth, ceiling = _over_rise(assembly, stood, ceiling_mm)
        bare = bare and assembly.ring is None
        return cavity_of(walls, inside, depth, ceiling, bare=bare, tucked=tucked)
    sizes = [base.sizes]
    for one in stood.mates:
        part = assembly.part(one.mate.mover)
        assert part is not None, "what stands in the base is a part"
        sizes.append(part.sizes)
    inside = min(own.inside_mm[0] for own in sizes), min(own.inside_mm[1] for own in sizes)
    depth = base.sizes.depth_mm + walls.height_mm - base.folded.height_mm
    return cavity_of(walls, inside, depth, ceiling_mm, bare=False, tucked=tucked)


def _over_rise(
    assembly: Assembly, stood: Stood, ceiling_mm: float | None
) -> tuple[float, float | None]:
    """The base's rim and what closes it over what contents stand on, mm."""
    depth = assembly.base.sizes.depth_mm
    if not (stood.raised or stood.underlaid):
        return depth, ceiling_mm
    (rise,) = rises_mm(stood, [[part.folded for part in assembly.parts]])
    # the depth of a base that has flaps on its floor is measured from those
    below = 0.0 if stood.underlaid else rise
    return depth - below, None if ceiling_mm is None else ceiling_mm - rise


def heights_in(assembly: Assembly) -> Iterator[Height]:
    """The rooms that contents may take, the lowest first: below the base's rim, then up to what
    closes it, or out of it where it stays open. What slides or turns over a base may be too low.
    """
    stood = stood_in(assembly)
    rim, _ = _over_rise(assembly, stood, None)
    if rim > 0.0:
        yield rim, rim
    _, ceiling = _over_rise(
        assembly, stood, ceiling_of(assembly, fit_lid_of(assembly, assembly.design.bands))
    )
    if ceiling is not None and ceiling > rim:
        yield ceiling, math.inf
    if assembly.lid is None and rim > 0.0:
        yield math.inf, rim
