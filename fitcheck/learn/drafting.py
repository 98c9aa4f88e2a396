"""Readings become a profile's text that the program's own reader takes, and nothing is written."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Kind, Reading
from fitcheck.learn.conditions import as_made
from fitcheck.learn.learning import Learnt, learn_printer, learn_stock
from fitcheck.learn.model_stock import Before, Given
from fitcheck.learn.paper_coupon import coupon_score_u_mm
from fitcheck.learn.profiles import printer_profile, sound_profile, stock_profile
from fitcheck.learn.rim_coin import crease_length
from fitcheck.stock.gives import NOTHING_SAID, gives_of
from fitcheck.stock.paper import Stock
from fitcheck.stock.printer import Printer
from fitcheck.stock.profile_files import printer_from, read_given, read_stock, stock_from
from fitcheck.stock.tools import Tools

Profile = Stock | Printer | Tools


@dataclass(frozen=True)
class Known:
    """What is known of a stock, a printer or tools before their readings are fitted."""

    profile: Path | None
    """The file that it is known from; None for a new one."""
    value: Profile | None
    believed: Profile | None
    """The same, without what records told that no longer count."""


@dataclass(frozen=True, eq=False)
class Draft:
    """A fit that was found sound, and the profile that it makes."""

    learnt: Learnt
    new: Stock | Printer
    """The profile as the program reads it back."""
    text: str


def drafted(
    name: str,
    path: Path,
    known: Known,
    given: Given,
    readings: Sequence[Reading],
    records: Sequence[str],
) -> Draft:
    """Fit the readings and judge the profile that would stand in ``path``.

    Raises ``InputError`` for readings that no paper or printer gives.
    """
    with sound_profile(name):
        if readings[0].kind is Kind.STOCK:
            paper = known.value if isinstance(known.value, Stock) else None
            dry, air_notes = as_made(readings, paper.hygroexpansion if paper else None, name)
            learnt = learn_stock(dry, given, _before(name, known, readings))
            learnt = replace(learnt, notes=(*learnt.notes, *air_notes))
            crease = _crease_length(learnt, paper, readings)
            text = stock_profile(learnt, paper, given, records, name, crease)
            if crease is not None:
                learnt = replace(learnt, notes=(*learnt.notes, _crease_note(*crease)))
            return Draft(learnt, stock_from(tomllib.loads(text), path), text)
        before = known.believed if isinstance(known.believed, Printer) else None
        learnt = learn_printer(readings, before)
        text = printer_profile(learnt, records, name)
        return Draft(learnt, printer_from(tomllib.loads(text), path), text)


def _crease_length(
    learnt: Learnt, paper: Stock | None, readings: Sequence[Reading]
) -> tuple[float, float] | None:
    """What coins on rims tell of the paper's folds; its stiffness goes with the learnt caliper."""
    caliper = learnt.properties[0].value
    said, grammage = (NOTHING_SAID, None) if paper is None else (paper.said, paper.grammage_gsm)
    return crease_length(readings, gives_of(said, grammage, caliper))


def _crease_note(length_mm: float, u_mm: float) -> str:
    return (
        f"coins at rims: the spring of a fold is that of {length_mm:.1f} +- {u_mm:.1f} mm of sheet "
        "(3 to 30 mm are assumed of papers nobody measured); odds of how a lid feels use it"
    )


def without_readings_of(
    value: Profile | None, base: Profile | None, features: frozenset[Feature]
) -> Profile | None:
    """What is believed without records that told of some features: there the base counts again.

    ``base`` is what another workspace, such as the shipped one, says under that name.
    """
    if not features or value is None:
        return value
    if not isinstance(value, Stock) or (Feature.STACK in features and base is None):
        return base
    origin = base if isinstance(base, Stock) else None
    found = value
    if Feature.STACK in features and origin is not None:
        found = replace(found, caliper_mm=origin.caliper_mm, caliper_u_mm=origin.caliper_u_mm)
    if Feature.RIM in features:
        told = origin.said.crease if origin else None
        found = replace(found, said=replace(found.said, crease=told))
    if features & {Feature.CHANNEL, Feature.INSIDE, Feature.CORNER}:
        found = replace(
            found,
            calibrated=origin is not None and origin.calibrated,
            crease_allowance_mm=origin.crease_allowance_mm if origin else 0.0,
            crease_allowance_u_mm=origin.crease_allowance_u_mm if origin else 0.0,
            by_grain=origin.by_grain if origin else None,
            corner_give=origin.corner_give if origin else 1.0,
            corner_give_u=origin.corner_give_u if origin else None,
        )
    return found


def given_for(
    kind: Kind,
    profile: Path | None,
    tools: Tools,
    chosen: bool,
    own: tuple[float | None, float | None],
) -> Given:
    """What the fit takes as given: of the options, of the profile, of the tools."""
    profile = profile if kind is Kind.STOCK else None
    before = None if profile is None else read_given(profile)
    if before is not None and not chosen:
        given = Given(**before)
    else:
        scale, scale_u = tools.habits.believed_scale
        given = Given(
            tools=tools.name,
            score_u_mm=coupon_score_u_mm(tools),
            fence_u_mm=tools.fence_u_mm,
            joint_mm=tools.joint_mm,
            joint_u_mm=tools.joint_u_mm,
            tolerance_mm=tools.instrument_tolerance_mm,
            score_face=tools.score_face,
            scale=scale,
            scale_u=scale_u,
            **_believed(profile, before),
        )
    joint, setback = own
    return replace(
        given,
        joint_mm=given.joint_mm if joint is None else joint,
        setback_mm=given.setback_mm if setback is None else setback,
    )


def _believed(profile: Path | None, before: Mapping[str, Any] | None) -> dict[str, Any]:
    """What is believed of a paper without its readings: kept in its profile, or a maker's word."""
    if before is not None:
        return {key: before[key] for key in ("allowance_mm", "allowance_u_mm", "give", "give_u")}
    paper = None if profile is None else read_stock(profile)
    if paper is None or paper.records:
        return {}
    found: dict[str, Any] = {}
    if paper.calibrated:
        found |= {"allowance_mm": paper.crease_allowance_mm}
        found |= {"allowance_u_mm": paper.crease_allowance_u_mm}
    if paper.corner_give_u is not None:
        found |= {"give": paper.corner_give, "give_u": paper.corner_give_u}
    return found


def _before(name: str, known: Known, readings: Sequence[Reading]) -> Before:
    old = known.believed
    if not isinstance(old, Stock):
        stack = Feature.STACK
        if not any(reading.feature is stack for reading in readings):
            raise InputError(
                f"{name}: too few readings: there is no stack and no such stock is known; allowed: "
                "a new stock with its caliper measured; measure a stack of ten sheets"
            )
        return Before(0.0, 1.0, None, None)
    return Before(
        old.caliper_mm,
        old.caliper_u_mm,
        old.crease_allowance_mm if old.calibrated else None,
        old.crease_allowance_u_mm if old.calibrated else None,
        old.corner_give if old.corner_give_u is not None else None,
        old.corner_give_u,
    )
