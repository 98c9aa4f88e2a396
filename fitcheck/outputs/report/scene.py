"""The scene of the turning view: parts and contents as they were checked, as plain data."""

from __future__ import annotations

from typing import Any

import numpy as np

from fitcheck.feel.feel import feel_of
from fitcheck.fit.check import Check
from fitcheck.outputs.report.bodies import Body, bodies_of
from fitcheck.outputs.report.folds import part_folds
from fitcheck.outputs.report.making import making_of
from fitcheck.outputs.report.packed import Packer
from fitcheck.outputs.report.places import Place
from fitcheck.outputs.report.sinking import sink_scene
from fitcheck.outputs.report.standing import standing
from fitcheck.workspace.colours import rgb


def scene_data(check: Check, places: tuple[Place, ...]) -> dict[str, Any]:
    """Everything that the page's script draws; lengths in mm, coordinates packed to 16 bits."""
    packer = Packer()
    stand = standing(check)
    making = making_of(check)
    parts = [
        part_folds(one.part, one.pose, packer, making.windows.get(one.name))
        | {"way": [round(mm, 3) for mm in one.way.tolist()]}
        | ({"stays": True} if one.stays else {})
        | _tint(check, one.name)
        for one in stand
    ]
    arc = max(float(np.linalg.norm(one.way)) for one in stand)
    contents = [_content(body, packer) for body in bodies_of(check)]
    return {
        "parts": parts,
        "arc": round(arc, 3),
        "making": [state.data() for state in making.states],
        "contents": contents,
        "places": [_place(place) for place in places],
        "points": packer.packed(),
    } | sink_scene(feel_of(check))


def _tint(check: Check, name: str) -> dict[str, Any]:
    """The colour of a part's paper and its print, where it has them."""
    part = check.assembly.part(name)
    if part is None:
        return {}
    stock = part.recipe.stock
    found: dict[str, Any] = {}
    if stock.colour is not None:
        found["tint"] = [round(channel, 4) for channel in rgb(stock.colour)]
    if stock.printed is not None:
        found["printed"] = stock.printed.value
    return found


def _place(place: Place) -> dict[str, Any]:
    across = place.across_mm
    sides = {} if across is None else {"across": [round(mm, 4) for mm in across]}
    at = [round(mm, 4) for mm in place.at_mm]
    return {"part": place.part, "at": at, "label": place.label} | sides


def _content(body: Body, packer: Packer) -> dict[str, Any]:
    return {
        "name": body.item,
        "vertices": packer.add(body.vertices),
        "faces": [list(face) for face in body.faces],
        "smooth": body.smooth,
    }
