"""Every limit of a box as a value with its slopes, taken from the folded model itself.

Each input is moved by its standard uncertainty to both sides, the parts that it moves are folded
anew, and the same pairs of pieces are read again; so are boxes before, at and beyond each turn.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.odds.inputs import Input, Source, u_of
from fitcheck.odds.limits import REACH, Limits
from fitcheck.odds.making import Made, Offsets, Workshop
from fitcheck.odds.readings import Reader, Readings
from fitcheck.odds.roll_turns import closing_turns
from fitcheck.odds.self_readings import SelfReader
from fitcheck.odds.slopes import read_again, read_anew, slopes, touches
from fitcheck.odds.spikes import jumping, straightened
from fitcheck.odds.turns import Limit, Turn, crease_turns, offsets_at, with_turn
from fitcheck.workspace.progress import SILENT, Progress

AGAIN = 3
"""So many boxes of each turn are read again: before it, at it and beyond it."""


def take_limits(
    workshop: Workshop,
    readers: Sequence[Reader],
    *,
    progress: Progress = SILENT,
) -> Limits:
    """All limits of a design that may count, with their gradients and turns.

    Raises ModelError where a box with one input off by its standard uncertainty cannot be folded.
    """
    inputs = workshop.inputs
    within, u = REACH * side_u(inputs), u_of(inputs)
    moved = [k for k, one in enumerate(inputs) if one.variate.u > 0.0]
    creases = crease_turns(workshop)
    trials: list[Offsets] = [{inputs[k].name: s * u[k]} for k in moved for s in (1.0, -1.0)]
    for turn in creases:
        trials += offsets_at(turn, inputs[turn.column])
    progress.step(0, 3, "folding with everything off in turn")
    made = workshop.make_all(trials)
    sides = made[: 2 * len(moved)]
    for trial, box in zip(trials, sides, strict=False):
        if box is None:
            raise ModelError(workshop.problem(trial))
    progress.step(1, 3, "folding with everything off in turn")
    rolls = closing_turns(workshop, moved, [box for box in sides if box is not None])
    turns = (*rolls, *creases)
    looked = _looked_at(workshop, turns, moved, made)
    progress.step(2, 3, "reading what they stop")
    readers = [
        one.without_harmless(workshop.as_designed, [b for b in sides if b is not None], within)
        if isinstance(one, SelfReader)
        else one
        for one in readers
    ]
    anew = [own[2:4] if len(own) > AGAIN else [] for own in looked]
    read, *rest = read_anew([workshop.as_designed, *itertools.chain(*anew)], readers, within)
    further = iter(rest)
    beyond = [[next(further) for _ in own] for own in anew]
    slope = {
        (family, member): np.zeros((2, len(inputs)))
        for family, own in read.items()
        for member in own
    }
    at_turns: list[list[Readings]] = [[{} for _ in range(AGAIN)] for _ in turns]
    for reader in readers:
        moves = [(n, k) for n, k in enumerate(moved) if touches(reader, inputs[k])]
        bends = [n for n, turn in enumerate(turns) if touches(reader, inputs[turn.column])]
        asked = [sides[2 * n + side] for n, _ in moves for side in (0, 1)]
        asked += [box for n in bends for box in looked[n][:AGAIN]]
        found = read_again(asked, [reader], read)
        for (_, k), up, down in zip(moves, found[::2], found[1::2], strict=False):
            for key, both in slopes(read, up, down, inputs[k]).items():
                slope[key][:, k] = both
        for n, first in zip(bends, range(2 * len(moves), len(found), AGAIN), strict=True):
            at_turns[n] = [a | b for a, b in zip(at_turns[n], found[first:][:AGAIN], strict=True)]
    limits = [
        Limit(f, member, value, slope[f, member][0], np.zeros(len(turns)), slope[f, member][1])
        for f, own in read.items()
        for member, value in own.items()
    ]
    begun = jumping(limits, workshop, read, readers, u)
    jumps = {key: one.value - read[key[0]][key[1]] for key, one in begun.items()}
    limits = [begun.get((one.family, one.member), one) for one in limits]
    for n in range(len(turns)):
        limits = with_turn(limits, turns, n, inputs, straightened(at_turns[n], jumps), beyond[n])
    return Limits.of(limits, turns, u)


def _looked_at(
    workshop: Workshop, turns: Sequence[Turn], moved: Sequence[int], made: Sequence[Made | None]
) -> list[list[Made | None]]:
    """The boxes with which each turn is looked at: before it, at it, beyond it.

    At a crease there is a fourth twice as far, as pairs may be met beyond alone. `made` are both
    sides of the moved inputs, then the boxes of the creases' turns.
    """
    away = [turn for turn in turns if turn.roll is not None and turn.at != 0.0]
    asked = [offsets_at(turn, workshop.inputs[turn.column])[:AGAIN] for turn in away]
    folded = iter(workshop.make_all([one for own in asked for one in own]))
    rest = iter(made[2 * len(moved) :])
    found: list[list[Made | None]] = []
    for turn in turns:
        if turn.roll is None:
            found.append([next(rest) for _ in range(4)])
        elif turn.at != 0.0:
            found.append([next(folded) for _ in range(AGAIN)])
        else:
            up, down = made[2 * moved.index(turn.column) :][:2]
            before, behind = (down, up) if turn.weights[turn.column] > 0.0 else (up, down)
            found.append([before, workshop.as_designed, behind])
    return found


def side_u(inputs: Sequence[Input]) -> float:
    """A rough standard uncertainty, mm, of the difference between two limits on one side.

    Both may hang on two scores and half a cut, each of its own part.
    """
    scores = max((i.variate.u for i in inputs if i.source is Source.SCORE), default=0.0)
    cuts = max((i.variate.u for i in inputs if i.source is Source.CUT), default=0.0)
    sizes = max((i.variate.u for i in inputs if i.source is Source.CONTENT), default=0.0)
    knives = max((i.variate.u for i in inputs if i.source is Source.KNIFE), default=0.0)
    squares = 2.0 * scores**2 + 0.5 * cuts**2 + min(sizes, 1.0) ** 2
    return math.sqrt(squares + 2.0 * knives**2)
