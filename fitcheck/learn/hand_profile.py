"""Readings of a hand become a tools profile that the program's own reader takes, as TOML."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from fitcheck.learn.bench_readings import Reading
from fitcheck.learn.hand_fit import Hand, HandFit, fit_hands, offset_of, scatter_in
from fitcheck.learn.hand_lines import Estimate
from fitcheck.learn.hand_pieces import Act
from fitcheck.learn.profiles import DIGITS, SHARE_DIGITS, number, profile_text, sound_profile
from fitcheck.stock.tools import Habits, Tools
from fitcheck.stock.tools_files import tools_from
from fitcheck.workspace.toml import quoted


def measured_tools(fit: HandFit, before: Tools, records: Sequence[str]) -> Tools:
    """The tools as they were measured; what the readings cannot tell is as it was assumed.

    ``before`` may be a profile that was learnt before: its assumptions are what counts.
    """
    assumed = before.assumed or before
    assumed = replace(assumed, records=(), people=(), assumed=None)
    whole = _held(fit.hands, fit, assumed)
    people = tuple((hand.person, _held((hand,), fit, assumed)) for hand in fit.hands)
    return replace(
        whole,
        source="",
        records=tuple(records),
        assumed=assumed,
        people=people if any(name for name, _ in people) else (),
    )


def _held(hands: Sequence[Hand], fit: HandFit, assumed: Tools) -> Tools:
    """The tools in the hands of whoever of some people comes along."""
    cut, groove = offset_of(hands, Act.CUT), offset_of(hands, Act.GROOVE)
    between = offset_of(hands, Act.BETWEEN)
    habits, fence_u = assumed.habits, assumed.fence_u_mm
    if cut is not None:
        habits = replace(habits, cut_mm=cut.value, cut_u_mm=cut.wide_u)
    scored = groove or between
    if scored is not None:
        act = Act.GROOVE if groove is not None else Act.BETWEEN
        fence_u = scored.wide_u
        habits = replace(habits, fence_mm=scored.value, scale_from_mm=_middle(hands, act))
        if fit.scale is not None:
            habits = replace(habits, scale=fit.scale.value, scale_u=fit.scale.wide_u)
        if groove is not None and between is not None:
            habits = _further(habits, groove, between, _middle(hands, Act.BETWEEN))
    return replace(
        assumed,
        score_u_on_grid_mm=_scatter(hands, Act.GROOVE, assumed.score_u_on_grid_mm),
        score_u_off_grid_mm=_scatter(hands, Act.BETWEEN, assumed.score_u_off_grid_mm),
        cut_u_mm=_scatter(hands, Act.CUT, assumed.cut_u_mm),
        knife_u_mm=_scatter(hands, Act.KNIFE, assumed.knife_u_mm),
        fence_u_mm=fence_u,
        habits=habits,
    )


def _further(habits: Habits, groove: Estimate, between: Estimate, at_mm: float) -> Habits:
    """How much further scores between grooves lie than the board would have them there."""
    there = habits.score_mm(at_mm, in_groove=True)
    u = math.hypot(groove.u, between.u)
    dof = min(groove.dof, between.dof)
    away = Estimate(between.value - there, u, dof)
    return replace(habits, between_mm=away.value, between_u_mm=away.wide_u)


def _scatter(hands: Sequence[Hand], act: Act, assumed: float) -> float:
    """The scatter as it was told; as assumed where it was not, but no more than it can be."""
    scatter = scatter_in(hands, act)
    if scatter is not None:
        return scatter
    works = [work for hand in hands if (work := hand.work(act)) is not None and work.enough]
    return min([assumed, *(work.scatter.high_mm for work in works)])


def _middle(hands: Sequence[Hand], act: Act) -> float:
    works = (hand.work(act) for hand in hands)
    lines = [work.line for work in works if work is not None and work.enough]
    return math.fsum(line.at_mm for line in lines) / len(lines)


def tools_profile(tools: Tools, name: str) -> str:
    """The text of calibration/tools/NAME.toml for measured tools."""
    keys: dict[str, object] = {}
    if tools.grid_mm is not None:
        keys["grid"] = _length(tools.grid_mm)
    keys |= _hand(tools)
    keys |= {"joint_mm": number(tools.joint_mm), "joint_u_mm": number(tools.joint_u_mm)}
    keys["instrument_tolerance_mm"] = number(tools.instrument_tolerance_mm)
    if tools.sheets:
        sizes = [(sheet.width_mm, sheet.length_mm) for sheet in tools.sheets]
        keys["sheets"] = [[_length(side) for side in size] for size in sizes]
    if tools.assumed is not None:
        other = tools.assumed.name
        keys["assumed"] = {
            **_hand(tools.assumed),
            "source": tools.assumed.source,
            **({"tools": other} if other != name else {}),
        }
    if tools.people:
        keys["people"] = {quoted(person): _hand(kit) for person, kit in tools.people}
    return profile_text(name, keys, tools.records)


def _length(mm: float) -> str:
    return f"{mm:.10g} mm"


def _hand(tools: Tools) -> dict[str, object]:
    """The keys that a hand has."""
    found: dict[str, object] = {
        "score_u_mm": {
            "on_grid": number(tools.score_u_on_grid_mm),
            "off_grid": number(tools.score_u_off_grid_mm),
        },
        "fence_u_mm": number(tools.fence_u_mm),
        "cut_u_mm": number(tools.cut_u_mm),
        "knife_u_mm": number(tools.knife_u_mm),
    }
    if tools.habits.known:
        places = {"scale": SHARE_DIGITS, "scale_u": SHARE_DIGITS}
        found["habits"] = {
            key: number(mm, places.get(key, DIGITS)) for key, mm in vars(tools.habits).items()
        }
    return found


@dataclass(frozen=True)
class HandOutcome:
    """What a session about tools did."""

    name: str
    fit: HandFit
    old: Tools
    """As the tools were known before."""
    new: Tools
    """As the program reads the profile back."""
    profile: Path
    record: str | None
    """The record that was added; None when there was nothing new."""
    records: tuple[str, ...]
    readings: int
    """How many were fitted from."""
    notes: tuple[str, ...] = ()
    changed: bool = False
    """Whether the profile's text is another one than before."""


def hand_outcome(
    name: str, profile: Path, old: Tools, readings: Sequence[Reading], record: str | None
) -> tuple[HandOutcome, str]:
    """What comes of some readings, and the text of the profile that they make.

    Raises ``InputError`` for readings that no hand gives.
    """
    records = tuple(dict.fromkeys(reading.file for reading in readings))
    with sound_profile(name):
        fit = fit_hands(readings, old)
        text = tools_profile(measured_tools(fit, old, records), name)
        new = tools_from(tomllib.loads(text), profile)
    return HandOutcome(name, fit, old, new, profile, record, records, len(readings)), text
