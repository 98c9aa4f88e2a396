"""The things that can go in a box are read from models/items.toml, each with its source."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, BeforeValidator, Field, WithJsonSchema, model_validator

from fitcheck.design.model import Item, ItemKind
from fitcheck.errors import InputError
from fitcheck.units import Unit
from fitcheck.workspace.explain import line, shown
from fitcheck.workspace.lengths import LENGTH_SCHEMA, Length, length_reader, problem
from fitcheck.workspace.names import item_files
from fitcheck.workspace.nearest import did_you_mean
from fitcheck.workspace.strict import STRICT, validate
from fitcheck.workspace.toml import read_toml

SIZES = {
    ItemKind.CARD: 3,
    ItemKind.BLOCK: 3,
    ItemKind.CYLINDER: 2,
    ItemKind.SPHERE: 1,
    ItemKind.MESH: 3,
}
"""How many sizes each kind has."""
MESH_ENDINGS = (".stl", ".3mf", ".obj", ".ply")
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
    unit: Literal["in", "mm", "cm"] = Field(default="mm", description="in, mm or cm; default mm.")
    size: Annotated[list[Length], Field(min_length=1, max_length=3)] = Field(
        description="Card, block, mesh: [width, length, height]; cylinder: [diameter, height]; "
        "sphere: [diameter]."
    )
    size_u: Annotated[list[Small], Field(min_length=1, max_length=3)] | None = Field(
        default=None, description="Standard uncertainty of each size, a list of lengths."
    )
    range: Annotated[list[Range], Field(min_length=1, max_length=3)] | None = Field(
        default=None, description="[least, largest] of each size, a list of lists."
    )
    corner_radius: Small | None = Field(default=None, description="Of a card's corners, a length.")
    file: Annotated[str, Field(min_length=1)] | None = Field(
        default=None, description="Of a mesh: the file's path from the folder of items.toml."
    )
    source: Annotated[str, Field(min_length=1)] = Field(
        description="Where the sizes come from, a text."
    )
    hazards: list[Literal["coin", "button-cell", "food", "sharp"]] = Field(
        default=[], description="Any of coin, button-cell, food, sharp."
    )

    @model_validator(mode="after")
    def _whole(self) -> Self:
        count = SIZES[self.kind]
        for key, values in (("size", self.size), ("size_u", self.size_u), ("range", self.range)):
            if values is not None and len(values) != count:
                raise problem(
                    f"{key} has {len(values)} members", f"{count} for a {self.kind}", "correct it"
                )
        for size, (least, most) in zip(self.size, self.range or [], strict=False):
            if not least <= size <= most:
                raise problem(
                    f"range [{least:g}, {most:g}] mm does not hold the size {size:g} mm",
                    "least <= size <= largest",
                    "correct the range or the size",
                )
        self._check_shape()
        return self

    def _check_shape(self) -> None:
        if self.corner_radius is not None and (
            self.kind is not ItemKind.CARD or 2 * self.corner_radius > min(self.size[:2])
        ):
            raise problem(
                f"corner_radius is {self.corner_radius:g} mm on a {self.kind}",
                "on a card only, up to half its smaller side",
                "correct or remove it",
            )
        if (self.file is not None) != (self.kind is ItemKind.MESH):
            raise problem(
                "file is missing" if self.file is None else f"file is given on a {self.kind}",
                f"a file ({', '.join(MESH_ENDINGS)}) on a mesh, and only there",
                "correct it",
            )


def read_items(path: Path) -> dict[str, Item]:
    """Every item in a file by name; raises ``InputError`` with a line for each problem."""
    data = read_toml(path)
    items: dict[str, Item] = {}
    problems: list[str] = []
    version = data.pop("format", 1)
    if version != 1 or isinstance(version, bool):
        problems.append(line(path, "format", f"read {shown(version)}; allowed: 1; write 1"))
    for name, table in data.items():
        try:
            items[name] = _read_item(path, name, table)
        except InputError as error:
            problems.extend(error.lines)
    if problems:
        raise InputError(problems)
    return items


def known_items(roots: Sequence[Path]) -> dict[str, Item]:
    """The items of all roots by name; the first root that has a name wins."""
    found: dict[str, Item] = {}
    for path in item_files(roots):
        for name, item in read_items(path).items():
            found.setdefault(name, item)
    return dict(sorted(found.items()))


def find_item(name: str, known: dict[str, Item]) -> Item:
    """The item of that name; raises ``InputError`` with the nearest known names.

    The line starts with "no such item", so that a caller can put the file and the key before it.
    """
    if name in known:
        return known[name]
    raise InputError(
        f"no such item; read {name!r}; allowed: a table of models/items.toml; "
        f"{did_you_mean(name, known)}; correct the name or add the item (see fitcheck list items)"
    )


def _read_item(path: Path, name: str, table: Any) -> Item:
    unit = table.get("unit") if isinstance(table, dict) else None
    context = {"unit": Unit(unit) if unit in ("in", "mm", "cm") else Unit.MM}
    file = validate(ItemFile, table, path, prefix=(name,), context=context)
    ranges = None if file.range is None else tuple((low, high) for low, high in file.range)
    return Item(
        name=name,
        kind=file.kind,
        size_mm=tuple(file.size),
        corner_radius_mm=file.corner_radius or 0.0,
        mesh_path=None if file.file is None else _mesh(path, name, file.file),
        size_u_mm=_uncertainty(file, ranges),
        size_range_mm=ranges,
        source=file.source,
        hazards=frozenset(file.hazards),
    )


def _uncertainty(
    file: ItemFile, ranges: tuple[tuple[float, float], ...] | None
) -> tuple[float, ...]:
    """What the file says, else a rectangular range's, else none (an exact size)."""
    if file.size_u is not None:
        return tuple(file.size_u)
    if ranges is not None:
        return tuple((high - low) / RECTANGULAR for low, high in ranges)
    return (0.0,) * len(file.size)


def _mesh(path: Path, name: str, file: str) -> Path:
    mesh = path.parent / file
    if mesh.suffix.lower() in MESH_ENDINGS and mesh.is_file():
        return mesh
    near = sorted(other.name for ending in MESH_ENDINGS for other in path.parent.glob(f"*{ending}"))
    raise InputError(
        line(
            path,
            f"{name}.file",
            "no such mesh file",
            f"read {file!r}",
            f"allowed: a file ending in {', '.join(MESH_ENDINGS)}",
            did_you_mean(file, near),
            "correct the name",
        )
    )
