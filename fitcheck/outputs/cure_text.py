"""What a content that does not go in is short of, and what to change, in one sentence."""

from __future__ import annotations

from fitcheck.fit.cures import Cure
from fitcheck.units import Unit, show_length

WORDS = {"width": "too wide", "length": "too long", "height": "too tall"}


def cure_text(cure: Cure, count: int, unit: Unit) -> str:
    """For one line of contents of that count; empty where nothing is known."""
    parts = []
    if cure.missing_mm is not None and cure.along is not None:
        parts.append(f"{cure.missing_mm:.2f} mm {WORDS[cure.along]}")
    if cure.needs_mm is not None and count > 1:
        width, length = cure.needs_mm
        parts.append(f"{count} go into about {width:.0f} x {length:.0f} mm")
    changes = _changes(cure, unit)
    if changes:
        parts.append(changes)
    if cure.holds is not None and count > 1:
        parts.append(f"{cure.holds} {'goes' if cure.holds == 1 else 'go'} in as it is")
    return "; ".join(parts)


def _changes(cure: Cure, unit: Unit) -> str:
    ways = []
    if cure.depth_mm is not None:
        deep = show_length(cure.depth_mm, unit)
        ways.append(f"make the base {deep} deep{_inner(cure, cure.depth_mm, unit)}")
    if cure.floor_mm is not None:
        way = f"make the base's floor {_by(cure.floor_mm, unit)} score to score"
        if cure.floor_depth_mm is not None:
            depth = cure.floor_depth_mm
            way += f" and {show_length(depth, unit)} deep{_inner(cure, depth, unit)}"
        if cure.lid_mm is not None:
            way += f" and the lid {_by(cure.lid_mm, unit)}"
        ways.append(way)
    return ", or ".join(ways)


def _inner(cure: Cure, depth_mm: float, unit: Unit) -> str:
    """The inner wall to go with a depth, where the design gives one."""
    if cure.inner_less_mm is None:
        return ""
    return f", its inner wall {show_length(depth_mm - cure.inner_less_mm, unit)}"


def _by(pair: tuple[float, float], unit: Unit) -> str:
    return " by ".join(show_length(side, unit) for side in pair)
