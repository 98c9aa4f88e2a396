"""Readings of one stock or printer become fitted properties, with what was set aside and why."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.errors import InputError, ModelError
from fitcheck.learn.arrays import arrays_of
from fitcheck.learn.aside_words import misfit, slip
from fitcheck.learn.bench_readings import Feature, Kind, Reading
from fitcheck.learn.crease_share import crease_share
from fitcheck.learn.entries import Entry, entries_of
from fitcheck.learn.evaluate import (
    NORMAL_FACTOR,
    reaches_beyond,
    what_is_possible,
    widened,
)
from fitcheck.learn.fit import Fit, fit
from fitcheck.learn.model_printer import NOISE_MM, printer_model, read_of
from fitcheck.learn.model_stock import ACROSS, ALONG, A, Before, Given, T, not_folded, stock_model
from fitcheck.learn.outliers import MANY, Odd, all_odd, most_to_set_aside, rivals_of
from fitcheck.learn.repeats import Beliefs, judged_pairs, odd_repeats
from fitcheck.learn.solving import Data, Model
from fitcheck.learn.stack_size import SheetSize, sheet_size
from fitcheck.learn.usual import Usual, usual_of, with_usual
from fitcheck.stock.crease import LARGEST_SHARE
from fitcheck.stock.printer import Printer
from fitcheck.uncertainty import rectangular_u

IMPOSSIBLE = 4.0
"""So many standard uncertainties outside what is possible it is the readings that are wrong."""
NOTHING = 1e-9
"""A smaller share of what is known of a caliper than this is rounding."""


@dataclass(frozen=True)
class Property:
    """One thing that was learnt."""

    name: str
    value: float
    u: float
    """Standard uncertainty, widened so that 1.96 of it is the 95 % interval of few readings."""
    kept: bool
    """True when these readings could not tell it: it is as it was believed before."""


@dataclass(frozen=True, eq=False)
class Learnt:
    """What the readings of one stock or printer say."""

    kind: Kind
    properties: tuple[Property, ...]
    fit: Fit
    entries: tuple[Entry, ...]
    """Those that were fitted."""
    data: Data
    model: Model
    beliefs: Beliefs
    repeats: tuple[tuple[np.ndarray, float], ...]
    shared_u: np.ndarray
    """What the instrument's tolerance alone leaves of each parameter, (p,)."""
    set_aside: tuple[str, ...]
    """A line for each reading that cannot belong to the others."""
    notes: tuple[str, ...]

    def get(self, name: str) -> Property | None:
        """A property by its name, or None."""
        return next((found for found in self.properties if found.name == name), None)

    def known(self, name: str) -> Property | None:
        """A property that these readings told, or None."""
        found = self.get(name)
        return None if found is None or found.kept else found


def learn_stock(readings: Sequence[Reading], given: Given, before: Before) -> Learnt:
    """Fit a paper. Raises ``InputError`` for readings that no paper gives."""
    folded = tuple(
        r
        for r in readings
        if r.feature is not Feature.RIM
        and (r.feature is not Feature.HEM or r.nominal_mm is not None)
    )
    notes = _hem_notes(readings)
    learnt = _learn(
        Kind.STOCK,
        folded,
        lambda entries: stock_model(entries, given, before),
        given.score_u_mm,
        given.tolerance_mm,
    )
    _check_paper(learnt)
    usual = list(usual_of(learnt.entries, given, learnt.properties[0].value))
    model = with_usual(learnt.model, learnt.beliefs, learnt.fit, usual)
    learnt = _refitted(learnt, model, given.score_u_mm, given.tolerance_mm)
    return replace(learnt, notes=(*learnt.notes, *notes, *_limit_notes(learnt)))


def _refitted(learnt: Learnt, model: Model, noise_mm: float, tolerance_mm: float) -> Learnt:
    """The same readings with more that is believed; what they could not tell stays untold."""
    if model is learnt.model:
        return learnt
    data, repeats = learnt.data, learnt.repeats
    found = fit(model, data, given_noise=noise_mm, repeats=repeats, near=learnt.fit)
    found = replace(found, kept=learnt.fit.kept)
    shared_u = _shared_u(found, learnt.entries, tolerance_mm)
    size = sheet_size(learnt.entries) if learnt.kind is Kind.STOCK else None
    listed = _properties(found, learnt.entries, size, shared_u)
    return replace(learnt, model=model, fit=found, properties=listed, shared_u=shared_u)


