"""Readings of a hand that can hardly be true become questions: one piece, one groove, the zero.

A knife's cuts are running sums of pieces, so one piece that was misread moves every cut after it,
and a caliper that is off zero moves each cut further than the one before. What such a slip explains
is weighed as evidence: how likely the cuts are with it and without, over all scatters that a hand
may have and all sizes that the slip may have.
"""

from __future__ import annotations

import math
import statistics
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.entries import HAND_MM, Entry
from fitcheck.learn.hand_knife import Chain, chains_of
from fitcheck.learn.hand_pieces import Act, Departure, hands_of
from fitcheck.learn.hand_slips import without_slips
from fitcheck.learn.mixed_sets import who_read
from fitcheck.learn.questions import Doubt, Question
from fitcheck.stock.tools import Tools
from fitcheck.uncertainty import resolution_u

SLIP_MM = 1.0
"""A line of a ruler or a digit misread is off by about so much (common practice, no source)."""
ZERO_MM = 0.1
"""A caliper that nobody set to zero is off by about so much (common practice, no source)."""
ASKED = 3.0
"""Asked about is what makes the cuts so many times as likely, all choices of a piece included: of
honest cards that is two or three in a hundred."""
OTHERS = 0.05
"""A piece that is the slip with this chance is named too."""
USUAL_DOF = 3.0
"""So many cuts what is assumed of a knife counts as."""
MOST_PIECES = 60
"""Of longer cards nothing is asked: no coupon asks for so many."""
CLEAR_U = 5.0
"""A score that lies as near another groove by chance needs to be off by fewer usual scatters."""
LEAST_SCORES = 3
"""Fewer tell no offset of the fence."""


def of_hands(rows: Sequence[Reading], tools: Tools) -> Iterator[Question]:
    """What new readings of hands and boards say that can hardly be; ``tools`` as they are known."""
    if not rows:
        return
    people: dict[str, list[Entry]] = defaultdict(list)
    for entry in without_slips(rows).entries:
        if entry.feature is Feature.KNIFE and entry.value_mm is not None:
            people[who_read(entry.readings[0])].append(entry)
    for own in people.values():
        for chain in chains_of(own)[0]:
            if 1 < len(chain.pieces) <= MOST_PIECES:
                yield from _of_knife(chain, tools.knife_u_mm)
    if tools.grid_mm is not None:
        yield from _of_grooves(hands_of(rows, tools).departures, tools.grid_mm, tools)


@dataclass(frozen=True)
class _Weighed:
    """How much likelier the cuts are with something than without."""

    evidence: float
    """Logarithm of the ratio."""
    mm: float
    """What it is then."""


def _of_knife(chain: Chain, usual_mm: float) -> Iterator[Question]:
    shares = chain.shares
    off = np.array([(one.value_mm or 0.0) - one.nominal_mm for one in chain.pieces])
    weigh = _Scales(shares @ off, shares, chain.pieces, usual_mm)
    slips = [weigh.of(column, SLIP_MM) for column in shares.T]
    zero = weigh.of(shares.sum(axis=1), ZERO_MM)
    most = max(one.evidence for one in slips)
    ratios = [math.exp(one.evidence - most) for one in slips]
    one_slip = most + math.log(math.fsum(ratios) / len(slips))
    if max(one_slip, zero.evidence) <= math.log(ASKED):
        return
    if zero.evidence > one_slip:
        first = chain.pieces[0].readings[0]
        yield Question(
            Doubt.KNIFE,
            f"{first.place}: from this piece on all are about {abs(zero.mm):.2f} mm too "
            f"{_side(zero.mm)}, and cuts are told by running sums of them",
            "close the jaws, set the caliper to zero and measure the pieces again",
        )
        return
    likely = [k for k, ratio in enumerate(ratios) if ratio >= OTHERS * math.fsum(ratios)]
    worst = ratios.index(max(ratios))
    rest = [chain.pieces[k].readings[0].row for k in likely if k != worst]
    piece, mm = chain.pieces[worst], slips[worst].mm
    or_else = f" (or row {' or '.join(map(str, rest))})" if rest else ""
    yield Question(
        Doubt.KNIFE,
        f"{piece.place}: {piece.value_mm:.2f} is about {abs(mm):.2f} mm too {_side(mm)} beside "
        f"the other pieces{or_else}, and every cut after it moves with it",
        "measure these pieces again and write what is right",
    )


def _side(mm: float) -> str:
    return "wide" if mm > 0 else "narrow"


class _Scales:
    """Cuts that are off by ``y`` (n,) mm, weighed with and without something that moves them."""

    def __init__(
        self, y: np.ndarray, shares: np.ndarray, pieces: Sequence[Entry], usual_mm: float
    ) -> None:
        steps = [max(one.resolution_mm for one in piece.readings) for piece in pieces]
        read = np.array([resolution_u(step) ** 2 + HAND_MM**2 for step in steps])
        scatter = usual_mm * 2.0 ** np.linspace(-3.0, 3.0, 25)
        belief = USUAL_DOF * (np.log(usual_mm / scatter) - 0.5 * (usual_mm / scatter) ** 2)
        whole = scatter[:, None, None] ** 2 * np.eye(len(y)) + (shares * read) @ shares.T
        self._y, self._inverse = y, np.linalg.inv(whole)
        squares = np.einsum("i,gij,j->g", y, self._inverse, y)
        self._without = belief - 0.5 * (np.linalg.slogdet(whole)[1] + squares)

    def of(self, moved: np.ndarray, about_mm: float) -> _Weighed:
        """With something about so large that moves the cuts by ``moved`` (n,) times its size.

        A normal law beforehand makes both the evidence and the size closed forms at each scatter.
        """
        against = self._inverse @ moved
        told = 1.0 + about_mm**2 * (against @ moved)
        size = about_mm**2 * (against @ self._y) / told
        gain = 0.5 * (size * (against @ self._y) - np.log(told))
        weights = np.exp(self._without + gain - (self._without + gain).max())
        evidence = _log_sum(self._without + gain) - _log_sum(self._without)
        return _Weighed(evidence, float(weights @ size / weights.sum()))


def _log_sum(values: np.ndarray) -> float:
    most = float(values.max())
    return most + math.log(float(np.exp(values - most).sum()))


def _of_grooves(
    departures: Sequence[Departure], grid_mm: float, tools: Tools
) -> Iterator[Question]:
    """Scores that lie nearer to where another groove would have put them."""
    usual = {Act.GROOVE: tools.score_u_on_grid_mm, Act.BETWEEN: tools.score_u_off_grid_mm}
    people: dict[str, list[Departure]] = defaultdict(list)
    for one in departures:
        if one.act in usual:
            people[one.by].append(one)
    for own in people.values():
        enough = len(own) >= LEAST_SCORES
        middle = statistics.median(one.off_mm for one in own) if enough else 0.0
        for one in own:
            away = one.off_mm - middle
            if abs(away) > max(grid_mm / 2, CLEAR_U * usual[one.act]):
                number = max(round(abs(away) / grid_mm), 1)
                grooves = "a whole groove" if number == 1 else f"{number} grooves"
                yield Question(
                    Doubt.GROOVES,
                    f"{one.place}: its score lies {abs(away):.2f} mm too {_where(away)}, about "
                    f"{grooves} of {grid_mm:g} mm, and would count as what the hand scatters by",
                    "write in nominal_mm the place it was scored at, near and far side, or leave "
                    "this strip out",
                )


def _where(mm: float) -> str:
    return "far" if mm > 0 else "near"
