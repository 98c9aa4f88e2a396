"""Suggestions as a list to choose from: what to cut, how surely it fits, and what it costs."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from fitcheck.design.model import Design, LidVerdict
from fitcheck.design.rules import KEYS
from fitcheck.fit.sheets import usual_sheet
from fitcheck.odds.change_words import change_words, settable
from fitcheck.odds.changes import sized
from fitcheck.odds.intervals import Chance
from fitcheck.odds.options import Kind
from fitcheck.odds.suggest import Suggestion, Suggestions
from fitcheck.outputs.bench_words import (
    LABEL,
    ROUNDING_COSTS,
    WIDTH,
    Sizes,
    give_or_take,
    of_100,
    row,
    wrapped,
)
from fitcheck.outputs.odds_details import chance
from fitcheck.outputs.odds_text import rounded_words
from fitcheck.pattern.counted import sheet_by_hand_mm, sheet_needs_mm
from fitcheck.sheet.yields import Piece, part_yield
from fitcheck.styles.insert_spec import InsertSpec
from fitcheck.styles.mates import Mate, Over, Past, Turned
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.units import (
    Unit,
    hand_unit,
    is_set_by_hand,
    show_hand,
    show_hands,
    show_number,
)
from fitcheck.workspace.size_texts import size_words

SCORE_TO_SCORE = (SizeBy.FLOOR, SizeBy.OVERSIZE, SizeBy.SAME_SHEET, SizeBy.EASE)
"""Sizes that say at once how large the floor is."""
ALIKE_MM = 0.05
"""Heights that differ by less are said to be the same."""
ALIKE_SHARE = 0.005
UNGROOVED = {Kind.THROUGHOUT: "every score and cut in whole steps"}
"""What an option is called where the board has no grooves."""
NEARLY = {Kind.SAME_HEIGHT: "best odds at nearly the same height"}
"""What one is called that is not told to be as high as now."""


def suggest_text(found: Suggestions, asked: Sequence[str] = (), *, details: bool = False) -> str:
    """The original's odds, then the options, best first.

    `asked` are the words of the command that say for whom: what is kept is to be of the same.
    """
    original, design = found.original, found.original.design
    counted = f" ({found.boxes} virtual boxes each, seed {found.seed})" if details else ""
    tried = f" ({found.tried} recipes tried)" if details else ""
    lines = [
        f"{design.title}: what to cut{counted}",
        "",
        row("tools", f"{design.tools.name}: {_steps(found, design.unit)}{tried}"),
        row("as it is", _right(original.good, details)),
        *_rounded_lines(original),
        *_sink_lines(original),
        *(row("", text) for text in _sizes(design)),
        *_cost_lines(original, found),
    ]
    for number, one in enumerate(found.ranked, start=1):
        lines += option_lines(number, one, found, details)
    if not found.ranked:
        fits = found.original.good.share > 0.5
        keep = "keep the sizes" if fits else "`fitcheck check` says what it is short of"
        lines.append(f"  no sizes near it come out right oftener; {keep}")
    lines.append(
        textwrap.fill(
            right_words(design), WIDTH, initial_indent="  ", subsequent_indent=" " * (LABEL + 2)
        )
    )
    if found.ranked:
        words = " ".join([design.name, *asked])
        lines.append(f"  to keep one: fitcheck suggest {words} --take 1 -o FILE")
    return "\n".join(lines) + "\n"


def _steps(found: Suggestions, unit: Unit) -> str:
    """What sizes were tried in, in the unit of the board's grooves where it has some."""
    if not found.steps.grooved:
        size = show_hands([found.steps.size_mm], unit)
        return f"no grooves, so scores and cuts in steps of {size}"
    board = found.original.design.tools.grid_unit or unit
    size, apart = (show_hands([mm], board) for mm in (found.steps.size_mm, found.steps.score_mm))
    return f"scores in grooves {apart} apart, cuts by {size}"


