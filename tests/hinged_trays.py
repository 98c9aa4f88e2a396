"""Trays with a hinged lid as the style draws them, of any sizes and papers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fitcheck.design.model import Content, Design
from fitcheck.fit.assembly import Part, assemble
from fitcheck.pattern.sheet import Axis
from fitcheck.stock.paper import Stock
from fitcheck.styles.hinged_tray import Hinge, HingedTraySpec, LipSide
from fitcheck.styles.part import SizeBy
from tests.agreement.test_odds_closed_forms import BASE_STOCK, design
from tests.boxes import paper


def spec_of(
    front: LipSide,
    *,
    stock: Stock = BASE_STOCK,
    floor: tuple[float, float] = (80.0, 55.0),
    depth: float = 23.0,
    lip: float = 11.0,
    clear: float | None = None,
    hinge: Hinge = Hinge.SCORED,
    setback: float = 0.0,
) -> HingedTraySpec:
    """The base of a design."""
    return HingedTraySpec(
        name="base",
        style="hinged-tray",
        stock=stock,
        size_by=SizeBy.FLOOR,
        size_mm=floor,
        depth_mm=depth,
        tabs=Axis.WIDTH,
        tab_setback_mm=setback,
        lip_mm=lip,
        front=front,
        clear_mm=clear,
        hinge=hinge,
    )


def design_of(spec: HingedTraySpec, *contents: Content) -> Design:
    """A design of that base alone."""
    return replace(design("tray", 2.0), parts=(spec,), contents=contents)


def part_of(spec: HingedTraySpec) -> Part:
    """The folded base."""
    return assemble(design_of(spec)).base


def ordinary(count: int, seed: int) -> list[HingedTraySpec]:
    """Uneven sizes and papers, in half of which the lip will not pass or only just does."""
    rng = np.random.default_rng(seed)
    found = []
    for k in range(count):
        caliper = rng.uniform(0.2, 0.6)
        # sharp creases and round ones
        allowance = caliper * (rng.uniform(0.3, 0.5) if k % 2 else rng.uniform(0.6, 0.9))
        front = LipSide.IN if rng.random() < 0.5 else LipSide.OVER
        depth, length = rng.uniform(12.0, 28.0), rng.uniform(35.0, 70.0)
        lip = rng.uniform(5.0, 0.7 * depth)
        room = rng.uniform(-0.3, 0.5)
        swung = np.hypot(length, lip) - length
        clear = caliper + room if front is LipSide.OVER else -(caliper + swung + room)
        found.append(
            spec_of(
                front,
                stock=paper(caliper, allowance),
                floor=(rng.uniform(40.0, 80.0), length),
                depth=depth,
                lip=lip,
                clear=float(clear),
                setback=rng.choice([0.0, caliper]),
            )
        )
    return found
