"""Words and lines that several texts share: chances as boxes of 100, rows with a label."""

from __future__ import annotations

import math
import textwrap
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from fitcheck.drawing.legible import sign_name
from fitcheck.findings import Finding
from fitcheck.units import Unit, show_number, show_one
from fitcheck.workspace.size_texts import show_room, show_sizes

if TYPE_CHECKING:
    from fitcheck.odds.intervals import Chance
    from fitcheck.odds.result import Advice, Odds
    from fitcheck.stock.tools import Habits, Tools

LABEL = 10
WIDTH = 96
ABOUT = 0.01
"""A chance that is known no better than this is only about what it says."""
ALWAYS = 0.995
SMALL_MM = 2.0
"""Below this a length is a gap, told to a hundredth of a millimetre as plays are."""
SEEN_MM = 0.005
"""Lengths are shown to a hundredth of a millimetre."""
ROUNDING_COSTS = 0.02
"""So much less often right by rounded sizes is told beside the odds."""
MOST_SIGNS = 8
"""Signs that a note names."""
AGAINST_ODDS = "records-against-odds"
"""The finding that boxes came out otherwise than was said."""
AS_ROUNDED = "where they are cut and scored as the steps round it"


@dataclass(frozen=True)
class Sizes:
    """How lengths are told: as a rule shows them, gaps to a hundredth of a millimetre."""

    unit: Unit

    def __call__(self, *lengths_mm: float) -> str:
        """Lengths across each other, in the design's unit and once in the other one."""
        if min(lengths_mm) < SMALL_MM:
            return " x ".join(show_number(mm, 2) for mm in lengths_mm) + " mm"
        return show_sizes(lengths_mm, self.unit)

    def thing(self, *lengths_mm: float) -> str:
        """How large a thing is, as near as it can be told."""
        return show_sizes(lengths_mm, self.unit)

    def inside(self, *lengths_mm: float) -> str:
        """What there is between walls: no more than there is."""
        return show_room(lengths_mm, self.unit)

    def outside(self, *lengths_mm: float) -> str:
        """What something takes up: no less than it does."""
        return show_room(lengths_mm, self.unit, up=True)


def of_100(chance: Chance) -> str:
    """How many boxes of 100, in whole boxes; what never or always happened is a bound.

    >>> from fitcheck.odds.intervals import Chance
    >>> of_100(Chance(12_643, 20_000)), of_100(Chance(20_000, 20_000)), of_100(Chance(12, 20_000))
    ('63', 'over 99', 'under 1')
    >>> of_100(Chance(300, 500)), of_100(Chance(100, 100))
    ('about 60', 'over 97')
    >>> of_100(Chance(0, 500, known=False))
    'not known'
    """
    if not chance.known:
        return NOT_KNOWN
    low, high = chance.bounds
    if chance.share >= ALWAYS:
        return f"over {min(99, math.floor(100.0 * low))}"
    if chance.share <= 1.0 - ALWAYS:
        return f"under {max(1, math.ceil(100.0 * high))}"
    about = "about " if chance.error > ABOUT else ""
    return f"{about}{100.0 * chance.share:.0f}"


def out_of_100(chance: Chance) -> str:
    """The same with what it is of."""
    return f"{of_100(chance)} of 100" if chance.known else NOT_KNOWN


def give_or_take(chance: Chance) -> str:
    """How far off a chance may be as so many boxes were counted, 95 % sure; in whole boxes of 100.

    >>> from fitcheck.odds.intervals import Chance
    >>> give_or_take(Chance(12_643, 20_000)), give_or_take(Chance(63, 100))
    (', give or take 1', ', give or take 11')
    >>> give_or_take(Chance(20_000, 20_000))
    ''
    """
    if not chance.known or not 1.0 - ALWAYS < chance.share < ALWAYS:
        return ""
    low, high = chance.bounds
    return f", give or take {math.ceil(100.0 * max(high - chance.share, chance.share - low))}"


NOT_KNOWN = "not known"
NOT_COUNTED = "it is not known how many boxes made by hand come out right"
NOT_SURE = (
    "how many boxes made by hand come out right is not sure: folded one by one they come out "
    "otherwise than counted"
)


def right_words(odds: Odds, *, give: bool = False) -> str:
    """How often boxes come out right, and how often as their steps round it where that costs some.

    With `give` how far off the first may be is told as well.
    """
    if not odds.good.known:
        return NOT_COUNTED
    if odds.agreement.astray:
        return NOT_SURE
    often = f"{of_100(odds.good)} of 100 boxes made by hand come out right"
    told = often + (give_or_take(odds.good) if give else "")
    rounded = rounded_costs(odds)
    if rounded is not None:
        told += f", {rounded} {AS_ROUNDED}"
    return told + "".join(map(_made_words, odds.findings))


