"""An input of a design: a cut, a score, a paper, glue, a content or weather that may be off.

Each is an offset from what the design says.
"""

from __future__ import annotations

import enum
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.fit.assembly import Part
from fitcheck.folding.pose import Array
from fitcheck.odds.variates import Variate
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE, Knife, Rule
from fitcheck.stock.tools import Tools

BASE_HUMIDITY = 50.0
"""Relative humidity in % at which papers are measured (the atmosphere of ISO 187), and boxes made
where nobody says otherwise."""


class Source(enum.StrEnum):
    """Where an input comes from."""

    SCORE = "score"
    CUT = "cut"
    KNIFE = "knife"
    """Of one cut inside the sheet."""
    BOARD = "board"
    BETWEEN = "between"
    """What every score between grooves lies further than one in a groove."""
    SCALE = "scale"
    """Of the board: a share of each score's distance."""
    TRIMMER = "trimmer"
    """What every sheet is cut too large by."""
    CALIPER = "caliper"
    CREASE = "crease"
    GIVE = "give"
    JOINT = "joint"
    CONTENT = "content"
    HUMIDITY = "humidity"


@dataclass(frozen=True)
class Input:
    """One input with its error, mm (humidity: % relative humidity more than it was made in; the
    board's scale: a share of the distance).
    """

    variate: Variate
    source: Source
    parts: tuple[str, ...] = ()
    """The parts that it moves; none for a content's size."""
    rule: Rule | None = None
    """Of a score or a cut."""
    in_groove: bool = False
    """Of a score: made in one of the board's grooves."""
    item: str = ""
    side: int = 0
    """Which of the item's sizes."""
    pieces: tuple[tuple[int, int], ...] = ()
    """Of a content's size: the pieces that have it, each by its line and its number there."""
    shared_name: str = ""
    """Of one piece among many: what they are called together."""
    knife: Knife | None = None
    """Of a knife's cut."""
    along: bool | None = None
    """Of a crease allowance: whether of folds along the grain or across it; None for all folds."""
    lever_mm: float = 1.0
    """How far it moves a line at the most for each unit that it is off."""

    @property
    def name(self) -> str:
        """No two inputs of a design share a name."""
        return self.variate.name

    @property
    def label(self) -> str:
        """What a maker calls it; the pieces of one item, each by itself, share theirs."""
        return self.shared_name or self.name


@dataclass(frozen=True)
class Humidity:
    """The air that the box will be in, % relative humidity; anything between is as likely."""

    low: float
    high: float
    made: float = BASE_HUMIDITY
    """In which it is cut and scored."""


def score_u(tools: Tools, rule: Rule) -> float:
    """Standard uncertainty of a score's place, mm."""
    on_grid = tools.on_grid(rule.at_mm)
    return tools.score_u_on_grid_mm if on_grid else tools.score_u_off_grid_mm


def u_of(inputs: Sequence[Input]) -> Array:
    """(k,) their standard uncertainties."""
    return np.array([one.variate.u for one in inputs])


def moved_rules(part: Part) -> tuple[Rule, ...]:
    """The rules that a pattern is drawn from, the two fences that all is measured from left out."""
    corners = [corner for panel in part.pattern.panels for corner in panel.every_corner]
    corners += [end for crease in part.pattern.lines for end in (crease.start, crease.stop)]
    rules = dict.fromkeys(rule for corner in corners for rule in (corner.x, corner.y))
    edges = {rule: None for rule in (WIDTH_EDGE, LENGTH_EDGE)}
    return tuple(rule for rule in edges | rules if rule.at_mm > 0.0 or rule.fence.far)


def with_u(inputs: Sequence[Input], changed: Mapping[str, float]) -> tuple[Input, ...]:
    """The same inputs, those of some labels with another standard uncertainty."""
    return tuple(
        one
        if one.label not in changed
        else replace(one, variate=replace(one.variate, u=changed[one.label]))
        for one in inputs
    )
