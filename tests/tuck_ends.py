"""Cartons with tucked lids as the style draws them, of any sizes and papers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fitcheck.design.model import Content, Design
from fitcheck.fit.assembly import Part, assemble
from fitcheck.stock.paper import Stock
from fitcheck.styles.carton import LockKind
from fitcheck.styles.part import SizeBy
from fitcheck.styles.tuck_end import TuckEndSpec
from tests.agreement.test_odds_closed_forms import BASE_STOCK, design
from tests.boxes import paper


def spec_of(
    *,
    stock: Stock = BASE_STOCK,
    floor: tuple[float, float] = (70.0, 32.0),
    depth: float = 90.0,
    tuck: float | None = None,
    dust_flap: float | None = None,
    lock: LockKind = LockKind.SLIT,
    slit: float | None = None,
    clear: float = 1.7,
    seam: float | None = None,
) -> TuckEndSpec:
    """The base of a design."""
    return TuckEndSpec(
        name="base",
        style="tuck-end",
        stock=stock,
        size_by=SizeBy.FLOOR,
        size_mm=floor,
        depth_mm=depth,
        tuck_mm=tuck,
        dust_flap_mm=dust_flap,
        lock=lock,
        slit_mm=slit,
        clear_mm=clear,
        seam_mm=seam,
    )


def design_of(spec: TuckEndSpec, *contents: Content) -> Design:
    """A design of that base alone."""
    return replace(design("tray", 2.0), parts=(spec,), contents=contents)


def part_of(spec: TuckEndSpec) -> Part:
    """The folded base."""
    return assemble(design_of(spec)).base


def ordinary(count: int, seed: int) -> list[TuckEndSpec]:
    """Uneven sizes and papers, sharp creases and round ones, with locks and without."""
    rng = np.random.default_rng(seed)
    found = []
    for k in range(count):
        caliper = rng.uniform(0.2, 0.5)
        allowance = caliper * (rng.uniform(0.3, 0.5) if k % 2 else rng.uniform(0.6, 0.9))
        length = rng.uniform(18.0, 60.0)
        spec = spec_of(
            stock=paper(caliper, allowance),
            floor=(rng.uniform(35.0, 90.0), length),
            depth=rng.uniform(60.0, 120.0),
            tuck=rng.uniform(0.25, 0.75) * min(length, 30.0),
            lock=LockKind.SLIT if rng.random() < 0.6 else LockKind.NONE,
            clear=rng.uniform(1.0, 2.5),
        )
        found.append(spec)
    return found
