"""Where the limits of many sizes are taken: the design itself, or a like box that goes together.

A lid that drops into its base says nothing about one that goes over it, nor do contents without a
place say how much room there is. Lines that are known exactly have no errors to take gradients by:
there they get some for as long as that takes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from fitcheck.design.model import Design
from fitcheck.errors import FitcheckError
from fitcheck.fit.check import Check, check
from fitcheck.odds.inputs import Input, Source, score_u
from fitcheck.odds.outlook import judged_contents
from fitcheck.odds.prospect import Prospect, take_prospect
from fitcheck.odds.remarks import goes_over
from fitcheck.stock.tools import Tools
from fitcheck.units import hand_step_mm
from fitcheck.workspace.progress import SILENT, Progress

LARGER = (2, 8, 32)
"""Steps of the hand by which a box is made larger until all goes together."""
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
        return take_prospect(found if same else _check(design), None, progress)
    for larger in _larger(design):
        try:
            tried = _check(larger)
        except FitcheckError:
            continue
        if goes_together(tried):
            return take_prospect(tried, None, progress)
    return None


def _check(design: Design) -> Check:
    return check(replace(design, tools=felt(design.tools)))


def goes_together(found: Check) -> bool:
    """Whether the lid ends up over the base's rim, be it by pressing, and contents have places."""
    return goes_over(found) and (not found.assembly.design.contents or judged_contents(found))


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
