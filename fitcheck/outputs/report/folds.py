"""What a browser needs to fold a part as it was folded here: plates, bends and the crease tree.

At the end of the slider every plate and bend is the checked one. On the way each crease bends its
own strip evenly: the strip keeps its flat length, so its radius grows as its angle shrinks.
"""

from __future__ import annotations

from typing import Any

from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import Array
from fitcheck.folding.prisms import Plate
from fitcheck.outputs.report.packed import Packer
from fitcheck.pattern.pattern import Role

DIGITS = 7
OVERLAP = 0.5
"""How much of its turn a stage shares with the one before."""


def part_folds(part: FoldedPart, pose: Array, packer: Packer) -> dict[str, Any]:
    """One part as plain data; `pose` (4, 4) carries it from its own place to that on the table."""
    behind = {panel.name for panel in part.pattern.panels if panel.role is Role.TAB}
    behind |= {lap.under for lap in part.pattern.laps}
    order = {panel.name: i for i, panel in enumerate(part.pattern.panels)}
    stages = _stages(part)
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
        "creases": [_crease(part, k, order, stages) for k in range(len(part.pattern.lines))],
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
    stages: dict[str, tuple[float, float]],
) -> dict[str, Any]:
    line, web = part.pattern.lines[k], k >= len(part.pattern.creases)
    origin, outward = part.layout.origins[0, k], part.layout.outwards[0, k]
    angle = line.angle_rad if web else part.angles[line.child]
    return {
        "parent": order[line.parent],
        "child": order[line.child],
        "origin": [round(float(value), DIGITS) for value in origin],
        "outward": [round(float(value), DIGITS) for value in outward],
        "angle": round(angle, DIGITS),
        **_law(part, k),
        **({"web": True} if web else {}),
        "from": round(stages[line.child][0], 4),
        "to": round(stages[line.child][1], 4),
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


def _stages(part: FoldedPart) -> dict[str, tuple[float, float]]:
    """The stretch of the slider in which each crease turns, in the order of the bench.

    Tabs first, then what lies furthest from the floor, then the walls: those that carry tabs
    before the ones that are glued over them. A lid in one piece with them closes last.
    """
    pattern = part.pattern
    carriers = {pattern.crease_to(joint.panel).parent for joint in pattern.corner_joints}
    rank: dict[str, float] = {}
    for line in pattern.creases:
        depth = len(pattern.chain(line.child))
        if pattern.panel(line.child).role is Role.TAB:
            rank[line.child] = -100
        elif pattern.panel(line.child).role is Role.LID:
            rank[line.child] = 0
        elif pattern.panel(line.child).role is Role.DUST_FLAP:
            rank[line.child] = -0.5
        else:
            rank[line.child] = -2 * depth + (0 if line.child in carriers else 1)
    steps = sorted(set(rank.values()))
    share = 1.0 / (1.0 + (len(steps) - 1) * (1.0 - OVERLAP))
    starts = {step: i * share * (1.0 - OVERLAP) for i, step in enumerate(steps)}
    return {child: (starts[r], starts[r] + share) for child, r in rank.items()}
