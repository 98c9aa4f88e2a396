"""The things that can go in a box are read from models/items.toml, each with its source."""

import contextlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import (
    BaseModel,
    BeforeValidator,
    Field,
    WithJsonSchema,
    create_model,
    model_validator,
)

from fitcheck.errors import InputError
from fitcheck.kinds import KINDS
from fitcheck.kinds.kind import Item, Kind, Standing
from fitcheck.kinds.ranges import RECTANGULAR, range_problems
from fitcheck.plain import composed, one_line, shown
from fitcheck.units import Unit
from fitcheck.workspace.explain import line
from fitcheck.workspace.lengths import (
    FILE_UNITS,
    LENGTH_SCHEMA,
    FileUnit,
    Length,
    length_reader,
    problem,
)
from fitcheck.workspace.names import item_files
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.strict import FORMAT, STRICT, Words, validate
from fitcheck.workspace.toml import read_toml

MOST_HAZARDS = 20

Small = Annotated[float, BeforeValidator(length_reader(0, 50)), WithJsonSchema(LENGTH_SCHEMA)]
Range = Annotated[list[Length], Field(min_length=2, max_length=2)]


class ItemHead(BaseModel):
    """The keys that every item has before those of its kind."""

    model_config = STRICT
    kind: str = Field(description="Its shape, see fitcheck list kinds.")
    unit: FileUnit = Field(default="mm", description="in, mm or cm; default mm.")
    size: Annotated[list[Length], Field(min_length=1, max_length=3)] | None = Field(
        default=None,
        description="Card, block: [width, length, height]; cylinder: [diameter, height]; sphere: "
        "[diameter]; mesh: [width, length, height], the file's own when left out.",
    )
    size_u: Annotated[list[Small], Field(min_length=1, max_length=3)] | None = Field(
        default=None, description="Standard uncertainty of each size, a list of lengths."
    )
    range: Annotated[list[Range], Field(min_length=1, max_length=3)] | None = Field(
        default=None, description="[least, largest] of each size, a list of lists."
    )


class ItemTail(BaseModel):
    """Those behind them."""

    model_config = STRICT
    source: Words = Field(description="Where the sizes come from, a text.")
    mass_g: Annotated[float, Field(gt=0, le=100000)] | None = Field(
        default=None, description="Mass of one in grams, for whether a lid holds the filled box."
    )
    hazards: Annotated[
        list[Literal["coin", "button-cell", "food", "sharp"]], Field(max_length=MOST_HAZARDS)
    ] = Field(default=[], description="Any of coin, button-cell, food, sharp.")

    @model_validator(mode="after")
    def _whole(self) -> Self:
        table: Any = self
        kind = KINDS.get(table.kind)
        count = len(kind.sizes)
        if table.size is None and kind.sized:
            raise problem("size is missing", f"{count} lengths for a {kind}", "add it")
        sizes = ("size", table.size), ("size_u", table.size_u), ("range", table.range)
        for key, values in sizes:
            if values is not None and len(values) != count:
                raise problem(
                    f"{key} has {len(values)} members", f"{count} for a {kind}", "correct it"
                )
        for words in range_problems(table.size or (), table.range or ()):
            raise problem(*words)
        for other in _keyed(kind):
            for words in other.key_problems(table, own=other is kind):
                raise problem(*words)
        return self


def _keyed(kind: Kind) -> tuple[Kind, ...]:
    """The kinds whose keys an item of a kind may be written with, or is refused with."""
    return tuple(dict.fromkeys((*KINDS.own, kind)))


def item_model(kind: Kind | None) -> type[BaseModel]:
    """The model of an item's table; of one whose kind is not known, with what all of ours have."""
    if kind not in _MODELS:
        every = _keyed(kind) if kind is not None else KINDS.own
        own = [other.keys for other in every if other.keys is not None]
        names = KINDS.names if kind is None else (kind.name,)
        told = Field(description=f"Its shape: {', '.join(names[:-1])} or {names[-1]}.")
        fields: dict[str, Any] = {"kind": (Literal[names], told)}
        # the fields of the last base come first
        bases: tuple[type[BaseModel], ...] = (ItemTail, *reversed(own), ItemHead)
        _MODELS[kind] = create_model("ItemFile", __base__=bases, **fields)
    return _MODELS[kind]


_MODELS: dict[Kind | None, type[BaseModel]] = {}


