"""A misspelt name is answered with the nearest known ones."""

import difflib
import re
from collections.abc import Iterable
from itertools import islice

from fitcheck.plain import shown

MOST_SHOWN = 12
LONGEST = 64
"""Letters of a name that are compared; no misspelling needs more."""
ALIKE = 0.6
"""Share of letters in common from which two names are alike."""
MOST_COMPARED = 2000
"""Names that are compared, which is slow: a shelf that holds more has other ways to look."""


def nearest_names(name: str, known: Iterable[str]) -> list[str]:
    """The three known names most like ``name``, best first; capitals do not matter.

    >>> nearest_names("Fram", ["flap", "frame", "floor"])
    ['frame']
    """
    by_folded = {other.casefold()[:LONGEST]: other for other in islice(known, MOST_COMPARED)}
    found = difflib.get_close_matches(name.casefold()[:LONGEST], by_folded, cutoff=ALIKE)
    return [by_folded[folded] for folded in found]


def misspelt(name: str, known: Iterable[str]) -> str | None:
    """The known name that a new one may be a misspelling of, or None.

    Words that both have, such as what kind of thing it is, tell nothing: it is the rest of the two
    that has to be alike.

    >>> misspelt("desk-printr", ["desk-printer"]), misspelt("attic-printer", ["desk-printer"])
    ('desk-printer', None)
    """
    for near in nearest_names(name, known):
        own, other = (re.split(r"[-_. ]+", one.casefold()[:LONGEST]) for one in (name, near))
        rest = "-".join(word for word in own if word not in other)
        others = "-".join(word for word in other if word not in own)
        alike = difflib.SequenceMatcher(None, rest, others).ratio() >= ALIKE if rest else not others
        if alike:
            return near
    return None


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
        return "nearest known: " + ", ".join(map(shown, near))
    first = ", ".join(map(shown, names[:MOST_SHOWN]))
    rest = len(names) - MOST_SHOWN
    return f"known: {first}" + (f" and {rest} more" if rest > 0 else "")
