"""What can be filled in of a design, made from the schema of its file and what it says by now.

A new key or a new style of the file appears on the page without a line of it being changed.
"""

from __future__ import annotations

import enum
import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from functools import cache
from typing import Any

from fitcheck.bench.field_words import HELPS, NAMES, SIDES
from fitcheck.design.schema import whole_schema
from fitcheck.styles.places import PLACES
from fitcheck.workspace.explain import key_of

LEFT_TO_FILES = frozenset({"format", "photo"})
"""Keys that say nothing to whoever folds paper."""
USUAL_SIDES = ("width", "length")


class Kind(enum.StrEnum):
    """How a value is given."""

    TEXT = "text"
    LENGTH = "length"
    PAIR = "pair"
    NUMBER = "number"
    CHOICE = "choice"
    CHOICES = "choices"
    PAPER = "paper"
    BOARD = "board"
    ITEM = "item"


KINDS_BY_NAME: Mapping[str, Kind] = {
    "stock": Kind.PAPER,
    "tools": Kind.BOARD,
    "item": Kind.ITEM,
}


@dataclass(frozen=True)
class Field:
    """One thing to fill in."""

    key: str
    """As problems name it."""
    at: tuple[str | int, ...]
    kind: Kind
    label: str
    help: str
    needed: bool
    values: tuple[str, ...]
    """As the file has them, two for a pair; empty where it says nothing."""
    choices: tuple[str, ...] = ()
    sides: tuple[str, str] | None = None
    """What the two lengths of a pair are."""


@dataclass(frozen=True)
class Group:
    """A part of the box, one line of its contents, or what is said beside them."""

    name: str
    at: tuple[str | int, ...]
    help: str
    fields: tuple[Field, ...]
    more: tuple[Field, ...]
    """What may be said besides."""
    may_go: bool
    """Whether it can be taken away."""


@dataclass(frozen=True)
class Form:
    """All that can be filled in."""

    groups: tuple[Group, ...]
    parts_to_add: tuple[tuple[str, str, tuple[str, ...]], ...]
    """(place, what stands there, styles) of parts that the design has not."""

    def data(self) -> dict[str, Any]:
        """As plain data."""
        return asdict(self)


def form_of(tables: Mapping[str, Any]) -> Form:
    """The form of a design, given as the tables of its file."""
    schema = _schema()
    places = {place.name for place in PLACES}
    groups = [_group(tables, (place.name,), place.name) for place in PLACES if place.name in tables]
    lines = tables.get("content")
    if isinstance(lines, list):
        groups += [_group(tables, ("content", k), f"content {k + 1}") for k in range(len(lines))]
    own = {
        key: value
        for key, value in schema["properties"].items()
        if key not in places | {"content"} | LEFT_TO_FILES
    }
    fields = tuple(_fields(own, tables, (), frozenset(schema["required"])))
    groups.append(_parted("the whole box", (), "", fields, may_go=False))
    absent = (place for place in PLACES if place.name not in tables)
    to_add = ((one.name, _plainly(one.words), tuple(styles_of(one.name))) for one in absent)
    return Form(tuple(groups), tuple(to_add))


def kind_at(tables: Mapping[str, Any], at: tuple[str | int, ...]) -> Kind:
    """How the value at a place is given; a text where nothing is known of it."""
    if at and isinstance(at[-1], int) and at[0] != "content":
        at = at[:-1]
    model = _model(tables, at[:-1])
    key = str(at[-1])
    found = model.get("properties", {}).get(key)
    return Kind.TEXT if found is None else _kind(key, _resolved(found))


def keys_at(
    tables: Mapping[str, Any], at: tuple[str | int, ...]
) -> tuple[frozenset[str], frozenset[str]]:
    """The keys that the table at a place may have in its style, and those it must have."""
    model = _model(tables, at)
    return frozenset(model["properties"]), frozenset(model.get("required", ()))


def _group(tables: Mapping[str, Any], at: tuple[str | int, ...], name: str) -> Group:
    table: Any = tables
    for step in at:
        table = table[step]
    model = _model(tables, at)
    needed = frozenset(model.get("required", ()))
    own = table if isinstance(table, Mapping) else {}
    fields = tuple(_fields(model["properties"], own, at, needed))
    return _parted(name, at, model.get("description", ""), fields, may_go=at != ("base",))


