"""What a new profile changes: for each property before and after, and for the lid of a design."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path

from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.fit.assembly import assemble
from fitcheck.fit.lid import LidFit
from fitcheck.fit.neck import fit_lid_of
from fitcheck.learn.bench_readings import Kind
from fitcheck.learn.learning import Property
from fitcheck.learn.model_stock import ALONG, HEM, A, B, F, G, T
from fitcheck.learn.session_results import Outcome
from fitcheck.stock.paper import SeenBoard, Stock
from fitcheck.stock.printer import Printer
from fitcheck.styles.part import PartSpec

CHANGED = 2.0
"""Further apart than so many of their joint uncertainties, before and after disagree."""


@dataclass(frozen=True)
class Change:
    """One property before and after."""

    found: Property
    before: tuple[float, float] | None
    """Value and standard uncertainty; None when nothing was known."""

    @property
    def disagrees(self) -> bool:
        """Whether the new value is one that the old one did not allow for."""
        if self.before is None or self.found.kept:
            return False
        apart = abs(self.found.value - self.before[0])
        return apart > CHANGED * math.hypot(self.found.u, self.before[1])


@dataclass(frozen=True)
class LidChange:
    """A design's lid before and after."""

    title: str
    before: LidFit | None
    """None when the stock was not known before."""
    after: LidFit


def changes(outcome: Outcome) -> tuple[Change, ...]:
    """Every property that was learnt beside what was known of it."""
    if outcome.kind is Kind.PRINTER:
        old = outcome.old if isinstance(outcome.old, Printer) else None
        return tuple(Change(p, _of_printer(old, p.name)) for p in outcome.learnt.properties)
    paper = outcome.old if isinstance(outcome.old, Stock) else None
    listed = [p for p in outcome.learnt.properties if p.name not in (G, HEM)]
    return tuple(Change(found, _of_paper(paper, found.name)) for found in listed)


def _of_printer(old: Printer | None, name: str) -> tuple[float, float] | None:
    if old is None:
        return None
    if name.startswith("scale"):
        return getattr(old, name) - 1.0, getattr(old, f"{name}_u")
    return getattr(old, name), getattr(old, f"{name.removesuffix('_mm')}_u_mm")


def _of_paper(old: Stock | None, name: str) -> tuple[float, float] | None:
    if old is None:
        return None
    if name in (B, F):
        return _of_board(old.board, name)
    if name == T:
        return old.caliper_mm, old.caliper_u_mm
    if name == A or (name.startswith("allowance") and old.by_grain is None):
        return old.crease_allowance_mm, old.crease_allowance_u_mm
    if old.by_grain is not None and name.startswith("allowance"):
        return old.allowance(name == ALONG)
    return (old.corner_give, old.corner_give_u) if old.corner_give_u is not None else None


def _of_board(board: SeenBoard | None, name: str) -> tuple[float, float] | None:
    if board is None or board.fence_u_mm is None:
        return None
    return (board.scale, board.scale_u) if name == B else (board.fence_mm, board.fence_u_mm)


def lid_change(outcome: Outcome, path: Path) -> LidChange:
    """What the new profile does to the lid of a design.

    Raises ``InputError`` when the design has no lid or none of its parts is of that stock.
    """
    new = outcome.new
    if not isinstance(new, Stock):
        raise InputError("--design: a printer does not change a lid; leave the option out")
    design = read_design(path)
    used = [part for part in (design.base, design.lid) if part and part.stock.name == new.name]
    if design.lid is None or not used:
        papers = sorted({part.stock.name for part in (design.base, design.lid) if part})
        raise InputError(
            f"{path}: --design: has no lid or no part of {new.name}; it is made of "
            f"{', '.join(papers)}; allowed: a design with a lid and a part of that stock; name one"
        )
    before = None
    if isinstance(outcome.old, Stock):
        before = _lid_with(design, replace(outcome.old, name=new.name))
    return LidChange(design.title, before, _lid_with(design, new))


def _lid_with(design: Design, stock: Stock) -> LidFit:
    def swapped(part: PartSpec) -> PartSpec:
        return replace(part, stock=stock) if part.stock.name == stock.name else part

    assert design.lid is not None
    found = assemble(design.with_parts(*map(swapped, design.parts)))
    lid = fit_lid_of(found, design.bands)
    assert lid is not None, "the design has a lid"
    return lid
