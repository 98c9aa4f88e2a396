"""The same hands make designs that are alike: errors are drawn once and carried through each."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.fit.right import Flags
from fitcheck.folding.flat import among
from fitcheck.folding.pose import Array, Rows
from fitcheck.odds.inputs import u_of
from fitcheck.odds.limits import forms_of_rows, screened
from fitcheck.odds.propagate import Samples, drawn_together, streams_of
from fitcheck.odds.prospect import Prospect, good_flags
from fitcheck.odds.turns import Turn

SAME_MM = 1e-9
"""Turns nearer to each other than this are one."""


@dataclass(frozen=True, eq=False)
class Hands:
    """Errors drawn once, so that designs that are alike are made by the same hands."""

    off: Array
    """(k, n) each input of n boxes, from its mean, in its standard uncertainties."""

    @classmethod
    def of(cls, prospect: Prospect, boxes: int, seed: int) -> Hands:
        """As the prospect's own boxes of that seed are drawn."""
        unit = [replace(one.variate, u=1.0, mean=0.0) for one in prospect.workshop.inputs]
        return cls(drawn_together(unit, boxes, streams_of(seed)[0]))

    def first(self, boxes: int) -> Hands:
        """The first so many of the boxes."""
        return Hands(self.off[:, :boxes])

    def right(self, prospect: Prospect) -> Flags:
        """Which of the boxes (n,) come out right when they are made of another design."""
        asked, forms = prospect.asked()
        offsets = forms.offsets(u_of(forms.inputs), self.off)
        return good_flags(asked, Samples(asked.outlook.evaluate(forms, offsets)))

    def rates(self, prospects: Sequence[Prospect]) -> list[float]:
        """How often the boxes come out right in each of some designs.

        Those that have one another's gradients are worked out together: the gradients are carried
        through the drawn errors once, and each design adds what its own values and hands change.
        """
        found: dict[int, float] = {}
        groups: dict[tuple[int, int], list[int]] = {}
        for index, one in enumerate(prospects):
            groups.setdefault((id(one.limits.gradients), id(one.outlook)), []).append(index)
        for group in groups.values():
            alike = _Alike([prospects[index] for index in group], self.off)
            found |= {index: alike.rate(k) for k, index in enumerate(group)}
        return [found[index] for index in range(len(prospects))]


class _Alike:
    """Designs with the same gradients, made by the same hands.

    The first is carried whole; of the others only families that something of theirs moves. The
    round insides of creases are left out, which stop few boxes: designs are ranked by what is found
    here, and what is chosen is tried with all.
    """

    def __init__(self, prospects: Sequence[Prospect], off: Array) -> None:
        self.prospects, self.off = prospects, off
        first = prospects[0]
        inputs = first.workshop.inputs
        self.us = [u_of(own.workshop.inputs) for own in prospects]
        designs = [(own.limits.values, u) for own, u in zip(prospects, self.us, strict=True)]
        self.rows = screened(first.limits, inputs, designs, corners=False)
        self.forms = forms_of_rows(first.limits, inputs, self.rows)
        self.offsets = self.forms.offsets(self.us[0], off)
        self.limits = self.forms.limits(self.offsets)
        self.least = self.forms.least_of(self.limits)
        turned = [np.flatnonzero(turn.weights) for turn in first.limits.turns]
        self.bent = np.concatenate([self.forms.kinked, *turned])

    def rate(self, k: int) -> float:
        """The share of right boxes of one design."""
        prospect = self.prospects[k]
        offsets = self.off
        if prospect.outlook.arranged:
            offsets = self.forms.offsets(self.us[k], self.off)
        outlook, inputs = prospect.outlook, prospect.workshop.inputs
        outcomes = outlook.of_least(self.forms.families, self._least(k), offsets, inputs)
        return float(good_flags(prospect, Samples(outcomes)).mean())

    def _least(self, k: int) -> Array:
        """The least member of each family (f, n) of one design."""
        prospect, u = self.prospects[k], self.us[k]
        values, turns = prospect.limits.values[self.rows], prospect.limits.turns
        by = values - self.forms.values
        other = np.flatnonzero(u != self.us[0])
        if among(other, self.bent).any():
            forms = replace(self.forms, values=values, turns=turns)
            return forms.least(forms.offsets(u, self.off))
        columns, beyond = self._turned_elsewhere(turns)
        steeper = [self.forms.gradients[:, own] for own in (other, columns)]
        moved = np.concatenate([by[:, None], *steeper], axis=1) != 0.0
        moves: Flags = moved.any(axis=1)
        errors = np.concatenate([(u - self.us[0])[other, None] * self.off[other], beyond])
        least = self.least.copy()
        for family, (start, stop) in enumerate(itertools.pairwise(self.forms.starts)):
            own = slice(start, stop)
            if moves[own].any():
                limits = np.concatenate([part[own] for part in steeper], axis=1) @ errors
                limits += self.limits[own]
                limits += by[own, None]
                np.min(limits, axis=0, out=least[family])
        return least

    def _turned_elsewhere(self, turns: Sequence[Turn]) -> tuple[Rows, Array]:
        """Which columns of the gradients a design turns elsewhere, and by what more (e, n)."""
        pairs = list(zip(turns, self.forms.turns, strict=True))
        moved = [n for n, (own, first) in enumerate(pairs) if abs(own.at - first.at) > SAME_MM]
        by = [pairs[n][0].beyond(self.offsets) - pairs[n][1].beyond(self.offsets) for n in moved]
        columns = len(self.off) + np.array(moved, dtype=np.intp)
        return columns, np.array(by).reshape(len(moved), -1 if moved else self.off.shape[1])
