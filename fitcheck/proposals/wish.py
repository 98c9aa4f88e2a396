"""What a maker says of a box that is to be proposed: what goes in, which box, of what, and how."""

from __future__ import annotations

import enum
from collections.abc import Mapping
from dataclasses import dataclass

from fitcheck.kinds.kind import Lay
from fitcheck.units import Unit


class Sits(enum.StrEnum):
    """How the contents are to sit, and the lid where most boxes made by hand come out right so."""

    SNUG = "snug"
    SLIDES = "slides"

    @property
    def slack_mm(self) -> float:
        """What is left round the contents, both sides together, at the least."""
        return 1.0 if self is Sits.SNUG else 2.5

    @property
    def cover(self) -> float:
        """The same in standard uncertainties of what goes in, at the least."""
        return 1.75 if self is Sits.SNUG else 2.0

    @property
    def play_mm(self) -> float:
        """Of a lid, a drawer or what stands in the base, at the least."""
        return 0.3 if self is Sits.SNUG else 0.8

    @property
    def words(self) -> str:
        """The same, said of what goes in."""
        return "is to be snug" if self is Sits.SNUG else "is to slide easily"


@dataclass(frozen=True)
class Wish:
    """What a maker says of a box that is to be proposed."""

    name: str
    style: str
    unit: Unit
    tools: str
    stocks: Mapping[str, str]
    """A paper's name for each part; that of the base where another part has none."""
    items: tuple[tuple[str, int], ...]
    """Each item and how many of it; none where a room is asked for."""
    sits: Sits
    room_mm: tuple[float, float, float] | None = None
    """Width, length and height that are to be free inside, for what is not described."""

    called: str = ""
    """What the box is called, if not as its name says."""

    lay: Lay | None = None
    """How what goes in is to lie; None for how the style has it."""

    @property
    def title(self) -> str:
        """What the box is called, from its name where nothing else was said."""
        return self.called or self.name.replace("-", " ").replace("_", " ").capitalize()

    def stock(self, part: str) -> str:
        """The name of a part's paper."""
        return self.stocks.get(part, self.stocks["base"])
