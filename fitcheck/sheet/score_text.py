"""Scores in a maker's words: sides that are scored alike in one sentence."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterator, Sequence

from fitcheck.pattern.counted import HAIR_DIGITS
from fitcheck.pattern.sheet import Sheet
from fitcheck.plain import joined
from fitcheck.sheet.actions import CutToSize
from fitcheck.sheet.mark_text import LEVEL, UPRIGHT, Edges, from_to, pair_words
from fitcheck.sheet.scoring import ScoredLine, ScoredSide, ScoreSides
from fitcheck.units import ROUNDED_MM, Unit, is_set_by_hand, rounding_mm, show_hands, show_number

HALF_CUT = "cut half through, not pressed"
"""Said on a card of what is no score."""
TURNS = {
    1: "a quarter turn anticlockwise",
    -1: "a quarter turn clockwise",
    2: "half a turn",
}


def score_words(step: ScoreSides, sheet: Sheet, unit: Unit) -> tuple[str, tuple[str, ...]]:
    """One instruction, and a line for each set of sides that differs from the others."""
    groups = list(_alike(step.sides))
    whole = len(groups) == 1 and len({_way(line) for line in step.sides[0].lines}) == 1
    turns = _turning(step.sides)
    notes = "".join(f" {note}" for note in _notes(step, unit))
    if step.half_cut:
        lines = [
            f"{_sides(group, sheet)}: {'; '.join(_at(group[0].lines, sheet, unit, told=True))}"
            for group in groups
        ]
        how = "Cut half through, in light strokes along a steel rule, at these distances from"
        return f"{how} the edges, {turns}:", (*lines, *_notes(step, unit))
    if whole and step.sides[0].lines[0].through:
        sides = _sides(groups[0], sheet)
        at = _at(step.sides[0].lines, sheet, unit)[0]
        return f"Score {sides} {at}, {turns}.{notes}", ()
    lines = []
    for group in groups:
        at = "; ".join(_at(group[0].lines, sheet, unit))
        lines.append(f"{_sides(group, sheet)}: {at}")
    return f"Score at these distances from the edges, {turns}:", (*lines, *_notes(step, unit))


def _alike(sides: Sequence[ScoredSide]) -> Iterator[list[ScoredSide]]:
    """Sides with the same scores together: all four, or two that lie opposite."""
    if len({_key(side) for side in sides}) == 1 and all(
        line.through for side in sides for line in side.lines
    ):
        yield list(sides)
        return
    rest = list(sides)
    while rest:
        first = rest.pop(0)
        group = [first]
        for other in rest[:]:
            if other.fence.upright is first.fence.upright and _key(other) == _key(first):
                group.append(other)
                rest.remove(other)
        yield group


def _key(side: ScoredSide) -> Hashable:
    return tuple((round(line.at_mm, 3), _way(line)) for line in side.lines)


def _way(line: ScoredLine) -> Hashable:
    """What tells apart how scores are made, but for their distance."""
    return line.half_cut, line.beside_mm, line.unit, line.through or (line.start, line.stop)


def _sides(group: Sequence[ScoredSide], sheet: Sheet) -> str:
    fences = frozenset(side.fence for side in group)
    if len(fences) == 4:
        return "all four sides"
    for pair in (UPRIGHT, LEVEL):
        if fences == pair:
            return pair_words(pair, sheet)
    return f"the {joined(str(side.fence) for side in group)} edge"


def _at(lines: Sequence[ScoredLine], sheet: Sheet, unit: Unit, *, told: bool = False) -> list[str]:
    """The distances, those of scores that are made alike together; `told` that all are cuts."""
    edges = Edges(sheet, frozenset())
    found = []
    ways = list(dict.fromkeys(_way(line) for line in lines))
    for way in ways:
        own = [line for line in lines if _way(line) == way]
        first = own[0]
        beside = f"{_hair(first)} " if first.beside_mm else ""
        at = f"at {beside}{show_hands([line.at_mm - line.beside_mm for line in own], first.unit)}"
        if first.through:
            text = f"from edge to edge, {at}"
        else:
            text = f"{at}, {from_to(first.start, first.stop, edges, unit)}"
        if first.half_cut and not told:
            text += ", not pressed but cut half through, guided by a steel rule"
        found.append(text)
    return found


def _hair(line: ScoredLine) -> str:
    """How far a score lies beside another one."""
    side = "inside" if line.beside_mm > 0.0 else "outside"
    return f"a hair ({show_number(abs(line.beside_mm), HAIR_DIGITS)} mm) {side}"


def _turning(sides: Sequence[ScoredSide]) -> str:
    first = f"the {sides[0].fence} edge against the fence"
    rest = sides[1:]
    if not rest:
        return first
    turns = {side.quarter_turns for side in rest}
    if len(rest) > 1 and len(turns) == 1:
        names = joined(str(side.fence) for side in rest)
        return f"{first} first, then {TURNS[turns.pop()]} each for the {names} edge"
    steps = (f"{TURNS[side.quarter_turns]} for the {side.fence} edge" for side in rest)
    return f"{first} first, then {', then '.join(steps)}"


def _notes(step: ScoreSides, unit: Unit) -> Iterator[str]:
    """What lies in no groove, and what was rounded."""
    every = [line for side in step.sides for line in side.lines]
    off = off_grooves(step)
    if off and len(off) == len({told_at(line) for line in every}):
        yield "No groove lies there: set it by a rule."
    elif off:
        yield off_grooves_words(off, unit)
    if any(line.beside_mm for line in every):
        yield BESIDE
    mine = [line.at_mm for line in every if not line.beside_mm and line.unit is unit]
    yield from rounded_note(mine, unit)
    if any(not line.through for line in every) and any(line.through for line in every):
        verb = "Cut" if step.half_cut else "Score"
        yield f"{verb} from edge to edge on all sides first, then the others."


def off_grooves(step: ScoreSides) -> list[float]:
    """The distances that are told though the board has no groove there, mm, nearest first."""
    lines = (line for side in step.sides for line in side.lines)
    return sorted({told_at(line) for line in lines if line.in_groove is False})


def off_grooves_words(off_mm: Sequence[float], unit: Unit) -> str:
    """Says which distances are set without a groove."""
    own = show_hands(off_mm, unit).partition(" (")[0]
    return f"No groove lies at {own}: set {'that' if len(off_mm) == 1 else 'these'} by a rule."


def told_at(line: ScoredLine) -> float:
    """The distance that a score is told by, mm: its own, or that which it lies a hair beside."""
    return round(line.at_mm - line.beside_mm, 3)


BESIDE = "A hair inside is that much further from the edge at the fence, outside that much nearer."
FINEST = {Unit.MM: "0.5 mm", Unit.IN: "1/32 in"}
"""What a hand sets lengths to."""
NEAREST = "to the nearest"
EXACT = "the drawing has it exactly"
ROUNDED_TO: dict[Callable[[float], int], str] = {
    math.floor: "down to a whole",
    math.ceil: "up to a whole",
}
"""What a hand does with a length that no step is."""


def rounded_note(lengths_mm: Sequence[float], unit: Unit, to: str = NEAREST) -> Iterator[str]:
    """Says so when a hand cannot set a length as it is drawn."""
    if not all(is_set_by_hand(mm, unit) for mm in lengths_mm):
        yield f"Rounded {to} {FINEST[unit]}; {EXACT}."


def sheet_note(step: CutToSize, unit: Unit) -> Iterator[str]:
    """Says so when a sheet is not cut as it is drawn, and where it goes with its scores."""
    sheet = step.sheet
    alone = [mm + rounding_mm(mm, unit, sheet.to) for mm in sheet.sides_mm]
    if all(abs(a - b) <= ROUNDED_MM for a, b in zip(alone, step.told_mm, strict=True)):
        yield from rounded_note(sheet.sides_mm, unit, ROUNDED_TO.get(sheet.to, NEAREST))
    else:
        yield (
            f"Rounded to {FINEST[unit]} together with its scores, so that what lies between them "
            f"comes out nearest; {EXACT}."
        )


def score_card(step: ScoreSides, sheet: Sheet, unit: Unit) -> Iterator[tuple[str, str]]:
    """The sides that are scored alike, and the distances, as a card shows them."""
    for group in _alike(step.sides):
        for half_cut in (False, True):
            sides = _sides(group, sheet) + (f", {HALF_CUT}" if half_cut else "")
            alike = [line for side in group for line in side.lines if line.half_cut is half_cut]
            first = [x for x in group[0].lines if x.half_cut is half_cut and not x.beside_mm]
            told: dict[Unit, set[float]] = {}
            for line in sorted(first, key=lambda line: line.at_mm):
                told.setdefault(line.unit, set()).add(line.at_mm)
            if told:
                sizes = (show_hands(sorted(own), in_unit) for in_unit, own in told.items())
                yield sides, "; ".join(sizes)
            yield from _beside(alike, sides)


def _beside(lines: Sequence[ScoredLine], sides: str) -> Iterator[tuple[str, str]]:
    """Those that lie a hair beside others, and what hangs on them."""
    beside: dict[tuple[float, float], list[ScoredLine]] = {}
    for line in lines:
        if line.beside_mm:
            beside.setdefault((round(line.beside_mm, 3), round(line.at_mm, 3)), []).append(line)
    for own in beside.values():
        at = show_hands([own[0].at_mm - own[0].beside_mm], own[0].unit)
        yield f"{sides}, {_carried(own)}", f"{_hair(own[0])} {at}"


def _carried(lines: Sequence[ScoredLine]) -> str:
    """What hangs on scores that lie a hair beside others: tabs, flaps or the pieces by name."""
    creases = [name for line in lines for name in line.of]
    for kind in ("tab", "flap"):
        if all(kind in name for name in creases):
            return f"{kind}s"
    pieces = [piece for name in creases for piece in name.split(" / ")]
    named = dict.fromkeys(piece for piece in pieces if not piece.endswith("wall"))
    return joined(named) if named else "others"
