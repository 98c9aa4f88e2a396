"""The two views of a checked box: closed up as folded, and taken apart along the lid's path."""

from __future__ import annotations

import numpy as np

from fitcheck.fit.check import Check
from fitcheck.fit.lid import lid_pose
from fitcheck.fit.stood import stood_parts
from fitcheck.folding.measure import PartSizes
from fitcheck.folding.pose import translation
from fitcheck.outputs.report.bodies import bodies_of
from fitcheck.outputs.report.places import Place
from fitcheck.outputs.report.svg import Drawing
from fitcheck.outputs.report.views.solids import BASE, CONTENT, LID, Solid, body_solid, part_solids
from fitcheck.outputs.report.views.view import view

OPENED = 0.55
"""How far the folded view opens the lid, as a share of the base's footprint."""
APART_MM = 12.0


def folded_view(check: Check, places: tuple[Place, ...]) -> Drawing:
    """The folded base with its contents, the lid lifted so far that they are seen."""
    base = check.assembly.base
    lift = OPENED * max(base.sizes.outside_mm)
    words = _words(check, "with the lid lifted along its path")
    shown = tuple(place for place in places if place.part == "base")
    return view("folded", f"{check.design.title}: folded", words, _solids(check, 0.0, lift), shown)


def exploded_view(check: Check) -> Drawing:
    """Base, contents and lid drawn apart along the path that they go together by."""
    base = check.assembly.base
    bodies = bodies_of(check)
    height = base.sizes.height_mm
    tall = max((float(np.ptp(body.vertices[:, 2])) for body in bodies), default=0.0)
    out = height + APART_MM + 0.45 * max(base.sizes.outside_mm)
    rings = [part.height_mm for part in _stood(check)]
    taken_out = out
    out += sum(ring + APART_MM for ring in rings)
    lift = out + tall + APART_MM + (0.45 * max(base.sizes.outside_mm) if bodies else 0.0)
    words = _words(check, "drawn apart, contents between base and lid")
    solids = _solids(check, out, lift, taken_out)
    return view("exploded", f"{check.design.title}: taken apart", words, solids)


def _stood(check: Check) -> list[PartSizes]:
    """The sizes of what stands in the base."""
    names = {part.name for part, _ in stood_parts(check.assembly)}
    return [part.sizes for part in check.assembly.parts if part.recipe.part in names]


def _solids(
    check: Check, content_lift: float, lid_lift: float, stood_lift: float = 0.0
) -> list[Solid]:
    up = np.array([0.0, 0.0, 1.0])
    base, lid = check.assembly.base, check.assembly.lid
    solids = part_solids(base.folded, np.eye(4), BASE)
    for part, pose in stood_parts(check.assembly):
        solids += part_solids(part, translation(up * stood_lift) @ pose, BASE)
    for body in bodies_of(check):
        solids.append(
            body_solid(body.vertices + up * content_lift, body.faces, body.smooth, CONTENT)
        )
    if lid is not None and check.lid is not None:
        pose = translation(up * lid_lift) @ lid_pose(lid.folded, check.lid.seat_mm)
        solids += part_solids(lid.folded, pose, LID)
    return solids


def _words(check: Check, how: str) -> str:
    named = [f"{fit.content.count} x {fit.content.item.name}" for fit in check.contents]
    inside = f" holding {', '.join(named)}" if named else ""
    # strips have the name of their style already
    parts = " and ".join(
        p.recipe.part if p.pattern.row else f"{p.recipe.style} {p.recipe.part}"
        for p in check.assembly.parts
    )
    return f"A {parts}{inside}, {how}."
