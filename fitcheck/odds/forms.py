"""Limits as forms of the inputs, for any number of boxes at once.

A quantity, such as a play, is a sum of the least members of families, so it is piecewise linear in
the inputs. A member itself is linear but for turns, where a box begins to be another, and for
inputs whose two sides differ.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.folding.flat import among
from fitcheck.folding.pose import Array, Rows
from fitcheck.odds.inputs import Input, u_of
from fitcheck.odds.readings import Member, Readings
from fitcheck.odds.slopes import Key
from fitcheck.odds.turns import STRAIGHT_MM, Limit, Turn

REACH = 6.0
"""Pairs further behind the first than this many standard uncertainties never come first."""
SAME = 1e-9
AT_A_TIME = 1 << 13
"""Boxes carried at a time: what they make stays near the processor."""


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
    kinked: Rows
    """(j,) the inputs whose two sides differ."""
    kinks: Array
    """(p, j) by how much."""
    members: tuple[Member, ...]

    def least(self, offsets: Array) -> Array:
        """The least member of each family, (f, m), for inputs off by (k, m)."""
        count = offsets.shape[1]
        found = np.empty((len(self.families), count))
        for start in range(0, count, AT_A_TIME):
            some = slice(start, start + AT_A_TIME)
            found[:, some] = self.least_of(self.limits(offsets[:, some]))
        return found

    def offsets(self, u: Array, off: Array) -> Array:
        """How far inputs are off by so many (k, m) of these standard uncertainties (k,)."""
        found: Array = self.means[:, None] + u[:, None] * off
        return found

    def limits(self, offsets: Array) -> Array:
        """Every limit of boxes whose inputs are off by (k, m), (p, m)."""
        found = self.carried(offsets)
        found += self.values[:, None]
        return found

    def carried(self, offsets: Array) -> Array:
        """What the gradients make of offsets (k, m), (p, m)."""
        turned = [turn.beyond(offsets)[None] for turn in self.turns]
        either = np.abs(offsets[self.kinked])
        every = np.concatenate([self.gradients, self.kinks], axis=1)
        found: Array = every @ np.concatenate([offsets, *turned, either])
        return found

    def between(self, offsets: Array, others: Array, changed: Rows) -> Array:
        """What the gradients make of others beyond what they make of offsets (k, m), (p, m).

        Only the `changed` inputs differ, so that the others need not be carried again.
        """
        steeper, by = self._bends(offsets, others, changed)
        every = np.concatenate([self.gradients[:, changed], steeper], axis=1)
        found: Array = every @ np.concatenate([others[changed] - offsets[changed], by])
        return found

    def moved(self, offsets: Array, by: Array) -> Array:
        """What the gradients make of inputs that are further off by (k,) in all boxes (k, m).

        Beyond what they make of the offsets, (p, m) or (p, 1) where nothing bends.
        """
        changed = np.flatnonzero(by)
        found: Array = (self.gradients[:, changed] @ by[changed])[:, None]
        steeper, bent = self._bends(offsets, offsets + by[:, None], changed)
        if len(bent):
            found = steeper @ bent + found
        return found

    def _bends(self, offsets: Array, others: Array, changed: Rows) -> tuple[Array, Array]:
        """What bends where only `changed` inputs differ: columns (p, b), and by how much (b, m).

        Turns behind which limits are steeper, and inputs whose two sides differ.
        """
        turned = [n for n, turn in enumerate(self.turns) if turn.weights[changed].any()]
        bent = np.flatnonzero(among(self.kinked, changed))
        own = self.kinked[bent]
        beyond = [
            (self.turns[n].beyond(others) - self.turns[n].beyond(offsets))[None] for n in turned
        ]
        columns = len(self.inputs) + np.array(turned, dtype=np.intp)
        steeper = np.concatenate([self.gradients[:, columns], self.kinks[:, bent]], axis=1)
        return steeper, np.concatenate([*beyond, np.abs(others[own]) - np.abs(offsets[own])])

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
        """(p,) standard uncertainty of each limit, a little too large where it is bent."""
        steps = u_of(self.inputs)
        beyond = [float(np.linalg.norm(turn.weights * steps)) for turn in self.turns]
        steepest = self.gradients.copy()
        sides = np.abs(self.gradients[:, self.kinked]) + np.abs(self.kinks)
        steepest[:, self.kinked] = sides
        u: Array = np.linalg.norm(steepest * np.concatenate([steps, beyond]), axis=1)
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
            kinks=self.kinks[rows],
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
        slopes[:, self.kinked] += self.kinks * np.sign(self.means[self.kinked])
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
    kinks: Array
    """(p, k) what the high side of each input has more than that, and the low side less."""
    turns: tuple[Turn, ...]

    @classmethod
    def of(cls, linear: Sequence[Limit], turns: tuple[Turn, ...], u: Array) -> Limits:
        """The limits as arrays, for inputs of some standard uncertainties (k,)."""
        families: dict[str, list[Limit]] = {}
        for one in linear:
            families.setdefault(one.family, []).append(one)
        ordered = [one for own in families.values() for one in own]
        return cls(
            tuple((one.family, one.member) for one in ordered),
            np.array([one.value for one in ordered]),
            np.array([np.concatenate([one.gradient, one.turned]) for one in ordered]),
            np.array([_bent(one.kinks, u) for one in ordered]),
            turns,
        )

    @property
    def readings(self) -> Readings:
        """The values by family and member."""
        read: Readings = {}
        for (family, member), value in zip(self.keys, self.values.tolist(), strict=True):
            read.setdefault(family, {})[member] = value
        return read


def _bent(kinks: Array, u: Array) -> Array:
    """The kinks (k,) that bend a limit by more than nothing."""
    return np.where(np.abs(kinks) * u > STRAIGHT_MM, kinks, 0.0)


def forms_of(found: Limits, inputs: tuple[Input, ...]) -> Forms:
    """The limits that may come first, those of a family the nearest first."""
    return forms_of_rows(found, inputs, screened(found, inputs))


def forms_of_rows(found: Limits, inputs: tuple[Input, ...], rows: Sequence[int]) -> Forms:
    """Some of the limits, those of a family behind each other."""
    families = tuple(dict.fromkeys(found.keys[row][0] for row in rows))
    names = [found.keys[row][0] for row in rows]
    kinked = np.flatnonzero(found.kinks[list(rows)].any(axis=0))
    return Forms(
        inputs,
        found.turns,
        families,
        (*(names.index(family) for family in families), len(names)),
        found.values[list(rows)],
        found.gradients[list(rows)],
        kinked,
        found.kinks[list(rows)][:, kinked],
        tuple(found.keys[row][1] for row in rows),
    )


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
    own = u_of(inputs)
    steps = np.max([own, *(u for _, u in designs)], axis=0)
    beyond = [float(np.linalg.norm(turn.weights * steps)) for turn in found.turns]
    spread = np.concatenate(
        [found.gradients * np.concatenate([steps, beyond]), found.kinks * steps], axis=1
    )
    middle = found.gradients[:, :count] @ means
    values = np.stack([found.values, *(value for value, _ in designs)], axis=1) + middle[:, None]
    kept: list[int] = []
    families = [family for family, _ in found.keys]
    for _, group in itertools.groupby(range(len(families)), key=families.__getitem__):
        rows = np.array(list(group))
        rows = rows[np.argsort(np.round(values[rows, 0], 9), kind="stable")]
        # most are ruled out by the nearest, all at once
        apart = np.linalg.norm(spread[rows[1:]] - spread[rows[0]], axis=1)
        behind = (values[rows[1:]] - values[rows[0]]).min(axis=1) + SAME
        first = rows[:1].tolist()
        for row in rows[1:][behind < REACH * apart].tolist():
            apart = np.linalg.norm(spread[first] - spread[row], axis=1)
            behind = (values[row] - values[first]).min(axis=1) + SAME
            if not (behind >= REACH * apart).any():
                first.append(row)
        kept += first
    return kept
