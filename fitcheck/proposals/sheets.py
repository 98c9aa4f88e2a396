"""What a proposal's parts are cut from: none is larger than every sheet that the workshop has."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from fitcheck.errors import InputError
from fitcheck.fit.assembly import Part
from fitcheck.fit.check import Check
from fitcheck.fit.held import half_of, held_half
from fitcheck.fit.sheets import larger_parts
from fitcheck.pattern.counted import sheet_by_hand_mm
from fitcheck.pattern.plan import plan_of
from fitcheck.plain import shown
from fitcheck.proposals.steps import Steps
from fitcheck.proposals.wish import Wish
from fitcheck.stock.bought_sheets import largest
from fitcheck.units import show_hands
from fitcheck.workspace.size_texts import size_words

TRIES = 7
"""So often is a smaller room tried, each time halving what is left."""
FEWER = 0.85
"""So many of a count are tried next where it is too many."""
Proposes = Callable[[Wish], Check | None]
"""How a wish comes out as drawn; None where no box holds it."""


def refuse_too_large(wish: Wish, found: Check, propose: Proposes) -> None:
    """Raises InputError for a part that no sheet holds, with what would do.

    A ring may be larger where a sheet holds half of it: it is made from two strips.
    """
    part = too_large(found)
    if part is None:
        return
    tools, half = found.design.tools, half_of(part.recipe)
    takes = "a sheet of" if half is None else "two strips of"
    sides = sheet_by_hand_mm(plan_of(half or part.pattern), wish.unit, tools)
    size = show_hands(sides, wish.unit, " x ")
    have = " or ".join(paper.name for paper in largest(tools.papers))
    holds = f"what a sheet of {have} holds{_instead(wish, found, propose)}"
    named = "" if tools.papers_known else " and call it with --tools my-sheets"
    raise InputError(
        f"{_read(wish)}, and the {part.recipe.part} would take {takes} {size}; allowed: {holds}"
        f"; make it smaller, or, where you have a larger sheet, {tools.how_to_list()}{named}"
    )


def too_large(found: Check) -> Part | None:
    """The first part that no sheet of the workshop holds, nor half of it where it is a ring."""
    larger, design = larger_parts(found.assembly), found.design
    return next((part for part in larger if held_half(part.recipe, design) is None), None)


def _read(wish: Wish) -> str:
    if wish.room_mm is not None:
        return f"--room: read {_room(wish)}"
    things = ", ".join(name if count == 1 else f"{name}:{count}" for name, count in wish.items)
    return f"--item: read {shown(things)}"


def _room(wish: Wish) -> str:
    assert wish.room_mm is not None
    return size_words(wish.room_mm, wish.unit)


def _instead(wish: Wish, found: Check, propose: Proposes) -> str:
    """The largest of its kind that would do, in words; nothing where nothing does.

    That is a room with its sides exchanged, a smaller one of its shape, or fewer pieces.
    """

    def does(other: Wish) -> bool:
        found = propose(other)
        return found is not None and found.fits and too_large(found) is None

    if wish.room_mm is not None:
        width, length, height = wish.room_mm
        turned = replace(wish, room_mm=(length, width, height))
        room = turned if does(turned) else _smaller(wish, does)
        return f", such as {_room(room)}" if room else ""
    fewer = _fewer(wish, does)
    if fewer:
        return f", such as {wish.items[0][0]}:{fewer}"
    clear = found.cavity.room
    taken = clear.width_mm, clear.length_mm, found.cavity.ceiling_mm
    room = _smaller(replace(wish, items=(), room_mm=taken), does)
    return f", such as what takes {_room(room)}" if room else ""


def _smaller(wish: Wish, does: Callable[[Wish], bool]) -> Wish | None:
    """The largest room of the same shape that would do."""
    low, high = 0.0, 1.0
    for _ in range(TRIES):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if does(_shrunk(wish, middle)) else (low, middle)
    return _shrunk(wish, low) if low else None


def _fewer(wish: Wish, does: Callable[[Wish], bool]) -> int:
    """How many of one item would do; 0 where there are several, or none does."""
    if len(wish.items) > 1 or wish.items[0][1] == 1:
        return 0
    ((name, count),) = wish.items
    fewer = int(FEWER * count)
    while fewer and not does(replace(wish, items=((name, fewer),))):
        fewer = int(FEWER * fewer)
    while fewer and fewer + 1 < count and does(replace(wish, items=((name, fewer + 1),))):
        fewer += 1
    return fewer


def _shrunk(wish: Wish, share: float) -> Wish:
    """The same with a room of the same shape that is so much smaller, in a hand's coarse steps."""
    assert wish.room_mm is not None
    steps = Steps.of_unit(wish.unit)
    width, length, height = (steps.down(side * share) for side in wish.room_mm)
    return replace(wish, room_mm=(width, length, height))
