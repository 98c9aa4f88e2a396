"""Every limit of a box as a value and a gradient, taken from the folded model itself.

Each input is moved by its standard uncertainty to both sides, the parts that it moves are folded
anew, and the same pairs of pieces are read again. A quantity, such as a play, is a sum of the
least members of families, so it is piecewise linear in the inputs.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.errors import ModelError
from fitcheck.folding.pose import Array
from fitcheck.odds.inputs import Input, Source
from fitcheck.odds.making import Offsets, Workshop
from fitcheck.odds.readings import Member, Reader, Readings
from fitcheck.odds.turns import (
    Key,
    Limit,
    Turn,
    offsets_at,
    read_again,
    slopes,
    touches,
    turns_of,
    with_turn,
)
from fitcheck.workspace.progress import SILENT, Progress

REACH = 6.0
"""Pairs further behind the first than this many standard uncertainties never come first."""
SAME = 1e-9


@dataclass(frozen=True, eq=False)
class Forms:
    """Limits as forms of the inputs, linear between turns, those of a family behind each other."""

    inputs: tuple[Input, ...]
    turns: tuple[Turn, ...]
    families: tuple[str, ...]
    starts: tuple[int, ...]
    """(f + 1,) where each family begins, and the end."""
    values: Array
    """(p,) as designed."""
    gradients: Array
    """(p, k + e)."""
    members: tuple[Member, ...]

    def least(self, offsets: Array) -> Array:
        """The least member of each family, (f, m), for inputs off by (k, m)."""
        forms = self.carried(offsets)
        forms += self.values[:, None]
        return self.least_of(forms)

    def carried(self, offsets: Array) -> Array:
        """What the gradients make of offsets (k, m), (p, m)."""
        turned = [turn.beyond(offsets)[None] for turn in self.turns]
        found: Array = self.gradients @ np.concatenate([offsets, *turned])
        return found

    def least_of(self, limits: Array) -> Array:
        """The least member of each family, (f, m), of limits (p, m)."""
        least = np.empty((len(self.families), limits.shape[1]))
        for row, (start, stop) in enumerate(itertools.pairwise(self.starts)):
            np.min(limits[start:stop], axis=0, out=least[row])
        return least

    @property
    def means(self) -> Array:
        """(k,) the inputs' means."""
        return np.array([one.variate.mean for one in self.inputs])

    @property
    def u_of_rows(self) -> Array:
        """(p,) standard uncertainty of each limit, a little too large where it turns."""
        steps = np.array([one.variate.u for one in self.inputs])
        beyond = [float(np.linalg.norm(turn.weights * steps)) for turn in self.turns]
        u: Array = np.linalg.norm(self.gradients * np.concatenate([steps, beyond]), axis=1)
        return u

    def of(self, families: Collection[str]) -> Forms:
        """The forms of some families only."""
        kept = [i for i, name in enumerate(self.families) if name in families]
        rows = [r for i in kept for r in range(self.starts[i], self.starts[i + 1])]
        sizes = [self.starts[i + 1] - self.starts[i] for i in kept]
        return replace(
            self,
            families=tuple(self.families[i] for i in kept),
            starts=(0, *itertools.accumulate(sizes)),
            values=self.values[rows],
            gradients=self.gradients[rows],
            members=tuple(self.members[r] for r in rows),
        )

    def first(self, family: str) -> int:
        """The row of a family's least member with every input at its mean.

        Of members that are least alike it is the first in the parts' order, as rounding must not
        choose.
        """
        index = self.families.index(family)
        rows = np.arange(self.starts[index], self.starts[index + 1])
        at_means = self.values[rows] + self.slopes[rows] @ self.means
        return int(rows[np.argmax(at_means <= at_means.min() + SAME)])

    @property
    def slopes(self) -> Array:
        """(p, k) gradients at the means; where a turn lies right there, the middle of both."""
        slopes = self.gradients[:, : len(self.inputs)].copy()
        for column, turn in enumerate(self.turns, start=len(self.inputs)):
            share = 0.5 * (1.0 + np.sign(turn.weights @ self.means - turn.at))
            slopes += share * np.outer(self.gradients[:, column], turn.weights)
        return slopes