@dataclass(frozen=True)
class ItemTables:
    """An items file before its items are read: one broken item leaves the others usable."""

    path: Path
    tables: Mapping[str, Any]
    problems: tuple[str, ...]
    """What is wrong with the file as a whole."""

    def item(self, name: str) -> Item:
        """One of its items; raises ``InputError`` with a line for each problem of it."""
        if self.problems:
            raise InputError(self.problems)
        return _read_item(self.path, name, self.tables[name])


class Items(Mapping[str, Item]):
    """The items of all roots by name, each read when it is asked for.

    The first root that has a name wins, broken or not. Asking for an item raises ``InputError``
    when it is broken, or when a file in which it might stand cannot be read.
    """

    def __init__(self, files: Sequence[ItemTables]) -> None:
        self._files = tuple(files)

    def __getitem__(self, name: str) -> Item:
        name = composed(name)
        for file in self._files:
            if file.problems or name in file.tables:
                return file.item(name)
        raise KeyError(name)

    def __iter__(self) -> Iterator[str]:
        return iter(sorted({name for file in self._files for name in file.tables}))

    def __len__(self) -> int:
        return len(list(iter(self)))

    def sound(self) -> tuple[dict[str, Item], tuple[str, ...]]:
        """Every item that can be read, by name, and a line for each problem of the others."""
        items: dict[str, Item] = {}
        lines = [line for file in self._files for line in file.problems]
        for name in self:
            try:
                items[name] = self[name]
            except InputError as error:
                lines += [line for line in error.lines if line not in lines]
        return items, tuple(lines)


def known_items(roots: Sequence[Path], own: ItemTables | None = None) -> Items:
    """The items of all roots by name; the first root that has a name wins.

    `own` are tables that stand in no file yet; they go before all others.
    """
    read = [_tables(path) for path in item_files(roots)]
    return Items(read if own is None else [own, *read])


def _tables(path: Path) -> ItemTables:
    try:
        data = read_toml(path)
    except InputError as error:
        return ItemTables(path, {}, tuple(error.lines))
    version = data.pop("format", FORMAT)
    problems: tuple[str, ...] = ()
    if version != FORMAT or isinstance(version, bool):
        allowed = f"allowed: {FORMAT}"
        problems = (line(path, "format", f"read {shown(version)}", allowed, f"write {FORMAT}"),)
    return ItemTables(path, data, problems)


def find_item(name: str, known: Items) -> Item:
    """The item of that name; raises ``InputError`` with its problems, or the nearest known names.

    Lines start without the design's file and key, which a caller can put before them.
    """
    with contextlib.suppress(KeyError):
        return known[name]
    raise InputError(
        f"no such item; read {shown(name)}; allowed: a table of models/items.toml; "
        f"{did_you_mean(name, known)}; correct the name or add the item (see fitcheck list items)"
    )


def _read_item(path: Path, name: str, table: Any) -> Item:
    unit = table.get("unit") if isinstance(table, dict) else None
    context = {"unit": Unit(unit) if unit in FILE_UNITS else Unit.MM}
    kind = _kind(path, name, table)
    file: Any = validate(item_model(kind), table, path, prefix=(name,), context=context)
    assert kind is not None, "a table of no known kind is refused"
    ranges = None if file.range is None else tuple((low, high) for low, high in file.range)
    common = {
        "name": one_line(name),
        "kind": kind,
        "size_mm": tuple(file.size or ()),
        "size_u_mm": _uncertainty(file, kind, ranges),
        "size_range_mm": ranges,
        "source": file.source,
        "hazards": frozenset(file.hazards),
        "mass_g": file.mass_g,
    }
    try:
        return kind.item(common, file, Standing(path, name))
    except InputError as error:
        if kind in KINDS.own:
            raise
        raise InputError([line(path, name, text) for text in error.lines]) from error


def _kind(path: Path, name: str, table: Any) -> Kind | None:
    """The kind that a table names; None where there is none of that name.

    Raises ``InputError`` where another package offers it and it cannot be used.
    """
    named = table.get("kind") if isinstance(table, dict) else None
    if not isinstance(named, str):
        return None
    try:
        return KINDS.get(named)
    except KeyError:
        return None
    except InputError as error:
        raise InputError([line(path, f"{name}.kind", text) for text in error.lines]) from error


def _uncertainty(
    file: Any, kind: Kind, ranges: tuple[tuple[float, float], ...] | None
) -> tuple[float, ...]:
    """What the file says, else a rectangular range's, else none (an exact size)."""
    if file.size_u is not None:
        return tuple(file.size_u)
    if ranges is not None:
        return tuple((high - low) / RECTANGULAR for low, high in ranges)
    return (0.0,) * len(kind.sizes)
