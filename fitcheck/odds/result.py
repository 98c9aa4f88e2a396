"""The odds of a design as values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fitcheck.design.model import Content, Design, LidVerdict
from fitcheck.findings import Finding
from fitcheck.fit.upright import Upright
from fitcheck.odds.agreement import Agreement
from fitcheck.odds.feel import FeelOdds
from fitcheck.odds.inputs import Humidity
from fitcheck.odds.intervals import Chance, Interval
from fitcheck.odds.shares import Gain, Share
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.mates import Mate


@dataclass(frozen=True)
class Spread:
    """How a length comes out over all boxes, mm."""

    mean_mm: float
    u_mm: float
    """Standard deviation."""
    interval: Interval
    """95 %, as much left out below as above."""


@dataclass(frozen=True)
class Histogram:
    """How many boxes came out between which lengths; no column crosses the end of a band."""

    edges_mm: tuple[float, ...]
    """(n + 1,) rising; the outermost columns hold the few boxes beyond them too."""
    counts: tuple[int, ...]
    """(n,)"""


@dataclass(frozen=True)
class LineOdds:
    """What shows between a lid and the base that it is to meet."""

    closed: Chance
    """No line at all."""
    gap: Spread
    """Of the line, which is 0 where it is closed."""


@dataclass(frozen=True)
class LidOdds:
    """How often the lid gets each verdict."""

    chances: Mapping[LidVerdict, Chance]
    plays: Mapping[Axis, Spread]
    smaller: Spread
    """Of the smaller play, which the verdict goes by."""
    histogram: Histogram
    """Of the smaller play."""
    rim_clear: Chance
    """The rim stays off the table."""
    steady: Chance
    """It does not shift about, or is wanted loose."""
    shifty_mm: float
    """The play along either axis from which it does."""
    line: LineOdds | None = None
    """Of a lid whose rim is to meet the base's."""


@dataclass(frozen=True)
class MateOdds:
    """How often a mover goes with its holder."""

    mate: Mate
    goes: Chance
    plays: Mapping[str, Spread]
    """By the directions across its way."""
    smaller: Spread
    steady: Chance | None = None
    """It does not shift about, or is wanted loose; None of what is not judged by that."""


@dataclass(frozen=True)
class AboveOdds:
    """How often what stands in the base is no higher than what closes the box leaves room for."""

    mate: Mate
    """What stands there."""
    cover: str
    """What closes the box."""
    fits: Chance
    room: Spread
    """What is left above it."""


@dataclass(frozen=True)
class ContentOdds:
    """How often a line of contents fits in the way it fits as designed."""

    content: Content
    fits: Chance
    """Of boxes with a grid those count in which it goes into every compartment."""
    slack: Spread
    """The smallest slack."""
    compartments: int = 1
    """Into how many it goes."""


@dataclass(frozen=True)
class Advice:
    """The one change that helps most."""

    change: str
    """What to do, in words."""
    before: Chance
    """How often a box comes out right as it is."""
    after: Chance
    """How often the same boxes do with the change."""
    design: Design | None
    """The changed design; None where hands or papers change and no size does."""


@dataclass(frozen=True)
class Odds:
    """How sure the verdicts of a design are."""

    boxes: int
    seed: int
    humidity: Humidity | None
    lid: LidOdds | None
    contents: tuple[ContentOdds, ...]
    good: Chance
    """All that makes a box right, in one and the same box."""
    about: str
    """The length that the shares are about, in words."""
    shares: tuple[Share, ...]
    gains: tuple[Gain, ...]
    agreement: Agreement
    findings: tuple[Finding, ...]
    mates: tuple[MateOdds, ...] = ()
    """Those beside the lid whose way is not blocked."""
    above: AboveOdds | None = None
    """Of what stands in the base; None where no box has it too high."""
    at_ease: Chance | None = None
    """How often no part fights itself; None where it never does."""
    assumed: Chance | None = None
    """How often boxes come out right with the hand that was assumed before it was measured; None
    where nobody measured."""
    rounded: Chance | None = None
    """How often boxes come out right whose sheets and scores are rounded to what a hand sets; None
    where nothing is rounded."""
    feel: FeelOdds | None = None
    """How the lid feels; None without one that goes on."""
    advice: Advice | None = None
    """What helps most, if it was looked for and anything does."""
    uprights: tuple[Upright, ...] | None = None
    """What stands leaning walls upright and costs no boxes; None where that was not counted."""

    @property
    def told(self) -> Chance:
        """How often boxes come out right that are made to the sizes that are told."""
        return self.good if self.rounded is None else self.rounded
