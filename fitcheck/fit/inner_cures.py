"""What lets contents into a window or a compartment that is too small: sizes a hand can set.

As all cures these are rechecked: the changed design was folded again, and nothing else went wrong.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from fitcheck.design.model import Design
from fitcheck.design.rules import design_problems
from fitcheck.fit.check import Check, checked
from fitcheck.fit.contents import demand_of
from fitcheck.fit.cure_steps import MOST_TRIES, SURE, Steps, cured_by, first_step, on_floor
from fitcheck.fit.grown import Growth, goes_in_grown
from fitcheck.styles.dividers import DividersSpec
from fitcheck.styles.insert_spec import InsertSpec
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.units import NUDGE, hand_step_mm

Pair = tuple[float, float]
Steps2 = tuple[int, int]
"""So many steps along the width and along the length."""
WAYS: tuple[Steps2, ...] = ((1, 0), (0, 1), (1, 1))


@dataclass(frozen=True)
class Inner:
    """One way to let all contents in; lengths in mm, None where something stays as it is."""

    window_mm: Pair | None = None
    """The window of the insert."""
    pitch_mm: Pair | None = None
    """From strip to strip along the width and along the length."""
    compartments: tuple[int, int] | None = None
    """So many along the width and along the length."""
    floor_mm: Pair | None = None
    """The base's floor, score to score."""
    cut_mm: Pair | None = None
    """The strips along the width and along the length, where they are cut to size."""

    @property
    def is_floor(self) -> bool:
        """Whether it is a larger floor and nothing else."""
        return self.floor_mm is not None and self.pitch_mm is None and self.cut_mm is None


def inner_cures(found: Check) -> tuple[Inner, ...]:
    """The ways that are known, the least change first; none where nothing bounds the contents but
    the base."""
    specs = found.design.parts
    inserts = [one for one in specs if isinstance(one, InsertSpec) and one.window_mm is not None]
    strips = [one for one in specs if isinstance(one, DividersSpec)]
    if inserts and inserts[0].hold is None:
        ways: Iterator[Inner | None] = iter([_wider_window(found, inserts[0])])
    elif strips:
        other = _other_pitch(found, strips)
        first = _larger_floor(found, strips) if other is None else other
        ways = iter([first, _fewer(found, strips)])
    else:
        return ()
    return tuple(one for one in ways if one is not None)


def _wider_window(found: Check, insert: InsertSpec) -> Inner | None:
    """The least window on the hand's steps that lets all in, and as a hand cuts it, too."""
    assert insert.window_mm is not None, "it has one"
    now, step = insert.window_mm, hand_step_mm(found.design.unit)

    def window(more: Steps2) -> Pair:
        return _up(now[0], more[0], step), _up(now[1], more[1], step)

    def tried(wanted: Pair) -> Inner | None:
        changed = found.design.with_parts(replace(insert, window_mm=wanted))
        return Inner(window_mm=wanted) if _cures(found, changed) else None

    least = _least(found, window, now, tried)
    if least is None or least.window_mm is None:
        return None
    roomy = _with_hands_room(found, insert, least.window_mm, step)
    return least if roomy == least.window_mm else tried(roomy) or least


def _with_hands_room(found: Check, insert: InsertSpec, window: Pair, step: float) -> Pair:
    """The window so much larger by steps that a knife may err along either side of it."""
    again = checked(found.design.with_parts(replace(insert, window_mm=window)), ways=False)
    slacks = [] if again is None else [fit.slack for fit in again.contents if fit.slack is not None]
    if not slacks:
        return window
    wanted = SURE * found.design.tools.knife_u_mm
    spare = [min(own.width_mm for own in slacks), min(own.length_mm for own in slacks)]
    wide, long = (
        side if room >= wanted - NUDGE else math.ceil((side + wanted - room) / step - NUDGE) * step
        for side, room in zip(window, spare, strict=True)
    )
    return wide, long


def _larger_floor(found: Check, strips: list[DividersSpec]) -> Inner | None:
    """A larger floor whose compartments are all larger by the least number of the hand's steps."""
    design, recipe, strip = found.design, found.assembly.base.recipe, strips[0]
    if design.base.size_by is SizeBy.CONTENTS:
        return None
    now, step = (recipe.width_mm, recipe.length_mm), hand_step_mm(design.unit)
    start = strip.pitch_mm or (0.0, 0.0)
    counts = strip.columns, strip.rows

    def pitch(more: Steps2) -> Pair:
        return _up(start[0], more[0], step), _up(start[1], more[1], step)

    def tried(wanted: Pair) -> Inner | None:
        floor = _on_grid(design, now, wanted, start, counts)
        cut = _cut(strip, floor, now, step)
        own = strip.pitch_mm and wanted
        changed = _with(on_floor(found, floor, design.base.depth_mm), pitch=own, cut=cut)
        if not _cures(found, changed):
            return None
        return Inner(pitch_mm=own, floor_mm=floor, cut_mm=cut)

    return _least(found, pitch, start, tried)


def _on_grid(design: Design, now: Pair, wanted: Pair, start: Pair, counts: tuple[int, int]) -> Pair:
    """A floor on the board's grid with so much more for each compartment."""
    sides = []
    for side, pitch, was, count in zip(now, wanted, start, counts, strict=True):
        more, grid = count * (pitch - was), Steps(side, design)
        steps = range(math.ceil(more / grid.step_mm) + 2)
        fits = (grid.size(n) for n in steps if grid.size(n) >= side + more - NUDGE)
        sides.append(next(fits) if more > 0.0 else side)
    return sides[0], sides[1]


