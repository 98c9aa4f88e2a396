"""An item that a maker describes in a few words becomes a table of the items file.

``soap=block 60 x 40 x 22 mm, sharp``: a name, a kind, its sizes, and after commas hazards or other
keys of its kind. Of a mesh, its file stands in the place of the sizes, which are the file's own.
"""

from __future__ import annotations

import contextlib
import os
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_args

from fitcheck.design.items import ItemTables, ItemTail, item_model
from fitcheck.errors import InputError
from fitcheck.kinds import KINDS
from fitcheck.kinds.kind import Item, Kind
from fitcheck.meshes.formats import ENDINGS
from fitcheck.plain import shown
from fitcheck.units import MM_PER, Unit
from fitcheck.workspace.edits import Edit
from fitcheck.workspace.names import BARE_NAME, BARE_RULE, put_right
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.paths import is_file
from fitcheck.workspace.reading import Most, read_bounded, utf8_text
from fitcheck.workspace.size_texts import read_sizes
from fitcheck.workspace.toml import read_toml

HAZARDS: tuple[str, ...] = get_args(get_args(ItemTail.model_fields["hazards"].annotation)[0])
RULER_U_MM = 0.3
"""A ruler read to half a millimetre either way: 0.5 / sqrt(3), rounded up (JCGM 100, 4.3.7)."""
U_SHARE = 0.1
"""Of a size, at the most: no ruler tells a card's thickness (common practice, no source)."""
SAID = "described by hand with fitcheck new"
RULED = "sizes as with a ruler, their uncertainty assumed (common practice, no source): measure it"
MESHED = "sizes of the mesh file, how true the thing is to it assumed (no source): measure it"
EXAMPLE = "NAME=block 40 x 30 x 12 mm"
FORM = (
    f"NAME=KIND SIZES, such as {EXAMPLE}, with hazards behind a comma if any "
    f"({', '.join(HAZARDS)}), or NAME=mesh FILE"
)
_DECIMAL_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")
FIRST_LINES = "# What can go in a box, each with its source: see `fitcheck list items`.\n"


@dataclass(frozen=True)
class Described:
    """An item that was described."""

    item: Item
    table: Mapping[str, Any]
    """Its keys and values as an items file says them, but for a file's path, which is whole."""


def described(text: str, path: Path, here: Path, option: str) -> Described:
    """The item of a description; `path` is the items file it is for, `here` where a mesh is named
    from. Raises InputError that names the option."""
    name, equals, rest = text.partition("=")
    name, (kind, words) = name.strip(), _kind_and_words(rest)
    read = f"{option}: read {shown(text)}"
    if not equals or not words or kind is None:
        raise InputError(f"{read}; allowed: {FORM}; write it so")
    if not BARE_NAME.fullmatch(name) or name == "format":
        right = put_right(name)
        do = f"write {right}" if right not in {"", "format"} else "choose another name"
        raise InputError(f"{read}, named {shown(name)}; allowed: {BARE_RULE}; {do}")
    try:
        found = KINDS.get(kind)
    except KeyError:
        raise InputError(
            f"{read}, of the kind {shown(kind)}; allowed: {', '.join(KINDS.names)}; "
            f"{did_you_mean(kind, KINDS.names)}; correct it"
        ) from None
    words, more = _parted(words, found)
    if _has_file(found):
        table = _with_file(found, words, here, read)
    else:
        table = _with_sizes(found, words, read)
    return _sound(name, found, {**table, **more}, path, read)


def _kind_and_words(rest: str) -> tuple[str | None, str]:
    parts = rest.split(maxsplit=1)
    return (parts[0], parts[1]) if len(parts) == 2 else (None, "")


def _parted(words: str, kind: Kind) -> tuple[str, dict[str, Any]]:
    """The words before hazards and other keys, and these."""
    hazards: list[str] = []
    keys: dict[str, Any] = {}
    own = _own_keys(kind)
    while "," in words:
        before, _, last = words.rpartition(",")
        key, _, value = last.strip().partition(" ")
        if last.strip() in HAZARDS:
            hazards.insert(0, last.strip())
        elif key in own and value:
            keys[key] = value.strip()
        else:
            break
        words = before
    return words.strip(), keys | ({"hazards": hazards} if hazards else {})


def _own_keys(kind: Kind) -> list[str]:
    """The keys that not every item has, but for a mesh's file."""
    return [] if kind.keys is None else [key for key in kind.keys.model_fields if key != "file"]


def _has_file(kind: Kind) -> bool:
    """Whether a file says its sizes."""
    return not kind.sized and "file" in item_model(kind).model_fields


def _with_file(kind: Kind, words: str, here: Path, read: str) -> dict[str, Any]:
    """What a description says of a kind and its file."""
    mesh = here / words
    if not is_file(mesh):
        folder = mesh.parent
        near = [one.name for one in folder.glob("*") if one.suffix.lower() in ENDINGS]
        raise InputError(
            f"{read}, and there is no file {shown(words)}; allowed: a mesh file "
            f"({', '.join(ENDINGS)}) by its path from here; {did_you_mean(mesh.name, near)}; "
            "correct the path"
        )
    return {"kind": kind.name, "file": str(mesh)}


