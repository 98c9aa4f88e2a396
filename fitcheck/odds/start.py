"""Where the limits of many sizes are taken: the design itself, or a like box that goes together.

A lid that drops into its base, or is forced over it, says nothing about one that slides over it,
nor do contents without a place say how much room there is. Lines that are known exactly have no
errors to take gradients by: there they get some for as long as that takes.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from fitcheck.design.model import Design
from fitcheck.fit.check import Check, check, checked
from fitcheck.fit.cured import cured_depths, cured_floor
from fitcheck.odds.changes import sized
from fitcheck.odds.grid import NEAR_STEPS, SAME_MM
from fitcheck.odds.inputs import Input, Source, score_u
from fitcheck.odds.outlook import judged_contents
from fitcheck.odds.prospect import Prospect, take_prospect
from fitcheck.odds.remarks import blocked, closes, goes_over, mates_of, slides_over
from fitcheck.stock.tools import Tools
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.units import hand_step_mm
from fitcheck.workspace.progress import SILENT, Progress

LARGER = (2, 8, 32)
"""Steps of the hand by which a box is made larger until all goes together."""
WIDER = (2, 4, 8, 16, 32)
"""Steps by which a part that does not go with its base is widened until it does."""
SOME_U_MM = 0.1
"""How far exact lines are moved to take gradients by them."""


def felt(tools: Tools) -> Tools:
    """The tools with some error in every line, however exactly they are known."""
    return replace(
        tools,
        cut_u_mm=tools.cut_u_mm or SOME_U_MM,
        score_u_on_grid_mm=tools.score_u_on_grid_mm or SOME_U_MM,
        score_u_off_grid_mm=tools.score_u_off_grid_mm or SOME_U_MM,
    )


def made_with(prospect: Prospect, tools: Tools) -> Prospect:
    """The prospect with every line made as exactly as by those tools."""

    def u_of(one: Input) -> float:
        if one.rule is None:
            return one.variate.u
        return score_u(tools, one.rule) if one.source is Source.SCORE else tools.cut_u_mm

    inputs = tuple(
        replace(one, variate=replace(one.variate, u=u_of(one))) for one in prospect.workshop.inputs
    )
    return replace(prospect, workshop=replace(prospect.workshop, inputs=inputs))


def start_of(design: Design, found: Check, progress: Progress = SILENT) -> Prospect | None:
    """The limits of the design, or of a larger box in which the lid and all contents go together.

    None where none of those that were tried does.
    """
    if goes_together(found):
        same = felt(design.tools) == design.tools
        return take_prospect(found if same else check(_felt(design)), None, progress)
    wide = None if slides_over(found) else widened(found)
    likes = _larger(design) if wide is None else (wide.design, *_larger(wide.design))
    for larger in likes:
        tried = checked(_felt(larger))
        if tried is not None and goes_together(tried):
            return take_prospect(tried, None, progress)
    return None


def as_drawn(found: Check) -> Prospect:
    """The limits of the design itself, by the inputs that a start has, each as exact as it is."""
    tools = found.design.tools
    if felt(tools) == tools:
        return take_prospect(found)
    return made_with(take_prospect(check(_felt(found.design))), tools)


def _felt(design: Design) -> Design:
    return replace(design, tools=felt(design.tools))


def widened(found: Check) -> Check | None:
    """A checked design with so much more room for what goes with its base that it slides.

    Parts are wider, or smaller where they stand in the base, by a step or two.

    Sizes that change are whole steps of the hand. None where no wider ones do.
    """
    wide, design = _closing(found), found.design
    # a lid comes last: it may lie over what goes into the base
    for spec in sorted(sized(design)[1:], key=lambda one: one == design.lid):
        wide = wide and _eased(wide, spec)
    return wide if wide is not None and slides_over(wide) else None


def let_in(found: Check) -> list[Check]:
    """The design so deep, or on so large a floor, that its contents have places; by their room.

    None where nothing gives them any.
    """
    design = found.design
    deep = (design.base.with_depth(depth) for depth in cured_depths(found))
    deeper = (checked(design.with_parts(base, *design.parts[1:]), ways=False) for base in deep)
    first = next((one for one in deeper if one is not None and goes_together(one)), None)
    wide = cured_floor(found)
    wider = None if wide is None else checked(wide, ways=False)
    there = [one for one in (first, wider) if one is not None and goes_together(one)]
    return sorted(there, key=_volume)


def _volume(found: Check) -> float:
    base = found.assembly.base.recipe
    return base.width_mm * base.length_mm * base.depth_mm


def _closing(found: Check) -> Check | None:
    """The check with so much more or less of a gap that what turns closes; None where none does."""
    if closes(found):
        return found
    design, step = found.design, hand_step_mm(found.design.unit)
    recipes = {part.recipe.part: part.recipe for part in found.assembly.parts}
    tries = itertools.product(range(1, NEAR_STEPS + 1), (step, -step), design.parts)
    for count, by, spec in tries:
        for gap in spec.gaps:
            now = float(getattr(recipes[spec.name], gap.attribute))
            mm = round(now / step) * step + count * by
            own: dict[str, Any] = {gap.attribute: mm}
            tried = checked(design.with_parts(design.base, replace(spec, **own)))
            if tried is not None and closes(tried):
                return tried
    return None


def _eased(found: Check, spec: PartSpec) -> Check | None:
    """The check with so much more room for one part that it slides; None where none is enough.

    What slides along one direction stays as it is there, and nothing has less room than before.
    """
    if _slides(found, spec):
        return found
    design, step = found.design, hand_step_mm(found.design.unit)
    # what is cut to size has more room where that is less
    more = -1.0 if spec.size_by is SizeBy.CUT else 1.0
    sizes = [more * size for size in spec.size_mm]
    slides = [play >= 0.0 for play in _plays(found, spec) or (-1.0, -1.0)]

    def tried(room_mm: Sequence[float]) -> Check | None:
        width, length = (
            more * (size if own else max(size, mm))
            for size, mm, own in zip(sizes, room_mm, slides, strict=True)
        )
        return checked(design.with_sizes(spec.place, (width, length)))

    for count in WIDER:
        room_mm = [_up(size + count * step, step) for size in sizes]
        wide = tried(room_mm)
        plays = None if wide is None else _plays(wide, spec)
        if plays is None:
            continue
        less = tried([_up(mm + step - play, step) for mm, play in zip(room_mm, plays, strict=True)])
        for one in (less, wide):
            if one is not None and _slides(one, spec):
                return one
    return None


def _slides(found: Check, spec: PartSpec) -> bool:
    if _is_lid(found, spec):
        return slides_over(found)
    return all(fit.slide.free for fit in mates_of(found, spec.place))


def _plays(found: Check, spec: PartSpec) -> Sequence[float] | None:
    """How much more room a part has each way than it has to have; None where it is blocked."""
    if _is_lid(found, spec):
        assert found.lid is not None, "a lid has a fit"
        slides, tells = [found.lid.slide], goes_over(found)
    else:
        fits = mates_of(found, spec.place)
        slides, tells = [fit.slide for fit in fits], not any(fit.blocked for fit in fits)
    if not slides or not tells:
        return None
    plays = [min(one.travels[k].play_mm for one in slides) for k in (0, 1)]
    return [min(plays)] * 2 if spec.one_size else plays


def _is_lid(found: Check, spec: PartSpec) -> bool:
    lid = found.design.lid
    return lid is not None and lid.name == spec.name


def _up(size_mm: float, step_mm: float) -> float:
    """A size up to the next whole step."""
    return math.ceil(size_mm / step_mm - SAME_MM) * step_mm


def goes_together(found: Check) -> bool:
    """Whether the lid goes over the base without being forced, and contents have places."""
    return slides_over(found) and (not found.assembly.design.contents or judged_contents(found))


def _larger(design: Design) -> Iterator[Design]:
    """The lid made larger, the floor along with it, the depth, and all together."""
    base, lid = design.base, design.other
    for count in LARGER:
        by = count * hand_step_mm(design.unit)
        wide = None if lid is None else replace(lid, size_mm=_grown(lid.size_mm, by))
        floor = replace(base, size_mm=_grown(base.size_mm, by))
        if wide is not None:
            yield design.with_parts(base, wide)
        yield design.with_parts(floor, wide)
        yield design.with_parts(replace(base, depth_mm=base.depth_mm + by), wide)
        yield design.with_parts(replace(floor, depth_mm=base.depth_mm + by), wide)


def _grown(size_mm: tuple[float, float], by_mm: float) -> tuple[float, float]:
    return size_mm[0] + by_mm, size_mm[1] + by_mm


def undisturbed(found: Check, start: Prospect | None) -> Prospect | None:
    """The prospect of the design itself; None where no box of it can be right, whatever the errors.

    Those are boxes whose lid is blocked or whose contents have no places.
    """
    if blocked(found) or (found.contents and not judged_contents(found)):
        return None
    if start is not None and start.check is found:
        return start
    return as_drawn(found)
