"""All inputs of a design are read from its parts' plans, profiles and contents.

So a style or a recipe that is new here brings its own inputs along.
"""

from __future__ import annotations

from collections.abc import Iterator

from fitcheck.design.model import Design, Item, Vary
from fitcheck.fit.assembly import Assembly, Part
from fitcheck.fit.selffit import FIGHT_MM
from fitcheck.odds.inputs import Humidity, Input, Source, moved_rules, score_u
from fitcheck.odds.variates import Law, Variate
from fitcheck.pattern.laid import face_up, fence_as_laid
from fitcheck.pattern.pattern import Pattern
from fitcheck.pattern.plan import knives_of
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE, Axis, Fence, Knife, ordinal
from fitcheck.stock.paper import Stock
from fitcheck.stock.tools import Tools
from fitcheck.styles.canvas import EASE_MM

KNIFE_REACH = 3.5
"""A normal law goes so many standard uncertainties too far once in four thousand times."""
SLOT_SHARE = 0.2
"""A slot's two sides are cut beside each other, so that its width is off by no more than this share
of itself, one standard uncertainty (assumed): nobody cuts one of no width."""


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
        *_contents(design, assembly.rooms),
        *_weather(assembly, humidity),
    ]
    return tuple(one for one in found if one.variate.u > 0.0 or one.variate.mean)


def _made_lines(part: Part, tools: Tools) -> Iterator[Input]:
    """The two cut sizes of a sheet, its scores, and any line that is cut but not scored.

    Fences are named as the sheet lies while it is scored, like those of its steps and drawing.
    """
    name, up = part.recipe.part, face_up(part.pattern, tools.score_face)
    sizes = {WIDTH_EDGE: Axis.WIDTH, LENGTH_EDGE: Axis.LENGTH}
    scores = part.scores
    cuts = [r for r in moved_rules(part) if r not in scores and r not in sizes]
    row = part.pattern.row
    strips = 1 if row is None else len(row.at_mm)
    sheet = f"the {name}'s sheet" if strips == 1 else f"the largest of {strips} {name}"
    for edge, axis in sizes.items():
        words = f"the {axis} that {sheet} is cut to"
        variate = Variate(words, tools.cut_u_mm, largest_of=strips)
        yield Input(variate, Source.CUT, (name,), edge)
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
        # of slots it is the narrowest that another strip does not go into
        slots = (
            1 if part.pattern.row is None else part.pattern.copies * _cut_by(knife, part.pattern)
        )
        largest_of = 1 if slots == 1 else -slots
        variate = Variate(words, u, largest_of=largest_of)
        yield Input(variate, Source.KNIFE, (name,), knife=knife)


def _cut_by(knife: Knife, pattern: Pattern) -> int:
    """How many cut-outs have an end that a knife's cut makes."""
    cutouts = [cutout for panel in pattern.panels for cutout in panel.cutouts]
    return sum(any(knife in (c.cut_x, c.cut_y) for c in own.corners) for own in cutouts)


def _board(assembly: Assembly) -> Iterator[Input]:
    """What board and trimmer do to every line of all parts alike.

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


def _contents(design: Design, rooms: int) -> Iterator[Input]:
    """The sizes of each item's pieces: each by itself, or one for all that vary together.

    Where there are compartments the pieces of the first come first, then those of the next.
    """
    items = {content.item.name: content.item for content in design.contents}
    for item in items.values():
        alike: list[tuple[int, int]] = []
        each: list[tuple[int, int]] = []
        for line, content in enumerate(design.contents):
            if content.item.name == item.name:
                own = alike if content.vary is Vary.TOGETHER else each
                own += [(line, piece) for piece in range(content.count * rooms)]
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
