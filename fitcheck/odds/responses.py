"""Every limit of a box as a value with its slopes, taken from the folded model itself.

Each input is moved by its standard uncertainty to both sides, the parts that it moves are folded
anew, and the same pairs of pieces are read again; so are boxes before, at and beyond each turn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.odds.forms import REACH, Limits
from fitcheck.odds.inputs import Input, Source
from fitcheck.odds.making import Made, Offsets, Workshop
from fitcheck.odds.readings import Reader, Readings
from fitcheck.odds.roll_turns import roll_turns
from fitcheck.odds.turns import (
    Limit,
    Turn,
    crease_turns,
    offsets_at,
    read_again,
    read_anew,
    slopes,
    touches,
    with_turn,
)
from fitcheck.workspace.progress import SILENT, Progress


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
    within, u = REACH * side_u(inputs), np.array([one.variate.u for one in inputs])
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
    rolls = roll_turns(workshop, moved, [box for box in sides if box is not None])
    turns = (*rolls, *creases)
    looked = Looked(workshop, turns, moved, made)
    progress.step(2, 3, "reading what they stop")
    read, *beyond = read_anew([workshop.as_designed, *looked.beyond], readers, within)
    slope = {
        (family, member): np.zeros((2, len(inputs)))
        for family, own in read.items()
        for member in own
    }
    at_turns: list[list[Readings]] = [[{}, {}, {}] for _ in turns]
    for reader in readers:
        moves = [(n, k) for n, k in enumerate(moved) if touches(reader, inputs[k])]
        bends = [n for n, turn in enumerate(turns) if touches(reader, inputs[turn.column])]
        asked = [sides[2 * n + side] for n, _ in moves for side in (0, 1)]
        asked += [box for n in bends for box in looked.boxes[n]]
        found = read_again(asked, [reader], read)
        for (_, k), up, down in zip(moves, found[::2], found[1::2], strict=False):
            for key, both in slopes(read, up, down, float(u[k])).items():
                slope[key][:, k] = both
        for n, first in zip(bends, range(2 * len(moves), len(found), 3), strict=True):
            at_turns[n] = [a | b for a, b in zip(at_turns[n], found[first:][:3], strict=True)]
    limits = [
        Limit(f, member, value, slope[f, member][0], np.zeros(len(turns)), slope[f, member][1])
        for f, own in read.items()
        for member, value in own.items()
    ]
    for n in range(len(turns)):
        further = beyond[2 * (n - len(rolls)) :][:2] if n >= len(rolls) else [{}, {}]
        limits = with_turn(limits, turns, n, u, at_turns[n], further)
    return Limits.of(limits, turns, u)


class Looked:
    """The boxes with which turns are looked at: three of each, before it, at it and beyond it."""

    def __init__(
        self,
        workshop: Workshop,
        turns: Sequence[Turn],
        moved: Sequence[int],
        made: Sequence[Made | None],
    ) -> None:
        """`made` are both sides of the moved inputs, then the boxes of the creases' turns."""
        away = [turn for turn in turns if turn.roll is not None and turn.at != 0.0]
        inputs = workshop.inputs
        asked = [offsets_at(turn, inputs[turn.column])[:3] for turn in away]
        folded = iter(workshop.make_all([one for own in asked for one in own]))
        rest = iter(made[2 * len(moved) :])
        self.beyond: list[Made | None] = []
        """All pairs are read of these, two for each crease."""
        self.boxes: list[list[Made | None]] = []
        for turn in turns:
            if turn.roll is None:
                own = [next(rest) for _ in range(4)]
                self.beyond += own[2:]
            elif turn.at != 0.0:
                own = [next(folded) for _ in range(3)]
            else:
                up, down = made[2 * moved.index(turn.column) :][:2]
                before, behind = (down, up) if turn.weights[turn.column] > 0.0 else (up, down)
                own = [before, workshop.as_designed, behind]
            self.boxes.append(own[:3])


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
