"""One board makes all parts of a box: what its papers' coupons told of its scale is one quantity.

A coupon tells the board's scale b and its paper's crease allowance a together, for what it reads is
n (1 + b) + 2 a: where b is larger, a is less. So the scales that coupons told are combined, each
with its weight, and each allowance is taken at the scale that comes of it. What is left open of
the scale then moves all allowances along with all scores. Tools that were measured under a name of
their own are the board that they were learnt from.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from fitcheck.design.model import Design
from fitcheck.stock.crease import LARGEST_SHARE
from fitcheck.stock.paper import GrainAllowance, SeenBoard, Stock
from fitcheck.stock.tools import Habits, Tools
from fitcheck.styles.part import PartSpec

TOLD_SCALE_U = 0.0025
"""Coupons that leave a board's scale more open than this have told nothing of it: moulded scales
are true to some tenths of a per cent anyhow (common practice, no source)."""
LEAST_LEFT = 0.1
"""Of an allowance's uncertainty at least this share is left where the scale is known: rounding, and
what no crease can have, may leave less than nothing."""


def measured_tools(design: Design) -> Tools | None:
    """A design's tools with all that was measured of them; None where nothing was.

    The board's scale is the mean of what was known of it and of what coupons of the design's papers
    told that were scored on it, by inverse variance.
    """
    tools = design.tools
    habits = _with_scale(tools.habits, list(_seen(design)))
    return replace(tools, habits=habits) if habits.known else None


def scored_on(spec: PartSpec, tools: Tools | None) -> PartSpec:
    """A part of a design, the allowances of its paper taken at its tools' scale."""
    board = spec.stock.board
    if board is None:
        return spec
    if tools is None or board.tools not in tools.names or tools.habits.scale_u == 0.0:
        return replace(spec, stock=replace(spec.stock, board=None))
    return replace(spec, stock=_at_scale(spec.stock, board, tools.habits))


def _seen(design: Design) -> Iterator[SeenBoard]:
    """What each paper's coupon told of the board, each paper once."""
    for stock in {spec.stock.name: spec.stock for spec in design.parts}.values():
        if stock.board is not None and stock.board.tools in design.tools.names:
            yield stock.board


def _with_scale(habits: Habits, seen: list[SeenBoard]) -> Habits:
    """The habits with the scale that all say together; as they are where that is too little."""
    if not seen:
        return habits
    scale, scale_u = habits.believed_scale
    weight = 1 / scale_u**2
    told = [board.told for board in seen]
    whole = weight + sum(own for own, _ in told)
    mean = (weight * scale + sum(product for _, product in told)) / whole
    mean_u = 1 / math.sqrt(whole)
    return habits if mean_u > TOLD_SCALE_U else replace(habits, scale=mean, scale_u=mean_u)


def _at_scale(stock: Stock, board: SeenBoard, habits: Habits) -> Stock:
    """The paper as its coupon has it on a board of that scale."""
    apart = habits.scale - board.scale

    def at(value_mm: float, u_mm: float, along: bool | None) -> tuple[float, float]:
        by = board.by_scale_mm(along)
        left = u_mm**2 - (by * board.scale_u) ** 2
        most = LARGEST_SHARE * stock.caliper_mm
        u = math.sqrt(max(left, (LEAST_LEFT * u_mm) ** 2))
        return min(max(0.0, value_mm + by * apart), most), u

    allowance, u = at(stock.crease_allowance_mm, stock.crease_allowance_u_mm, None)
    grain = stock.by_grain
    if grain is not None:
        grain = GrainAllowance(
            *at(grain.along_mm, grain.along_u_mm, True),
            *at(grain.across_mm, grain.across_u_mm, False),
            grain.not_measured,
        )
    return replace(
        stock,
        crease_allowance_mm=allowance,
        crease_allowance_u_mm=u,
        by_grain=grain,
        board=replace(board, scale=habits.scale, scale_u=habits.scale_u),
    )
