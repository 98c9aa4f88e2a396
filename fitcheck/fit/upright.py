"""What stands leaning walls upright: tabs set back, tried with all that has to change besides.

Tabs that are set back take twice that of the room between the walls they stand at, and bring the
rims of those walls in by what they leaned out. What goes over a base or into it keeps its size, so
sizes that are given by the base's are told anew. Nothing is told that was not folded and checked,
and nothing that leaves any play or room noticeably less.
"""

from __future__ import annotations

import enum
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from fitcheck.design.model import Design, LidVerdict
from fitcheck.design.rules import KEYS
from fitcheck.findings import Finding
from fitcheck.fit.assembly import BETWEEN_WALLS, Part, base_recipe, recipe_beside
from fitcheck.fit.check import Check, checked
from fitcheck.fit.cure_steps import faults_of
from fitcheck.fit.remarks import WALL_LEANS
from fitcheck.fit.right import band_edges, band_of, going_from, shifty_from
from fitcheck.pattern.counted import HAIR_MM
from fitcheck.pattern.sheet import Axis
from fitcheck.plain import joined
from fitcheck.styles.part import PartSpec, Recipe
from fitcheck.styles.walled import WalledRecipe, WalledSpec
from fitcheck.units import hand_step_mm, show_one

UNNOTICED_MM = 0.1
"""Play or room that is less by no more is not noticed (common practice, no source)."""
PLENTY_MM = 1.0
"""What is this far from being wrong may lose what is beyond it (common practice, no source)."""
SAME_MM = 0.005
"""Floors that differ by less are cut alike."""


class Beside(enum.StrEnum):
    """How what stands one part upright goes with what is told of parts before it."""

    ALONE = "these"
    """Nothing is told of another part."""
    WITH = "with what is said of the {others}, these"
    """It was tried together with all of that."""
    INSTEAD = "instead of what is said of the {others}, these"
    """The two do not go together."""


@dataclass(frozen=True)
class Upright:
    """What stands the walls of one part upright."""

    part: str
    design: Design
    """The whole design as it was tried."""
    before: Design
    """What that is a change of: the design as it is, or with what is told of parts before it."""
    beside: Beside = Beside.ALONE
    others: tuple[str, ...] = ()
    """The parts before it of which something is told."""


@lru_cache(maxsize=8)
def uprights_of(found: Check) -> tuple[Upright, ...]:
    """What was found for those parts of a check whose walls lean, as far as the drawing tells."""
    return uprights_kept(found, _kept)


def uprights_kept(found: Check, worth: Callable[[Check], float | None]) -> tuple[Upright, ...]:
    """What was found for those parts of a check whose walls lean; of what was tried for a part the
    first of most `worth`, which is None for what leaves the box worse than it is drawn.

    What is told of a part is tried with all that is told before it, else by itself.
    """
    told: list[Upright] = []
    now = found
    for name in (part.recipe.part for part in found.assembly.parts):
        if name not in _leaning(found):
            continue
        others = tuple(one.part for one in told)
        if again := _best(found, now, name, worth):
            beside = Beside.WITH if told else Beside.ALONE
            told.append(Upright(name, again.design, now.design, beside, others))
            now = again
        elif told and (again := _best(found, found, name, worth)):
            told.append(Upright(name, again.design, found.design, Beside.INSTEAD, others))
    return tuple(told)


def advised(found: Check, uprights: tuple[Upright, ...] | None = None) -> tuple[Finding, ...]:
    """What a check noticed, a lean with what stands its walls upright where that was found.

    `uprights` are those that cost no boxes, where that was counted.
    """
    own = uprights_of(found) if uprights is None else uprights
    cures = {one.part: one for one in own}
    return tuple(
        replace(one, message=f"{one.message}. {upright_words(cures[one.piece])}")
        if one.code == WALL_LEANS and one.piece in cures
        else one
        for one in found.findings
    )


def upright_words(cure: Upright) -> str:
    """What to write where, in one sentence without its full stop."""
    design = cure.before
    told: dict[str, str] = {}
    for old, new in zip(design.parts, cure.design.parts, strict=True):
        own = []
        if isinstance(new, WalledSpec) and new.name == cure.part:
            own.append(f"tab_setback {new.tab_setback_mm:.2f} mm")
        if old.size_mm != new.size_mm:
            sizes = new.size_mm[:1] if new.one_size else new.size_mm
            shown = " x ".join(show_one(mm, design.unit) for mm in sizes)
            own.append(f"{KEYS[new.size_by]} {shown}")
        if own:
            told[new.place] = f"the {new.place} {joined(own)}"
    lead = cure.beside.format(others=joined(cure.others))
    tried = "tried together" if cure.beside is Beside.WITH else "tried"
    setback = 0.0
    for new in cure.design.parts:
        if isinstance(new, WalledSpec) and new.name == cure.part:
            setback = new.tab_setback_mm
    hair = "; the steps tell so small a setback as a hair" if 0.0 < setback < HAIR_MM else ""
    words = (
        f"{lead[0].upper()}{lead[1:]} stand them upright and were {tried}: "
        f"{', '.join(told.values())}"
    )
    others = [place for place in told if place != cure.part]
    if not others:
        return f"{words}{hair}"
    stay = "stays" if len(others) == 1 else "stay"
    return f"{words}; so the {joined(others)} {stay} as large as now, to a step of the rule{hair}"


def _leaning(found: Check) -> set[str | None]:
    """The parts whose walls lean."""
    return {one.piece for one in found.findings if one.code == WALL_LEANS}


