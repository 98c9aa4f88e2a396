"""What contents that do not go in are short of, and what cures it, in one line of text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitcheck.fit.check import checked
from fitcheck.fit.contents import ContentVerdict
from fitcheck.fit.cures import Cure
from fitcheck.fit.inner_cures import Inner
from fitcheck.odds.change_words import settable
from fitcheck.plain import joined
from fitcheck.units import Unit, is_set_by_hand, show_hands

if TYPE_CHECKING:
    from fitcheck.odds.result import Advice

BEYOND = {"width": "too wide", "length": "too long", "height": "too tall"}


def mended(advice: Advice | None) -> bool:
    """Whether the change that helps most lets all contents in."""
    found = None if advice is None or advice.design is None else checked(advice.design, ways=False)
    return found is not None and all(f.verdict is ContentVerdict.FITS for f in found.contents)


def cure_text(cure: Cure, count: int, unit: Unit, *, said: bool = False) -> str:
    """For one line of contents of that count; empty where nothing is known.

    Where a change that lets all in was `said` already, none is named beside it.
    """
    parts = [] if cure.known else ["whether all go in is not known"]
    if cure.each_mm is not None and count > 1:
        parts.append(f"each is {cure.each_mm:.2f} mm too tall")
    elif cure.misses_mm is not None:
        wide, long = cure.misses_mm
        short = f"{wide:.2f} mm too wide and {long:.2f} mm too long"
        parts.append(f"{short} for {cure.room}" if cure.room else short)
    elif cure.missing_mm is not None and cure.along is not None:
        short = f"{cure.missing_mm:.2f} mm {BEYOND[cure.along]}"
        parts.append(f"{short} for {cure.room}" if cure.room and cure.along != "height" else short)
    if cure.needs_mm is not None and count > 1:
        width, length = cure.needs_mm
        go = "go" if cure.known else "go for sure"
        parts.append(f"{count} {go} into about {width:.0f} x {length:.0f} mm")
    changes = "" if said else _changes(cure, unit)
    if changes:
        parts.append(changes)
    if cure.holds is not None and count > 1:
        often = {0: "none goes", 1: "1 goes"}.get(cure.holds, f"{cure.holds} go")
        parts.append(f"{often} in as it is" if cure.known else f"{often} in for sure as it is")
    return "; ".join(parts)


def _changes(cure: Cure, unit: Unit) -> str:
    ways = []
    if cure.depth_mm is not None:
        least = cure.depth_mm if cure.least_depth_mm is None else cure.least_depth_mm
        way = f"make the base {_by((least,), unit)} deep{_inner(cure, least, unit)}"
        if cure.grooved and least != cure.depth_mm:
            groove = cure.depth_mm
            way += f", or {_by((groove,), unit)}{_inner(cure, groove, unit)}, in the next groove"
        ways.append(way)
    if cure.floor_mm is not None:
        way = f"make the base's floor {_by(cure.floor_mm, unit)} score to score"
        if cure.floor_depth_mm is not None:
            depth = cure.floor_depth_mm
            way += f" and {_by((depth,), unit)} deep{_inner(cure, depth, unit)}"
        if cure.lid_mm is not None:
            way += f" and the lid {_by(cure.lid_mm, unit)}"
        ways.insert(0 if cure.floor_first else len(ways), way)
    ways += [_inner_way(one, unit) for one in cure.inner]
    told = ", or ".join(ways)
    if cure.spare_mm is None:
        return told
    return f"{told}, which leaves {cure.spare_mm:.1f} mm or more for errors of hand and contents"


def _inner_way(inner: Inner, unit: Unit) -> str:
    """What to change of a window, or of compartments."""
    said = []
    if inner.window_mm is not None:
        said.append(f"make the insert's window {_by(inner.window_mm, unit)}")
    if inner.compartments is not None:
        columns, rows = inner.compartments
        said.append(f"have {columns} x {rows} compartments")
    if inner.floor_mm is not None:
        said.append(f"make the base's floor {_by(inner.floor_mm, unit)} score to score")
    if inner.cut_mm is not None:
        said.append(f"cut the strips {_by(inner.cut_mm, unit, ' and ')}")
    if inner.pitch_mm is not None:
        said.append(f"make the pitch {_by(inner.pitch_mm, unit, ' and ')}")
    return joined(said)


def _inner(cure: Cure, depth_mm: float, unit: Unit) -> str:
    """The inner wall to go with a depth, where the design gives one."""
    if cure.inner_less_mm is None:
        return ""
    return f", its inner wall {_by((depth_mm - cure.inner_less_mm,), unit)}"


def _by(lengths_mm: tuple[float, ...], unit: Unit, word: str = " by ") -> str:
    """Lengths that a rule sets, or as the board of the other unit has them."""
    if all(is_set_by_hand(mm, unit) for mm in lengths_mm):
        return show_hands(lengths_mm, unit, word)
    return word.join(settable(mm, unit) for mm in lengths_mm)