def _parted(
    name: str, at: tuple[str | int, ...], words: str, fields: tuple[Field, ...], *, may_go: bool
) -> Group:
    """What is said or needed, and what may be said besides."""
    shown = tuple(one for one in fields if one.values or one.needed)
    more = tuple(one for one in fields if not (one.values or one.needed))
    return Group(name, at, words, shown, more, may_go)


def _fields(
    properties: Mapping[str, Any],
    table: Mapping[str, Any],
    at: tuple[str | int, ...],
    needed: frozenset[str],
) -> Iterator[Field]:
    for key, raw in properties.items():
        found = _resolved(raw)
        if "properties" in found:  # a small table within a line
            inner = table.get(key, {})
            own = inner if isinstance(inner, Mapping) else {}
            yield from _fields(found["properties"], own, (*at, key), frozenset())
            continue
        kind, place = _kind(key, found), (*at, key)
        choices = _choices(key, found, at)
        name = key_of(place)
        pair = SIDES.get(name, USUAL_SIDES) if kind is Kind.PAIR else None
        label = NAMES.get(name) or NAMES.get(key, key.replace("_", " "))
        if at and at[0] == "bands":
            label = f"{key} {'up to' if key == 'tight' else 'from' if key == 'loose' else 'below'}"
        words = HELPS.get(key) or str(raw.get("description", found.get("description", "")))
        values = _values(table.get(key), kind)
        yield Field(
            key=name,
            at=place,
            kind=kind,
            label=label,
            help=words,
            needed=key in needed,
            values=values,
            choices=choices,
            sides=pair,
        )


def _values(value: Any, kind: Kind) -> tuple[str, ...]:
    """A value as texts."""
    if value is None:
        return ()
    if isinstance(value, list):
        return tuple(_text(one) for one in value[:20])
    return (_text(value), _text(value)) if kind is Kind.PAIR else (_text(value),)


def _text(value: Any) -> str:
    return f"{value:.12g}" if isinstance(value, float) else str(value)


def _choices(key: str, found: Mapping[str, Any], at: tuple[str | int, ...]) -> tuple[str, ...]:
    if key == "style" and len(at) == 1:
        return tuple(styles_of(str(at[0])))
    options = found.get("enum") or found.get("items", {}).get("enum") or ()
    return tuple(str(option) for option in options)


def _kind(key: str, found: Mapping[str, Any]) -> Kind:
    """How a value of a schema is given."""
    if key in KINDS_BY_NAME:
        return KINDS_BY_NAME[key]
    said, items = found.get("type"), found.get("items", {})
    if "anyOf" in found or (said == "array" and "enum" not in items):
        return Kind.PAIR
    if said == "array":
        return Kind.CHOICES
    if "enum" in found or "const" in found:
        return Kind.CHOICE
    if isinstance(said, list):
        return Kind.LENGTH
    return Kind.NUMBER if said in ("number", "integer") else Kind.TEXT


def _model(tables: Mapping[str, Any], at: tuple[str | int, ...]) -> Mapping[str, Any]:
    """The schema of the table at a place, in the style that it names."""
    here: Mapping[str, Any] = _schema()
    table: Any = tables
    for step in at:
        table = table[step] if not isinstance(table, Mapping) or step in table else {}
        if isinstance(step, int):
            here = _resolved(here.get("items", {}))
            continue
        here = _resolved(here.get("properties", {}).get(step, {}))
        if "oneOf" in here:
            known = here["discriminator"]["mapping"]
            style = table.get("style") if isinstance(table, Mapping) else None
            here = _resolved({"$ref": known.get(str(style), next(iter(known.values())))})
    return here


def styles_of(place: str) -> list[str]:
    """The styles that may stand at a place."""
    found = _resolved(_schema()["properties"][place])
    if "oneOf" in found:
        return list(found["discriminator"]["mapping"])
    return [str(found["properties"]["style"]["const"])]


def _resolved(found: Mapping[str, Any]) -> Mapping[str, Any]:
    """What a reference stands for."""
    ref = found.get("$ref")
    if not isinstance(ref, str):
        return found
    return {
        **_schema()["$defs"][ref.rpartition("/")[2]],
        **{k: v for k, v in found.items() if k != "$ref"},
    }


def _plainly(words: str) -> str:
    """What stands at a place, without the name of its table."""
    return words.partition(", a table")[0].rstrip(".")


@cache
def _schema() -> Mapping[str, Any]:
    """The schema of a design file, with the styles of other packages."""
    found: Mapping[str, Any] = json.loads(whole_schema())
    return found
