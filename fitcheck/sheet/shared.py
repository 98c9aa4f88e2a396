"""Good mixtures of parts on a sheet, found quickly: pieces are laid one after the other into what
earlier ones left, and every cut runs from edge to edge.

Where the sizes give too many positions for all mixtures to be counted (`guillotine`), these are
mixtures that can be cut; better ones may exist. Each piece goes into a corner of a free rectangle,
whose rest one cut from edge to edge parts in two (Jylaenki 2010, guillotine algorithms; from
memory), by several rules of order, place and cut.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations, product

from fitcheck.sheet.guillotine import Counts, Size

FEW = 4
"""Kinds of piece up to which every choice of them is laid on a sheet of its own."""
MOST_LAID = 150
"""Pieces up to which a sheet is filled by all rules."""

Rect = tuple[int, int, int, int]
"""Where it begins, across and along, and how wide and long it is, steps."""
Key = Callable[[int, int], int]
"""A number that two lengths are compared by."""
Rule = tuple[Key, Key, Callable[[Size, Size], bool]]
"""What is laid first, by its width and length; into which rest, by what it leaves; and whether the
first cut runs across, by the free rectangle and the piece."""

ORDERS: tuple[Key, ...] = (lambda w, h: -w * h, lambda w, h: -max(w, h), lambda w, h: -min(w, h))
PLACES: tuple[Key, ...] = (min, max, lambda a, b: -min(a, b), lambda a, b: -max(a, b))
"""The rest that is left the narrowest or the widest strip."""
CUTS: tuple[Callable[[Size, Size], bool], ...] = (
    lambda free, piece: free[0] - piece[0] <= free[1] - piece[1],
    lambda free, piece: free[0] - piece[0] > free[1] - piece[1],
    lambda free, piece: True,
    lambda free, piece: False,
)
RULES: tuple[Rule, ...] = tuple(product(ORDERS, PLACES, CUTS))


@dataclass(frozen=True)
class Laid:
    """A piece on a sheet."""

    kind: int
    at: Size
    size: Size


def lay(sheet: Size, ways: Sequence[Sequence[Size]], counts: Counts, rule: Rule) -> list[Laid]:
    """So many of each kind on one sheet, as many of them as go on it by a rule.

    `ways` are the sizes in which each kind may lie.
    """
    order, place, across = rule
    free: list[Rect] = [(0, 0, *sheet)]
    found: list[Laid] = []
    for kind in sorted(range(len(ways)), key=lambda n: order(*ways[n][0])):
        for _ in range(counts[kind]):
            fits = [
                (place(room[2] - way[0], room[3] - way[1]), number, way)
                for number, room in enumerate(free)
                for way in ways[kind]
                if way[0] <= room[2] and way[1] <= room[3]
            ]
            if not fits:
                break
            _, number, way = min(fits)
            room = free.pop(number)
            found.append(Laid(kind, room[:2], way))
            free += _rests(room, way, across=across(room[2:], way))
    return found


def _rests(room: Rect, way: Size, *, across: bool) -> list[Rect]:
    """What a piece in the first corner of a free rectangle leaves of it."""
    x, y, width, length = room
    wide, long = way
    if across:
        rests = [(x, y + long, width, length - long), (x + wide, y, width - wide, long)]
    else:
        rests = [(x + wide, y, width - wide, length), (x, y + long, wide, length - long)]
    return [rest for rest in rests if rest[2] and rest[3]]


def good_mixtures(
    sheet: Size, ways: Sequence[Sequence[Size]], each: Counts, kits: int
) -> frozenset[Counts]:
    """Counts of each kind that can be cut from one sheet together, of which a kit takes `each`.

    One kit is laid first, then one more as long as all go on the sheet, then one too many. Some
    kinds are left out too, as sheets that lack them go with others: of few kinds any, of many all
    but a pair.
    """
    kinds = range(len(each))
    some = [
        own for n in kinds[1:] if n == 1 or len(kinds) <= FEW for own in combinations(kinds, n + 1)
    ]
    found: set[Counts] = set()
    for own in {*some, tuple(kinds)}:
        part = tuple(count if n in own else 0 for n, count in enumerate(each))
        found |= _growing(sheet, ways, part, kits)
    return frozenset(found)


def _growing(sheet: Size, ways: Sequence[Sequence[Size]], each: Counts, kits: int) -> set[Counts]:
    found: set[Counts] = set()
    for many in range(1, kits + 1):
        wanted = tuple(many * own for own in each)
        if sum(wanted) > MOST_LAID and found:
            break
        laid = {_counts(lay(sheet, ways, wanted, rule), len(ways)) for rule in RULES}
        found |= laid
        if wanted not in laid:
            break
    return found


def _counts(laid: Sequence[Laid], kinds: int) -> Counts:
    return tuple(sum(one.kind == kind for one in laid) for kind in range(kinds))
