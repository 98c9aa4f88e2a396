"""An item is a thing that can go in a box; its kind says what shape it has, and all that follows.

A pose stands upright on one of the body's faces; leaning bodies are not counted. Sorted by
size, a body has a smallest, a middle and a largest dimension, and its lay says which of them
points up: flat = the smallest, edge = the middle, end = the largest, any = each of them.
"""

from __future__ import annotations

import enum
from abc import ABC, abstractmethod
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from pydantic import BaseModel

from fitcheck.kinds.poses import Pose

Problem = tuple[str, str, str]
"""What is wrong, what is allowed and what to do."""


class Lay(enum.StrEnum):
    """How a content may lie in the box."""

    FLAT = "flat"
    EDGE = "edge"
    END = "end"
    ANY = "any"


_LAY_RANKS = {Lay.FLAT: (0,), Lay.EDGE: (1,), Lay.END: (2,), Lay.ANY: (0, 1, 2)}
_WORDS = ("flat", "on edge", "on end")


class Solid(enum.Enum):
    """What is known for certain of a body beside its sizes."""

    BLOCK = "block"
    """It fills its sizes, but for round corners."""
    ROD = "rod"
    """A cylinder, its sizes a diameter and a height."""
    BALL = "ball"
    WITHIN = "within"
    """It lies somewhere within them."""


@dataclass(frozen=True)
class Item:
    """A thing that can go in a box; a kind with keys of its own has items of its own."""

    name: str
    kind: Kind
    size_mm: tuple[float, ...]
    """As its kind has them (`Kind.sizes`)."""
    corner_radius_mm: float
    """Radius of a card's corners seen flat; 0 where they are square."""
    mesh_path: Path | None
    """The mesh file of a mesh item, whose bounding box ``size_mm`` is."""
    size_u_mm: tuple[float, ...]
    """Standard uncertainty of each size."""
    size_range_mm: tuple[tuple[float, float], ...] | None
    """Least and largest of each size where a source gives them."""
    source: str
    hazards: frozenset[str]
    """Any of coin, button-cell, food, sharp."""
    mass_g: float | None = None
    """Of one; None where nobody says."""

    @property
    def plan_mm(self) -> tuple[float, float]:
        """Its width and length as it lies flat."""
        width, length, _ = self.kind.extents(self)
        return width, length


@dataclass(frozen=True)
class Standing:
    """Where an item stands: its file and its table there."""

    path: Path
    table: str


class Kind(ABC):
    """What shape an item has; one value of it is registered for all items.

    Every kind names its `name`, its `summary` and its `sizes`, and says what `upright` and
    `printed` do.
    """

    name: ClassVar[str]
    """As it is written in an items file."""
    summary: ClassVar[str]
    """What it is, in a few words."""
    sizes: ClassVar[tuple[str, ...]]
    """What its sizes are called, in the order in which they are written: one to three."""
    sides: ClassVar[tuple[int, int, int]] = (0, 1, 2)
    """Which of its sizes its width, length and height are; every pose has these, in any order."""
    solid: ClassVar[Solid] = Solid.WITHIN
    keys: ClassVar[type[BaseModel] | None] = None
    """The keys that only its items have, strict, all with a default."""
    sized: ClassVar[bool] = True
    """Whether its sizes have to be written; else `item` finds them."""

    @abstractmethod
    def upright(self, item: Item, up: int, word: str) -> tuple[Pose, ...]:
        """Its poses with one of its three dimensions upright, in that word of a lay.

        Each is given straight and turned by 90 degrees in plan, unless they are the same.
        """

    @abstractmethod
    def printed(self, item: Item) -> Pose:
        """As its stand-in is printed best: a prism over its plan, or a ball."""

    def key_problems(self, table: Any, *, own: bool) -> Iterator[Problem]:
        """What is wrong with the keys that only it has, in an item of its own or of another kind.

        Such an item's sizes are known to be as many as its kind has.
        """
        for key in self.keys.model_fields if self.keys is not None else ():
            if not own and key in table.model_fields_set:
                yield f"{key} is given on a {table.kind}", f"on a {self.name} only", "remove it"

    def item(self, common: Mapping[str, Any], table: Any, at: Standing) -> Item:
        """The item that a sound table says; `common` is what all items have.

        Raises InputError where a file that it names cannot be used.
        """
        return Item(**common, corner_radius_mm=0.0, mesh_path=None)

    def extents(self, item: Item) -> tuple[float, float, float]:
        """Its width, length and height, mm."""
        first, second, third = (item.size_mm[side] for side in self.sides)
        return first, second, third

    def lays(self, item: Item, lay: Lay, like: Item) -> tuple[Pose, ...]:
        """Every upright pose that a lay allows; `like` says which dimension is the smallest."""
        nominal = self.extents(like)
        by_size = sorted(range(3), key=lambda axis: (nominal[axis], -axis))
        found: dict[tuple[object, ...], Pose] = {}
        for rank in _LAY_RANKS[lay]:
            for pose in self.upright(item, by_size[rank], _WORDS[rank]):
                key = (pose.width_mm, pose.length_mm, pose.height_mm, pose.footprint, pose.shape)
                found.setdefault(key, pose)
        return tuple(found.values())

    def size_text(self, item: Item) -> str:
        """Its sizes as they are engraved."""
        return " × ".join(f"{size:.2f}" for size in item.size_mm) + " mm"

    def __str__(self) -> str:
        return self.name

    def __repr__(self) -> str:
        return f"<the kind {self.name}>"


def lays(item: Item, lay: Lay, like: Item | None = None) -> tuple[Pose, ...]:
    """Every upright pose of `item` that `lay` allows, each also turned 90 degrees in plan.

    Poses that cannot be told apart are given once, under the first name. `like` is the item whose
    sizes say which is the smallest, for one that came out a little different.
    """
    return item.kind.lays(item, lay, like or item)
