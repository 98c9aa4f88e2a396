"""TOML is read and written here; a file that cannot be read is explained in one line."""

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitcheck.errors import InputError
from fitcheck.plain import composed
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.paths import is_folder
from fitcheck.workspace.reading import Most, read_bounded, utf8_text

if TYPE_CHECKING:
    from tomlkit.items import Float, Item, Key

MOST_MARKS = 20_000
"""Keys in a file, and tables and lists: what people write by hand has a few hundred."""
DEEPEST = 20
"""Parts of a dotted key, and lists or tables within each other: nothing of ours needs five."""
LONGEST_BARE = 400
"""Letters of a bare key or a number."""

# Texts and comments; one that is never closed takes the rest of its line, or of the file.
_TEXTS = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*+(?:""")?+'
    r"|'''(?:[^']|'(?!''))*+(?:''')?+"
    r'|"(?:[^"\\\n]|\\[^\n])*+"?+'
    r"|'[^'\n]*+'?+"
    r"|#[^\n]*+",
    re.DOTALL,
)
_FRACTION = re.compile(r"(?:[0-9]{1,9} )?[0-9]{1,9}/[0-9]{1,9}")
_COMMA = re.compile(r"(?<![0-9,\[])[0-9]{1,9},[0-9]{1,9}(?![0-9,\]])")
_WORD = re.compile(r"[^\s=,\[\]{}\"]++")


def read_toml(path: Path) -> dict[str, Any]:
    """The tables of a TOML file; raises ``InputError`` naming the file and the line."""
    try:
        raw = read_bounded(path, Most.DESIGN)
    except (FileNotFoundError, NotADirectoryError):
        raise InputError(_missing(path)) from None
    return tables_of(utf8_text(raw, f"{path}", "line", "save the file as UTF-8"), path)


def tables_of(text: str, called: object) -> dict[str, Any]:
    """The tables of a TOML text; raises ``InputError`` naming what it is called, and the line."""
    _refuse_what_takes_for_ever(called, text)
    try:
        return tomllib.loads(composed(text))
    except ValueError as error:
        raise InputError(f"{called}: is not TOML: {_told(text, str(error))}") from None
    except RecursionError:
        raise InputError(f"{called}: {_TOO_DEEP}") from None


_SAID_TWICE = {
    r"Cannot declare \((.*?),?\) twice": "[{}] stands there twice{}; write it once",
    r"Cannot mutate immutable namespace \((.*?),?\)": "{} has a value already{}; keep one of them",
    r"Duplicate inline table key (.*?)": "{} stands there twice{}; keep one of them",
    r"Cannot overwrite a value()": "a key {}stands there twice{}; keep one of them",
}
"""What the parser says of what is given twice, and what we do: the key, and where."""


def _told(text: str, error: str) -> str:
    """What is wrong with a text, where, and what to do, from the parser's own words."""
    for pattern, words in _SAID_TWICE.items():
        if found := re.fullmatch(rf"{pattern}( \(at .*\))?", error):
            key = ".".join(part.strip("' ") for part in found[1].split(","))
            return words.format(key, found[2] or "")
    return f"{error}; {_bare_number(text, error)}"


def _bare_number(text: str, error: str) -> str:
    """What to do about the line that an error names: numbers are written otherwise most often."""
    at = re.search(r"\(at line ([0-9]+)", error)
    lines = text.splitlines()
    line = lines[int(at[1]) - 1] if at and 0 < int(at[1]) <= len(lines) else ""
    value = _TEXTS.sub("", line).partition("=")[2]
    if fraction := _FRACTION.search(value):
        return f'mend that line: a fraction stands in quotes, "{fraction[0]}"'
    if comma := _COMMA.search(value):
        return f"mend that line: a number has a point, {comma[0].replace(',', '.')}"
    return "mend that line (texts stand in quotes, keys before =)"


_TOO_DEEP = (
    f"lists, tables or dotted keys are nested too deeply; allowed: up to {DEEPEST} within each "
    "other; flatten them"
)


def _refuse_what_takes_for_ever(called: object, text: str) -> None:
    """Hold what is outside texts and comments against the limits, before it is parsed.

    The parser takes time with the square and the cube of a dotted key's parts, and with the square
    of a number's digits; this looks at each letter once.
    """
    bare = _TEXTS.sub(lambda found: '""' + "\n" * found[0].count("\n"), text)
    long = next((word for word in _WORD.finditer(bare) if len(word[0]) > LONGEST_BARE), None)
    if long is not None:
        line = bare.count("\n", 0, long.start()) + 1
        raise InputError(
            f"{called}: a word or number without quotes has over {LONGEST_BARE} letters (line "
            f"{line}); allowed: up to {LONGEST_BARE}; shorten it, or put quotes round a text"
        )
    if _depth(bare) > DEEPEST or _dots(bare) >= DEEPEST:
        raise InputError(f"{called}: {_TOO_DEEP}")
    for marks, what in (("=", "keys"), ("[{", "tables and lists")):
        count = sum(map(bare.count, marks))
        if count > MOST_MARKS:
            raise InputError(
                f"{called}: has {count} {what}; allowed: up to {MOST_MARKS} in a file; check that "
                "it is the file you mean, or divide it"
            )


def _depth(bare: str) -> int:
    """How deep brackets stand within each other."""
    depth = deepest = 0
    for found in re.finditer(r"[\[\]{}]", bare):
        depth += 1 if found[0] in "[{" else -1
        deepest = max(deepest, depth)
    return deepest


def _dots(bare: str) -> int:
    """The most dots in one key."""
    return max(piece.count(".") for piece in re.split(r"[\n=,\[\]{}]", bare))


def _missing(path: Path) -> str:
    folder = path.parent
    if not is_folder(folder):
        return f"{path}: no such file, and no folder {folder}; check the path"
    known = sorted(other.name for other in folder.glob("*.toml"))
    return f"{path}: no such file; {did_you_mean(path.name, known)}; check the name"


def toml_text(document: Mapping[Any, object]) -> str:
    """Keys (texts, or ``quoted``) and values as a TOML file's text, each inner table in one line.

    >>> print(toml_text({"format": 1, "score": {"on_grid": fixed(0.1, 5)}, "of": ["board"]}))
    format = 1
    score = {on_grid = 0.1}
    of = ["board"]
    <BLANKLINE>
    """
    import tomlkit

    whole = tomlkit.document()
    for key, value in document.items():
        whole.append(key, _item(value))
    return tomlkit.dumps(whole)


def fixed(value: float, digits: int) -> "Float":
    """A number without an exponent, with so many decimals at the most and at least one.

    >>> [fixed(value, 5).as_string() for value in (0.2, 0.000021, -0.0000001, 270.0)]
    ['0.2', '0.00002', '0.0', '270.0']
    """
    from tomlkit.items import Float, Trivia

    shown = f"{value:.{digits}f}".rstrip("0")
    shown = shown + "0" if shown.endswith(".") else shown
    shown = shown.removeprefix("-") if float(shown) == 0 else shown
    return Float(float(shown), Trivia(), shown)


def quoted(name: str) -> "Key":
    """A name that somebody chose, as a key: in quotes whether it needs them or not."""
    from tomlkit.items import KeyType, SingleKey

    return SingleKey(name, t=KeyType.Basic)


def _item(value: object) -> "Item":
    import tomlkit

    if not isinstance(value, Mapping):
        return tomlkit.item(value)
    table = tomlkit.inline_table()
    for key, own in value.items():
        table.append(key, _item(own))
    return table
