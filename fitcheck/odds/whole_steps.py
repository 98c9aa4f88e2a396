"""The same box in whole steps of a rule, its sizes brought there together and not one by one.

A sheet and its scores that are rounded each for itself no longer add up: what is left between two
scores is another floor, and a lid over it another fit. Here the lengths between the lines are whole
steps, so that all lines are, and of those next to the design's own the ones are taken that come out
right oftenest.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from fitcheck.design.model import Design
from fitcheck.design.rules import design_problems
from fitcheck.fit.assembly import assemble
from fitcheck.fit.check import Check, check, checked
from fitcheck.fit.sheets import larger_parts
from fitcheck.folding.pose import Array, Flags
from fitcheck.odds.changes import changed, followed, parts_at
from fitcheck.odds.hands import Hands
from fitcheck.odds.lattice import Lattice, Places
from fitcheck.odds.prospect import Prospect, good_chance
from fitcheck.odds.rating import Rating
from fitcheck.odds.refolding import Refolding
from fitcheck.odds.rounded import drawn_and_rounded
from fitcheck.odds.sizes import (
    CLEAR,
    DEPTH,
    FLAP,
    FRAME,
    INNER,
    LENGTH,
    LENGTHS,
    SAME_MM,
    SHORT,
    WIDTH,
    Lines,
    columns_of,
    in_rows,
    lines_of,
    sizes_of,
)
from fitcheck.odds.start import start_of
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.units import hand_step_mm
from fitcheck.workspace.progress import SILENT, Progress

ROUGH_BOXES, FEW_BOXES = 4_000, 400
LID_STEPS = range(-1, 4)
"""Steps by which a lid is tried larger than next to its own size."""
ROOM_STEPS = range(-2, 3)
"""Steps by which what else gives parts room is tried larger."""
IN_FRONT, MOST_FOLDED = 60, 5
"""So many are rated on all boxes, and so many of them folded."""
WORTH = 0.01
"""A size further from the design's own has to come out right so much oftener."""

OWN = (FRAME, INNER, FLAP, CLEAR, SHORT)
"""Lengths of a style's own, brought to the nearest step."""

Whole = Callable[[float], int]


def in_whole_steps(design: Design, seed: int = 0, progress: Progress = SILENT) -> Design | None:
    """A design with its lengths in whole steps of the rule that its unit is cut by.

    None where none that was tried goes together and comes out right oftener than the design does
    with each of its sizes rounded by itself.
    """
    still = _still_in_steps(design)
    best = None if still is design else _best(still, design, seed, progress)
    return best or _best(design, design, seed, progress)


def _still_in_steps(design: Design) -> Design:
    """The design with the lengths in steps that no search moves: rims, lips, tucks and seams.

    They go to the nearest step, or to the one on the other side where a part is not to be made so.
    """
    step = hand_step_mm(design.unit)
    for part in assemble(design).parts:
        (spec,) = (own for own in design.parts if own.name == part.recipe.part)
        for key in spec.still:
            mm: float = getattr(spec, key) or getattr(part.recipe, key, None) or 0.0
            near = _whole(mm, step, round)
            if abs(near - mm) < SAME_MM:
                continue
            for to in (near, near + math.copysign(step, mm - near)):
                given: dict[str, Any] = {key: to}
                tried = design.with_parts(replace(spec, **given))
                if to > 0.0 and not any(design_problems(tried)) and checked(tried) is not None:
                    design, spec = tried, replace(spec, **given)
                    break
    return design


def _best(design: Design, original: Design, seed: int, progress: Progress) -> Design | None:
    """What comes out right oftenest of what is next to a design; oftener than the original."""
    found = check(design)
    start = start_of(design, found, progress)
    if start is None:
        return None
    lines = lines_of(start.check.assembly)
    if lines is None:
        return None
    hands = Hands.of(start, ROUGH_BOXES, seed)
    lattice, places = _on_sheets(found, lines)
    if not len(places):
        return None
    rating = Rating.of(start, lines, design.tools, lattice, hands.off)
    front = places[np.argsort(-rating.rates(places, FEW_BOXES), kind="stable")[:IN_FRONT]]
    rates = rating.rates(front, ROUGH_BOXES)
    far = np.abs(lattice.rows(front) - lattice.start).sum(axis=1) / hand_step_mm(design.unit)
    refolding = Refolding(found, start)
    as_it_is = refolding.of(original)
    best, most = None, 0.0 if as_it_is is None else _as_told(as_it_is, seed)
    for index in np.argsort(-(rates - WORTH * far), kind="stable")[:MOST_FOLDED].tolist():
        again = refolding.of_row(lattice.rows(front[index : index + 1])[0])
        if again is None:
            continue
        worth = _as_told(again, seed) - WORTH * float(far[index])
        if worth > most:
            best, most = replace(again.check.design, tools=design.tools), worth
    return best


