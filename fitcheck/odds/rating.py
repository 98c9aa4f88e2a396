"""Thousands of recipes are rated on the same drawn boxes, by gradients that are taken once.

A recipe is a row of lengths. It moves every limit by what its lines move it, and changes how
exactly each line is made: a score that comes to lie in a groove is surer. Rows whose lines are made
alike share what the drawn errors do to the limits.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from fitcheck.folding.pose import Array, Flags, Rows
from fitcheck.odds.forms import SAME, Forms
from fitcheck.odds.inputs import u_of
from fitcheck.odds.lattice import Lattice, Places
from fitcheck.odds.limits import REACH, Limits, forms_of_rows, leading, with_lines
from fitcheck.odds.propagate import Samples
from fitcheck.odds.prospect import Prospect, good_flags
from fitcheck.odds.quantities import is_room
from fitcheck.odds.self_readings import is_ease
from fitcheck.odds.shaped import corrections
from fitcheck.odds.sizes import Lines
from fitcheck.stock.tools import Tools

DIGITS = 9
"""Limits that are the same to so many decimals of a mm leave the same room."""
AT_ONCE = 1 << 16
"""Boxes of all rows together that are held at a time: what a processor keeps near."""


@dataclass(frozen=True, eq=False)
class Rating:
    """What is needed to rate rows of lengths near a design whose limits are taken."""

    prospect: Prospect
    lines: Lines
    tools: Tools
    """Those that the boxes are made with; the limits may have been taken with others."""
    forms: Forms
    """Of the limits that come first in some row."""
    lattice: Lattice
    by_length: Array
    """(p, s) how each of them moves with each length."""
    beyond: Array
    """(m, p) what each shape of the lattice does beyond that."""
    off: Array
    """(k, n) drawn errors, in standard uncertainties from their means."""
    known: dict[bytes, Flags] = field(default_factory=dict)
    """Which of so many boxes take several contents, by what decides about them."""

    @classmethod
    def of(
        cls, prospect: Prospect, lines: Lines, tools: Tools, lattice: Lattice, off: Array
    ) -> Rating:
        """The rating of a lattice's rows by boxes with these errors (k, n)."""
        limits = prospect.limits
        by_length = limits.gradients[:, : len(lines.inputs)] @ lines.slopes
        values = limits.values + by_length @ (lattice.start - lines.start)
        rows = _contenders(replace(limits, values=values), lines, tools, lattice, by_length)
        forms = forms_of_rows(limits, prospect.workshop.inputs, rows)
        # the limits may have been taken of a box of another shape
        shapes = lattice.start + lattice.shapes - lines.start
        beyond = corrections(prospect, lines, shapes, rows)
        return cls(prospect, lines, tools, forms, lattice, by_length[rows], beyond, off)

    def rates(self, places: Places, boxes: int) -> Array:
        """(c,) the share of right boxes, over the first `boxes` drawn ones.

        The candidates are given by the places (c, k) of their changes in the lattice.
        """
        off, rows = self.off[:, :boxes], self.lattice.rows(places)
        u = self.lines.u_of(self.lines.places(rows), self.tools)
        found = np.empty(len(rows))
        kinds, kind_of = np.unique(u, axis=0, return_inverse=True)
        values = self.forms.values + (rows - self.lines.start) @ self.by_length.T
        values += self.beyond[places[:, 0]]
        stride = max(1, AT_ONCE // off.shape[1])
        for number, own in enumerate(kinds):
            offsets = self.forms.offsets(own, off)
            carried = self.forms.carried(offsets)
            members = np.flatnonzero(kind_of.ravel() == number)
            for start in range(0, len(members), stride):
                some = members[start : start + stride]
                flags = self._right(self._others, values[some], carried, None)
                if self.prospect.outlook.arranged:
                    flags &= self._contents(values[some], own, carried, offsets)
                found[some] = flags.mean(axis=1)
        return found

    @cached_property
    def _others(self) -> Prospect:
        """The prospect without several contents, which are looked at by themselves."""
        outlook = self.prospect.outlook
        if outlook.arranged is None:
            return self.prospect
        left = tuple(one for one in outlook.smallest if not is_room(one.name))
        return replace(self.prospect, outlook=replace(outlook, arranged=None, smallest=left))

    @cached_property
    def _several(self) -> Prospect:
        """The prospect with several contents alone."""
        outlook = self.prospect.outlook
        own = tuple(one for one in outlook.smallest if is_room(one.name))
        return replace(
            self.prospect, outlook=replace(outlook, quantities=(), smallest=own, landing=None)
        )

    @cached_property
    def _deciding(self) -> tuple[Rows, Rows]:
        """The limits that decide about several contents, and the inputs that move those."""
        wanted = self._several.outlook.families
        kept = [
            np.arange(*self.forms.rows_of(k))
            for k, name in enumerate(self.forms.families)
            if name in wanted
        ]
        rows = np.concatenate([*kept, self.forms.nearest])
        moved = (self.forms.gradients[rows, : len(self.forms.inputs)] != 0.0).any(axis=0)
        moved[self.forms.kinked] |= (self.forms.kinks[rows] != 0.0).any(axis=0)
        for turn in self.forms.turns:
            moved |= turn.weights != 0.0
        return rows, np.flatnonzero(moved)

    def _contents(self, values: Array, u: Array, carried: Array, offsets: Array) -> Flags:
        """(c, n) in which boxes several contents go in.

        Many candidates leave their contents the same room, as those whose lids alone differ.
        """
        boxes = offsets.shape[1]
        rows, columns = self._deciding
        alike = np.append(np.round(u[columns], DIGITS), boxes).tobytes()
        keys = [own.tobytes() + alike for own in np.round(values[:, rows], DIGITS)]
        fresh: dict[bytes, int] = {}
        for k, key in enumerate(keys):
            if key not in self.known:
                fresh.setdefault(key, k)
        stride = max(1, AT_ONCE // boxes)
        for start in range(0, len(fresh), stride):
            some = dict(itertools.islice(fresh.items(), start, start + stride))
            right = self._right(self._several, values[list(some.values())], carried, offsets)
            self.known.update(zip(some, right, strict=True))
        return np.array([self.known[key] for key in keys])

    def _right(
        self, prospect: Prospect, values: Array, carried: Array, offsets: Array | None
    ) -> Flags:
        """Which boxes (c, n) are right where drawn errors move limits (c, p) by (p, n).

        `offsets` (k, n) are the errors themselves, for candidates with several contents.
        """
        count, boxes = len(values), carried.shape[1]
        forms, outlook = self.forms, prospect.outlook
        least = np.empty((len(forms.families), count, boxes))
        other = np.empty((count, boxes))
        for family, name in enumerate(forms.families):
            if name not in outlook.families:
                continue
            start, stop = forms.pairs_of(family)
            np.add(values[:, start, None], carried[start], out=least[family])
            for row in range(start + 1, stop):
                np.add(values[:, row, None], carried[row], out=other)
                np.minimum(least[family], other, out=least[family])
            for row, nearest in zip(
                range(*forms.lines_of(family)), forms.nearest_of(family).tolist(), strict=True
            ):
                np.add(values[:, row, None], carried[row], out=other)
                np.maximum(other, values[:, nearest, None] + carried[nearest], out=other)
                np.minimum(least[family], other, out=least[family])
        flat = least.reshape(len(least), -1)
        drawn = np.empty((0, flat.shape[1])) if offsets is None else np.tile(offsets, (1, count))
        outcomes = outlook.of_least(forms.families, flat, drawn, forms.inputs)
        flags: Flags = good_flags(prospect, Samples(outcomes))
        return flags.reshape(count, boxes).copy()


def _contenders(
    limits: Limits, lines: Lines, tools: Tools, lattice: Lattice, by_length: Array
) -> list[int]:
    """The limits that may come first in their family in some row of a lattice.

    A row is a sum of changes, so how far one limit can come before another is a sum of what each
    kind of change does to the two.
    """
    inputs = lines.inputs
    means = np.array([one.variate.mean for one in inputs])
    own = u_of(inputs)
    nowhere = np.zeros(len(inputs))
    between = nowhere + 0.5 * (tools.grid_mm or 0.0)
    worst = np.max([own, lines.u_of(nowhere, tools), lines.u_of(between, tools)], axis=0)
    beyond = [float(np.linalg.norm(turn.weights * worst)) for turn in limits.turns]
    spread = np.concatenate(
        [limits.gradients * np.concatenate([worst, beyond]), limits.kinks * worst], axis=1
    )
    middle = limits.values + limits.gradients[:, : len(means)] @ means
    moved = [by_length @ kind.T for kind in lattice.kinds]
    least = middle + sum(kind.min(axis=1) for kind in moved)
    least -= REACH * np.linalg.norm(spread, axis=1)

    def behind(rows: Rows, others: Rows) -> Array:
        found: Array = middle[rows][:, None] - middle[others] + SAME
        found += sum((kind[rows][:, None] - kind[others]).min(axis=2) for kind in moved)
        return found

    kept: dict[str, list[int]] = {}
    for family, every in limits.families.items():
        near = np.ones(len(every), dtype=bool)
        if is_ease(family):
            near = least[every] <= 0.0
            near[np.argmin(np.round(middle[every], 9))] = True
        rows = every[near]
        kept[family] = leading(rows, middle[rows], spread, behind)
    return with_lines(limits, kept, spread, behind)
