"""What a design is made of, each with its digest, so that a change since then is seen."""

from __future__ import annotations

import dataclasses
import enum
import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from fitcheck import __version__
from fitcheck.design.model import Design, Item
from fitcheck.workspace.digests import digest_of_bytes
from fitcheck.workspace.makers import Job
from fitcheck.workspace.names import Shelf, find_named
from fitcheck.workspace.paths import search_roots
from fitcheck.workspace.reading import Most, read_bounded


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
    """Of the file; of an item, of what it says, as its file holds all the others too."""

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


def versions_of(design: Design, roots: Sequence[Path] | None = None) -> tuple[Version, ...]:
    """The design's file, its papers, tools and items, each with its digest.

    Raises InputError for a file that is gone meanwhile.
    """
    places = search_roots(design.path) if roots is None else roots
    stocks = dict.fromkeys(part.stock.name for part in design.parts)
    items = {content.item.name: content.item for content in design.contents}
    found: list[Version] = []
    own = own_file(design)
    found += [own] if own is not None else []
    found += [
        Version(Ingredient.STOCK, name, _of_file(find_named(Shelf.STOCK, name, places)))
        for name in stocks
    ]
    tools = design.tools.name
    found.append(Version(Ingredient.TOOLS, tools, _of_file(find_named(Shelf.TOOLS, tools, places))))
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


def _of_file(path: Path) -> str:
    return digest_of_bytes(read_bounded(path, Most.DESIGN))


def _of_item(item: Item) -> str:
    said = dataclasses.asdict(item) | {
        "kind": item.kind.name,
        "mesh_path": None
        if item.mesh_path is None
        else digest_of_bytes(read_bounded(item.mesh_path, Most.MESH)),
        "hazards": sorted(item.hazards),
    }
    return digest_of_bytes(json.dumps(said, sort_keys=True, default=str).encode())
