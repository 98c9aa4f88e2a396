"""The inputs of a design: every cut, score, paper, glue, content and weather that may be off.

They are read from the parts' plans and profiles, so that a style or a recipe that is new here
brings its own inputs along. Each is an offset from what the design says.
"""

from __future__ import annotations

import enum
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.design.model import Design, Item, Vary
from fitcheck.fit.assembly import Assembly, Part
from fitcheck.fit.selffit import FIGHT_MM
from fitcheck.folding.pose import Array
from fitcheck.odds.variates import Law, Variate
from fitcheck.pattern.laid import face_up, fence_as_laid
from fitcheck.pattern.plan import knives_of
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE, Axis, Fence, Knife, Rule, ordinal
from fitcheck.stock.paper import Stock
from fitcheck.stock.tools import Tools
from fitcheck.styles.canvas import EASE_MM

KNIFE_REACH = 3.5
"""A normal law goes so many standard uncertainties too far once in four thousand times."""
SLOT_SHARE = 0.2
"""A slot's two sides are cut beside each other, so that its width is off by no more than this share
of itself, one standard uncertainty (assumed): nobody cuts one of no width."""
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


def inputs_of(assembly: Assembly, humidity: Humidity | None = None) -> tuple[Input, ...]:
    """All inputs of a design that are not known exactly."""
    design = assembly.design
    found = [
        *(one for part in assembly.parts for one in _made_lines(part, design.tools)),
        *(one for part in assembly.parts for one in _knives(part, design.tools)),
        *_board(assembly),
        *_papers(assembly),
        Input(
            Variate("the thickness of the glued joints", design.joint_u_mm),
            Source.JOINT,
            tuple(part.recipe.part for part in assembly.parts),
        ),
        *_contents(design),
        *_weather(assembly, humidity),
    ]
    return tuple(one for one in found if one.variate.u > 0.0 or one.variate.mean)


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


def _made_lines(part: Part, tools: Tools) -> Iterator[Input]:
    """The two cut sizes of a sheet, its scores, and any line that is cut but not scored.

    Fences are named as the sheet lies while it is scored, like those of its steps and drawing.
    """
    name, up = part.recipe.part, face_up(part.pattern, tools.score_face)
    sizes = {WIDTH_EDGE: Axis.WIDTH, LENGTH_EDGE: Axis.LENGTH}
    scores = part.scores
    cuts = [r for r in moved_rules(part) if r not in scores and r not in sizes]
    for edge, axis in sizes.items():
        words = f"the {axis} that the {name}'s sheet is cut to"
        yield Input(Variate(words, tools.cut_u_mm), Source.CUT, (name,), edge)
    for lines, source, word in ((scores, Source.SCORE, "score"), (cuts, Source.CUT, "cut")):
        for fence in Fence:
            own = sorted(rule for rule in lines if rule.fence is fence)
            for index, rule in enumerate(own):
                lies = fence_as_laid(fence, up)
                u = score_u(tools, rule) if source is Source.SCORE else tools.cut_u_mm
                words = f"the {name}'s {ordinal(index + 1)} {word} from the {lies} fence"
                grooved = source is Source.SCORE and tools.on_grid(rule.at_mm)
                yield Input(Variate(words, u), source, (name,), rule, grooved)


def _knives(part: Part, tools: Tools) -> Iterator[Input]:
    """The cuts inside a sheet: mitres, tab ends, the ends of a frame.

    Each style leaves a knife some room, and what presses a little goes away under the thumb: with
    a hand that reaches further once in thousands of cuts they change no verdict and are left out,
    unless another part goes into what they make.
    """
    sure = KNIFE_REACH * tools.knife_u_mm <= EASE_MM + FIGHT_MM
    name = part.recipe.part
    for knife in knives_of(part.pattern):
        if sure and not knife.fits:
            continue
        words = f"the {name}'s cut at the {knife.name}"
        u = tools.knife_u_mm
        if knife.fits_mm is not None:
            u = min(u, SLOT_SHARE * knife.fits_mm)
        yield Input(Variate(words, u), Source.KNIFE, (name,), knife=knife)