def learn_printer(readings: Sequence[Reading], before: Printer | None) -> Learnt:
    """Fit a printer; what its readings alone know no better than was believed is fitted with it."""
    learnt = _learn(
        Kind.PRINTER, tuple(readings), lambda entries: printer_model(entries, before), NOISE_MM
    )
    unsure = [
        Usual((name,), value, u)
        for found, (name, value, u) in zip(learnt.properties, learnt.beliefs, strict=True)
        if not found.kept and found.u > u
    ]
    if not unsure:
        return learnt
    model = with_usual(learnt.model, learnt.beliefs, learnt.fit, unsure)
    kept = tuple(name for name in learnt.fit.kept if name not in read_of(model))
    return _refitted(replace(learnt, fit=replace(learnt.fit, kept=kept)), model, NOISE_MM, 0.0)


def _learn(
    kind: Kind,
    readings: Sequence[Reading],
    model_of: Callable[[Sequence[Entry]], tuple[Model, Beliefs]],
    noise_mm: float,
    tolerance_mm: float = 0.0,
) -> Learnt:
    if not readings:
        raise InputError("there is no reading to learn from; allowed: at least one; measure first")
    entries = entries_of(readings)
    odd = odd_repeats(entries)
    lines = [slip(reading) for reading in odd]
    entries = _without(entries, odd)
    torn = judged_pairs(kind, entries, model_of, noise_mm)
    lines += [one.line("the other pieces do") for one in torn]
    entries = _without(entries, [reading for one in torn for reading in one.aside])
    near: Fit | None = None
    least = len(entries) - most_to_set_aside(len(entries))
    while True:
        data, repeats = arrays_of(kind, entries)
        model, beliefs = model_of(entries)
        try:
            found = fit(model, data, given_noise=noise_mm, repeats=repeats, keep=beliefs, near=near)
        except ModelError as error:
            raise InputError(
                f"the readings cannot be fitted: {error}; allowed: readings that one {kind} gives; "
                "check the pieces named in note, nominal_mm and the units"
            ) from None
        worst = _odd(data, found, len(entries) - least)
        if not worst:
            break
        near = found if len(entries) > MANY else None  # few are fitted as if they were alone
        gone = set[int]()
        for one in worst:
            rivals = [k for k in _rivals(model, found, one) if k not in gone]
            lines.append(misfit(entries[one.entry], one, [entries[k] for k in rivals], entries))
            gone |= {one.entry, *rivals}
        entries = tuple(entry for k, entry in enumerate(entries) if k not in gone)
    size = sheet_size(entries) if kind is Kind.STOCK else None
    shared_u = _shared_u(found, entries, tolerance_mm)
    return Learnt(
        kind=kind,
        properties=_properties(found, entries, size, shared_u),
        fit=found,
        entries=entries,
        data=data,
        model=model,
        beliefs=beliefs,
        repeats=repeats,
        shared_u=shared_u,
        set_aside=tuple(lines),
        notes=(),
    )


def _without(entries: tuple[Entry, ...], odd: Sequence[Reading]) -> tuple[Entry, ...]:
    if not odd:
        return entries
    gone = set(map(id, odd))
    return entries_of([r for entry in entries for r in entry.readings if id(r) not in gone])


def _odd(data: Data, found: Fit, most: int) -> tuple[Odd, ...]:
    whole = np.isfinite(data.go) & np.isfinite(data.nogo)
    checked = (data.spread > 0) & (~data.gauged | whole)
    return all_odd(found.spread, found.leverage, checked, data.piece, most=most)


def _rivals(model: Model, found: Fit, odd: Odd) -> tuple[int, ...]:
    slopes, own = model.slopes(found.likely), odd.entry
    beside = (slopes @ found.gain[:, own]) * (slopes[own] @ found.gain)
    return rivals_of(odd, found.spread, found.leverage, beside)


