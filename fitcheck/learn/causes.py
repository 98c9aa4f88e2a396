"""Which input would explain what came of the boxes: the likeliest shift or larger spread of each.

A forecast keeps what each input does to the mean play and to the share of boxes that take their
contents. A shift d of an input moves the law of every play by its slope times d; a spread s times
as large draws it out to the variance that it adds; chances of contents move on the probit scale by
the same slopes. Every box then has a likelihood: that its play lies where it was found (or where
the lid's outcome puts it) and that its contents fitted or not. Shifts that all move the play the
same way cannot be told apart by one design, so each has to answer for itself: what a Student law of
DEGREES degrees says against a shift of so many of its own standard uncertainties is taken off its
gain (the posterior mode; a normal law would be too sure of uncertainties that may be wrong
themselves). A shift beyond what an input can be at all, a crease that adds less than nothing, is no
cause. A single cut or score comes out anew in each box; that it is off by the same in all of
them is a habit, and half its scatter is allowed for that (common practice, no source). How thick
glue or tape is nobody measures: a joint may be off by JOINT_MM, however sure a profile is of it.
Where boxes of several makers, or of one whose hand was measured apart, are held against the odds of
anybody, the hand of one may be other: plays are moved and drawn out by cuts and scores together.
"""

from __future__ import annotations

import enum
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.learn.forecast import InputRow
from fitcheck.learn.scored_boxes import SHARED, ScoredBox
from fitcheck.plain import folded

Array = np.ndarray
DEGREES = 4.0
MOST_U = 8.0
"""Shifts of up to so many standard uncertainties are tried."""
STEPS = 641
MOST_TIMES = 5.0
"""Spreads of up to so many times what was said are tried."""
WORTH = 1.0
"""A cause that does not gain so much log-likelihood explains nothing."""
AS_LIKELY = 1.0
"""Causes within so much log-likelihood of the best are as likely."""
READING_MM = 0.025
"""A play that was read lies within half a step of 0.05 mm (common practice, no source)."""


class How(enum.StrEnum):
    """What is off about an input."""

    SHIFT = "shift"
    SPREAD = "spread"


@dataclass(frozen=True)
class Cause:
    """One input, or all of one kind, that would explain the boxes if it were off."""

    source: str
    of: str
    """The paper, item or tool profile."""
    in_groove: bool
    how: How
    amount: float
    """A shift in mm (humidity: %), or how many times as large the spread is."""
    in_u: float
    """The shift in the standard uncertainties that the odds allow for it; 0 for a spread."""
    gain: float
    """Log-likelihood of the boxes gained, what it costs taken off."""
    name: str
    """What the forecast calls it, where it is a single input in all of them."""
    coupon: str = ""
    """Whose coupon tells of it where it is not ``of``: a paper of a joint, tools of a person's hand
    that was not measured apart yet."""

    @property
    def as_said(self) -> bool:
        """Whether it is what boxes share, and lies no further off than was said to be usual."""
        return self.how is How.SHIFT and self.source in SHARED and abs(self.in_u) <= 1.0

    @property
    def allowed(self) -> bool:
        """Whether the odds had allowed for it: a shift within two standard uncertainties."""
        own = self.source not in LINES | {PERSON}
        return self.how is How.SHIFT and own and abs(self.in_u) <= 2.0


FRESH = frozenset({"score", "cut", "knife", "joint", "content", "board"})
"""Sources that come out anew in each box, so that they may also differ more than was said."""
LINES = frozenset({"score", "cut", "knife"})
"""Sources with many inputs of one kind, each of which may be off by itself in every box."""
HABIT = 0.5
"""How far one of them may be off in every box, in its standard uncertainties."""
PERSON = "person"
LEAST_TIMES = 0.2
MOVES = 81
JOINT = "joint"
JOINT_MM = 0.1
"""Glue is next to nothing, tapes are some tenths of a mm thick (common practice, no source)."""


@dataclass(frozen=True)
class _Kind:
    """Inputs that are off together."""

    source: str
    of: str
    in_groove: bool
    name: str
    """Of a single input; empty for all of a kind."""


Rows = Sequence[Sequence[InputRow]]
"""The inputs of one kind, box by box."""


