"""What is said of readings that are set aside, or could be, with their numbers and what to do."""

import statistics
from collections.abc import Iterable, Sequence

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.entries import Entry
from fitcheck.learn.outliers import Odd

MOST_NAMED = 3
"""Records that are named each."""
NEARLY = 2.5
"""An inside that is off by so many times more or less than a miscounted stack makes it may be the
stack's: folds scatter by as much."""


def new_batch(records: Iterable[str]) -> str:
    """What to do where older records, by their names, are of another paper or batch."""
    named = sorted(set(records), key=lambda name: (len(name), name))
    aside = " ".join(f"--set-aside {name}" for name in named)
    if len(named) > MOST_NAMED:
        aside = f"--set-aside RECORD for each of the {len(named)} older records"
    return (
        f"learn another paper, or each batch, under a name of its own, or add {aside} for a new "
        "batch of this paper: its older readings then count no more"
    )


def slip(reading: Reading) -> str:
    """Of a reading that is far from the others of its piece."""
    return (
        f"{reading.place}: {reading.reading_mm:g} is far from the other repeats of this piece: set "
        "aside; read it again"
    )


def misfit(entry: Entry, odd: Odd, rivals: Sequence[Entry], others: Sequence[Entry] = ()) -> str:
    """Of an entry that does not go with the others, or of some that contradict each other.

    ``others`` are all entries that it was held against.
    """
    if rivals:
        both = ", and ".join(f"{one.place}: {_found(one)}" for one in (entry, *rivals))
        return (
            f"{both}, which contradict each other by {abs(odd.residual_mm):.2f} mm, and nothing "
            "else says which is wrong: all set aside; measure these pieces again"
        )
    side = "above" if odd.residual_mm > 0 else "below"
    return (
        f"{entry.place}: {_found(entry)} is {abs(odd.residual_mm):.2f} mm {side} what all other "
        f"readings say (chance {max(odd.chance, 1e-9):.1g}): set aside; measure this piece again"
        f"{_miscount(entry, odd, others)}"
    )


def _miscount(entry: Entry, odd: Odd, others: Sequence[Entry]) -> str:
    """What else may disagree with an inside: a stack of which one sheet more or less was counted.

    An inside is two sheets less than its outside. So one of n sheets miscounted moves it by 2/n of
    a sheet.
    """
    stacks = [one for one in others if one.feature is Feature.STACK and one.value_mm]
    counts = {one.count for one in stacks}
    if entry.feature is not Feature.INSIDE or len(counts) != 1 or min(counts) < 2:
        return ""
    (count,) = counts
    sheet = statistics.median((one.value_mm or 0.0) / count for one in stacks)
    share = abs(odd.residual_mm) * count / (2.0 * sheet)
    if not 1.0 / NEARLY <= share <= NEARLY:
        return ""
    perhaps = count - 1 if odd.residual_mm < 0 else count + 1
    return (
        f", and count the stack: {perhaps} sheets counted as {count} look like that too, and then "
        "it is not this piece that is wrong"
    )


def _found(entry: Entry) -> str:
    if entry.value_mm is not None:
        return f"{entry.value_mm:.3f} mm"
    return f"{entry.go_mm:g} in and {entry.nogo_mm:g} not"
