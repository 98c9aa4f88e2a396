"""Limits as forms of the inputs, for any number of boxes at once.

A quantity, such as a play, is a sum of the least members of families, so it is piecewise linear in
the inputs. A member itself is linear but for turns, where a box begins to be another, and for
inputs whose two sides differ.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.folding.flat import among, numbered
from fitcheck.folding.pose import Array, Rows
from fitcheck.odds.inputs import Input, u_of
from fitcheck.odds.readings import Member
from fitcheck.odds.turns import Turn

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
    """(f + 1,) where each family begins, and the end of all."""
    lines: tuple[int, ...]
    """(f,) where in each the lines in corners begin."""
    nearest: Rows
    """(l,) the row, behind all families, before which each of these lines does not count."""
    values: Array
    """(p,) as designed."""
    gradients: Array
    """(p, k + e)."""
    kinked: Rows
    """(j,) the inputs whose two sides differ."""
    kinks: Array
    """(p, j) by how much."""
    members: tuple[Member, ...]
    """Of the families."""

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
        for family, own in enumerate(least):
            nearest = limits[self.nearest_of(family)]
            self.least_among(family, limits[slice(*self.rows_of(family))], nearest, own)
        return least

    def least_among(self, family: int, limits: Array, nearest: Array, out: Array) -> None:
        """The least member (m,) of a family, of its limits (r, m) and those of its lines (l, m)."""
        pairs = len(limits) - len(nearest)
        np.min(limits[:pairs], axis=0, out=out)
        if len(nearest):
            np.minimum(out, np.maximum(nearest, limits[pairs:]).min(axis=0), out=out)

    def pairs_of(self, family: int) -> tuple[int, int]:
        """Between which rows the pairs of a family stand."""
        return self.starts[family], self.lines[family]

    def lines_of(self, family: int) -> tuple[int, int]:
        """Between which rows its lines in corners stand."""
        return self.lines[family], self.starts[family + 1]

    def rows_of(self, family: int) -> tuple[int, int]:
        """Between which rows a family stands."""
        return self.starts[family], self.starts[family + 1]

    def nearest_of(self, family: int) -> Rows:
        """The rows before which these lines do not count."""
        start = sum(
            stop - line for line, stop in zip(self.lines, self.starts[1 : family + 1], strict=False)
        )
        return self.nearest[start : start + self.starts[family + 1] - self.lines[family]]

    @property
    def means(self) -> Array:
        """(k,) what each input is off by its standard uncertainties from."""
        return np.array([one.variate.mean for one in self.inputs])

    @property
    def expected(self) -> Array:
        """(k,) the inputs' expected values."""
        return np.array([one.variate.expected for one in self.inputs])

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
        own = [range(*self.starts[i : i + 2]) for i in kept]
        far = np.concatenate([np.zeros(0, dtype=np.intp), *map(self.nearest_of, kept)])
        some, place = numbered(far)
        rows = [*itertools.chain(*own), *some.tolist()]
        starts = (0, *itertools.accumulate(map(len, own)))
        return replace(
            self,
            families=tuple(self.families[i] for i in kept),
            starts=starts,
            lines=tuple(
                start + self.lines[i] - self.starts[i]
                for i, start in zip(kept, starts, strict=False)
            ),
            nearest=starts[-1] + place,
            values=self.values[rows],
            gradients=self.gradients[rows],
            kinks=self.kinks[rows],
            members=tuple(self.members[r] for r in itertools.chain(*own)),
        )

    def first(self, family: str) -> int:
        """The row of a family's least member with every input as expected.

        Of members that are least alike it is the first in the parts' order, as rounding must not
        choose.
        """
        index = self.families.index(family)
        rows = np.arange(*self.pairs_of(index))
        expected = self.values[rows] + self.slopes[rows] @ self.expected
        return int(rows[np.argmax(expected <= expected.min() + SAME)])

    @property
    def slopes(self) -> Array:
        """(p, k) gradients as expected; where a turn lies right there, the middle of both."""
        slopes = self.gradients[:, : len(self.inputs)].copy()
        for column, turn in enumerate(self.turns, start=len(self.inputs)):
            share = 0.5 * (1.0 + np.sign(turn.weights @ self.expected - turn.at))
            slopes += share * np.outer(self.gradients[:, column], turn.weights)
        slopes[:, self.kinked] += self.kinks * np.sign(self.expected[self.kinked])
        return slopes