def _with_sizes(kind: Kind, words: str, read: str) -> dict[str, Any]:
    """What a description says of a kind and its sizes."""
    many = len(kind.sizes)
    told = f"{many} size{'s' if many > 1 else ''} ({' x '.join(kind.sizes)})"
    example = "40 x 30 x 12 mm or 2 3/4 x 3 x 3/4 in", "25 x 4 mm or 1 x 3/16 in", "16 mm or 5/8 in"
    allowed = f"allowed: {told} for a {kind}, as in {example[3 - many]}"
    if _DECIMAL_COMMA.search(words):
        pointed = _DECIMAL_COMMA.sub(".", words)
        raise InputError(f"{read}, which has a decimal comma; {allowed}; write {shown(pointed)}")
    words, comma, behind = words.partition(",")
    if comma:
        more = ", ".join([*HAZARDS, *_own_keys(kind)])
        raise InputError(
            f"{read}, with {shown(behind.strip())} behind a comma; allowed: {more}; correct it"
        )
    try:
        sizes = read_sizes(words)
    except ValueError as error:
        raise InputError(f"{read}, which {error}; {allowed}; correct it") from None
    if len(sizes.mm) != many:
        raise InputError(f"{read}, which has {len(sizes.mm)}; {allowed}; correct it")
    unit = {} if sizes.unit is Unit.MM else {"unit": str(sizes.unit)}
    return {"kind": kind.name, **unit, "size": [_number(one) for one in sizes.numbers]}


def _number(text: str) -> int | float | str:
    try:
        return int(text) if text.isdecimal() else float(text)
    except ValueError:
        return text


def _sound(name: str, kind: Kind, table: dict[str, Any], path: Path, read: str) -> Described:
    """The item that a table says, with its uncertainty and source."""
    source = f"{SAID}; {RULED if 'size' in table else MESHED}"
    first = _item(name, {**table, "source": source}, path, read)
    per = MM_PER[Unit(table.get("unit", "mm"))]
    u_mm = [min(RULER_U_MM, U_SHARE * size) for size in first.size_mm]
    ordered: dict[str, Any] = {
        key: table[key] for key in ("kind", "file", "unit", "size") if key in table
    }
    ordered["size_u"] = [float(f"{u / per:.2g}") for u in u_mm]
    ordered |= {key: value for key, value in table.items() if key not in ordered}
    ordered["source"] = source
    return Described(_item(name, ordered, path, read), ordered)


def _item(name: str, table: dict[str, Any], path: Path, read: str) -> Item:
    try:
        return ItemTables(path, {name: table}, ()).item(name)
    except InputError as error:
        begins = re.compile(rf"(?:{re.escape(str(path))}: )?{re.escape(name)}(?:\.|: )")
        lines = [begins.sub("", one, count=1) for one in error.lines]
        raise InputError([f"{read}: {one}" for one in lines]) from None


@dataclass(frozen=True)
class DescribedItems:
    """Items that were described and stand in no file yet."""

    path: Path
    """The items file that they are for."""
    items: tuple[Described, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """What they are called."""
        return tuple(one.item.name for one in self.items)

    @property
    def tables(self) -> ItemTables:
        """As a file that can be read."""
        return ItemTables(self.path, {one.item.name: dict(one.table) for one in self.items}, ())

    def written(self) -> dict[str, Mapping[str, Any]]:
        """As they are written there: files are named from the folder of the items file."""
        folder = self.path.absolute().parent
        found: dict[str, Mapping[str, Any]] = {}
        for one in self.items:
            table = dict(one.table)
            if "file" in table:
                with contextlib.suppress(ValueError):  # on another drive it is named in full
                    table["file"] = Path(os.path.relpath(table["file"], folder)).as_posix()
            found[one.item.name] = table
        return found


def addition(own: DescribedItems, option: str) -> Edit:
    """The items file with these items behind the others, which stay letter by letter.

    Raises InputError for a broken file.
    """
    path, before, text = own.path, None, FIRST_LINES
    if path.is_file():
        read_toml(path)
        before = read_bounded(path, Most.DESIGN)
        text = utf8_text(before, f"{path}", "line", "save the file as UTF-8")
    new = "".join(_table_text(name, table) for name, table in own.written().items())
    if "\r\n" in text:
        new = new.replace("\n", "\r\n")
    gap = "" if not text or text.endswith("\n") else "\r\n" if "\r\n" in text else "\n"
    whole = tomllib.loads(text + gap + new)
    known = {name: table for name, table in whole.items() if name not in own.names}
    assert known == tomllib.loads(text), "what is there stays"
    return Edit(option, path, before, (before or FIRST_LINES.encode()) + (gap + new).encode())


def _table_text(name: str, table: Mapping[str, Any]) -> str:
    import tomlkit

    rows = [f"{key:<6} = {tomlkit.item(value).as_string()}" for key, value in table.items()]
    return "\n".join(["", f"[{name}]", *rows, ""])
