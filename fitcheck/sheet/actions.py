"""What a person does at the board and the table, one thing a value."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from fitcheck.pattern.bonds import Face
from fitcheck.pattern.sheet import Axis, Fence
from fitcheck.sheet.cutting_out import CutOut, RoundCorners, RoundEdge
from fitcheck.sheet.layers import FoldDown, TurnInCorner


@dataclass(frozen=True)
class CutToSize:
    """Cut a rectangle, lay it with the inside face up, and mark its edges."""

    part: str
    stock: str
    width_mm: float
    length_mm: float
    grain: Axis | None
    copies: int = 1
    """How many alike, all of which the other steps are done with."""


@dataclass(frozen=True)
class LaySheet:
    """Put the first edge against the fence; `nearest` is the edge nearest the maker."""

    fence: Fence
    nearest: Fence


@dataclass(frozen=True)
class TurnSheet:
    """Turn the sheet, never over: +1 a quarter turn anticlockwise, -1 clockwise, 2 half a turn."""

    quarter_turns: int
    fence: Fence
    """The edge that is at the fence afterwards."""
    nearest: Fence


@dataclass(frozen=True)
class Groove:
    """The groove nearest to a score that lies off the grooves."""

    at_mm: float
    beyond_mm: float
    """How far the score lies beyond it, away from the fence; negative when short of it."""


@dataclass(frozen=True)
class Score:
    """One score as the sheet lies now, start and stop measured from the nearest edge."""

    fence: Fence
    at_mm: float
    start_mm: float
    stop_mm: float
    from_edge: bool
    to_edge: bool
    off_groove: Groove | None
    of: tuple[str, ...]
    cut_face: Face | None = None
    """The face that is cut half through instead of pressed."""


@dataclass(frozen=True)
class Cut:
    """One straight cut as the sheet lies now, start and stop measured from the nearest edge."""

    fence: Fence
    at_mm: float
    start_mm: float
    stop_mm: float
    from_edge: bool
    to_edge: bool


@dataclass(frozen=True)
class SlantedCut:
    """A cut from point to point; both points are measured from the same two edges."""

    upright: Fence
    level: Fence
    start_mm: tuple[float, float]
    """Distance from the upright edge, then from the level edge."""
    stop_mm: tuple[float, float]
    what: str
    """What it makes: a tab's end or a frame's mitre."""


@dataclass(frozen=True)
class SlantedScore(SlantedCut):
    """A score from point to point, measured as a slanted cut is."""


@dataclass(frozen=True)
class CutAway:
    """The hatched pieces that must have come off, and the tabs that must not."""

    places: tuple[str, ...]
    tabs: tuple[str, ...]


@dataclass(frozen=True)
class FoldAll:
    """Fold every score towards the face that is up, or away from it, and flatten it again."""

    scores: int
    away: tuple[str, ...] = ()
    """The creases that are folded the other way."""


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
class StandStrips:
    """Strips of a grid are put together and let down into the base."""

    part: str
    slots_up: bool
    """Whether the others come onto them from above."""
    crossed: bool
    """Whether there are others; else they are glued in."""


@dataclass(frozen=True)
class LayIn:
    """An insert is laid on the base's floor, or turned over and stood there on its legs."""

    part: str
    on_legs: bool


Step: TypeAlias = (
    CutToSize
    | LaySheet
    | TurnSheet
    | Score
    | Cut
    | SlantedCut
    | SlantedScore
    | CutOut
    | RoundCorners
    | RoundEdge
    | CutAway
    | FoldAll
    | GlueCorner
    | GlueSeam
    | RollSide
    | StandIn
    | CloseLid
    | TuckIn
    | TurnInCorner
    | FoldDown
    | StandStrips
    | LayIn
)