def _best(
    drawn: Check, now: Check, name: str, worth: Callable[[Check], float | None]
) -> Check | None:
    """What stands a part of a check upright, with no other part leaning that stood upright, and is
    of most worth; nothing that leaves the box noticeably worse than it was drawn."""
    part = now.assembly.part(name)
    assert part is not None, "a part that leans is there"
    leaning, faults = _leaning(now) - {name}, faults_of(drawn)
    best, most = None, -math.inf
    for design in _ways(now, part):
        again = checked(design, ways=False)
        if again is None or not _leaning(again) <= leaning:
            continue
        if not (faults_of(again) <= faults and _no_worse(drawn, again)):
            continue
        own = worth(again)
        if own is not None and own > most:
            best, most = again, own
    return best


def _kept(found: Check) -> float:
    """The least of what anything is from being wrong, mm, in whole tenths; what is further from
    that than what has plenty is worth no more."""
    least = min((min(own, PLENTY_MM) for own in _margins(found)), default=PLENTY_MM)
    return UNNOTICED_MM * math.floor(least / UNNOTICED_MM)


def _ways(found: Check, part: Part) -> Iterator[Design]:
    """Designs with a part's tabs set back and its size, by a hand's steps, near what that takes."""
    design, recipe = found.design, part.recipe
    spec, push = design.part(recipe.part), recipe.corner_push_mm
    if not (isinstance(spec, WalledSpec) and isinstance(recipe, WalledRecipe)) or push <= 0.0:
        return
    if recipe.corner_layers > 1:
        return
    setback = math.ceil(100.0 * (recipe.tab_setback_mm + push)) / 100.0
    step = hand_step_mm(design.unit)
    steps = 2.0 * push / step
    # a size between walls gives them the room by itself
    grown = (0,) if spec.size_by in BETWEEN_WALLS else (math.ceil(steps), math.floor(steps), 0)
    for number in dict.fromkeys((0,) if spec.one_size else grown):
        width, length = spec.size_mm
        more = number * step
        size = (width + more, length) if recipe.tabs is Axis.WIDTH else (width, length + more)
        changed = replace(spec, tab_setback_mm=setback, size_mm=size)
        whole = design.with_parts(changed)
        yield from _keeping(found, whole) if spec == design.base else (whole,)


def _keeping(found: Check, changed: Design) -> Iterator[Design]:
    """A design on a changed base with sizes for its other parts that keep them as they were.

    Where those do not lie on steps of a hand, with the nearest and with the next ones round them.
    """
    base, step = base_recipe(changed), hand_step_mm(changed.unit)
    pairs = list(zip(changed.parts[1:], found.assembly.parts[1:], strict=True))
    less = [_sizes_less(spec, changed, base, part.recipe) for spec, part in pairs]
    seen = []
    for to in (round, math.ceil, math.floor):
        whole = [[step * to(round(own / step, 3)) for own in sizes] for sizes in less]
        if whole not in seen:
            seen.append(whole)
            kept = (
                replace(spec, size_mm=(spec.size_mm[0] - own[0], spec.size_mm[1] - own[1]))
                for (spec, _), own in zip(pairs, whole, strict=True)
            )
            yield changed.with_parts(*kept)


def _sizes_less(
    spec: PartSpec, design: Design, base: Recipe, before: Recipe
) -> tuple[float, float]:
    """By how much less its two sizes have to be for a part to be cut as before, mm.

    Nothing where no size of its own does that.
    """

    def floor(one: PartSpec) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        recipe = recipe_beside(design, one, base)
        return np.array([recipe.width_mm, recipe.length_mm])

    now = floor(spec)
    grown = now - np.array([before.width_mm, before.length_mm])
    if np.abs(grown).max() <= SAME_MM:
        return 0.0, 0.0
    first, second = spec.size_mm
    sizes = ((first + 1.0, second), (first, second + 1.0))
    slopes = np.array([floor(replace(spec, size_mm=size)) - now for size in sizes]).T
    less = np.linalg.lstsq(slopes, grown, rcond=None)[0]
    uneven = spec.one_size and abs(less[0] - less[1]) > SAME_MM
    if uneven or np.abs(slopes @ less - grown).max() > SAME_MM:
        return 0.0, 0.0
    return float(less[0]), float(less[1])


def _no_worse(found: Check, again: Check) -> bool:
    """Whether nothing is noticeably nearer to being wrong than it was."""
    before, after = list(_margins(found)), list(_margins(again))
    return len(before) == len(after) and all(
        new >= min(old, PLENTY_MM) - UNNOTICED_MM for old, new in zip(before, after, strict=True)
    )


def _margins(found: Check) -> Iterator[float]:
    """How far each play and room is from being wrong, mm."""
    design, lid = found.design, found.lid
    if lid is not None:
        yield _within(lid.slide.play_mm, design)
        yield shifty_from(design.bands) - lid.slide.wider.play_mm
        yield lid.rim_mm
        if lid.lands_mm is not None:
            yield max(lid.lands_mm)
    for fit in found.contents:
        slack = fit.slack
        if slack is not None:
            yield min(slack.width_mm, slack.length_mm)
    for mate in found.mates:
        yield mate.play_mm - going_from(design.bands, design.want)
        if mate.mate.steadied:
            yield shifty_from(design.bands) - max(mate.plays.values())
    if found.over_grid_mm is not None:
        yield found.over_grid_mm


def _within(play_mm: float, design: Design) -> float:
    """How far a lid's play is from the next band that is not wanted, mm."""
    wanted = [verdict in design.want for verdict in LidVerdict]
    edges = (-math.inf, *band_edges(design.bands), math.inf)
    own = int(band_of(play_mm, design.bands))
    low = high = own
    while low > 0 and wanted[low - 1] == wanted[own]:
        low -= 1
    while high < len(wanted) - 1 and wanted[high + 1] == wanted[own]:
        high += 1
    margin = min(play_mm - edges[low], edges[high + 1] - play_mm)
    return margin if wanted[own] else -margin