def _made_words(finding: Finding) -> str:
    """What came of boxes that were made, where they speak against the odds."""
    if finding.code != AGAINST_ODDS:
        return ""
    made, right = (round(finding.numbers[key]) for key in ("made", "right"))
    return f", but of {made} that were made {right or 'none'} did"


def rounded_costs(odds: Odds) -> str | None:
    """How many of 100 come out right cut and scored as the steps round it, if that costs some."""
    if odds.rounded is None or abs(odds.good.share - odds.rounded.share) <= ROUNDING_COSTS:
        return None
    return of_100(odds.rounded)


def from_to(before: Chance, after: Chance) -> str:
    """A better chance.

    >>> from fitcheck.odds.intervals import Chance
    >>> from_to(Chance(9_400, 20_000), Chance(17_600, 20_000))
    '47 -> 88 of 100'
    >>> from_to(Chance(9_400, 20_000), Chance(0, 20_000, known=False))
    '47 of 100 -> not known'
    """
    if not after.known:
        return f"{out_of_100(before)} -> {out_of_100(after)}"
    return f"{of_100(before)} -> {of_100(after)} of 100"


def advice_words(advice: Advice) -> str:
    """The change that helps most and how much it helps, in one sentence."""
    return f"{advice.change}: {from_to(advice.before, advice.after)}"


def row(label: str, text: str) -> str:
    """A line with a label before it, set apart however long it is."""
    return f"  {label + ' ':<{LABEL}}{text}"


def wrapped(text: str, label: str) -> str:
    """A long text behind its label, or at the left edge without one, over as many lines."""
    return textwrap.fill(
        text,
        WIDTH,
        initial_indent=row(label, "") if label else "",
        subsequent_indent=row("", ""),
        break_long_words=False,
        break_on_hyphens=False,
    )


def spelled_note(signs: Sequence[str]) -> str:
    """A note of signs that are said by their names in print; nothing for none.

    >>> spelled_note("\U0001f381")
    '  note      \U0001f381 has no shape in the fonts of the print, which says [wrapped present]\\n'
    """
    if not signs:
        return ""
    named = ", ".join(map(sign_name, signs[:MOST_SIGNS]))
    more = len(signs) - MOST_SIGNS
    also = f" and {more} more" if more > 0 else ""
    have = "has" if len(signs) == 1 else "have"
    told = (
        f"{' '.join(signs[:MOST_SIGNS])}{also} {have} no shape in the fonts of the print, which "
        f"says [{named}]"
    )
    return f"{wrapped(told, 'note')}\n"


def groove_words(tools: Tools) -> str:
    """What a board has, in its own unit."""
    if tools.grid_mm is None:
        return "no grooves"
    return f"grooves every {show_one(tools.grid_mm, tools.grid_unit or Unit.MM)}"


def habit_words(habits: Habits) -> str:
    """What measured tools always do, as sizes that a maker sees.

    >>> from fitcheck.stock.tools import Habits
    >>> habit_words(Habits(cut_mm=-0.14, fence_mm=0.16, scale=0.0012, scale_from_mm=85))
    'sheets 0.14 mm too small, scores 0.16 mm too far from the fence, 0.12 mm more for each 100 mm'
    """
    said = []
    if abs(habits.cut_mm) >= SEEN_MM:
        said.append(f"sheets {abs(habits.cut_mm):.2f} mm too {_way(habits.cut_mm)}")
    if abs(habits.fence_mm) >= SEEN_MM:
        far = "far from" if habits.fence_mm > 0 else "near"
        said.append(f"scores {abs(habits.fence_mm):.2f} mm too {far} the fence")
    if abs(100.0 * habits.scale) >= SEEN_MM:
        more = "more" if habits.scale > 0 else "less"
        said.append(f"{abs(100.0 * habits.scale):.2f} mm {more} for each 100 mm")
    return ", ".join(said)


def _way(mm: float) -> str:
    return "large" if mm > 0 else "small"


def lying_words(orientations: Iterable[str]) -> str:
    """How the pieces of a content lie, given by each one's: counted where they differ.

    >>> lying_words(["flat, turned 90", "flat", "flat, turned 90"])
    '2 flat and turned 90, 1 flat'
    """
    counted = Counter(orientations)
    if len(counted) < 2:
        return "".join(counted)
    return ", ".join(f"{n} {name.replace(', ', ' and ')}" for name, n in counted.items())
