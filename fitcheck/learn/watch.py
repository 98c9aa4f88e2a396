"""The test of a whole set of boxes: it tells when odds are off, however often somebody looks.

Boxes are taken in runs of up to RUN, in the order of recording; a run ends at an alarm. In a run
three sums are looked at after every box (`looks`): how many came out right beside what was said;
the plays' normal scores (are plays larger or smaller than said), at first by what the lids did and,
from the box after the first whose play was measured, by the plays; and from there on their squares
less one (do plays differ more or less than said). All sums of a run together raise a false alarm in
at most FALSE_ALARM of runs if the odds are right and the boxes share nothing, whenever and however
often somebody looks: FALSE_ALARM is laid out over the looks by the cube of the share of the run,
and at each look over the sums that it adds to.

Boxes of one paper, glue, board and trimmer share what is not known of these. A mean of n plays then
has the shared part of their variance and an n-th of the rest, so the limits are those of boxes that
all lie to one side by what they share, averaged over how far that may be: the rate holds for them
too. Papers are taken as if they were all off together, which is the worst of it.

Over 2500 simulated runs of forty boxes that were said to be right in 60 to 97 of 100 and share
nothing (`tests/agreement/test_watch.py`): where the odds are right an alarm comes in 7.6 of 100
runs without plays and in 7.8 with them; where 15 boxes fewer of 100 come out right than was said,
in 67 of 100 without plays and in 86 with them, half of those by the 27th and the 25th box; where 15
more do, in 65 of 100 without plays. Exact arithmetic with Poisson-binomial laws stands beside it.
No test of the right boxes alone could do much better: the best one that looks once, at the fortieth
box, finds about 73 of 100 where 80 were said and 65 come true. Of boxes that share much less can be
told. The steps may not hang on how earlier boxes came out; a maker who chooses the next design by
that raised no more.
"""

from __future__ import annotations

import enum
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.learn.looks import Steps, alarm_chance, laid_out, looks_shared, yes_steps
from fitcheck.learn.play_law import scores_between
from fitcheck.learn.play_steps import CAP, GRID, play_steps, score_at
from fitcheck.learn.scored_boxes import ScoredBox

RUN = 40
FIGURES = (
    "odds that say 15 of 100 too many are noticed in 67 of 100 runs, in 86 if plays are read,",
    "of boxes that share nothing; what papers, glue and tools make alike is counted in",
)
"""Measured, see above."""
FALSE_ALARM = 0.10
SLIP_RIGHT = 0.0025
"""How often a box that is called right, or not right, is taken to be a slip: one of forty that was
said never to be loose is no alarm when it is called so (common practice, no source)."""
NODES = np.linspace(-4.0, 4.0, 41)
"""How far what is shared may lie to one side, in its deviations."""
WEIGHTS = np.exp(-0.5 * NODES**2) / np.exp(-0.5 * NODES**2).sum()
ALONE = np.zeros(1)
LEAST_SHARED = 1e-4
"""A smaller part of the variance of plays changes no limit."""


class Sign(enum.StrEnum):
    """What an alarm is about."""

    RIGHT = "right"
    """How many boxes come out right."""
    MIDDLE = "middle"
    """Whether plays are larger or smaller than said."""
    SPREAD = "spread"
    """Whether plays differ more or less than said."""


PARTS_TOLD = {Sign.RIGHT: 0.9, Sign.MIDDLE: 0.1}
PARTS_READ = {Sign.RIGHT: 0.4, Sign.MIDDLE: 0.4, Sign.SPREAD: 0.2}
"""How what is laid out at a look is divided among the sums that the box tells about."""


@dataclass(frozen=True)
class Alarm:
    """The odds are off."""

    sign: Sign
    more: bool
    """Whether there is more of it than was said."""
    start: int
    """The first box of its run, counted from 0 over all that are scored."""
    stop: int
    """One behind the box that raised it."""


@dataclass(frozen=True)
class Watch:
    """What the test of a whole set says."""

    boxes: int
    alarms: tuple[Alarm, ...]
    run: int
    """Boxes in the run that is not ended."""

    @property
    def last(self) -> Alarm | None:
        """The last alarm, unless a whole quiet run came after it."""
        if not self.alarms or self.boxes - self.alarms[-1].stop >= RUN:
            return None
        return self.alarms[-1]

    @property
    def since(self) -> int:
        """The first box, counted from 0, of the runs that ended in alarms one after the other."""
        start = self.boxes
        for alarm in reversed(self.alarms):
            if start < self.boxes and start - alarm.stop >= RUN:
                break
            start = alarm.start
        return start


def watch(boxes: Sequence[ScoredBox]) -> Watch:
    """The test of boxes in the order in which they were recorded."""
    alarms: list[Alarm] = []
    start = 0
    while True:
        run = boxes[start : start + RUN]
        found = _first_alarm(run, start)
        if found is not None:
            alarms.append(found)
            start = found.stop
        elif len(run) < RUN:
            return Watch(len(boxes), tuple(alarms), len(run))
        else:
            start += RUN