def causes_of(boxes: Sequence[ScoredBox]) -> tuple[Cause, ...]:
    """The causes that explain the boxes best, the likeliest first; none where nothing does.

    Only causes within AS_LIKELY of the best one are given. A joint, which nothing is known of, may
    be one of them and leaves none of the others out.
    """
    found = [cause for cause in _all_causes(boxes) if cause.gain >= WORTH and not cause.as_said]
    known = [cause.gain for cause in found if cause.source != JOINT]
    best = max(known or [cause.gain for cause in found], default=0.0)
    found.sort(key=lambda cause: -min(cause.gain, best))
    return tuple(cause for cause in found if cause.gain >= best - AS_LIKELY)


def _all_causes(boxes: Sequence[ScoredBox]) -> Iterable[Cause]:
    kinds: dict[_Kind, list[list[InputRow]]] = {}
    for number, box in enumerate(boxes):
        for row in box.forecast.inputs:
            for kind in _kinds_of(row):
                kinds.setdefault(kind, [[] for _ in boxes])[number].append(row)
    as_said = math.fsum(float(_box_law(box, np.zeros(1), [], 1.0)[0]) for box in boxes)
    yield from _people(boxes)
    for kind, rows in kinds.items():
        names = {row.name for own in rows for row in own}
        name = next(iter(names)) if len(names) == 1 else ""
        paper = _paper_of(boxes) if kind.source == JOINT else ""
        if kind.source not in LINES or kind.name or kind.source == "cut":
            u = max(row.u for own in rows for row in own)
            u *= HABIT if kind.source in LINES else 1.0
            allowed = max(u, JOINT_MM) if kind.source == JOINT else u
            shift, gain = _best_shift(boxes, rows, allowed, as_said)
            yield Cause(
                source=kind.source,
                of=kind.of,
                in_groove=kind.in_groove,
                how=How.SHIFT,
                amount=shift,
                in_u=shift / u,
                gain=gain,
                name=name,
                coupon=paper,
            )
        if kind.source in FRESH and not (kind.source in LINES and kind.name):
            times, gain = _best_spread(boxes, rows, as_said)
            yield Cause(kind.source, kind.of, kind.in_groove, How.SPREAD, times, 0.0, gain, name)


def _people(boxes: Sequence[ScoredBox]) -> Iterable[Cause]:
    """The hand of each maker whose boxes were held against anybody's odds."""
    by_maker: dict[str, list[ScoredBox]] = {}
    for box in boxes:
        by_maker.setdefault(folded(box.box.by), []).append(box)
    for maker, own in by_maker.items():
        general = [box for box in own if box.forecast.by is None]
        if not maker or not general:
            continue
        last = general[-1]
        known = maker in map(folded, last.forecast.people)
        if known or len(by_maker) > 1:
            how, amount, gain = _best_hand(general)
            name = last.box.by
            coupon = "" if known else last.forecast.tools
            yield Cause(
                source=PERSON,
                of=name,
                in_groove=False,
                how=how,
                amount=amount,
                in_u=0.0,
                gain=gain,
                name="",
                coupon=coupon,
            )


def _best_hand(own: Sequence[ScoredBox]) -> tuple[How, float, float]:
    """What would best explain the boxes of a maker, plays moved and drawn out; its gain.

    The spread where it tells more than a third more or less than was said, else how far plays move,
    mm.
    """
    lines = [[row for row in box.forecast.inputs if row.source in LINES] for box in own]
    shared = max(math.sqrt(math.fsum(row.play_mm**2 for row in rows)) for rows in lines)
    moved = np.linspace(-MOST_U / 2.0, MOST_U / 2.0, MOVES) * HABIT * max(shared, READING_MM)
    cost = (
        0.5 * (DEGREES + 1.0) * np.log1p((moved / (HABIT * max(shared, READING_MM))) ** 2 / DEGREES)
    )
    still = math.fsum(float(_play_law(box, np.zeros(1), 0.0)[0]) for box in own)
    best, found = (1.0, 0.0), 0.0
    for times in np.geomspace(LEAST_TIMES, MOST_TIMES, 41).tolist():
        total = -still - cost - 0.5 * (math.log(times) / math.log(2.0)) ** 2
        for box, rows in zip(own, lines, strict=True):
            added = math.fsum(row.play_mm**2 for row in rows) * (times**2 - 1.0)
            total = total + _play_law(box, moved, added)
        at = int(np.argmax(total))
        if total[at] > found:
            best, found = (times, float(moved[at])), float(total[at])
    times, mm = best
    if not 0.75 < times < 4.0 / 3.0:
        return How.SPREAD, times, found
    return How.SHIFT, mm, found


