"""Text that comes from outside is made plain here: it steers no terminal and stays short."""

import datetime
import itertools
import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

LONGEST_SHOWN = 60
"""Letters of one value that are shown back to whoever wrote it."""
LONGEST_WORD = 200
"""Letters of a word, such as a path, within a line."""
LONGEST_LINE = 1000
"""Letters of a line; what is allowed and what to do stand at its end and are kept."""
KEPT_AT_END = 600
MOST_LINES = 40
"""Problems that are told at once."""
FEW = 8
"""Members of a list or a table that are shown."""

# Controls (line feed and tab aside), marks that turn the direction of writing or are not seen,
# line ends that only some programs know, and halves of pairs that no encoding can write.
_STEERS = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f"
    "\ufeff\ufff9-\ufffb\ud800-\udfff\U000e0000-\U000e007f]"
)
_INSTEAD = "\ufffd"
_STROKE = "\u2044"
"""The fraction slash of Unicode."""


def plain(text: str) -> str:
    """Text of any number of lines without anything that steers a terminal or cannot be written.

    A byte of a file name that is no UTF-8 is shown as its number.

    >>> plain("fits\\x1b[2J") == "fits\\ufffd[2J", plain("caf\\udce9")
    (True, 'caf\\\\xe9')
    """
    return _STEERS.sub(_harmless, text)


def one_line(text: str) -> str:
    """The same as a single line: every run of blanks and line ends is one space.

    >>> one_line("Harbour\\n fits \\x1b[2J")
    'Harbour fits [2J'
    """
    return " ".join(_STEERS.sub(_blank, text).split())


def printable(text: str) -> str:
    """The same signs, those that nothing prints as blanks."""
    return "".join(sign if sign.isprintable() else " " for sign in text)


def folded(name: str) -> str:
    """A name with blanks and capitals out of the way, as two who write it may differ in them.

    >>> folded(" Ada  L.") == folded("ada l.")
    True
    """
    return composed(" ".join(name.split()).casefold())


def composed(text: str) -> str:
    """A text with each letter and its marks as one sign: what looks alike is alike (UAX 15, NFC).

    >>> composed("o\u0308") == "\u00f6"
    True
    """
    return unicodedata.normalize("NFC", text)


def short_line(text: str) -> str:
    """A single plain line of bounded length, shortened within its words and in its middle."""
    line = " ".join(map(_short_word, _shown_anywhere(text[: 100 * LONGEST_LINE]).split(" ")))
    rest = text[100 * LONGEST_LINE :][-KEPT_AT_END:]
    if rest:
        line = f"{line} {_shown_anywhere(rest)}"
    if len(line) <= LONGEST_LINE:
        return line
    return f"{line[: LONGEST_LINE - KEPT_AT_END - 5]} ... {line[-KEPT_AT_END:]}"


def brief(text: str, most: int) -> str:
    """A text as one line of at most so many letters.

    >>> brief("Harbour  box, second try", 14)
    'Harbour box...'
    """
    line = " ".join(text[: 2 * most].split())
    return line if len(line) <= most else f"{line[: most - 3]}..."


def first_lines(lines: Sequence[str]) -> list[str]:
    """The first of very many lines, and how many more were found before the search was left off.

    >>> len(first_lines(["wrong"] * 1000)), first_lines(["wrong"] * 1000)[-1]
    (41, 'and at least 960 more problems; mend these first')
    """
    more = len(lines) - MOST_LINES
    if more <= 0:
        return list(lines)
    return [*lines[:MOST_LINES], f"and at least {more} more problems; mend these first"]


def joined(words: Iterable[str]) -> str:
    """Words in a row, an `and` before the last; nothing for none.

    >>> joined(["left", "right"]), joined(["a", "b", "c"]), joined([])
    ('left and right', 'a, b and c', '')
    """
    *most, last = [*words] or [""]
    return f"{', '.join(most)} and {last}" if most else last


def lowered(text: str) -> str:
    """A text as it goes on within a sentence.

    >>> lowered("Cut it off.")
    'cut it off.'
    """
    return text[:1].lower() + text[1:]


def shown(value: Any) -> str:
    """A value as it might stand in a file, shortened to fit in a line.

    >>> shown("3 5/8"), shown(True), shown([1, 2]), shown("x" * 100)[-6:]
    ("'3 5/8'", 'true', '[1, 2]', 'xxx...')
    >>> shown(16**9999)
    'a whole number of about 12040 digits'
    """
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and value.bit_length() > 4 * LONGEST_SHOWN:
        return f"a whole number of about {round(value.bit_length() * 0.30103)} digits"
    if isinstance(value, Mapping | list):
        return _cut(_members(value))
    if isinstance(value, Iterator):
        return "a generator"
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return _cut(repr(value[: LONGEST_SHOWN + 1] if isinstance(value, str) else value))


def written_out(text: str) -> str:
    """A text whose fractions of one sign are written with digits and a stroke.

    >>> written_out("2\u00bd in").split(), written_out("3\u20448")
    (['2', '1/2', 'in'], '3/8')
    """
    if text.isascii():
        return text
    signs = (f" {_digits(sign)} " if _is_fraction(sign) else sign for sign in text)
    return "".join(signs).replace(_STROKE, "/")


def plain_key(key: object) -> str:
    """A key of a table, shortened."""
    return _cut(one_line(str(key)[: LONGEST_SHOWN + 1])) or '""'


def _is_fraction(sign: str) -> bool:
    return unicodedata.decomposition(sign).startswith("<fraction>")


def _digits(sign: str) -> str:
    return unicodedata.normalize("NFKD", sign)


def _members(value: Mapping[str, Any] | list[Any]) -> str:
    if isinstance(value, Mapping):
        return f"a table with the keys {_few(value, plain_key)}" if value else "an empty table"
    if any(isinstance(part, Mapping) for part in value):
        return f"a list of {len(value)} tables"
    return f"[{_few(value, shown)}]"


def _few(members: Iterable[Any], show: Any) -> str:
    first = list(itertools.islice(members, FEW + 1))
    return ", ".join(map(show, first[:FEW])) + (", ..." if len(first) > FEW else "")


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST_SHOWN else f"{text[: LONGEST_SHOWN - 3]}..."


def _short_word(word: str) -> str:
    return word if len(word) <= LONGEST_WORD else f"{word[: LONGEST_WORD - 53]}...{word[-50:]}"


def _shown_anywhere(text: str) -> str:
    """One line without anything that some terminal may not show."""
    return one_line(printable(one_line(text)))


def _harmless(found: re.Match[str]) -> str:
    return _byte(found[0]) or _INSTEAD


def _blank(found: re.Match[str]) -> str:
    return _byte(found[0]) or " "


def _byte(sign: str) -> str:
    """The byte that stands behind a sign by which the system hands on what is no UTF-8."""
    return f"\\x{ord(sign) - 0xDC00:02x}" if "\udc80" <= sign <= "\udcff" else ""