def _cut(strip: DividersSpec, floor: Pair, now: Pair, step: float) -> Pair | None:
    """Strips that are cut to size, on another floor: no nearer to its walls than they are."""
    if strip.size_by is not SizeBy.CUT:
        return None
    wide, long = (
        step * math.floor((mm + new - old) / step + NUDGE) if new > old else mm
        for mm, new, old in zip(strip.size_mm, floor, now, strict=True)
    )
    return wide, long


def _other_pitch(found: Check, strips: list[DividersSpec]) -> Inner | None:
    """Another pitch on the hand's steps that makes the compartments about alike, if that does."""
    strip = strips[0]
    if strip.pitch_mm is None:
        return None
    for wanted in _even(found, strip, (strip.columns, strip.rows)):
        if wanted != strip.pitch_mm and _cures(found, _with(found.design, pitch=wanted)):
            return Inner(pitch_mm=wanted)
    return None


def _fewer(found: Check, strips: list[DividersSpec]) -> Inner | None:
    """One compartment less along one side, where strips are left."""
    strip = strips[0]
    for counts in ((strip.columns - 1, strip.rows), (strip.columns, strip.rows - 1)):
        if min(counts) < 1 or (min(counts) == 1 and min(strip.columns, strip.rows) > 1):
            continue
        for wanted in _even(found, strip, counts):
            own = strip.pitch_mm and wanted
            if _cures(found, _with(found.design, pitch=own, counts=counts)):
                return Inner(pitch_mm=own, compartments=counts)
    return None


def _even(found: Check, strip: DividersSpec, counts: tuple[int, int]) -> Iterator[Pair]:
    """Pitches on the hand's steps at which so many compartments have about alike."""
    step, caliper = hand_step_mm(found.design.unit), strip.stock.caliper_mm
    now = strip.pitch_mm or (0.0, 0.0)
    inside = found.assembly.base.sizes.inside_mm
    even = [(mm + caliper) / count / step for mm, count in zip(inside, counts, strict=True)]
    for rounded in (math.floor, math.ceil):
        wide, long = (
            rounded(mm) * step if count > 2 else was
            for mm, count, was in zip(even, counts, now, strict=True)
        )
        if counts[0] == 2 < strip.columns:
            wide = rounded(even[0]) * step
        if counts[1] == 2 < strip.rows:
            long = rounded(even[1]) * step
        yield wide, long


def _with(
    design: Design,
    *,
    pitch: Pair | None = None,
    cut: Pair | None = None,
    counts: tuple[int, int] | None = None,
) -> Design:
    """The design with other dividers."""

    def changed(one: DividersSpec) -> PartSpec:
        columns, rows = counts or (one.columns, one.rows)
        size, between = cut or one.size_mm, pitch or one.pitch_mm
        return replace(one, size_mm=size, pitch_mm=between, columns=columns, rows=rows)

    own = [changed(one) for one in design.parts if isinstance(one, DividersSpec)]
    return design.with_parts(*own)


def _cures(found: Check, changed: Design) -> bool:
    return not any(design_problems(changed)) and cured_by(found, changed) is not None


def _least(
    found: Check,
    sizes: Callable[[Steps2], Pair],
    now: Pair,
    tried: Callable[[Pair], Inner | None],
) -> Inner | None:
    """The first that does of sizes that grow by steps along either side or both, the least growth
    first, and of those that grow about alike the one that grows least along any side: turned, a
    piece takes as much more of one side as both have to grow otherwise, and it is told as it
    misses least."""
    demands = [demand_of(content) for content in found.design.contents]

    def growth(more: Steps2) -> Growth:
        wide, long = sizes(more)
        return wide - now[0], long - now[1], 0.0

    def fewest(way: Steps2) -> Steps2 | None:
        first = first_step(found, lambda n: growth((n * way[0], n * way[1])))
        if first is None or way != (1, 1):
            return None if first is None else (first * way[0], first * way[1])
        # of two sides that both have to grow one may have to grow less
        for wide in range(1, first):
            if goes_in_grown(found.cavity, demands, growth((wide, first))):
                return wide, first
        for long in range(1, first):
            if goes_in_grown(found.cavity, demands, growth((first, long))):
                return first, long
        return first, first

    starts = [start for way in WAYS if (start := fewest(way)) is not None]
    least = min((sum(growth(start)) for start in starts), default=0.0)
    alike = least + hand_step_mm(found.design.unit) + NUDGE

    def order(start: Steps2) -> tuple[bool, float]:
        grown = growth(start)
        far = sum(grown) > alike
        return far, sum(grown) if far else max(grown)

    for start in sorted(starts, key=order):
        for extra in range(MOST_TRIES):
            more = [count + extra if count else 0 for count in start]
            cured = tried(sizes((more[0], more[1])))
            if cured is not None:
                return cured
    return None


def _up(size_mm: float, n: int, step_mm: float) -> float:
    """The n-th whole step above a size; the size itself for none."""
    if n == 0:
        return size_mm
    return (math.floor(size_mm / step_mm + NUDGE) + n) * step_mm
