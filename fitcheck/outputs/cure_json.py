"""What contents are short of, as JSON: the cures of a box as drawn."""

from __future__ import annotations

from typing import Any

from fitcheck.fit.cures import Cure
from fitcheck.fit.inner_cures import Inner
from fitcheck.outputs.json_lengths import pair_of, rounded


def missing_data(cure: Cure | None) -> dict[str, Any]:
    """What a content that does not fit is short of, and what cures it."""
    if cure is None:
        return {"missing_mm": None, "cure": None}
    return {
        "missing_mm": None if cure.missing_mm is None else rounded(cure.missing_mm),
        "cure": {
            "along": cure.along,
            "misses_mm": None if cure.misses_mm is None else pair_of(cure.misses_mm),
            "base_depth_mm": None if cure.depth_mm is None else rounded(cure.depth_mm),
            "base_least_depth_mm": None
            if cure.least_depth_mm is None
            else rounded(cure.least_depth_mm),
            "base_floor_mm": None if cure.floor_mm is None else pair_of(cure.floor_mm),
            "base_floor_depth_mm": None
            if cure.floor_depth_mm is None
            else rounded(cure.floor_depth_mm),
            "lid_size_mm": None if cure.lid_mm is None else pair_of(cure.lid_mm),
            "needs_mm": None if cure.needs_mm is None else pair_of(cure.needs_mm),
            "holds": cure.holds,
            "inner": [_inner(one) for one in cure.inner],
        },
    }


def _inner(inner: Inner) -> dict[str, Any]:
    """What lets contents into a window or a compartment; null where something stays as it is."""
    lengths = {
        "window_mm": inner.window_mm,
        "pitch_mm": inner.pitch_mm,
        "base_floor_mm": inner.floor_mm,
        "cut_mm": inner.cut_mm,
    }
    counts = inner.compartments
    return {
        **{key: None if pair is None else pair_of(pair) for key, pair in lengths.items()},
        "columns": None if counts is None else counts[0],
        "rows": None if counts is None else counts[1],
    }
