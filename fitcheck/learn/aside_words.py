"""What is said of readings that are set aside, or could be, with their numbers and what to do."""

from collections.abc import Iterable, Sequence

from fitcheck.learn.bench_readings import Reading
from fitcheck.learn.entries import Entry
from fitcheck.learn.outliers import Odd

MOST_NAMED = 3
"""Records that are named each."""


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


def misfit(entry: Entry, odd: Odd, rivals: Sequence[Entry]) -> str:
    """Of an entry that does not go with the others, or of some that contradict each other."""
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
    )


def _found(entry: Entry) -> str:
    if entry.value_mm is not None:
        return f"{entry.value_mm:.3f} mm"
    return f"{entry.go_mm:g} in and {entry.nogo_mm:g} not"