def _right(good: Chance, details: bool) -> str:
    """How often all is right, with the error that so many boxes leave."""
    if not good.known:
        return "not counted: no place was found for all that goes in"
    if details:
        return f"all right {chance(good)}"
    return f"{of_100(good)} of 100 come out right{give_or_take(good)}"


def _doubt_lines(one: Suggestion) -> Iterator[str]:
    """That its odds are not sure, as a check of it would say."""
    if one.doubtful:
        yield row("", "boxes of it that were folded one by one came out otherwise: trust it less")


def _rounded_lines(one: Suggestion) -> Iterator[str]:
    """What it costs to cut and score as the steps round it, where that is worth a line."""
    if one.rounded is not None and one.good.share - one.rounded.share > ROUNDING_COSTS:
        yield row("", rounded_words(one.good, one.rounded))


def _sink_lines(one: Suggestion) -> Iterator[str]:
    """How often the lid sinks in the time that is wanted."""
    if one.wanted is not None and one.design.want_sink is not None:
        low, high = one.design.want_sink
        often = f"{of_100(one.wanted)} of 100 lids sink in {low:g} to {high:g} s"
        yield row("", often + give_or_take(one.wanted))


def option_lines(number: int, one: Suggestion, found: Suggestions, details: bool) -> Iterator[str]:
    """What one of the suggestions gives and costs, beside the original."""
    original = found.original.design
    words = {} if found.steps.grooved else UNGROOVED
    if abs(one.cost.height_mm - found.original.cost.height_mm) >= ALIKE_MM:
        words = words | NEARLY
    kinds = [words.get(kind, str(kind)) for kind in one.kinds]
    yield row(str(number), _right(one.good, details))
    yield from _doubt_lines(one)
    yield from _rounded_lines(one)
    yield from _sink_lines(one)
    yield wrapped(", ".join(kinds), " ")
    yield wrapped(change_words(original, one.design), " ")
    before = set(_sizes(original))
    for text in _sizes(one.design):
        if text not in before:
            yield row("", text)
    yield from _cost_lines(one, found)


def right_words(design: Design) -> str:
    """What makes a box of this design right."""
    said, steady = [], "" if LidVerdict.LOOSE in design.want else " and does not shift about"
    if design.lid is not None or not design.mates:
        said.append(f"the lid goes on as wanted with its rim off the table{steady}")
    if design.lid is not None and any(part.fills_base for part in design.parts):
        said.append("what stands in the base is no higher than the lid allows")
    for mate in design.mates:
        if not isinstance(mate, Over):
            said.append(_goes(mate) + (steady if mate.steadied else ""))
    return f"right: {', '.join(said)}, the contents go in, and no part fights itself"


def _goes(mate: Mate) -> str:
    if isinstance(mate, Turned):
        return f"the {mate.called} closes"
    if isinstance(mate, Past):
        return f"the {mate.called} go over each other"
    go = "go" if mate.called.endswith("s") else "goes"
    return f"the {mate.called} {go} into the {mate.holder}"


def _sizes(design: Design) -> Iterator[str]:
    """The sizes that a suggestion may change, by the keys that the design has them under."""
    for spec in sized(design):
        yield _size(spec, design.unit)
        if spec.own_depth and (spec.own_height or not spec.fills_base):
            yield f"{spec.place} {spec.depth_key} {_key([spec.depth_mm], design.unit)}"
        if isinstance(spec, InsertSpec) and spec.window_mm is not None:
            yield f"{spec.place} window {_key(spec.window_mm, design.unit)}"
        for gap in spec.gaps:
            mm = getattr(spec, gap.attribute)
            if mm is not None:
                yield f"{spec.name} {gap.words} {_key([mm], design.unit)}"


def _size(spec: PartSpec, unit: Unit) -> str:
    return f"{spec.place} {KEYS[spec.size_by]} {_key(spec.size_mm, unit)}"


