"""What a design is made of, each with its digest, so that a change since then is seen."""

from __future__ import annotations

import dataclasses
import enum
import json
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fitcheck import __version__
from fitcheck.design.model import Design, Item
from fitcheck.stock.tools_files import tools_paths
from fitcheck.styles.part import SizeBy
from fitcheck.workspace.digests import digest_of_bytes
from fitcheck.workspace.makers import Job
from fitcheck.workspace.names import Shelf, find_named
from fitcheck.workspace.paths import search_roots
from fitcheck.workspace.reading import Most, read_bounded

NO_SIZE = frozenset(
    {"stock", "grain", "decoration_g", "kind", "mesh_path", "hazards", "mass_g", "source"}
    | {"size_u_mm", "size_range_mm", "vary"}
)
"""What is said of a part, or of what a part is sized by, and is no size."""


class Ingredient(enum.StrEnum):
    """What a design is made of."""

    DESIGN = "design"
    STOCK = "stock"
    TOOLS = "tools"
    ITEM = "item"


@dataclass(frozen=True)
class Version:
    """One thing that a design is made of, as it was."""

    what: Ingredient
    name: str
    sha256: str
    """Of the file, whatever the order in which a profile names its records; of an item, of what it
    says, as its file holds all the others too."""

    @property
    def words(self) -> str:
        """What a maker calls it."""
        return "the design's own file" if self.what is Ingredient.DESIGN else self.named

    @property
    def named(self) -> str:
        """Kind and name."""
        kind = "tool profile" if self.what is Ingredient.TOOLS else str(self.what)
        return f"the {kind} {self.name}"


def own_file(design: Design) -> Version | None:
    """The design's own file as it is; None for one without. Raises InputError where it is gone."""
    if design.path is None:
        return None
    return Version(Ingredient.DESIGN, design.name, _of_file(design.path))


def sizes_of(design: Design) -> str:
    """A digest of what a design says of the sizes of its parts.

    Title, papers, colours, what is wanted of the lid and how the file is written are left out, as
    none of them makes a box of other sizes; what goes in counts where a part is sized by it.
    """
    parts = [_told(part) for part in design.parts]
    by_contents = any(part.size_by is SizeBy.CONTENTS for part in design.parts)
    inside = [_told(content) for content in design.contents] if by_contents else []
    return digest_of_bytes(json.dumps([parts, inside], sort_keys=True).encode())


def _told(value: object) -> object:
    """A value as plain data, without what is left out and without what says no size."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {
            field.name: _told(getattr(value, field.name))
            for field in dataclasses.fields(value)
            if field.name not in NO_SIZE and getattr(value, field.name) != _left_out(field)
        }
    if isinstance(value, tuple | list):
        return [_told(one) for one in value]
    return round(value, 3) if isinstance(value, float) else str(value)


def _left_out(field: dataclasses.Field[Any]) -> object:
    """What a field holds where nothing is said."""
    return field.default_factory() if callable(field.default_factory) else field.default


def versions_of(design: Design) -> tuple[Version, ...]:
    """The design's file, its papers, tools and items, each with its digest.

    Raises InputError for a file that is gone meanwhile.
    """
    places = search_roots(design.path)
    stocks = dict.fromkeys(part.stock.name for part in design.parts)
    items = {content.item.name: content.item for content in design.contents}
    found: list[Version] = []
    own = own_file(design)
    found += [own] if own is not None else []
    found += [
        Version(Ingredient.STOCK, name, _of_profile(find_named(Shelf.STOCK, name, places)))
        for name in stocks
    ]
    tools = design.tools.name
    paths = tools_paths(find_named(Shelf.TOOLS, tools, places))
    found.append(Version(Ingredient.TOOLS, tools, _of_profile(*paths)))
    found += [Version(Ingredient.ITEM, name, _of_item(item)) for name, item in items.items()]
    return tuple(found)


def job_of(command: str, design: Design, *more: object) -> Job | None:
    """A run of a command for a design: another one where a part's paper, the tools, what goes in,
    the design's file or `more` are others. None for a design without a file.

    Raises InputError for a file that is gone meanwhile.
    """
    if design.path is None:
        return None
    papers = [(part.name, part.stock.name) for part in design.parts]
    source = repr((__version__, versions_of(design), papers, *more))
    return Job(command, design.path, source)


def changed_since(then: Sequence[Version], now: Sequence[Version]) -> tuple[Version, ...]:
    """What is another one now, or is no longer used, then what is used now and was not."""
    before, after = ({(v.what, v.name): v for v in some} for some in (then, now))
    gone = [v for key, v in before.items() if key not in after or after[key].sha256 != v.sha256]
    new = [v for key, v in after.items() if key not in before]
    return (*gone, *new)


def _of_file(*paths: Path) -> str:
    return digest_of_bytes(b"".join(read_bounded(path, Most.DESIGN) for path in paths))


def _of_profile(*paths: Path) -> str:
    """Of a profile's files, their records in the order of their names: else they say the same."""
    return digest_of_bytes(b"".join(_in_order(read_bounded(path, Most.DESIGN)) for path in paths))


def _in_order(raw: bytes) -> bytes:
    try:
        text = raw.decode("utf-8")
        names = tomllib.loads(text).get("records")
    except ValueError:
        return raw
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        return raw
    named = re.compile("|".join(rf"(?<=[\"']){re.escape(name)}(?=[\"'])" for name in names))
    if names == sorted(names) or named.findall(text) != names:
        return raw
    rest = iter(sorted(names))
    return named.sub(lambda _: next(rest), text).encode()


def _of_item(item: Item) -> str:
    said = dataclasses.asdict(item) | {
        "kind": item.kind.name,
        "mesh_path": None
        if item.mesh_path is None
        else digest_of_bytes(read_bounded(item.mesh_path, Most.MESH)),
        "hazards": sorted(item.hazards),
    }
    return digest_of_bytes(json.dumps(said, sort_keys=True, default=str).encode())
