"""What a browser needs to fold a part as it was folded here: plates, bends and the crease tree.

At the end of the making every plate and bend is the checked one. On the way each crease bends its
own strip evenly: the strip keeps its flat length, so its radius grows as its angle shrinks.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import Array
from fitcheck.folding.prisms import Plate
from fitcheck.outputs.report.packed import Packer
from fitcheck.pattern.pattern import Role

DIGITS = 7


def part_folds(
    part: FoldedPart,
    pose: Array,
    packer: Packer,
    windows: Mapping[str, tuple[float, float]] | None = None,
) -> dict[str, Any]:
    """One part as plain data; `pose` (4, 4) carries it from its own place to that on the table.

    `windows` say by panel in which stretch of the folding, 0 to 1, its crease turns; in the whole
    of it where nothing is said.
    """
    behind = {panel.name for panel in part.pattern.panels if panel.role is Role.TAB}
    behind |= {lap.under for lap in part.pattern.laps}
    order = {panel.name: i for i, panel in enumerate(part.pattern.panels)}
    own = windows or {}
    crease = part.crease
    return {
        "name": part.name,
        "pose": [round(float(value), DIGITS) for value in pose.ravel()],
        "thickness": crease.caliper_mm,
        "radius": crease.radius_mm,
        "neutral": crease.neutral * crease.caliper_mm,
        "plates": [
            {"name": plate.name, **_cells(plate, packer), "behind": plate.name in behind}
            for plate in part.plates
        ],
        "creases": [_crease(part, k, order, own) for k in range(len(part.pattern.lines))],
        "bends": [
            {
                "crease": _crease_index(part, bend.name),
                "start": round(bend.start_rad, DIGITS),
                "stop": round(bend.stop_rad, DIGITS),
                "ends": [round(end, DIGITS) for end in (*bend.ends_start, *bend.ends_stop)],
            }
            for bend in part.bends
        ],
    }


def _cells(plate: Plate, packer: Packer) -> dict[str, Any]:
    """A plate's outline, or its convex cells with the sides across which it goes on."""
    if len(plate.cells) == 1:
        return {"outline": packer.add(plate.outline)}
    inner = sorted(plate.inner_sides())
    return {
        "cells": [
            {"outline": packer.add(cell), "inner": [side for own, side in inner if own == k]}
            for k, cell in enumerate(plate.cells)
        ]
    }


def _crease(
    part: FoldedPart,
    k: int,
    order: dict[str, int],
    windows: Mapping[str, tuple[float, float]],
) -> dict[str, Any]:
    line, web = part.pattern.lines[k], k >= len(part.pattern.creases)
    origin, outward = part.layout.origins[0, k], part.layout.outwards[0, k]
    start, stop = windows.get(line.child, (0.0, 1.0))
    angle = line.angle_rad if web else part.angles[line.child]
    return {
        "parent": order[line.parent],
        "child": order[line.child],
        "origin": [round(float(value), DIGITS) for value in origin],
        "outward": [round(float(value), DIGITS) for value in outward],
        "angle": round(angle, DIGITS),
        **_law(part, k),
        **({"web": True} if web else {}),
        "from": round(start, 4),
        "to": round(stop, 4),
    }


def _law(part: FoldedPart, k: int) -> dict[str, float]:
    """How the paper bends along one score, where it is not as along the others."""
    creases = part.layout.creases
    radius, flat = float(creases.radius_mm[0, k]), float(creases.flat_mm_per_rad[0, k])
    skin, paper = float(creases.skin_mm[0, k]), part.crease
    if (radius, flat, skin) == (paper.radius_mm, paper.flat_length(1.0), paper.caliper_mm):
        return {}
    cut = {} if skin == part.caliper_mm else {"skin": skin}
    return {"radius": radius, "neutral": flat - radius} | cut


def _crease_index(part: FoldedPart, name: str) -> int:
    return next(i for i, line in enumerate(part.pattern.lines) if line.name == name)
