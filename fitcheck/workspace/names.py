"""Names are looked up in the workspace first and then among the shipped ones."""

import enum
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from fitcheck.errors import InputError
from fitcheck.plain import shown
from fitcheck.workspace.filenames import is_reserved
from fitcheck.workspace.nearest import did_you_mean, nearest_names
from fitcheck.workspace.paths import CALIBRATION, MODELS, entered, is_file

ITEMS_FILE = "items.toml"
LONGEST_NAME = 60
"""Of a thing on a shelf: leaves room for what is put before and behind it in names of files."""
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")
BARE_NAME = re.compile(rf"[A-Za-z0-9][A-Za-z0-9_-]{{0,{LONGEST_NAME - 1}}}")
"""What a new design or item is called: it stands on a command line and before = without quotes."""
BARE_RULE = f"up to {LONGEST_NAME} letters a to z, large or small, digits, - and _"
NAME_RULE = (
    f"up to {LONGEST_NAME} letters a to z, large or small, digits, dots, hyphens and "
    "underscores, as in cardstock-270; "
    "not a device's name such as con or nul, and no dot at the end"
)
"""What ``is_name`` asks for, in words."""


class Shelf(enum.StrEnum):
    """A folder of a workspace where each file is one named thing."""

    STOCK = "stocks"
    TOOLS = "tools"
    PRINTER = "printers"

    @property
    def word(self) -> str:
        """What one thing on the shelf is called."""
        return {"stocks": "stock", "tools": "tool profile", "printers": "printer"}[self.value]


def is_name(name: str) -> bool:
    """Whether a file may carry that name on a shelf, on every common system.

    >>> [is_name(name) for name in ("index-110", "../index", "con", "nul.2", "card.", 61 * "a")]
    [True, False, False, False, False, False]
    """
    return (
        _NAME.fullmatch(name) is not None
        and len(name) <= LONGEST_NAME
        and not name.endswith(".")
        and not is_reserved(name)
    )


def put_right(name: str) -> str:
    """The name as a new design or item may be called; nothing where little is left of it.

    >>> put_right("tea tin"), put_right("Gl\u00fchwein, klein"), put_right("?")
    ('tea-tin', 'Gluhwein-klein', '')
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    found = re.sub(r"[^A-Za-z0-9_]+", "-", plain).strip("-_")[:LONGEST_NAME].rstrip("-_")
    return found if BARE_NAME.fullmatch(found) and not is_reserved(found) else ""


def check_new_name(option: str, name: str, known: Iterable[str]) -> None:
    """Raise ``InputError`` for a name that some common system cannot keep beside the known ones."""
    if not is_name(name):
        raise InputError(f"{option}: read {shown(name)}; allowed: {NAME_RULE}; choose another name")
    twin = next((o for o in known if o != name and o.casefold() == name.casefold()), None)
    if twin is not None:
        raise InputError(
            f"{option}: read '{name}', and there is '{twin}' already, which is the same to systems "
            f"without capitals; allowed: '{twin}', or another name; write one of them"
        )


def names_on(shelf: Shelf, roots: Sequence[Path]) -> dict[str, Path]:
    """Every name on a shelf and the file it stands for; the first root that has it wins."""
    found: dict[str, Path] = {}
    for root in roots:
        for path in sorted(entered(root / CALIBRATION / shelf.value).glob("*.toml")):
            if is_name(path.stem):
                found.setdefault(path.stem, path)
    return dict(sorted(found.items()))


def find_named(shelf: Shelf, name: str, roots: Sequence[Path]) -> Path:
    """The file of a named thing; raises ``InputError`` with the nearest known names.

    The line starts with "no such ...", so that a caller can put the file and the key before it.
    """
    if is_name(name):
        for root in roots:
            path = entered(root / CALIBRATION / shelf.value) / f"{name}.toml"
            if is_file(path):
                return path
    known = names_on(shelf, roots)
    if shelf is Shelf.STOCK and is_name(name):
        near = did_you_mean(name, known) if nearest_names(name, known) else "none is called like it"
        raise InputError(
            f"no such {shelf.word}; read {shown(name)}; allowed: a file name in "
            f"calibration/{shelf.value} (see fitcheck list {shelf.value}); {near}; correct the "
            f"name, or measure a new paper with fitcheck coupon {name} -o DIR"
        )
    near = did_you_mean(name, known)
    raise InputError(
        f"no such {shelf.word}; read {shown(name)}; allowed: a file name in "
        f"calibration/{shelf.value}; {near}; correct the name or add the file (see "
        f"fitcheck list {shelf.value})"
    )


def item_files(roots: Sequence[Path]) -> tuple[Path, ...]:
    """The item files of all roots, in the order of lookup."""
    paths = (entered(root / MODELS) / ITEMS_FILE for root in roots)
    return tuple(path for path in paths if is_file(path))


EVERY_PART = ""
"""Stands in place of a part's name for the paper of every part that has none of its own."""


def of_each(papers: Mapping[str, str], parts: Iterable[str]) -> dict[str, str]:
    """Papers by part, that of every part spread over those that have none of their own.

    >>> of_each({"": "tag-165", "lid": "text-80"}, ["base", "lid"])
    {'base': 'tag-165', 'lid': 'text-80'}
    """
    every = papers.get(EVERY_PART)
    spread = {} if every is None else dict.fromkeys(parts, every)
    return spread | {part: name for part, name in papers.items() if part != EVERY_PART}