def _paper_of(boxes: Sequence[ScoredBox]) -> str:
    """The paper that most parts of the boxes are of; the last of those that are as many."""
    papers = [paper for box in reversed(boxes) for paper in box.forecast.stocks.values()]
    return max(dict.fromkeys(papers), key=papers.count, default="")


def _kinds_of(row: InputRow) -> Iterable[_Kind]:
    """What an input may be off together with; scores that all are, are the board's own offset."""
    by_name = row.name if row.source == "content" else ""
    yield _Kind(row.source, row.of, row.in_groove, by_name)
    if row.source in LINES:
        yield _Kind(row.source, row.of, row.in_groove, row.name)


def _best_shift(
    boxes: Sequence[ScoredBox], own: Rows, u: float, as_said: float
) -> tuple[float, float]:
    in_u = np.linspace(-MOST_U, MOST_U, STEPS)
    total = -as_said - 0.5 * (DEGREES + 1.0) * np.log1p(in_u**2 / DEGREES)
    for box, rows in zip(boxes, own, strict=True):
        total = total + _box_law(box, in_u * u, rows, 1.0)
    total[~_possible(in_u * u, own)] = -math.inf
    best = int(np.argmax(total))
    return float(in_u[best] * u), float(total[best])


def _possible(shifts: Array, own: Rows) -> Array:
    """Which shifts (n,) leave each input within what it can be; none at all always does."""
    possible = np.ones(len(shifts), dtype=bool)
    for row in (row for rows in own for row in rows):
        if row.least is not None:
            possible &= shifts >= min(row.least, 0.0)
        if row.most is not None:
            possible &= shifts <= max(row.most, 0.0)
    return possible


def _best_spread(boxes: Sequence[ScoredBox], own: Rows, as_said: float) -> tuple[float, float]:
    """A spread twice as large costs as much as a shift of one standard uncertainty."""
    best = (1.0, 0.0)
    for times in np.geomspace(1.0, MOST_TIMES, 41).tolist():
        gain = -as_said - 0.5 * (math.log(times) / math.log(2.0)) ** 2
        for box, rows in zip(boxes, own, strict=True):
            gain += float(_box_law(box, np.zeros(1), rows, times)[0])
        if gain > best[1]:
            best = (times, gain)
    return best


def _box_law(box: ScoredBox, shifts: Array, rows: Sequence[InputRow], times: float) -> Array:
    """(n,) log-likelihood of a box for n shifts of some inputs, all alike, and one spread."""
    moved = shifts * sum(row.play_mm / row.u for row in rows)
    found = _play_law(box, moved, sum(row.play_mm**2 for row in rows) * (times**2 - 1.0))
    if box.fits is not None:
        found = found + _fits_law(box.fits.chance, box.fits.happened, shifts, rows, times)
    return found


def _play_law(box: ScoredBox, moved: Array, added: float) -> Array:
    """(n,) log-likelihood of a play whose law moves by so much and gains so much variance, mm2."""
    law = box.law
    stretch = math.sqrt(max(1.0 + added / max(law.u_mm, 1e-6) ** 2, LEAST_TIMES**2))
    low, high = box.play_mm
    if high - low < 2.0 * READING_MM:
        middle = 0.5 * (low + high)
        low, high = middle - READING_MM, middle + READING_MM
    found: Array = np.log(law.between(low, high, moved, stretch))
    return found


def _fits_law(
    chance: float, fitted: bool, shifts: Array, rows: Sequence[InputRow], times: float
) -> Array:
    from scipy.special import log_ndtr, ndtri

    z = float(ndtri(chance))
    density = math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
    by_shift = sum(row.fits / row.u for row in rows) / density
    by_spread = sum(row.fits_spread for row in rows) / density
    moved = z + by_shift * shifts + by_spread * 0.5 * (times**2 - 1.0)
    found: Array = log_ndtr(moved if fitted else -moved)
    return found