def _board(assembly: Assembly) -> Iterator[Input]:
    """What board and trimmer do to every line of both parts alike.

    Nobody knows more than the board's offset unless the tools were measured; then it is what the
    measurement leaves open.
    """
    parts = tuple(part.recipe.part for part in assembly.parts)
    tools, habits = assembly.tools, assembly.tools.habits
    scores = (rule.at_mm for part in assembly.parts for rule in part.scores)
    furthest = max((abs(mm - habits.scale_from_mm) for mm in scores), default=1.0)
    for words, u, source, lever in (
        ("the scoring board's own offset", tools.fence_u_mm, Source.BOARD, 1.0),
        ("the offset of scores between grooves", habits.between_u_mm, Source.BETWEEN, 1.0),
        ("the scoring board's scale", habits.scale_u, Source.SCALE, furthest),
        ("the trimmer's own offset", habits.cut_u_mm, Source.TRIMMER, 1.0),
    ):
        if u > 0.0 or source is Source.BOARD:
            yield Input(Variate(words, u), source, parts, lever_mm=lever)


def _papers(assembly: Assembly) -> Iterator[Input]:
    """One caliper and one crease for each stock, shared by the parts that are made of it.

    Where folds along and across the grain were measured apart, each has a crease of its own in the
    parts that say how their grain runs.
    """
    users: dict[str, list[str]] = {}
    stocks: dict[str, Stock] = {}
    for part in assembly.parts:
        stock = part.recipe.stock
        stocks[stock.name] = stock
        users.setdefault(stock.name, []).append(part.recipe.part)
    for name, stock in stocks.items():
        parts = tuple(users[name])
        of = f"{name} ({' and '.join(parts)})"
        yield Input(
            Variate(f"the caliper of {of}", stock.caliper_u_mm), Source.CALIPER, parts, item=name
        )
        yield from _creases(assembly, stock, parts)
        if stock.corner_give_u is not None:
            yield Input(
                Variate(f"how far glued corners push out in {of}", stock.corner_give_u),
                Source.GIVE,
                parts,
                item=name,
            )


def _creases(assembly: Assembly, stock: Stock, parts: tuple[str, ...]) -> Iterator[Input]:
    folds = {part.recipe.part: set(part.recipe.folds) for part in assembly.parts}
    for along, words in ((None, ""), (True, " along the grain"), (False, " across the grain")):
        own = tuple(part for part in parts if along in folds[part])
        if own:
            of = f"{stock.name}{words} ({' and '.join(own)})"
            variate = Variate(f"the crease allowance of {of}", stock.allowance(along)[1])
            yield Input(variate, Source.CREASE, own, item=stock.name, along=along)


def _contents(design: Design) -> Iterator[Input]:
    """The sizes of each item's pieces: each by itself, or one for all that vary together."""
    items = {content.item.name: content.item for content in design.contents}
    for item in items.values():
        alike: list[tuple[int, int]] = []
        each: list[tuple[int, int]] = []
        for line, content in enumerate(design.contents):
            if content.item.name == item.name:
                own = alike if content.vary is Vary.TOGETHER else each
                own += [(line, piece) for piece in range(content.count)]
        if len(each) == 1 and not alike:
            alike, each = each, alike
        for side, word in enumerate(item.kind.sizes):
            words = f"the {word} of the {item.name}"
            if alike:
                variate = _size(item, side, words)
                yield Input(variate, Source.CONTENT, item=item.name, side=side, pieces=tuple(alike))
            for number, piece in enumerate(each, start=1):
                yield Input(
                    _size(item, side, f"{words}, piece {number}"),
                    Source.CONTENT,
                    item=item.name,
                    side=side,
                    pieces=(piece,),
                    shared_name=f"the {word} of each {item.name}",
                )


def _size(item: Item, side: int, words: str) -> Variate:
    """Rectangular between the limits where a source gives them, else normal."""
    if item.size_range_mm is not None:
        low, high = item.size_range_mm[side]
        return Variate.between(words, low - item.size_mm[side], high - item.size_mm[side])
    return Variate(words, item.size_u_mm[side], Law.NORMAL)


def _weather(assembly: Assembly, humidity: Humidity | None) -> Iterator[Input]:
    if humidity is None:
        return
    moved = [p.recipe.part for p in assembly.parts if p.recipe.stock.hygroexpansion is not None]
    low, high = humidity.low - humidity.made, humidity.high - humidity.made
    if moved:
        variate = Variate.between("the humidity of the air", low, high)
        yield Input(variate, Source.HUMIDITY, tuple(moved))


def with_u(inputs: Sequence[Input], changed: Mapping[str, float]) -> tuple[Input, ...]:
    """The same inputs, those of some labels with another standard uncertainty."""
    return tuple(
        one
        if one.label not in changed
        else replace(one, variate=replace(one.variate, u=changed[one.label]))
        for one in inputs
    )
