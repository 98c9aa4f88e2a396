"""Where it matters: the lid's limiting pair and every press inside a part, with millimetres."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.findings import show_press
from fitcheck.fit.check import Check
from fitcheck.fit.mates import MateFit
from fitcheck.fit.remarks import spoken
from fitcheck.fit.travel import Stop, Travel
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pose import Array, apply
from fitcheck.outputs.report.section import drawer_of, up_of
from fitcheck.outputs.report.standing import standing


@dataclass(frozen=True)
class Place:
    """A place to point at."""

    part: str
    """The part that it moves with."""
    at_mm: tuple[float, float, float]
    """With the lid on; of the play, on the side that faces the usual view."""
    label: str
    """Short, for the picture."""
    words: str
    """A sentence for the list."""
    across_mm: tuple[float, float, float] | None = None
    """Of the play, the same place on the other side."""


def places_of(check: Check) -> tuple[Place, ...]:
    """The limiting pair first, then the presses of all parts."""
    return (*_limit(check), *_presses(check))


def _limit(check: Check) -> list[Place]:
    lid = check.lid
    if lid is None:
        return _drawer_limit(check)
    travel = lid.slide.tighter
    stop = travel.limiting
    if stop is None:
        return []
    play = lid.slide.tighter.play_mm
    said = f"play {play:.2f} mm" if play >= 0.0 else f"presses {show_press(-play)}"
    words = (
        f"Narrowest, along the {lid.slide.tighter.axis}: the lid's {stop.outer} "
        f"on the {check.below_lid(stop.inner)}'s {stop.inner}, {said} in all."
    )
    if travel.low is None or travel.high is None:
        return [Place("base", stop.at_mm, said, words)]
    return [Place("base", travel.low.at_mm, said, words, travel.high.at_mm)]


def _drawer_limit(check: Check) -> list[Place]:
    """Where a drawer comes nearest to its sleeve across its way, and upwards where that is nearer.

    The first is the place that is magnified.
    """
    found = drawer_of(check)
    if found is None:
        return []
    fit, travel = found
    up = up_of(fit)
    assert travel.low is not None and travel.high is not None
    if up.play_mm >= travel.play_mm or up.high is None:
        said, words = _drawer_words("Narrowest, across its way", fit, travel, travel.limiting)
        return [Place(fit.mate.mover, travel.low.at_mm, said, words, travel.high.at_mm)]
    said, words = _drawer_words("Across its way", fit, travel, travel.limiting)
    least, narrowest = _drawer_words("Narrowest, upwards", fit, up, up.high)
    return [
        Place(fit.mate.mover, travel.low.at_mm, f"{said} across", words, travel.high.at_mm),
        Place(fit.mate.mover, up.high.at_mm, f"{least} up", narrowest),
    ]


def _drawer_words(where: str, fit: MateFit, travel: Travel, stop: Stop | None) -> tuple[str, str]:
    """What is said of a drawer's play in the picture and in the list, and where it stops."""
    play = travel.play_mm
    assert stop is not None
    said = f"play {play:.2f} mm" if play >= 0.0 else f"presses {show_press(-play)}"
    outer, inner = spoken(stop.outer), spoken(stop.inner)
    pieces = f"the {fit.mate.holder}'s {outer} on the {fit.mate.mover}'s {inner}"
    return said, f"{where}: {pieces}, {said} in all."


def _presses(check: Check) -> list[Place]:
    found = []
    poses = {one.name: one.pose for one in standing(check)}
    for part in check.assembly.parts:
        name = part.recipe.part
        pose = poses.get(name, np.eye(4))
        for press in check.presses[name]:
            x, y, z = apply(pose, _meeting(part.folded, press.pieces)[None])[0]
            cure = (
                f"; cut {press.trim.by_mm:.2f} mm off the {press.trim.panel}" if press.trim else ""
            )
            found.append(
                Place(
                    name,
                    (float(x), float(y), float(z)),
                    f"presses {show_press(press.press_mm)}",
                    f"The {name}'s {press.pieces[0]} presses {show_press(press.press_mm)} into its "
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
