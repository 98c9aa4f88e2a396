"""What a person does at the board and the table, one thing a value."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from fitcheck.design.model import Content
from fitcheck.pattern.bonds import Face
from fitcheck.pattern.sheet import Axis, Sheet
from fitcheck.sheet.best_grain import BestGrain
from fitcheck.sheet.cuts import CutOutline, ScoreSlants
from fitcheck.sheet.cutting_out import CutOut, RoundCorners, RoundEdge
from fitcheck.sheet.layers import FoldDown, TurnInCorner
from fitcheck.sheet.left_folded import Angles, LeaveFolded
from fitcheck.sheet.scoring import ScoreSides, TurnOver


@dataclass(frozen=True)
class CutToSize:
    """Cut a rectangle, lay it with a face up, and mark its edges."""

    part: str
    stock: str
    sheet: Sheet
    told_mm: tuple[float, float]
    """Its width and its length as a hand cuts them."""
    grain: Axis | None
    up: Face
    """The face that is up while it is scored and cut."""
    sided: bool = False
    """Whether what is called left or right lies at the other edge, as the outside is up."""
    both_faces: bool = False
    """Whether it is turned over meanwhile, so that its edges want marking on either face."""
    copies: int = 1
    """How many alike, all of which the other steps are done with."""
    flat: bool = False
    """Whether nothing is folded, so that either face may be up."""
    askew: float | None = None
    """What a box loses of the room in it and round it, along either side, for each unit that its
    sheet's diagonals differ by; None where no four walls stand round a floor."""
    best_grain: BestGrain | None = None
    """How the grain runs best where nobody said it and it matters."""


@dataclass(frozen=True)
class CutAway:
    """The hatched pieces that must have come off, and the tabs that must not."""

    places: tuple[str, ...]
    tabs: tuple[str, ...]


@dataclass(frozen=True)
class FoldAll:
    """Fold every score up with the inside up, or down, and open it again."""

    scores: int
    up: Face
    """The face that is up before; the sheet is turned over where it is the outside."""
    beaded: bool
    """Whether each fold goes towards the bead that its score raised."""
    away: tuple[str, ...] = ()
    """The creases that are folded the other way, down."""
    half_cut: int = 0
    """How many are cut half through and not pressed: each is cut on the outside of its fold."""
    oblique: Angles = ()
    """The angles that are neither right nor half a turn in the end, and their creases, where no
    step after it tells them."""
    pane_mm: tuple[float, float] | None = None
    """The clear sheet that is glued behind a window while the inside is up."""


@dataclass(frozen=True)
class GlueCorner:
    """Adhesive on the outside face of a tab; it goes behind the wall, on the inside of it."""

    tab: str
    wall: str


@dataclass(frozen=True)
class GlueSeam:
    """A flap closes a tube: glued on the panel at the tube's other end."""

    flap: str
    onto: str
    face: Face
    """Of the flap, which gets the adhesive."""
    side: Face
    """Of what it is glued on."""


@dataclass(frozen=True)
class RollSide:
    """Adhesive on the outside face of a flap; roll the side inwards and press the flap down."""

    flap: str
    onto: str
    panels: tuple[str, ...]
    """What is rolled, from the wall's rim to the flap."""
    over: tuple[str, ...]
    """The frames that it comes to lie over at the corners."""


@dataclass(frozen=True)
class StandIn:
    """A ring that is glued shut is stood up and pressed down into the base."""

    part: str


@dataclass(frozen=True)
class CloseLid:
    """A lid in one piece with the walls is closed when all else is done."""

    lid: str
    hung: tuple[str, ...]
    """What hangs on it, nearest first."""
    over: bool | None = None
    """Whether that comes down outside the wall across from its hinge, or behind it."""


@dataclass(frozen=True)
class TuckIn:
    """An end is closed: flaps turned in, the lid over them, the flap at its end behind a wall."""

    lid: str
    flap: str
    behind: str
    under: tuple[str, ...]
    locks: bool
    """Whether shoulders of those that are under it come to lie in the flap's slits."""
    above: bool
    """Whether it is the end that contents go in at."""


@dataclass(frozen=True)
class PutIn:
    """All contents are laid in as the design says."""

    contents: tuple[Content, ...]
    compartments: bool = False
    """Whether so many go into each compartment of a grid."""


@dataclass(frozen=True)
class PutOver:
    """A part is lowered over another one."""

    part: str
    holder: str


@dataclass(frozen=True)
class SlideIn:
    """A part is drawn level into another one."""

    part: str
    holder: str


Closing: TypeAlias = PutIn | PutOver | SlideIn | CloseLid | TuckIn
"""What is done when all parts are made."""


@dataclass(frozen=True)
class StandStrips:
    """Strips of a grid are put together and let down into the base."""

    part: str
    slots_up: bool
    """Whether the others come onto them from above."""
    crossed: bool
    """Whether there are others; else they are glued in."""
    at_mm: tuple[float, ...] = ()
    """Where each stands across its own way, from the middle of the base."""


@dataclass(frozen=True)
class LayIn:
    """An insert is laid on the base's floor, or turned over and stood there on its legs."""

    part: str
    on_legs: bool


Step: TypeAlias = (
    CutToSize
    | ScoreSides
    | TurnOver
    | ScoreSlants
    | CutOutline
    | CutOut
    | RoundCorners
    | RoundEdge
    | CutAway
    | FoldAll
    | LeaveFolded
    | GlueCorner
    | GlueSeam
    | RollSide
    | StandIn
    | TuckIn
    | TurnInCorner
    | FoldDown
    | StandStrips
    | LayIn
)
