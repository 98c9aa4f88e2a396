"""The open box in its colours as one file for phones and posts."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fitcheck.fit.check import Check
from fitcheck.outputs.publish.fold_pictures import placed_parts
from fitcheck.outputs.report.bodies import bodies_of
from fitcheck.outputs.report.views.scenes import tones_of
from fitcheck.outputs.report.views.solids import BASE, CONTENT, LID, Solid, part_solids
from fitcheck.solids.write_glb import Coloured, encode

USUAL_RGB = (0.97, 0.96, 0.93)
"""Of a paper that nobody gave a colour."""


def box_glb(check: Check) -> bytes:
    """Base, contents and what closes it, drawn a little apart; each a node of its own."""
    stocks = {part.recipe.part: part.recipe.stock for part in check.assembly.parts}
    bodies = []
    for name, part, pose in placed_parts(check):
        tones = tones_of(stocks[name], BASE if name == "base" else LID)
        rgb = USUAL_RGB if stocks[name].colour is None else tones.tint
        bodies.append(Coloured(name, _triangles(part_solids(part, pose, tones)), rgb))
    grey = CONTENT.outside
    for number, body in enumerate(bodies_of(check), start=1):
        corners = [body.vertices[list(face)] for face in body.faces]
        bodies.append(Coloured(f"{body.item} {number}", _fans(corners), (grey, grey, grey)))
    return encode(bodies)


def _triangles(solids: Sequence[Solid]) -> np.ndarray:
    return _fans([face.corners for solid in solids for face in solid.faces])


def _fans(faces: Sequence[np.ndarray]) -> np.ndarray:
    """Convex faces as triangles, (n, 3, 3); those of no area left out."""
    found = np.array(
        [(ring[0], ring[k], ring[k + 1]) for ring in faces for k in range(1, len(ring) - 1)]
    )
    area = np.linalg.norm(np.cross(found[:, 1] - found[:, 0], found[:, 2] - found[:, 0]), axis=1)
    kept: np.ndarray = found[area > 1e-9]
    return kept
