"""Any text becomes a file name that every common system takes, and nothing worse."""

import re
import unicodedata

LONGEST_BYTES = 80
"""Longest stem, in UTF-8 bytes: leaves room for an ending inside the usual limit of 255."""
NAMELESS = "unnamed"
HIDDEN = ".fitcheck"
"""What the names begin with that fitcheck keeps for itself, in any folder that it writes to."""

# Names that one widespread system keeps for devices, with any ending.
_RESERVED = {"con", "prn", "aux", "nul"} | {
    f"{device}{digit}" for device in ("com", "lpt") for digit in "123456789¹²³"
}


def is_reserved(stem: str) -> bool:
    """Whether a widespread system keeps that name for a device, whatever its ending."""
    return stem.split(".", maxsplit=1)[0].lower() in _RESERVED


def safe_stem(text: str) -> str:
    """A file name without ending, made from any text; letters of every alphabet are kept.

    Never empty, never a path, never starts with a dot or a hyphen, at most ``LONGEST_BYTES`` long.

    >>> safe_stem("Lid, 3 5/8 in"), safe_stem("../../etc/passwd"), safe_stem("...")
    ('Lid-3-5-8-in', 'etc-passwd', 'unnamed')
    """
    composed = unicodedata.normalize("NFC", text)
    kept = "".join(
        letter if unicodedata.category(letter)[0] in "LMN" or letter in "_." else "-"
        for letter in composed
    )
    joined = re.sub(r"\.{2,}", ".", re.sub(r"-{2,}", "-", kept))
    joined = re.sub(r"-?\.-?", ".", joined)
    joined = re.sub(r"\.{2,}", ".", joined).strip("-.")
    stem = joined.encode()[:LONGEST_BYTES].decode(errors="ignore").strip("-.")
    if not stem:
        return NAMELESS
    if is_reserved(stem):
        return f"_{stem}"[:LONGEST_BYTES]
    return stem


def distinct_stems(texts: tuple[str, ...]) -> tuple[str, ...]:
    """``safe_stem`` of each, numbered where two would be the same file (also where case is lost).

    >>> distinct_stems(("Card A", "card-a", "box"))
    ('Card-A', 'card-a-2', 'box')
    """
    taken: set[str] = set()
    stems = []
    for text in texts:
        first = stem = safe_stem(text)
        number = 1
        while stem.casefold() in taken:
            number += 1
            stem = f"{first}-{number}"
        taken.add(stem.casefold())
        stems.append(stem)
    return tuple(stems)
