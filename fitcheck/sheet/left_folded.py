"""How far creases are folded in the end, and those that stay so though nothing glues them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.plain import joined

RIGHT_DEG, HALF_TURN_DEG = 90.0, 180.0
DIGITS = 1
"""Decimals of a degree that are told."""
Angles = tuple[tuple[float, tuple[str, ...]], ...]
"""Degrees from flat, either way, with the creases that are folded so, in the pattern's order."""


@dataclass(frozen=True)
class LeaveFolded:
    """All creases of what no flap holds are folded again and left so."""

    angles: Angles
    walls: bool
    """Whether walls stand up that meet at corners."""


def folded_deg(line: CreaseLine) -> float:
    """How far a crease is folded, degrees from flat, either way."""
    return round(math.degrees(abs(line.angle_rad)), DIGITS)


def oblique(pattern: Pattern) -> Angles:
    """The angles that are neither right nor half a turn, and their creases."""
    usual = (RIGHT_DEG, HALF_TURN_DEG)
    return tuple(own for own in _angles(pattern.lines) if own[0] not in usual)


def left_folded(pattern: Pattern) -> Iterator[LeaveFolded]:
    """What is left folded by itself: a part that is bonded, tucked or stood in is held by that."""
    held = pattern.bonds or pattern.tucks or pattern.on_end or pattern.turned or pattern.row
    lines = [line for line in pattern.lines if line.child not in pattern.hung]
    if lines and not held:
        walls = [panel for panel in pattern.panels if panel.role is Role.WALL]
        yield LeaveFolded(_angles(lines), len(walls) > 1)


def _angles(lines: Sequence[CreaseLine]) -> Angles:
    found: dict[float, list[str]] = {}
    for line in lines:
        found.setdefault(folded_deg(line), []).append(line.name)
    return tuple((deg, tuple(names)) for deg, names in found.items())


def degrees(deg: float) -> str:
    """An angle in a maker's words.

    >>> degrees(75.0), degrees(90.0)
    ('75 degrees from flat, 105 degrees between the two panels', 'a right angle')
    """
    if deg == RIGHT_DEG:
        return "a right angle"
    if deg == HALF_TURN_DEG:
        return "half a turn, one panel flat on the other"
    between = round(HALF_TURN_DEG - deg, DIGITS)
    return f"{from_flat(deg)}, {between:g} degrees between the two panels"


def from_flat(deg: float) -> str:
    """The same, short."""
    return f"{deg:g} degrees from flat"


def angle_lines(angles: Angles, scores: int) -> Iterator[str]:
    """A line for each angle that creases have in the end, of so many."""
    for deg, names in angles:
        which = "all of them" if len(names) == scores else joined(names)
        yield f"in the end at {degrees(deg)}: {which}"


def left_words(step: LeaveFolded) -> tuple[str, tuple[str, ...]]:
    """One instruction, with a line for each angle where there are several."""
    start = "Stand the walls up: fold" if step.walls else "Fold"
    tape = (
        " No flap holds the corners: tape them from outside, where walls meet."
        if step.walls
        else " Nothing is glued: hold it as its style needs it."
    )
    text = f"{start} every crease again, the way it went before, and leave it"
    if len(step.angles) == 1:
        return f"{text} at {degrees(step.angles[0][0])}.{tape}", ()
    lines = (f"at {degrees(deg)}: {joined(names)}" for deg, names in step.angles)
    return f"{text} so.{tape}", tuple(lines)
