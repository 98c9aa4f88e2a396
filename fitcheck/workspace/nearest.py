"""A misspelt name is answered with the nearest known ones."""

import difflib
from collections.abc import Iterable

MOST_SHOWN = 12


def nearest_names(name: str, known: Iterable[str], most: int = 3) -> list[str]:
    """The known names most like ``name``, best first; capitals do not matter.

    >>> nearest_names("Fram", ["flap", "frame", "floor"])
    ['frame']
    """
    by_folded = {other.casefold(): other for other in known}
    found = difflib.get_close_matches(name.casefold(), by_folded, n=most, cutoff=0.6)
    return [by_folded[folded] for folded in found]


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """The nearest known names as words, or some of the known ones when none is near.

    >>> did_you_mean("fram", ["frame", "flap"])
    "nearest known: 'frame'"
    """
    names = sorted(set(known))
    if not names:
        return "none are known"
    near = nearest_names(name, names)
    if near:
        return "nearest known: " + ", ".join(f"'{other}'" for other in near)
    shown = ", ".join(f"'{other}'" for other in names[:MOST_SHOWN])
    rest = len(names) - MOST_SHOWN
    return f"known: {shown}" + (f" and {rest} more" if rest > 0 else "")
