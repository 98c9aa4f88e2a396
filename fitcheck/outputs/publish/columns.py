"""The card of cuts, scores and cut-outs, another reader's sizes in a column beside the author's."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

from fitcheck.outputs.publish.cards import BY_MEASURE, measured_steps
from fitcheck.outputs.publish.paper_words import held_words
from fitcheck.pattern.counted import sheet_by_hand_mm
from fitcheck.plain import joined
from fitcheck.sheet.cut_text import ToldCut, slant_card, told_cuts
from fitcheck.sheet.cutout_card import cutout_card, cutout_name, is_rounded
from fitcheck.sheet.cuts import CutOutline, ScoreSlants
from fitcheck.sheet.cutting_out import cut_together
from fitcheck.sheet.job import PartSheet, SheetJob
from fitcheck.sheet.score_text import HALF_CUT, score_card, told_at
from fitcheck.sheet.scoring import ScoreSides, TurnOver
from fitcheck.units import ROUNDED_MM, Unit, hand_unit, is_set_by_hand, rounding_mm, show_hands

ELSEWHERE = "see the other rows"
"""Said in the column of who has no such row: those scores are told with others there."""

MEASURED = "measured cuts"
"""What the card calls straight cuts that do not lie at scores alone."""
POINTER = f'below the steps, under "{BY_MEASURE}"'
Told = tuple[str, str, str]
"""The part, what is cut or scored, and its sizes."""


@dataclass(frozen=True)
class CardRow:
    """One line of the cut and score card."""

    part: str
    what: str
    sizes: str
    theirs: str = ""
    """The same for another reader's board and paper."""


def card_of(job: SheetJob, other: SheetJob | None) -> tuple[CardRow, ...]:
    """The card of a design's sheets; ``other`` are the sheets of another reader."""
    mine = list(_rows(job, job if other is None else other))
    if other is None:
        return tuple(CardRow(*row) for row in mine)
    return tuple(_side_by_side(mine, _rows(other, job)))


def _side_by_side(mine: Iterable[Told], theirs: Iterable[Told]) -> Iterator[CardRow]:
    """All rows of both, those that only the reader has where they stand among the reader's.

    Which scores lie a hair beside others hangs on the rule, and so do the rows.
    """
    own, other = _numbered(mine), _numbered(theirs)
    rows, here = list(own), 0
    for row in other:
        if row in own:
            here = rows.index(row) + 1
        else:
            rows.insert(here, row)
            here += 1
    for row in rows:
        part, what, _ = row
        yield CardRow(part, what, own.get(row, ELSEWHERE), other.get(row, ELSEWHERE))


def _numbered(rows: Iterable[Told]) -> dict[tuple[str, str, int], str]:
    """Sizes by part, what they are of, and the how manieth such row it is."""
    seen: Counter[tuple[str, str]] = Counter()
    found = {}
    for part, what, sizes in rows:
        seen[part, what] += 1
        found[part, what, seen[part, what]] = sizes
    return found


def _rows(job: SheetJob, beside: SheetJob) -> Iterator[Told]:
    """What is told of one's sheets, those of another stand `beside` them."""
    unit = hand_unit(job.design.unit)
    others = {sheet.name: sheet for sheet in beside.sheets}
    for sheet in job.sheets:
        size = sheet.plan.sheet
        told = sheet_by_hand_mm(sheet.plan, unit, job.design.tools)
        copies = sheet.pattern.copies
        what = "sheet" if copies == 1 else f"{copies} sheets, each"
        yield sheet.name, what, show_hands(told, unit, " x ")
        yield sheet.name, "cut from", held_words(sheet, job)
        up = sheet.pattern.seen
        for step in sheet.steps:
            face = "" if up is sheet.pattern.seen else f", on the {up}"
            if isinstance(step, TurnOver):
                up = step.up
            elif isinstance(step, ScoreSides):
                for sides, sizes in score_card(step, size, unit):
                    yield sheet.name, f"scores, {sides}{face}", sizes
            elif isinstance(step, ScoreSlants):
                cut = f", {HALF_CUT}" if step.half_cut else ""
                yield sheet.name, f"slanted scores{face}{cut}", slant_card(step, size, unit)
        known = {told.words for told in _cuts(others[sheet.name], unit)}
        below = measured_steps(sheet)
        for what, told_here in _cut_card(_cuts(sheet, unit), known):
            if not (below and what.startswith(MEASURED)):
                yield sheet.name, what, told_here
        for number in below:
            yield sheet.name, MEASURED, f"{POINTER}, the {sheet.name}, step {number}"
        for cuts in cut_together(sheet.steps):
            yield sheet.name, *cutout_card(cuts, unit)


def _cuts(sheet: PartSheet, unit: Unit) -> Iterator[ToldCut]:
    """The straight cuts of a sheet."""
    for step in sheet.steps:
        if isinstance(step, CutOutline):
            yield from told_cuts(step, sheet.plan.sheet, unit)


def _cut_card(cuts: Iterable[ToldCut], known: Collection[str]) -> Iterator[tuple[str, str]]:
    """The cuts that take a rule, by where they lie, and the tabs.

    Those by scores alone are told in the steps, and here only where the other one's steps tell them
    in words that are not `known` there.
    """
    measured: dict[str, list[str]] = {}
    for one in cuts:
        if one.tabs:
            measured.setdefault(one.tabs, []).append(one.words)
        elif not one.by_scores or one.words not in known:
            where = f", {one.where}" if one.where else ""
            measured.setdefault(f"{MEASURED}{where}", []).append(one.words)
    for what, words in measured.items():
        yield what, "; ".join(words)


def rounded_sizes(job: SheetJob, unit: Unit) -> Iterator[str]:
    """What of each part the card tells otherwise than it is drawn, in words."""
    for sheet in job.sheets:
        found = []
        told = sheet_by_hand_mm(sheet.plan, unit, job.design.tools)
        sides = zip(told, sheet.plan.sheet.sides_mm, strict=True)
        if any(abs(mm - drawn) > ROUNDED_MM for mm, drawn in sides):
            found.append("sheet")
        scored = [step for step in sheet.steps if isinstance(step, ScoreSides)]
        lines = [line for step in scored for side in step.sides for line in side.lines]
        drawn = {told_at(line) for line in lines}
        off = {mm + rounding_mm(mm, unit) for mm in drawn if not is_set_by_hand(mm, unit)}
        if off:
            at = show_hands(sorted(off), unit).partition(" (")[0]
            found.append(f"{'score' if len(off) == 1 else 'scores'} at {at}")
        lengths = [mm for one in _cuts(sheet, unit) for mm in one.measured_mm]
        if not all(is_set_by_hand(mm, unit) for mm in lengths):
            found.append(MEASURED)
        cuts = [own for own in cut_together(sheet.steps) if is_rounded(own, unit)]
        found += dict.fromkeys(cutout_name(own[0]) for own in cuts)
        if found:
            first, *more = found
            yield joined([f"the {sheet.name}'s {first}", *(f"its {one}" for one in more)])
