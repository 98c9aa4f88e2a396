"""Signs that no font of a print has a shape for are said by their names, in brackets."""

from __future__ import annotations

import itertools
import unicodedata
from collections.abc import Iterable

from fitcheck.drawing.metrics import has_shape
from fitcheck.plain import brief

LONGEST_TITLE = 80
"""Letters of a title on a drawing where names of signs make it longer than it was typed."""
_JOINING = {"\u200d", "\ufe0e", "\ufe0f", "\u20e3", *map(chr, range(0x1F3FB, 0x1F400))}
"""What only joins or tints the picture before it and has nothing to say by itself."""


def spelled(text: str, *, embedded: bool = False) -> str:
    """A text whose signs can all be printed; ``embedded``: in the shipped font alone.

    >>> spelled("For Mia \\U0001f381"), spelled("\\u7bb1", embedded=True), spelled("\\u7bb1")
    ('For Mia [wrapped present]', '[U+7BB1]', '\u7bb1')
    """
    if text.isascii() or all(has_shape(sign, embedded) for sign in text):
        return text
    told = ""
    signs = (sign for sign in text if sign not in _JOINING)
    for shows, group in itertools.groupby(signs, key=lambda sign: has_shape(sign, embedded)):
        if shows:
            told += "".join(group)
        else:
            told += " " if told[-1:].isalnum() else ""
            told += f"[{', '.join(map(sign_name, group))}]"
    return told


def drawn_title(title: str) -> str:
    """A title as drawings bear it."""
    told = spelled(title)
    return title if told == title else brief(told, max(LONGEST_TITLE, len(title)))


def unshown(texts: Iterable[str], *, embedded: bool = False) -> tuple[str, ...]:
    """The signs of some texts that have to be spelled, each once, in the order of the texts."""
    signs = (sign for text in texts if not text.isascii() for sign in text)
    missing = dict.fromkeys(sign for sign in signs if not has_shape(sign, embedded))
    return tuple(sign for sign in missing if sign not in _JOINING)


def sign_name(sign: str) -> str:
    """What a sign is called, letters of other scripts by their sound.

    >>> sign_name("\\U0001f338"), sign_name("\\u307b"), sign_name("\\u65e5"), sign_name("\\ue000")
    ('cherry blossom', 'ho', 'U+65E5', 'U+E000')
    """
    name = unicodedata.name(sign, "")
    code = f"{ord(sign):04X}"
    if not name or name.endswith(code):
        return f"U+{code}"
    for kind in (" LETTER ", " SYLLABLE "):
        name = name.rpartition(kind)[2]
    return name.lower()