def _properties(
    found: Fit, entries: Sequence[Entry], size: SheetSize | None, shared_u: np.ndarray
) -> tuple[Property, ...]:
    listed = []
    for name, instrument_u in zip(found.names, shared_u, strict=True):
        kept, value = name in found.kept, found.value(name)
        u = found.u(name) if kept else widened(found.u(name), found.dof_of(name))
        if name == T and size is not None and not kept:
            value, u = _sheet(found, entries, size)
        listed.append(Property(name, value, math.hypot(u, instrument_u), kept))
    return tuple(listed)


def _sheet(found: Fit, entries: Sequence[Entry], size: SheetSize) -> tuple[float, float]:
    """The caliper as the stacks have it, with what folds say of it: value and uncertainty."""
    stacks = [k for k, entry in enumerate(entries) if entry.feature is Feature.STACK]
    counts = np.array([entries[k].count for k in stacks], dtype=float)
    means = np.array([entries[k].value_mm for k in stacks], dtype=float)
    weights = counts**2 / found.variance[stacks]
    own = float(weights @ (means / counts))
    whole = 1 / found.covariance[0, 0]
    rest = max(whole - float(weights.sum()), 0.0)
    rest = rest if rest > NOTHING * whole else 0.0
    folds = (found.values[0] * whole - own) / rest if rest > 0.0 else 0.0
    value, half = size.interval(folds, rest)
    least = size.steps_u_mm / math.sqrt(1.0 + rest * size.steps_u_mm**2)
    return value, max(half / NORMAL_FACTOR, least)


def _shared_u(found: Fit, entries: Sequence[Entry], tolerance_mm: float) -> np.ndarray:
    """What an instrument that is off by as much as its maker allows does to each parameter, (p,).

    All its readings of stacks are off together, and all those of folds (JCGM 100, 4.3.7).
    """
    groups: dict[tuple[str, bool], list[int]] = {}
    for place, entry in enumerate(entries):
        if entry.value_mm is not None:
            groups.setdefault((entry.instrument, entry.feature is Feature.STACK), []).append(place)
    squares = np.zeros(len(found.names))
    for places in groups.values():
        squares += (found.gain[:, places].sum(axis=1) * rectangular_u(tolerance_mm)) ** 2
    return np.sqrt(squares)


def _hem_notes(readings: Sequence[Reading]) -> tuple[str, ...]:
    return tuple(
        f"{r.place}: a hem of {r.reading_mm:g} mm without a nominal is kept, nothing is fitted "
        "from it: write into nominal_mm how far its score is from the cut edge, and it counts"
        for r in readings
        if r.feature is Feature.HEM and r.nominal_mm is None and r.reading_mm is not None
    )


def _limit_notes(learnt: Learnt) -> Iterator[str]:
    folds = crease_share(learnt.fit)
    if folds is not None and folds.odd:
        yield (f"{folds.words}: {folds.looks}; count the sheets and measure both again")
    unread = not_folded(learnt.entries)
    if unread is not None:
        yield (
            f"folds {unread.split()[-1]} the grain were not measured: what is usual of any paper "
            "is taken for them; fold and read that half of the coupon too"
        )
    most = LARGEST_SHARE * learnt.properties[0].value
    for name in (A, ALONG, ACROSS):
        found = learnt.known(name)
        if found is not None and reaches_beyond(found.value, found.u, most):
            value, u = what_is_possible(found.value, found.u, most)
            yield (
                f"{name} {found.value:.3f} +- {found.u:.3f} mm reaches beyond what a crease can "
                f"have (0 to {most:.2f} mm): the profile keeps what is left, {value:.3f} +- "
                f"{u:.3f} mm"
            )


def _check_paper(learnt: Learnt) -> None:
    caliper = learnt.properties[0]
    for name in (A, ALONG, ACROSS):
        found = learnt.known(name)
        if found is None:
            continue
        doubt = IMPOSSIBLE * found.u
        if not -doubt <= found.value <= LARGEST_SHARE * caliper.value + doubt:
            raise InputError(
                f"the readings give {name} = {found.value:.3f} mm at a caliper of "
                f"{caliper.value:.3f} mm; allowed is 0 to {LARGEST_SHARE:g} calipers; check "
                "nominal_mm and the stack's count"
            )