@dataclass(frozen=True, eq=False)
class Limits:
    """All limits of a design that may count, those of a family behind each other."""

    keys: tuple[Key, ...]
    """(p,) the family and the member of each."""
    values: Array
    """(p,) as designed, mm."""
    gradients: Array
    """(p, k + e) by each input, and how much steeper it gets beyond each turn."""
    turns: tuple[Turn, ...]

    @classmethod
    def of(cls, linear: Sequence[Limit], turns: tuple[Turn, ...]) -> Limits:
        """The limits as arrays."""
        families: dict[str, list[Limit]] = {}
        for one in linear:
            families.setdefault(one.family, []).append(one)
        ordered = [one for own in families.values() for one in own]
        return cls(
            tuple((one.family, one.member) for one in ordered),
            np.array([one.value for one in ordered]),
            np.array([np.concatenate([one.gradient, one.turned]) for one in ordered]),
            turns,
        )

    @property
    def readings(self) -> Readings:
        """The values by family and member."""
        read: Readings = {}
        for (family, member), value in zip(self.keys, self.values.tolist(), strict=True):
            read.setdefault(family, {})[member] = value
        return read


def forms_of(found: Limits, inputs: tuple[Input, ...]) -> Forms:
    """The limits that may come first, those of a family the nearest first."""
    return forms_of_rows(found, inputs, screened(found, inputs))


def forms_of_rows(found: Limits, inputs: tuple[Input, ...], rows: Sequence[int]) -> Forms:
    """Some of the limits, those of a family behind each other."""
    families = tuple(dict.fromkeys(found.keys[row][0] for row in rows))
    names = [found.keys[row][0] for row in rows]
    return Forms(
        inputs,
        found.turns,
        families,
        (*(names.index(family) for family in families), len(names)),
        found.values[list(rows)],
        found.gradients[list(rows)],
        tuple(found.keys[row][1] for row in rows),
    )


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
    nominal = workshop.as_designed
    within = REACH * side_u(inputs)
    read: Readings = {}
    for reader in readers:
        read |= reader.read_all([nominal], within, None)[0]
    turns = turns_of(workshop)
    moved = [k for k, one in enumerate(inputs) if one.variate.u > 0.0]
    trials: list[Offsets] = [
        {inputs[k].name: s * inputs[k].variate.u} for k in moved for s in (1.0, -1.0)
    ]
    for turn in turns:
        trials += offsets_at(turn, inputs[turn.column])
    progress.step(0, 2, "folding with everything off in turn")
    boxes = workshop.make_all(trials)
    aside = 2 * len(moved)
    for trial, made in zip(trials[:aside], boxes[:aside], strict=True):
        if made is None:
            raise ModelError(workshop.problem(trial))
    progress.step(1, 2, "folding with everything off in turn")
    slope: dict[Key, Array] = {
        (family, member): np.zeros(len(inputs) + len(turns))
        for family, own in read.items()
        for member in own
    }
    for reader in readers:
        moves = [(n, k) for n, k in enumerate(moved) if touches(reader, inputs[k])]
        own = read_again([boxes[2 * n + side] for n, _ in moves for side in (0, 1)], [reader], read)
        for (_, k), up, down in zip(moves, own[::2], own[1::2], strict=True):
            for key, value in slopes(read, up, down, inputs[k].variate.u).items():
                slope[key][k] = value
    limits = [
        Limit(f, member, value, slope[f, member][: len(inputs)], slope[f, member][len(inputs) :])
        for f, own in read.items()
        for member, value in own.items()
    ]
    for column, turn in enumerate(turns):
        one = inputs[turn.column]
        touched = [reader for reader in readers if touches(reader, one)]
        own_boxes = boxes[aside + 4 * column :][:4]
        limits = with_turn(touched, limits, turn, column, one.variate.u, own_boxes, within)
    return Limits.of(limits, turns)


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


def screened(
    found: Limits, inputs: Sequence[Input], designs: Sequence[tuple[Array, Array]] = ()
) -> list[int]:
    """The rows of the limits that may come first in their family, those that never do left out.

    The nearest come first; those that are as near as others stay in the order they were read in.
    Where the limits are asked about for several designs, each with its values (p,) and its inputs'
    standard uncertainties (k,), those are left out that come first in none of them.
    """
    means = np.array([one.variate.mean for one in inputs])
    count = len(means)
    own = np.array([one.variate.u for one in inputs])
    steps = np.max([own, *(u for _, u in designs)], axis=0)
    beyond = [float(np.linalg.norm(turn.weights * steps)) for turn in found.turns]
    spread = found.gradients * np.concatenate([steps, beyond])
    middle = found.gradients[:, :count] @ means
    values = np.stack([found.values, *(value for value, _ in designs)], axis=1) + middle[:, None]
    kept: list[int] = []
    families = [family for family, _ in found.keys]
    for _, group in itertools.groupby(range(len(families)), key=families.__getitem__):
        rows = np.array(list(group))
        first: list[int] = []
        for row in rows[np.argsort(np.round(values[rows, 0], 9), kind="stable")].tolist():
            apart = np.linalg.norm(spread[first] - spread[row], axis=1)
            behind = (values[row] - values[first]).min(axis=1) + SAME
            if not (behind >= REACH * apart).any():
                first.append(row)
        kept += first
    return kept
