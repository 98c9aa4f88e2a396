"""What a proposal's parts are cut from: none is larger than every sheet that the workshop has."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from fitcheck.design.described import described
from fitcheck.design.items import ItemTables
from fitcheck.errors import InputError
from fitcheck.fit.assembly import Part
from fitcheck.fit.check import Check
from fitcheck.fit.held import half_of, held_half
from fitcheck.fit.sheets import larger_parts
from fitcheck.kinds.kind import lays
from fitcheck.pattern.counted import sheet_by_hand_mm
from fitcheck.pattern.plan import plan_of
from fitcheck.plain import shown
from fitcheck.proposals.steps import Steps
from fitcheck.proposals.wish import Wish
from fitcheck.stock.bought_sheets import largest
from fitcheck.units import Unit, show_hands
from fitcheck.workspace.size_texts import read_sizes, size_words

TRIES = 7
"""So often is a smaller room tried, each time halving what is left."""
FEWER = 0.85
"""So many of a count are tried next where it is too many."""
LESS = 0.97
"""And then so much less, until it does however it is given back."""
BLOCK = "a-block-of-such-sizes"
Room = tuple[float, float, float]
Proposes = Callable[[Wish, ItemTables | None], Check | None]
"""How a wish comes out as drawn, with items that stand in no file; None where no box holds it."""


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
        return f"--room: read {size_words(wish.room_mm, wish.unit)}"
    things = ", ".join(name if count == 1 else f"{name}:{count}" for name, count in wish.items)
    return f"--item: read {shown(things)}"


def _instead(wish: Wish, found: Check, propose: Proposes) -> str:
    """The largest of its kind that would do, in words; nothing where nothing does.

    That is a room with its sides exchanged, a smaller one of its shape, fewer pieces, or a block
    as large as that.
    """

    def does(other: Wish, own: ItemTables | None = None) -> bool:
        found = propose(other, own)
        return found is not None and found.fits and too_large(found) is None

    def holds(text: str) -> bool:
        return does(replace(wish, items=(), room_mm=_mm(text)))

    def takes(text: str) -> bool:
        return does(replace(wish, items=((BLOCK, 1),), room_mm=None), _block(text))

    if wish.room_mm is not None:
        width, length, height = wish.room_mm
        room = size_words((length, width, height), wish.unit)
        if not all(map(holds, _both(room))):
            room = _smaller(wish.room_mm, wish.unit, holds, holds)
        return f", such as {room}" if room else ""
    fewer = _fewer(wish, does)
    if fewer:
        return f", such as {wish.items[0][0]}:{fewer}"
    taken = _taken(found)
    room = _smaller(taken, wish.unit, takes, lambda text: takes(text) and holds(text))
    # what is cut round a thing holds no mere room
    room = room or _smaller(taken, wish.unit, takes, takes)
    return f", such as what takes {room}" if room else ""


def _taken(found: Check) -> Room:
    """What a piece takes as it lies; of several kinds of contents the room that they have."""
    clear = found.cavity.room
    if len(found.design.contents) == 1:
        (content,) = found.design.contents
        pose = min(lays(content.item, content.lay), key=lambda own: own.height_mm)
        short, long = sorted((pose.width_mm, pose.length_mm))
        wide = clear.width_mm > clear.length_mm
        return (*((long, short) if wide else (short, long)), pose.height_mm)
    return clear.width_mm, clear.length_mm, found.cavity.ceiling_mm


def _block(text: str) -> ItemTables:
    """A block of such sizes as it would be described."""
    file = Path("items.toml")
    table = described(f"{BLOCK}=block {text}", file, Path(), "--describe").table
    return ItemTables(file, {BLOCK: table}, ())


def _mm(text: str) -> Room:
    width, length, height = read_sizes(text).mm
    return width, length, height


def _both(words: str) -> tuple[str, str]:
    """Sizes in words, as they are told in either unit."""
    mine, _, other = words.removesuffix(")").partition(" (")
    return mine, other


def _smaller(
    room_mm: Room, unit: Unit, does: Callable[[str], bool], surely: Callable[[str], bool]
) -> str:
    """The largest room of the same shape that would do, in words, whichever unit is given back;
    nothing where none does."""
    low, high = 0.0, 1.0
    for _ in range(TRIES):
        middle = 0.5 * (low + high)
        mine, _ = _both(_shrunk(room_mm, unit, middle))
        low, high = (middle, high) if does(mine) else (low, middle)
    tried = dict.fromkeys(_shrunk(room_mm, unit, low * LESS**n) for n in range(TRIES) if low)
    return next((words for words in tried if all(map(surely, _both(words)))), "")


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


def _shrunk(room_mm: Room, unit: Unit, share: float) -> str:
    """A room of the same shape that is so much smaller, in a hand's coarse steps, in words."""
    steps = Steps.of_unit(unit)
    return size_words([steps.down(side * share) for side in room_mm], unit)
