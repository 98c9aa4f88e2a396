"""A design as plain values in millimetres: what every later stage starts from."""

import enum
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Self

from fitcheck.design.fractions import OddFraction
from fitcheck.design.typed import Typed
from fitcheck.kinds.kind import Item as Item  # noqa: PLC0414
from fitcheck.kinds.kind import Lay as Lay  # noqa: PLC0414
from fitcheck.stock.tools import Tools
from fitcheck.styles import style_of
from fitcheck.styles.mates import Mate
from fitcheck.styles.part import PartSpec
from fitcheck.styles.places import place_of
from fitcheck.units import Unit


class Vary(enum.StrEnum):
    """How the pieces of a content differ from what their item says."""

    EACH = "each"
    """Each for itself: wrapped, baked, grown or found things."""
    TOGETHER = "together"
    """All alike: one cut batch, one mould, one die."""


@dataclass(frozen=True)
class Content:
    """So many of one item, laid as said."""

    item: Item
    count: int
    lay: Lay
    vary: Vary = Vary.EACH


class LidVerdict(enum.StrEnum):
    """How a lid goes on, from the tightest to the loosest."""

    BINDS = "binds"
    TIGHT = "tight"
    """It presses a little, and goes on because paper gives."""
    SNUG = "snug"
    SLIDES = "slides"
    LOOSE = "loose"


NEVER_LOOSE_MM = 1e4
"""Stands in bands for no play from which anything is loose."""


@dataclass(frozen=True)
class Bands:
    """Where a sliding lid's verdict changes, by its smaller play."""

    tight_mm: float
    """It binds where it presses by more than this."""
    snug_mm: float
    loose_mm: float


@dataclass(frozen=True)
class Said:
    """What a maker says of a design where it is published."""

    by: str | None = None
    licence: str | None = None
    photo: str | None = None
    """A picture's file, beside the design's."""


@dataclass(frozen=True)
class Design:
    """A whole box design."""

    name: str
    """The file's name without its ending."""
    title: str
    unit: Unit
    """The unit to show lengths in."""
    tools: Tools
    joint_mm: float
    """Thickness of the adhesive between two glued faces."""
    joint_u_mm: float
    bands: Bands
    want: frozenset[LidVerdict]
    """What is right for its lid."""
    parts: tuple[PartSpec, ...]
    """The base first, then what goes with it, each by the name of its place."""
    contents: tuple[Content, ...]
    path: Path | None
    """The file it was read from."""
    said: Said = Said()
    """What a published recipe says of it."""
    want_sink: tuple[float, float] | None = None
    """In how many seconds its lid is to sink by itself; None where nobody asks."""
    typed: tuple[Typed, ...] = field(default=(), compare=False)
    """Lengths that its file, in inches, gives without a unit; designs are alike however written."""
    fractions: tuple[OddFraction, ...] = field(default=(), compare=False)
    """Fractions of an inch in its file that no rule is divided into."""

    @property
    def base(self) -> PartSpec:
        """What everything else goes with."""
        return self.parts[0]

    @property
    def lid(self) -> PartSpec | None:
        """The lid, if there is one."""
        return self.part("lid")

    @property
    def other(self) -> PartSpec | None:
        """What goes with the base, what only fills it left out."""
        more = (part for part in self.parts[1:] if not part.fills_base)
        return next(more, None)

    def part(self, name: str) -> PartSpec | None:
        """The part of that name, if there is one."""
        return next((part for part in self.parts if part.name == name), None)

    @property
    def mates(self) -> tuple[Mate, ...]:
        """How its parts go together, in the order of the parts."""
        found: list[Mate] = []
        names = [part.name for part in self.parts]
        for part in self.parts:
            found += place_of(part.place).mates(names)
            found += style_of(part.style).mates(part)
        return tuple(found)

    def with_sizes(self, place: str, size_mm: tuple[float, float]) -> Self:
        """The design with other sizes in a table, which may give several parts."""
        own = (part for part in self.parts if part.place == place)
        return self.with_parts(*(replace(part, size_mm=size_mm) for part in own))

    def with_parts(self, *parts: PartSpec | None) -> Self:
        """The design with other parts of the same names; those that follow the base follow it."""
        named = {part.name: part for part in (*self.parts, *parts) if part is not None}
        base, *others = (named[part.name] for part in self.parts)
        return replace(self, parts=(base, *(part.beside(base) for part in others)))