def _on_sheets(found: Check, lines: Lines) -> tuple[Lattice, Places]:
    """Rows of whole steps, and those of them that keep each part on a sheet that holds it now.

    Where larger ones leave the sheet, a base that is a step smaller is tried as well.
    """
    for smaller in (False, True):
        lattice = _lattice(found, hand_step_mm(found.design.unit), smaller=smaller)
        places = np.indices([len(kind) for kind in lattice.kinds]).reshape(5, -1).T
        held = _held(found, lines, lattice.rows(places))
        if held.all():
            break
    return lattice, places[held]


def _held(found: Check, lines: Lines, rows: Array) -> Flags:
    """(c,) whether sheets hold all that they hold now with rows of lengths (c, s), mm."""
    larger = {part.recipe.part for part in larger_parts(found.assembly)}
    held: Flags = np.ones(len(rows), dtype=bool)
    for part, sides in lines.sides(lines.places(rows)).items():
        if part in larger:
            continue
        cut, of = np.unique(np.stack(sides, axis=1), axis=0, return_inverse=True)
        papers = found.design.tools.papers
        kept = [any(paper.holds(*pair) for paper in papers) for pair in cut.tolist()]
        held &= np.array(kept)[of.ravel()]
    return held


def _as_told(prospect: Prospect, seed: int) -> float:
    """The share of boxes that come out right, cut and scored as steps round what is no step."""
    asked, forms = prospect.asked()
    samples, rounded = drawn_and_rounded(asked, forms, ROUGH_BOXES, seed)
    return (good_chance(asked, samples) if rounded is None else rounded).share


def _lattice(found: Check, step_mm: float, *, smaller: bool) -> Lattice:
    """Rows of whole steps next to a checked design's; a lid that is flush stays so.

    A base is no smaller than it is drawn unless a `smaller` one is to be tried too.
    """
    by = (0, 1, -1) if smaller else (0, 1)
    design, now = found.design, sizes_of(found.assembly)
    start = now + followed(design, _whole_base(now, step_mm) - now)
    for spec, at in parts_at(design):
        for column, to in _lines_of(spec) if at else ():
            start[at + column] = _whole(float(start[at + column]), step_mm, to)
    none = np.zeros(len(now))
    lids, rooms = [none], [none]
    for spec, at in parts_at(design):
        if at and spec == design.lid:
            lids += [] if found.flush else _sizes(start, spec, at, step_mm, LID_STEPS)
        elif at:
            rooms += _sizes(start, spec, at, step_mm, ROOM_STEPS)
        for gap in in_rows(spec.gaps):
            column = at + LENGTHS.index(gap.attribute)
            rooms += [changed(start, (column, to * step_mm)) for to in ROOM_STEPS if to]
    floors = [
        followed(design, changed(start, (WIDTH, wide * step_mm), (LENGTH, long * step_mm)), step_mm)
        for wide, long in itertools.product(by, by)
    ]
    inner = [changed(start, (INNER, to)) for to in (-step_mm, step_mm) if start[INNER]]
    depths = [
        followed(
            design,
            # an inner wall goes with the depth
            changed(
                start, *((column, deep * step_mm) for column in (DEPTH, INNER) if start[column])
            ),
            step_mm,
        )
        for deep in by[1:]
    ]
    kinds = [none, *inner, *depths], floors, [none], lids, rooms
    return Lattice(start, *(np.array(kind) for kind in kinds))


def _whole_base(now: Array, step_mm: float) -> Array:
    """The base no smaller and no lower than it is, its frame as near as may be."""
    found = now.copy()
    for column in (WIDTH, LENGTH, DEPTH):
        found[column] = _whole(float(now[column]), step_mm, math.ceil)
    for column in OWN:
        found[column] = _whole(float(now[column]), step_mm, round)
    return found


def _lines_of(spec: PartSpec) -> Iterator[tuple[int, Whole]]:
    """The lengths of what goes with a base that are told in steps, and how they are rounded.

    What stands between walls is made no larger, a lid as near as may be, all else roomier.
    """
    for own in ((1.0, 0.0), (0.0, 1.0)):
        for column, grows in columns_of(spec.grown_by(own), 0):
            if spec.fills_base or (grows < 0.0 and spec.size_by is SizeBy.EASE):
                yield column, math.floor
            elif grows:
                yield column, math.ceil if spec.size_by is SizeBy.EASE else round
    for column in OWN:
        yield column, round
    yield DEPTH, math.floor if spec.fills_base else round


def _sizes(
    start: Array, spec: PartSpec, at: int, step_mm: float, counts: Sequence[int]
) -> Iterator[Array]:
    """Other sizes of a part, so many steps each way."""
    for wide, long in itertools.product(counts, counts):
        if (wide or long) and (wide == long or not spec.one_size):
            sizes = wide * step_mm, long * step_mm
            yield changed(start, *columns_of(spec.grown_by(sizes), at))


def _whole(mm: float, step_mm: float, to: Whole) -> float:
    """So many whole steps."""
    steps = mm / step_mm
    near = round(steps)
    return step_mm * (near if abs(steps - near) < SAME_MM else to(steps))
