"""A design as plain values in millimetres: what every later stage starts from."""

import enum
from dataclasses import dataclass
from pathlib import Path

from fitcheck.stock.paper import Stock
from fitcheck.stock.tools import Tools
from fitcheck.units import Unit


class Lay(enum.StrEnum):
    """How a content may lie in the box."""

    FLAT = "flat"
    EDGE = "edge"
    END = "end"
    ANY = "any"


class Vary(enum.StrEnum):
    """How the pieces of a content differ from what their item says."""

    EACH = "each"
    """Each for itself: wrapped, baked, grown or found things."""
    TOGETHER = "together"
    """All alike: one cut batch, one mould, one die."""


class ItemKind(enum.StrEnum):
    """What shape a content has."""

    CARD = "card"
    BLOCK = "block"
    CYLINDER = "cylinder"
    SPHERE = "sphere"
    MESH = "mesh"


class Axis(enum.StrEnum):
    """A direction in the plane of the floor."""

    WIDTH = "width"
    LENGTH = "length"


class SizeBy(enum.StrEnum):
    """What the two sizes of a part mean."""

    FLOOR = "floor"
    """Score to score."""
    INSIDE = "inside"
    """Between the inside faces of the walls."""
    OPENING = "opening"
    """Between the rolled frame's inner walls."""
    OVERSIZE = "oversize"
    """Score to score, over the base's floor (a lid's)."""
    SAME_SHEET = "same_sheet"
    """Scores so much nearer the edges of a sheet of the base's size (a lid's)."""
    CONTENTS = "contents"
    """What is left free around the contents (written ``slack`` in the file)."""


@dataclass(frozen=True)
class Item:
    """A thing that can go in a box."""

    name: str
    kind: ItemKind
    size_mm: tuple[float, ...]
    """Card, block, mesh: width, length, height; cylinder: diameter, height; sphere: diameter."""
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


@dataclass(frozen=True)
class Content:
    """So many of one item, laid as said."""

    item: Item
    count: int
    lay: Lay
    vary: Vary = Vary.EACH


@dataclass(frozen=True)
class PartSpec:
    """What a design says about one part."""

    name: str
    """``base`` or ``lid``."""
    style: str
    stock: Stock
    size_by: SizeBy
    size_mm: tuple[float, float]
    """Width and length; what they measure is said by ``size_by``."""
    depth_mm: float
    """Outer wall: score to score in a shadow box, score to cut edge in a tray."""
    frame_mm: float | None
    """Shadow box only, score to score."""
    inner_wall_mm: float | None
    """Shadow box only; None = level (depth less one caliper and one joint)."""
    flap_mm: float | None
    """Shadow box only, score to cut edge."""
    tabs: Axis | None
    """Along which side the walls run that carry the tabs; None = the style's default."""
    tab_setback_mm: float
    """How far a tab's score is moved inward from the neighbour's score line."""
    grain: Axis | None
    """The direction of the paper's grain; None when not said."""


class LidVerdict(enum.StrEnum):
    """How a lid goes on, from the tightest to the loosest."""

    BINDS = "binds"
    TIGHT = "tight"
    """It presses a little, and goes on because paper gives."""
    SNUG = "snug"
    SLIDES = "slides"
    LOOSE = "loose"


@dataclass(frozen=True)
class Bands:
    """Where a sliding lid's verdict changes, by its smaller play."""

    tight_mm: float
    """It binds where it presses by more than this."""
    snug_mm: float
    loose_mm: float


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
    base: PartSpec
    lid: PartSpec | None
    contents: tuple[Content, ...]
    path: Path | None
    """The file it was read from."""
