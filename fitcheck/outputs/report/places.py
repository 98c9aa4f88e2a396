"""Where it matters: the lid's limiting pair and every press inside a part, with millimetres."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.fit.check import Check
from fitcheck.fit.lid import lid_pose
from fitcheck.fit.stood import stood_parts
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import Array, apply


@dataclass(frozen=True)
class Place:
    """A place to point at."""

    part: str
    """The part that it moves with."""
    at_mm: tuple[float, float, float]
    """With the lid on."""
    label: str
    """Short, for the picture."""
    words: str
    """A sentence for the list."""


def places_of(check: Check) -> tuple[Place, ...]:
    """The limiting pair first, then the presses of base and lid."""
    return (*_limit(check), *_presses(check))


def _limit(check: Check) -> list[Place]:
    lid = check.lid
    stop = lid.slide.tighter.limiting if lid else None
    if lid is None or stop is None:
        return []
    play = lid.slide.tighter.play_mm
    said = f"play {play:.2f} mm" if play >= 0.0 else f"presses {-play:.2f} mm"
    words = (
        f"Narrowest, along the {lid.slide.tighter.axis}: the lid's {stop.outer} "
        f"on the {check.below_lid(stop.inner)}'s {stop.inner}, {said} in all."
    )
    return [Place("base", stop.at_mm, said, words)]


def _presses(check: Check) -> list[Place]:
    found = []
    stood = {part.name: pose for part, pose in stood_parts(check.assembly)}
    for part in check.assembly.parts:
        name = part.recipe.part
        pose = np.eye(4)
        if name == "lid" and check.lid is not None:
            pose = lid_pose(part.folded, check.lid.seat_mm)
        pose = stood.get(name, pose)
        for press in check.presses[name]:
            x, y, z = apply(pose, _meeting(part.folded, press.pieces)[None])[0]
            cure = (
                f"; cut {press.trim.by_mm:.2f} mm off the {press.trim.panel}" if press.trim else ""
            )
            found.append(
                Place(
                    name,
                    (float(x), float(y), float(z)),
                    f"presses {press.press_mm:.2f} mm",
                    f"The {name}'s {press.pieces[0]} presses {press.press_mm:.2f} mm into its "
                    f"{press.pieces[1]}{cure}.",
                )
            )
    return found


def _meeting(part: FoldedPart, names: tuple[str, str]) -> Array:
    """The middle of where the boxes round two pieces overlap, (3,) mm."""
    low, high = np.full(3, -np.inf), np.full(3, np.inf)
    for name in names:
        own = np.vstack([piece.vertices for piece in part.pieces if piece.name == name])
        low, high = np.maximum(low, own.min(axis=0)), np.minimum(high, own.max(axis=0))
    middle: Array = 0.5 * (low + high)
    return middle
