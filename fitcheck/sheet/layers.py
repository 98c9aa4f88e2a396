"""Steps that lay paper on paper: corners turned in without a cut, walls folded down inside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fitcheck.pattern.bonds import Bond, JointKind
from fitcheck.pattern.pattern import Pattern, Role
from fitcheck.plain import lowered


@dataclass(frozen=True)
class TurnInCorner:
    """A square corner pinched along its diagonal and laid flat behind a wall, two layers."""

    under: str
    """The triangle on the wall, by its inside face."""
    over: str
    """The one that lies on it, both by their outside faces."""
    wall: str


@dataclass(frozen=True)
class FoldDown:
    """A wall folded down inside the wall that carries it."""

    panel: str
    wall: str
    rim: str | None
    """What is folded level between them; None where one score is folded right over."""
    glued: bool
    over: tuple[str, ...]
    """The tabs that it comes down over."""


def turned_in(pattern: Pattern) -> dict[str, TurnInCorner]:
    """The corners without a cut, each by the triangle that lies uppermost."""
    hems = {bond.panel: bond for bond in pattern.bonds_of(JointKind.HEM)}
    found = {}
    for web in pattern.webs:
        for under, over in ((web.parent, web.child), (web.child, web.parent)):
            corners = {bond.panel: bond for bond in pattern.corner_joints}
            if under in hems and over in corners:
                found[over] = TurnInCorner(under, over, corners[over].onto)
    return found


def folded_down(pattern: Pattern) -> Iterator[FoldDown]:
    """Walls that line the walls that carry them, in the pattern's order."""
    for bond in pattern.bonds_of(JointKind.LINING, JointKind.HEM):
        if pattern.panel(bond.panel).role is not Role.INNER_WALL:
            continue
        on_the_way = [line.child for line in pattern.chain(bond.panel)[:-1]]
        rim = on_the_way[-1] if on_the_way[-1] != bond.onto else None
        yield FoldDown(bond.panel, bond.onto, rim, bond.glued, _tabs_behind(pattern, bond))


def _tabs_behind(pattern: Pattern, bond: Bond) -> tuple[str, ...]:
    if not bond.between:
        return ()
    return tuple(joint.panel for joint in pattern.corner_joints if joint.onto == bond.onto)


def corner_words(corners: Sequence[TurnInCorner]) -> tuple[str, tuple[str, ...]]:
    """One instruction for all corners that are turned in, with a line for each."""
    text = (
        "Stand the walls up and pinch each corner along its slanted crease, its two triangles "
        "outside on outside, so that it points into the box. Put adhesive between the two, and on "
        "the inside face of the one that hangs on the wall named here; lay the corner flat "
        "against the inside of that wall and press, the edges at the rim flush:"
    )
    lines = (
        f"{one.under}: onto the inside of the {one.wall}; {one.over}: on it" for one in corners
    )
    return text, tuple(lines)


def same_way(one: FoldDown, other: FoldDown) -> bool:
    """Whether two walls are folded down alike."""
    first, second = (
        (own.glued, own.rim is None, len(own.over), _side(own.panel)[1], _side(own.wall)[1])
        for own in (one, other)
    )
    return first == second


def down_words(steps: Sequence[FoldDown]) -> str:
    """One instruction for walls that are folded down alike."""
    first = steps[0]
    over = f", over its {len(first.over)} tabs" if first.over else ""
    if len(steps) == 1:
        what, wall, rim = f"the {first.panel}", f"the {first.wall}", f"the {first.rim}"
    else:
        sides = [_side(step.panel)[0] for step in steps]
        kind = _side(first.panel)[1]
        what, wall, rim = f"the {kind}", f"the {_side(first.wall)[1]}", "the rim"
    fold = f"fold {rim} level and " if first.rim else "fold "
    way = f"{what} down inside {wall}{over}"
    if first.glued:
        start = f"Put adhesive on the inside face of {what}"
        foot = " along its lower edge" if first.rim else ""
        text = f"{start}{foot}; {fold}{way}, and press them together."
    else:
        text = (
            f"{fold[0].upper()}{fold[1:]}{way}, and press its lower edge onto the floor: no "
            "adhesive."
        )
    return text if len(steps) == 1 else f"At the {' and the '.join(sides)}: {lowered(text)}"


def _side(panel: str) -> tuple[str, str]:
    """A panel's side and what it is there."""
    side, _, kind = panel.partition(" ")
    return side, kind
