"""Readings of one stock or printer become fitted properties, with what was set aside and why."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.errors import InputError, ModelError
from fitcheck.learn.evaluate import widened
from fitcheck.learn.fit import Fit, fit
from fitcheck.learn.model_printer import NOISE_MM, printer_model
from fitcheck.learn.model_stock import (
    ACROSS,
    ALONG,
    SCORES,
    A,
    Before,
    Given,
    stock_model,
)
from fitcheck.learn.outliers import MANY, Odd, all_odd, most_to_set_aside
from fitcheck.learn.pieces import Entry, Repeats, data_of, entries_of, odd_repeats, pooled
from fitcheck.learn.readings import Feature, Kind, Reading
from fitcheck.learn.solving import Data, Model
from fitcheck.stock.crease import LARGEST_SHARE
from fitcheck.stock.printer import Printer

STACK_U_MM = 0.02
"""Spread of a stack's reading where it was not repeated (common practice, no source)."""
FEEL_MM = 0.01
"""A gauge goes in or does not, give or take what the hand calls going in."""
IMPOSSIBLE = 4.0
"""So many standard uncertainties outside what is possible it is the readings that are wrong."""
Beliefs = tuple[tuple[str, float, float], ...]


@dataclass(frozen=True)
class Property:
    """One thing that was learnt."""

    name: str
    value: float
    u: float
    """Standard uncertainty, widened so that 1.96 of it is the 95 % interval of few readings."""
    dof: float
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
    folded = tuple(r for r in readings if r.feature is not Feature.HEM or r.nominal_mm is not None)
    notes = _hem_notes(readings)
    learnt = _learn(
        Kind.STOCK,
        folded,
        lambda entries: stock_model(entries, given, before),
        given.score_u_mm,
    )
    learnt = replace(learnt, notes=(*learnt.notes, *notes))
    _check_paper(learnt)
    return learnt


def learn_printer(readings: Sequence[Reading], before: Printer | None) -> Learnt:
    """Fit a printer."""
    return _learn(
        Kind.PRINTER, tuple(readings), lambda entries: printer_model(entries, before), NOISE_MM
    )


def _learn(
    kind: Kind,
    readings: Sequence[Reading],
    model_of: Callable[[Sequence[Entry]], tuple[Model, Beliefs]],
    noise_mm: float,
) -> Learnt:
    if not readings:
        raise InputError("there is no reading to learn from; allowed: at least one; measure first")
    entries = entries_of(readings)
    odd = odd_repeats(entries)
    lines = [_slip(reading) for reading in odd]
    if odd:
        slips = set(map(id, odd))
        entries = entries_of([reading for reading in readings if id(reading) not in slips])
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
        lines += [_misfit(entries[one.entry], one) for one in worst]
        gone = {one.entry for one in worst}
        entries = tuple(entry for k, entry in enumerate(entries) if k not in gone)
    return Learnt(
        kind, _properties(found), found, entries, data, model, beliefs, repeats, tuple(lines), ()
    )


def _odd(data: Data, found: Fit, most: int) -> tuple[Odd, ...]:
    whole = np.isfinite(data.go) & np.isfinite(data.nogo)
    checked = (data.spread > 0) & (~data.gauged | whole)
    return all_odd(
        found.residuals,
        found.variance,
        found.leverage,
        checked,
        data.piece,
        dof=found.noise_dof,
        most=most,
    )


def _properties(found: Fit) -> tuple[Property, ...]:
    listed = []
    for name in found.names:
        kept, dof = name in found.kept, found.dof_of(name)
        u = found.u(name) if kept else widened(found.u(name), max(dof, 1.0))
        listed.append(Property(name, found.value(name), u, dof, kept))
    return tuple(listed)


def arrays_of(
    kind: Kind, entries: Sequence[Entry]
) -> tuple[Data, tuple[tuple[np.ndarray, float], ...]]:
    """The entries as arrays, and the estimated parts of their variance by class."""
    stack = Feature.STACK
    stacks = np.array([entry.feature is stack for entry in entries])
    classes = {True: _stack_repeats(entries), False: _fold_repeats(entries)}
    data, from_repeats = data_of(
        entries,
        lambda entry: classes[entry.feature is stack],
        (lambda entry: SCORES.get(entry.feature, 0.0)) if kind is Kind.STOCK else lambda entry: 1.0,
        _model_variance,
    )
    parts = [
        (np.where(stacks == of_stacks, from_repeats, 0.0), pool.dof)
        for of_stacks, pool in classes.items()
        if pool is not None
    ]
    return data, tuple(parts)


def _fold_repeats(entries: Sequence[Entry]) -> Repeats | None:
    stack = Feature.STACK
    return pooled([entry for entry in entries if entry.feature is not stack])


def _stack_repeats(entries: Sequence[Entry]) -> Repeats | None:
    """The spread of a stack's reading: from repeats, from several stacks, or as usual."""
    stack = Feature.STACK
    stacks = [e for e in entries if e.feature is stack]
    again = pooled(stacks)
    if again is not None or not stacks:
        return again
    counts = np.array([e.count for e in stacks], dtype=float)
    values = np.array([e.value_mm for e in stacks], dtype=float)
    if len(stacks) < 3:
        return Repeats(STACK_U_MM, math.inf)
    rest = values - counts * (counts @ values) / (counts @ counts)
    return Repeats(math.sqrt(float(rest @ rest) / (len(stacks) - 1)), float(len(stacks) - 1))


def _model_variance(entry: Entry) -> float:
    return FEEL_MM**2 if entry.value_mm is None else 0.0


def _slip(reading: Reading) -> str:
    return (
        f"{reading.place}: {reading.reading_mm:g} is far from the other repeats of this piece: set "
        "aside; read it again"
    )


def _misfit(entry: Entry, odd: Odd) -> str:
    found = (
        f"{entry.value_mm:.3f} mm"
        if entry.value_mm is not None
        else f"{entry.go_mm:g} in and {entry.nogo_mm:g} not"
    )
    side = "above" if odd.residual_mm > 0 else "below"
    return (
        f"{entry.place}: {found} is {abs(odd.residual_mm):.2f} mm {side} what all other readings "
        f"say (chance {max(odd.chance, 1e-9):.1g}): set aside; measure this piece again"
    )


def _hem_notes(readings: Sequence[Reading]) -> tuple[str, ...]:
    return tuple(
        f"{r.place}: a hem without a nominal is taken as the thickness over the closed fold "
        f"({r.reading_mm:g} mm): noted, nothing is fitted from it"
        for r in readings
        if r.feature is Feature.HEM and r.nominal_mm is None and r.reading_mm is not None
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
