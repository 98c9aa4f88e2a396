"""Departures become what a tools profile holds: offsets, the board's scale, scatters, by person."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Reading
from fitcheck.learn.hand_lines import Estimate, Line, common_slope, line_through
from fitcheck.learn.hand_pieces import Act, Departure, grubbs, hands_of
from fitcheck.learn.hand_spread import (
    LEAST_DOF,
    MeanSquare,
    Scatter,
    scatter_of,
    spread_apart,
)
from fitcheck.stock.tools import Tools
from fitcheck.stock.tools_files import MOST_PEOPLE
from fitcheck.uncertainty import effective_dof, resolution_u

MOST_SCATTER_MM = 2.0
"""A hand that is off by more does not work to a line (the limit of a tools profile)."""
STRAYS = 0.001
"""A departure that chance makes stand out so far so seldom is pointed at, and still counts."""


@dataclass(frozen=True)
class Work:
    """What one person does in one way: an offset and a scatter."""

    act: Act
    line: Line
    scatter: Scatter
    noise: MeanSquare
    """Of what was read, mm2."""
    step_mm: float
    """Of the instrument."""

    @property
    def count(self) -> int:
        """Of cuts or scores."""
        return self.line.count

    @property
    def scatter_estimated(self) -> bool:
        """Whether the scatter could be estimated."""
        return self.scatter.estimated

    @property
    def enough(self) -> bool:
        """Whether there were enough to tell an offset."""
        return self.line.rest.dof >= LEAST_DOF

    @property
    def offset(self) -> Estimate:
        """How much too large or too far it comes out, at the mean distance.

        Where the steps hide the scatter they may all be rounded alike.
        """
        found = self.line.offset
        if self.scatter_estimated:
            return found
        return replace(found, u=math.hypot(found.u, resolution_u(self.step_mm)))

    @property
    def sloped(self) -> Line:
        """Its line, told no better than the steps allow."""
        rest = max(self.line.rest.value, resolution_u(self.step_mm) ** 2)
        return replace(self.line, rest=replace(self.line.rest, value=rest))


@dataclass(frozen=True)
class Hand:
    """What one person's cuts and scores were measured to be."""

    person: str
    works: tuple[Work, ...]

    def work(self, act: Act) -> Work | None:
        """What was measured of one act, or None."""
        return next((one for one in self.works if one.act is act), None)

    def offset(self, act: Act) -> Estimate | None:
        """How much too large or too far it comes out, at the mean distance; None if not told."""
        found = self.work(act)
        if found is None or found.line.rest.dof < 1:
            return None
        return found.offset


@dataclass(frozen=True)
class HandFit:
    """What the readings of a board and its hands say."""

    hands: tuple[Hand, ...]
    scale: Estimate | None
    """The board's scale error; None where the distances are too much alike to tell it."""
    set_aside: tuple[str, ...]
    notes: tuple[str, ...]


def fit_hands(readings: Sequence[Reading], tools: Tools) -> HandFit:
    """Fit the hands and the board. Raises ``InputError`` for readings that no hand gives.

    ``tools`` says where the grooves are.
    """
    found = hands_of(readings, tools)
    if not found.departures:
        raise InputError(
            [
                *found.set_aside,
                *found.notes,
                "there is no cut or score to learn from; allowed: at least one strip with its "
                "'cut' row; read the coupon",
            ]
        )
    if len(found.people) > MOST_PEOPLE:
        raise InputError(
            f"by: read {len(found.people)} different names; allowed: up to {MOST_PEOPLE} people; "
            "spell each in one way"
        )
    done: dict[tuple[str, Act], list[Departure]] = {}
    for one in found.departures:
        done.setdefault((one.by, one.act), []).append(one)
    hands = tuple(_hand(person, done) for person in found.people)
    scored = (Act.GROOVE, Act.BETWEEN)
    scale = common_slope([one.sloped for hand in hands for one in hand.works if one.act in scored])
    fit = HandFit(
        tuple(hand for hand in hands if hand.works),
        scale,
        found.set_aside,
        (*found.notes, *_strays(done), *_apart(hands)),
    )
    _check(fit)
    return fit


def _hand(person: str, done: Mapping[tuple[str, Act], Sequence[Departure]]) -> Hand:
    acts = (act for act in Act if (person, act) in done)
    return Hand(person, tuple(_work(act, done[person, act]) for act in acts))


