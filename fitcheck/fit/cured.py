"""The sizes of a design that let its contents in, or its lid's rim off the table."""

from __future__ import annotations

from fitcheck.design.model import Design
from fitcheck.fit.check import Check
from fitcheck.fit.cure_steps import on_floor
from fitcheck.fit.cures import cures_of
from fitcheck.fit.right import enough
from fitcheck.styles.part import SizeBy


def cured_depths(found: Check) -> list[float]:
    """Depths of the base with which its contents go in or its lid's rim is off the table, mm.

    None of them where nothing is short of it.
    """
    depths = {cure.depth_mm for cure in cures_of(found) if cure and cure.depth_mm is not None}
    if found.lid is not None and not enough(found.lid.rim_mm):
        depths.add(found.design.base.depth_mm - found.lid.reveal_mm)
    return sorted(depths)


def cured_floor(found: Check) -> Design | None:
    """The design on the least floor that lets its contents in; None where it is not known.

    A base whose size is not its floor would be written by another key.
    """
    design = found.design
    cure = next((one for one in cures_of(found) if one and one.floor_mm is not None), None)
    if cure is None or cure.floor_mm is None or design.base.size_by is not SizeBy.FLOOR:
        return None
    return on_floor(found, cure.floor_mm, cure.floor_depth_mm or design.base.depth_mm)


def cured_lid_depth(found: Check) -> float | None:
    """The greatest depth of a lid of its own with which its rim is off the table, mm.

    None where it is so, or where no such lid is left.
    """
    lid = found.design.lid
    if found.lid is None or lid is None or not lid.own_depth or enough(found.lid.rim_mm):
        return None
    depth = lid.depth_mm + found.lid.reveal_mm
    return depth if depth > 0.0 else None
