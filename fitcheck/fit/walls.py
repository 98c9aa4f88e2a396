"""What contents meet in a box: the walls of its base, and of the parts that stand in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from fitcheck.fit.remembered import MEMORY
from fitcheck.folding.parts import FoldedPart
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.pose import UP, translation
from fitcheck.pattern.pattern import Role


class Walls(Protocol):
    """Walls round a floor; a folded base by itself is some."""

    @property
    def pieces(self) -> Pieces:
        """All plates and bends as convex pieces."""

    @property
    def hollow(self) -> bool:
        """Whether the walls are rolled into a frame."""

    @property
    def doubled(self) -> bool:
        """Whether walls are folded over at the rim and come down again inside."""

    @property
    def roles(self) -> Mapping[str, Role]:
        """What each panel is for."""

    @property
    def height_mm(self) -> float:
        """Greatest height above the outside of the floor."""

    @property
    def caliper_mm(self) -> float:
        """Thickness of the floor."""


def round_contents(base: FoldedPart) -> Walls:
    """A base by itself as contents meet it on their way in, what they stand on as its floor."""
    opened = base.opened
    if not (rise := base.floor_rise_mm):
        return opened

    def lowered() -> Filled:
        pieces = opened.pieces.moved(translation(-UP * rise))
        return Filled(opened, (), pieces, opened.height_mm - rise)

    return MEMORY.of((round_contents, base), lowered)


@dataclass(frozen=True, eq=False)
class Filled:
    """A base with parts that stand in it."""

    base: FoldedPart
    inner: Sequence[FoldedPart]
    pieces: Pieces
    height_mm: float

    @property
    def hollow(self) -> bool:
        """Whether the base's walls are rolled into a frame."""
        return self.base.hollow

    @property
    def doubled(self) -> bool:
        """Whether the base's walls are folded over at the rim."""
        return self.base.doubled

    @property
    def roles(self) -> Mapping[str, Role]:
        """What each panel is for; no two parts in one base have panels of one name."""
        return {
            name: role for part in (self.base, *self.inner) for name, role in part.roles.items()
        }

    @property
    def caliper_mm(self) -> float:
        """Thickness of the base's floor."""
        return self.base.caliper_mm