def right_steps(chance: float) -> Steps:
    """What a box adds to the count of right ones, its record being a slip now and then."""
    return yes_steps(min(max(chance, SLIP_RIGHT), 1.0 - SLIP_RIGHT))


def laid_at(box: int) -> float:
    """How much of false alarm is laid out for the look after a box of a run, counted from 0."""
    return FALSE_ALARM * (laid_out((box + 1) / RUN) - laid_out(box / RUN))


def alarm_when_shared(boxes: Sequence[ScoredBox]) -> float:
    """How often right odds raise an alarm about right boxes in a run of boxes like these.

    What is not known of a paper is one for all boxes made of it. For a run of RUN boxes, these over
    and over, whose lids all lie to one side by what their papers share, it is worked out exactly at
    the nodes of a Gauss and Hermite rule and averaged. Papers are taken as if they were all off
    together, which is the worst of it.
    """
    run = [boxes[k % len(boxes)] for k in range(RUN)]
    laid = [PARTS_TOLD[Sign.RIGHT] * laid_at(k) for k in range(RUN)]
    nodes, weights = nodes_of(run)
    as_said = [_right_steps(box, nodes) for box in run]
    limits = list(looks_shared(zip(as_said, laid, strict=True), weights))
    chances = np.array([box.right_if_shared(NODES) for box in run])
    found = [alarm_chance(limits, map(yes_steps, column)) for column in chances.T.tolist()]
    return float(np.dot(WEIGHTS, found))


def nodes_of(run: Sequence[ScoredBox]) -> tuple[np.ndarray, np.ndarray]:
    """How far what the boxes of a run share may be off, in its deviations, and how likely, (n,)
    each; nothing if they do not."""
    shares = any(box.shared_part > LEAST_SHARED for box in run)
    return (NODES, WEIGHTS) if shares else (ALONE, np.ones(1))


def _right_steps(box: ScoredBox, nodes: np.ndarray) -> tuple[Steps, ...]:
    """What a box adds to the count of right ones, for each value of what is shared."""
    if len(nodes) == 1:
        return (right_steps(box.right.chance),)
    return tuple(right_steps(chance) for chance in box.right_if_shared(nodes).tolist())


_Look = tuple[int, tuple[Steps, ...], float, int]
"""The box of a run, its steps for each value of what is shared, what is laid out, what it added."""


def _first_alarm(run: Sequence[ScoredBox], start: int) -> Alarm | None:
    first_read = next((k for k, box in enumerate(run) if box.gauged), len(run))
    steps: dict[Sign, list[_Look]] = {sign: [] for sign in Sign}
    nodes, weights = nodes_of(run)
    for k, box in enumerate(run):
        laid = laid_at(k)
        read = k > first_read
        parts = PARTS_READ if read else PARTS_TOLD
        bands = box.forecast.bands
        ends = (-bands.tight_mm, 0.0, bands.loose_mm)
        part = 0.0 if len(nodes) == 1 else box.shared_part
        laws = [
            play_steps(box.law, ends, read=read, part=part, away=away) for away in nodes.tolist()
        ]
        moved = [round(one / GRID) for one in _scores(box, read=read)]
        seen = box.right
        own = {
            Sign.RIGHT: (_right_steps(box, nodes), int(seen.happened)),
            Sign.MIDDLE: (tuple(law[0] for law in laws), moved[0]),
            Sign.SPREAD: (tuple(law[1] for law in laws), moved[1]),
        }
        for sign, part in parts.items():
            law, step = own[sign]
            steps[sign].append((k, law, laid * part, step))
    found = [
        one
        for sign, all_of in steps.items()
        if (one := _alarm_of(sign, all_of, weights)) is not None
    ]
    if not found:
        return None
    at, sign, more = min(found, key=lambda one: one[0])
    return Alarm(sign, more, start, start + at + 1)


def _alarm_of(
    sign: Sign, steps: Sequence[_Look], weights: np.ndarray
) -> tuple[int, Sign, bool] | None:
    """The first look at which one sum is an alarm, and whether there is too much of it."""
    total = 0
    limits = looks_shared(((laws, laid) for _, laws, laid, _ in steps), weights)
    for (k, _, _, step), limit in zip(steps, limits, strict=False):
        total += step
        if limit.alarm(total):
            return k, sign, total > limit.high
    return None


def _scores(box: ScoredBox, *, read: bool) -> tuple[float, float]:
    """The normal score of a play and its square less one, on the average where it is not read."""
    low, high = box.play_mm if read else box.told_mm
    ends = [score_at(box.law, end) if math.isfinite(end) else end for end in (low, high)]
    if ends[0] == ends[1]:
        middle, spread = ends[0], ends[0] ** 2 - 1.0
    else:
        middle, spread = scores_between(ends[0], ends[1])
    return min(max(middle, -CAP), CAP), min(spread, CAP**2 - 1.0)
