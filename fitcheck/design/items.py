"""The things that can go in a box are read from models/items.toml, each with its source."""

import contextlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, BeforeValidator, Field, WithJsonSchema, model_validator

from fitcheck.design.mesh_content import mesh_extents
from fitcheck.design.model import Item, ItemKind
from fitcheck.errors import InputError
from fitcheck.meshes.formats import ENDINGS
from fitcheck.plain import one_line, shown
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
from fitcheck.workspace.paths import is_file
from fitcheck.workspace.strict import FORMAT, STRICT, Words, validate
from fitcheck.workspace.toml import read_toml

SIZES = {
    ItemKind.CARD: 3,
    ItemKind.BLOCK: 3,
    ItemKind.CYLINDER: 2,
    ItemKind.SPHERE: 1,
    ItemKind.MESH: 3,
}
"""How many sizes each kind has."""
MOST_HAZARDS = 20
RECTANGULAR = 2 * 3**0.5
"""A rectangular distribution's full width over its standard uncertainty (JCGM 100, 4.3.7)."""

Small = Annotated[float, BeforeValidator(length_reader(0, 50)), WithJsonSchema(LENGTH_SCHEMA)]
Range = Annotated[list[Length], Field(min_length=2, max_length=2)]


class ItemFile(BaseModel):
    """One table of items.toml."""

    model_config = STRICT
    kind: Annotated[ItemKind, Field(strict=False)] = Field(
        description="Its shape: card, block, cylinder, sphere or mesh."
    )
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
    corner_radius: Small | None = Field(default=None, description="Of a card's corners, a length.")
    file: Annotated[str, Field(min_length=1, max_length=1000)] | None = Field(
        default=None, description="Of a mesh: the file's path from the folder of items.toml."
    )
    source: Words = Field(description="Where the sizes come from, a text.")
    hazards: Annotated[
        list[Literal["coin", "button-cell", "food", "sharp"]], Field(max_length=MOST_HAZARDS)
    ] = Field(default=[], description="Any of coin, button-cell, food, sharp.")

    @model_validator(mode="after")
    def _whole(self) -> Self:
        count = SIZES[self.kind]
        if self.size is None and self.kind is not ItemKind.MESH:
            raise problem("size is missing", f"{count} lengths for a {self.kind}", "add it")
        for key, values in (("size", self.size), ("size_u", self.size_u), ("range", self.range)):
            if values is not None and len(values) != count:
                raise problem(
                    f"{key} has {len(values)} members", f"{count} for a {self.kind}", "correct it"
                )
        for words in range_problems(self.size or (), self.range or ()):
            raise problem(*words)
        self._check_shape()
        return self

    def _check_shape(self) -> None:
        if self.corner_radius is not None and (
            self.kind is not ItemKind.CARD or 2 * self.corner_radius > min((self.size or [])[:2])
        ):
            raise problem(
                f"corner_radius is {self.corner_radius:g} mm on a {self.kind}",
                "on a card only, up to half its smaller side",
                "correct or remove it",
            )
        if (self.file is not None) != (self.kind is ItemKind.MESH):
            raise problem(
                "file is missing" if self.file is None else f"file is given on a {self.kind}",
                f"a file ({', '.join(ENDINGS)}) on a mesh, and only there",
                "correct it",
            )


def range_problems(
    sizes: Sequence[float], ranges: Sequence[Sequence[float]]
) -> Iterator[tuple[str, str, str]]:
    """What is wrong, allowed and to do for each range that does not hold its size, mm."""
    for size, (least, most) in zip(sizes, ranges, strict=False):
        if not least <= size <= most:
            yield (
                f"range [{least:g}, {most:g}] mm does not hold the size {size:g} mm",
                "least <= size <= largest",
                "correct the range or the size",
            )


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


def known_items(roots: Sequence[Path]) -> Items:
    """The items of all roots by name; the first root that has a name wins."""
    return Items([_tables(path) for path in item_files(roots)])


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
    file = validate(ItemFile, table, path, prefix=(name,), context=context)
    ranges = None if file.range is None else tuple((low, high) for low, high in file.range)
    item = Item(
        name=one_line(name),
        kind=file.kind,
        size_mm=tuple(file.size or ()),
        corner_radius_mm=file.corner_radius or 0.0,
        mesh_path=None if file.file is None else _mesh(path, name, file.file),
        size_u_mm=_uncertainty(file, ranges),
        size_range_mm=ranges,
        source=file.source,
        hazards=frozenset(file.hazards),
    )
    return item if item.size_mm else _sized(path, item)


def _sized(path: Path, item: Item) -> Item:
    """A mesh item whose size is that of its file."""
    sized = replace(item, size_mm=mesh_extents(item))
    wrong = [
        line(path, f"{item.name}.range", said, f"allowed: {allowed}", do)
        for said, allowed, do in range_problems(sized.size_mm, sized.size_range_mm or ())
    ]
    if wrong:
        raise InputError(wrong)
    return sized


def _uncertainty(
    file: ItemFile, ranges: tuple[tuple[float, float], ...] | None
) -> tuple[float, ...]:
    """What the file says, else a rectangular range's, else none (an exact size)."""
    if file.size_u is not None:
        return tuple(file.size_u)
    if ranges is not None:
        return tuple((high - low) / RECTANGULAR for low, high in ranges)
    return (0.0,) * SIZES[file.kind]


def _mesh(path: Path, name: str, file: str) -> Path:
    mesh = path.parent / file
    if mesh.suffix.lower() in ENDINGS and is_file(mesh):
        return mesh
    near = sorted(other.name for ending in ENDINGS for other in path.parent.glob(f"*{ending}"))
    raise InputError(
        line(
            path,
            f"{name}.file",
            "no such mesh file",
            f"read {shown(file)}",
            f"allowed: a file ending in {', '.join(ENDINGS)}",
            did_you_mean(file, near),
            "correct the name",
        )
    )