def _work(act: Act, own: Sequence[Departure]) -> Work:
    x = np.array([one.at_mm for one in own])
    y = np.array([one.off_mm for one in own])
    noise = MeanSquare(
        float(np.mean([one.noise.value for one in own])), min(one.noise.dof for one in own)
    )
    step = max(one.step_mm for one in own)
    if act is Act.KNIFE:
        # A knife's side of the mark is not known on a box: its own offset is scatter there.
        line = line_through(x, y, ["" for _ in own], sloped=False)
        seen = MeanSquare(float(np.mean(y**2)), float(len(y)))
        return Work(act, line, scatter_of(seen, noise, 1.0, step), noise, step)
    line = line_through(x, y, [one.day for one in own], sloped=act is not Act.CUT)
    return Work(act, line, scatter_of(line.rest, noise, 1.0, step), noise, step)


def _strays(done: Mapping[tuple[str, Act], Sequence[Departure]]) -> list[str]:
    """Cuts and scores that stand out by far: a slip of the hand is real, a wrong setting is not."""
    lines = []
    for (person, _), own in done.items():
        if len(own) < 4:
            continue
        off = np.array([one.off_mm for one in own])
        away = np.abs(off - off.mean())
        worst = int(np.argmax(away))
        if away[worst] > grubbs(len(own), STRAYS) * off.std(ddof=1):
            lines.append(
                f"{own[worst].place}: is off by {off[worst]:+.2f} mm, far more than the others of "
                f"{person}: it counts; was it set to another number? then leave it out"
            )
    return lines


def _apart(hands: Sequence[Hand]) -> list[str]:
    """Pairs of people whose scatter differs by more than chance."""
    lines = []
    for k, one in enumerate(hands):
        for other in hands[k + 1 :]:
            for act in Act:
                a, b = one.work(act), other.work(act)
                if a and b and spread_apart(a.line.rest, b.line.rest):
                    surer, rougher = sorted((a, b), key=lambda work: work.line.rest.value)
                    names = {id(a): one.person, id(b): other.person}
                    lines.append(
                        f"{names[id(surer)]}'s hand is surer than {names[id(rougher)]}'s "
                        f"({_WORDS[act]}): say who makes the box with --by"
                    )
    return lines


_WORDS = {
    Act.CUT: "sheets cut with the trimmer",
    Act.GROOVE: "scores in the grooves",
    Act.BETWEEN: "scores between the grooves",
    Act.KNIFE: "cuts with the knife",
}


def _check(fit: HandFit) -> None:
    """No profile is made of what its reader would refuse."""
    for hand in fit.hands:
        for work in hand.works:
            if work.scatter_estimated and work.scatter.s_mm > MOST_SCATTER_MM:
                raise InputError(
                    f"{hand.person}: {_WORDS[work.act]} scatter by {work.scatter.s_mm:.2f} mm; "
                    f"allowed: up to {MOST_SCATTER_MM:g} mm; check nominal_mm and the pieces in "
                    "note"
                )
    scale = fit.scale
    if scale is not None and abs(scale.value) > MOST_SCALE + 4.0 * scale.u:
        raise InputError(
            f"the scores give a board whose scale is off by {100 * scale.value:.1f} %; allowed: up "
            f"to {100 * MOST_SCALE:g} %; check nominal_mm and the unit of the readings"
        )


MOST_SCALE = 0.05
"""A board or a ruler whose scale is off by more is read in another unit."""


def offset_of(hands: Sequence[Hand], act: Act) -> Estimate | None:
    """The offset of a box that anybody of the hands makes, each as likely; None if not told.

    The people's own offsets differ as much as they were found to (a mixture of their laws).
    """
    works = [work for hand in hands if (work := hand.work(act)) is not None and work.enough]
    if not works:
        return None
    count, offsets = len(works), [work.offset for work in works]
    mean = math.fsum(one.value for one in offsets) / count
    among = math.fsum((one.value - mean) ** 2 for one in offsets) / count
    own = math.fsum(one.u**2 for one in offsets) / count
    dof = max(effective_dof([(one.u, one.dof) for one in offsets]), LEAST_DOF)
    return Estimate(mean, math.sqrt(own + among), dof)


def scatter_in(hands: Sequence[Hand], act: Act) -> float | None:
    """The scatter, mm, that odds take of whoever of the hands comes along; None if not told.

    It is wider as readings are fewer, but never more than what they leave open.
    """
    found = [
        work.scatter
        for hand in hands
        if (work := hand.work(act)) is not None and work.scatter_estimated
    ]
    if not found:
        return None
    dof = effective_dof([(one.s_mm, one.dof) for one in found])
    mixed = Estimate(0.0, _root_mean([one.s_mm for one in found]), dof)
    return min(mixed.wide_u, _root_mean([one.high_mm for one in found]))


def _root_mean(values: Sequence[float]) -> float:
    return math.sqrt(math.fsum(value**2 for value in values) / len(values))