def _key(lengths_mm: Sequence[float], unit: Unit) -> str:
    """What to write down: as a rule or the board shows it only where that is what it is."""
    if all(is_set_by_hand(mm, unit) for mm in lengths_mm):
        return show_hands(lengths_mm, unit, " x ")
    return " x ".join(settable(mm, unit) for mm in lengths_mm)


def _cost_lines(one: Suggestion, found: Suggestions) -> Iterator[str]:
    """What the sizes come to: floors that follow from another key, height, sheets, grooves."""
    design, cost, before = one.design, one.cost, found.original.cost
    unit, is_original = design.unit, one is found.original
    stands = {spec.name for spec in design.parts if spec.fills_base}
    for name, by, width, length in cost.floors_mm:
        if by not in SCORE_TO_SCORE and name not in stands:
            floor = size_words((width, length), unit)
            yield row("", f"so the {name}'s floor is {floor} from score to score")
    closed = "closed " if design.lid is not None else ""
    than = "" if is_original else f", {_than(cost.height_mm - before.height_mm, unit)}"
    yield row("", f"{closed}{Sizes(unit).outside(cost.height_mm)} high{than}")
    halves = dict(cost.halves)
    for (name, plan), spec in zip(cost.plans, design.parts, strict=True):
        if spec.fills_base and (is_original or (name, plan.sheet) in before.sheets):
            continue
        half = halves.get(name)
        cut, what = (plan, "sheet ") if half is None else (half, "2 sheets, each ")
        size = show_hands(sheet_by_hand_mm(cut, unit, design.tools), unit, " x ")
        fits = _per_sheet(spec, *sheet_needs_mm(cut, unit, design.tools), design)
        yield row("", f"{name} {what}{size}, {fits}")
    share = cost.area_mm2 / before.area_mm2 - 1.0
    if not is_original and abs(share) > ALIKE_SHARE:
        more = "more" if share > 0.0 else "less"
        yield row("", f"{show_number(100.0 * abs(share), 0)} % {more} paper than now")
    if found.steps.grooved:
        yield row("", _grooves(one, found))


def _than(by_mm: float, unit: Unit) -> str:
    if abs(by_mm) < ALIKE_MM:
        return "as now"
    return f"{Sizes(unit)(abs(by_mm))} {'more' if by_mm > 0.0 else 'less'} than now"


def _per_sheet(spec: PartSpec, width: float, length: float, design: Design) -> str:
    """How many come out of the smallest of the workshop's papers that holds one, grain honoured.

    Where nobody listed papers, that which most who measure in the design's unit have comes first.
    """
    piece, tools = Piece(spec.name, spec.stock.name, width, length, spec.grain), design.tools
    papers = sorted(tools.papers, key=lambda own: own.width_mm * own.length_mm)
    if not tools.papers_known:
        papers.sort(key=lambda own: own != usual_sheet(design.unit))
    for paper in papers:
        given = part_yield(piece, paper)
        count = given.any_way if given.with_grain is None else given.with_grain
        if count:
            least = "" if given.exact else "at least "
            grain = f", {paper.grain_words}" if spec.grain and paper.grain_words else ""
            return f"{least}{count} from {paper.name}{grain}"
    return "more than any sheet of the workshop"


def _grooves(one: Suggestion, found: Suggestions) -> str:
    """How many lines of the sheets are where the tools have a mark."""
    cost = one.cost
    sides = 2 * len(cost.sheets)
    board = one.design.tools.grid_unit or one.design.unit
    even = f"{show_hand(found.steps.size_mm, board)} {hand_unit(board)}"
    return (
        f"scores in grooves: {_of(cost.grooved, cost.scores)}; sheet sides in whole {even}: "
        f"{_of(cost.sides_even, sides)}, in whole grooves: {_of(cost.sides_grooved, sides)}"
    )


def _of(count: int, whole: int) -> str:
    return f"all {whole}" if count == whole else f"{show_number(count, 0)} of {whole}"
