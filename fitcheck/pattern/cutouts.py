"""What is cut out of a panel: windows inside it, notches at its edge, slits."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from fitcheck.pattern.sheet import Corner


class CutoutKind(enum.StrEnum):
    """How a cut-out lies in its panel."""

    WINDOW = "window"
    """Inside it, closed all round."""
    NOTCH = "notch"
    """Open at its edge, from one place on it to another: a thumb notch, a slot, a rounded end."""
    SLIT = "slit"
    """A cut of no width. Nothing falls off, and a folded part is the same with it or without."""


@dataclass(frozen=True)
class Cutout:
    """A cut-out of a panel; its corners follow rules and knives as the panel's own do."""

    name: str
    """What a maker calls it, as in `thumb notch`; no two of a panel have the same."""
    kind: CutoutKind
    corners: tuple[Corner, ...]
    """In order round it, either way; of a notch from one place on the panel's edge to the other."""
    bulges: tuple[float, ...] = ()
    """Of each stretch from a corner to the next (of a window the last one goes back to the first):
    0 for a straight one, 1 for a half round, positive where the arc makes the cut-out larger.
    Empty where all are straight."""
    paned: bool = False
    """Whether a clear sheet is glued behind it, on the inside."""
