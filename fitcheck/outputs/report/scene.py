"""The scene of the turning view: base, lid and contents as they were checked, as plain data."""

from __future__ import annotations

from typing import Any

import numpy as np

from fitcheck.fit.check import Check
from fitcheck.fit.lid import lid_pose
from fitcheck.fit.stood import stood_parts
from fitcheck.outputs.report.bodies import Body, bodies_of
from fitcheck.outputs.report.folds import part_folds
from fitcheck.outputs.report.packed import Packer
from fitcheck.outputs.report.places import Place


def scene_data(check: Check, places: tuple[Place, ...]) -> dict[str, Any]:
    """Everything that the page's script draws; lengths in mm, coordinates packed to 16 bits."""
    packer = Packer()
    base, lid = check.assembly.base, check.assembly.lid
    parts = [part_folds(base.folded, np.eye(4), packer)]
    lift = 0.0
    if lid is not None and check.lid is not None:
        parts.append(part_folds(lid.folded, lid_pose(lid.folded, check.lid.seat_mm), packer))
        lift = base.sizes.height_mm + lid.sizes.height_mm + 12.0
    for part, pose in stood_parts(check.assembly):
        parts.append(part_folds(part, pose, packer) | {"stands": True})
    contents = [_content(body, packer) for body in bodies_of(check)]
    return {
        "parts": parts,
        "lift": round(lift, 3),
        "contents": contents,
        "places": [
            {"part": p.part, "at": [round(v, 4) for v in p.at_mm], "label": p.label} for p in places
        ],
        "points": packer.packed(),
    }


def _content(body: Body, packer: Packer) -> dict[str, Any]:
    return {
        "name": body.item,
        "vertices": packer.add(body.vertices),
        "faces": [list(face) for face in body.faces],
        "smooth": body.smooth,
    }
