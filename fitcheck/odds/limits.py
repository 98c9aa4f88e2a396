"""All limits of a design that may count, and which of them may come first."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fitcheck.folding.pose import Array, Rows
from fitcheck.odds.forms import SAME, Forms
from fitcheck.odds.inputs import Input, u_of
from fitcheck.odds.readings import InCorners, Readings
from fitcheck.odds.slopes import Key
from fitcheck.odds.turns import STRAIGHT_MM, Limit, Turn

REACH = 6.0
"""Pairs further behind the first than this many standard uncertainties never come first."""
REACH_OF_LINES = 4.5
"""Nor do lines in corners that need so many of all inputs together: one in 300 000 boxes."""
MOST_PASSED, ROUNDS = 5, 10
"""So many of the nearest pairs are looked at for that, and so often."""
ALIKE_MM = 1e-3
"""Lines of one crease that never differ by more are one."""


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
            corner = InCorners.of(one.family)
            own = one.family if corner is None or corner.nearest else corner.family
            families.setdefault(own, []).append(one)
        ordered = [one for own in families.values() for one in own]
        return cls(
            tuple((one.family, one.member) for one in ordered),
            np.array([one.value for one in ordered]),
            np.array([np.concatenate([one.gradient, one.turned]) for one in ordered]),
            np.array([_bent(one.kinks, u) for one in ordered]),
            turns,
        )

    @cached_property
    def families(self) -> dict[str, Rows]:
        """The rows of each family, lines in corners left out."""
        rows: dict[str, list[int]] = {}
        for row, (family, _) in enumerate(self.keys):
            if InCorners.of(family) is None:
                rows.setdefault(family, []).append(row)
        return {family: np.array(own) for family, own in rows.items()}

    @cached_property
    def lines(self) -> dict[str, Rows]:
        """The rows of the lines in corners that may end a family's travel."""
        rows: dict[str, list[int]] = {}
        for row in self.nearest:
            corner = InCorners.of(self.keys[row][0])
            if corner is not None:
                rows.setdefault(corner.family, []).append(row)
        return {family: np.array(own) for family, own in rows.items()}

    @cached_property
    def nearest(self) -> dict[int, int]:
        """For the row of each such line the one before which it does not count."""
        rows = {key: row for row, key in enumerate(self.keys)}
        found = {}
        for row, (family, member) in enumerate(self.keys):
            corner = InCorners.of(family)
            if corner is not None and not corner.nearest:
                found[row] = rows[corner._replace(nearest=True).name, member]
        return found

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
    """Some of the limits, those of a family behind each other, as `with_lines` puts them."""
    corners = [InCorners.of(found.keys[row][0]) for row in rows]
    count = sum(one is None or not one.nearest for one in corners)
    names = [
        found.keys[row][0] if one is None else one.family
        for row, one in zip(rows[:count], corners, strict=False)
    ]
    families = tuple(dict.fromkeys(names))
    starts = (*(names.index(family) for family in families), count)
    lines = np.array([one is not None for one in corners[:count]], dtype=bool)
    places = {row: place for place, row in enumerate(rows)}
    nearest = [places[found.nearest[rows[n]]] for n in np.flatnonzero(lines).tolist()]
    every = np.array(rows, dtype=np.intp)
    kinked = np.flatnonzero(found.kinks[every].any(axis=0))
    return Forms(
        inputs=inputs,
        turns=found.turns,
        families=families,
        starts=starts,
        lines=tuple(stop - int(lines[at:stop].sum()) for at, stop in itertools.pairwise(starts)),
        nearest=np.array(nearest, dtype=np.intp),
        values=found.values[every],
        gradients=found.gradients[every],
        kinked=kinked,
        kinks=found.kinks[every][:, kinked],
        members=tuple(found.keys[row][1] for row in rows[:count]),
    )


def screened(
    found: Limits,
    inputs: Sequence[Input],
    designs: Sequence[tuple[Array, Array]] = (),
    *,
    corners: bool = True,
) -> list[int]:
    """The rows of the limits that may come first in their family, those that never do left out.

    The nearest come first; those that are as near as others stay in the order they were read in.
    Where the limits are asked about for several designs, each with its values (p,) and its inputs'
    standard uncertainties (k,), those are left out that come first in none of them; and so are all
    lines in `corners` where those are not wanted.
    """
    means = np.array([one.variate.mean for one in inputs])
    count = len(means)
    steps = np.max([u_of(inputs), *(u for _, u in designs)], axis=0)
    beyond = [float(np.linalg.norm(turn.weights * steps)) for turn in found.turns]
    spread = np.concatenate(
        [found.gradients * np.concatenate([steps, beyond]), found.kinks * steps], axis=1
    )
    middle = found.gradients[:, :count] @ means
    values = np.stack([found.values, *(value for value, _ in designs)], axis=1) + middle[:, None]

    def behind(rows: Rows, others: Rows) -> Array:
        least: Array = (values[rows][:, None] - values[others]).min(axis=2) + SAME
        return least

    kept = {
        family: leading(own, values[own, 0], spread, behind)
        for family, own in found.families.items()
    }
    if not corners:
        return list(itertools.chain(*kept.values()))
    return with_lines(found, kept, spread, behind)


def leading(
    rows: Rows, values: Array, spread: Array, behind: Callable[[Rows, Rows], Array]
) -> list[int]:
    """Those of some rows (n,) that may come first, the nearest by their values (n,) first.

    `spread` (p, k) is what a standard uncertainty of each input does to each limit, `behind` how
    far some (g,) lie behind others (f,) at the least, (g, f).
    """
    rows = rows[np.argsort(np.round(values, 9), kind="stable")]
    # most are ruled out by the nearest, all at once
    apart = np.linalg.norm(spread[rows[1:]] - spread[rows[0]], axis=1)
    first: list[int] = rows[:1].tolist()
    for row in rows[1:][behind(rows[1:], rows[:1])[:, 0] < REACH * apart].tolist():
        apart = np.linalg.norm(spread[first] - spread[row], axis=1)
        if not (behind(np.array([row]), np.array(first))[0] >= REACH * apart).any():
            first.append(row)
    return first


def with_lines(
    found: Limits,
    kept: Mapping[str, Sequence[int]],
    spread: Array,
    behind: Callable[[Rows, Rows], Array],
) -> list[int]:
    """The rows that are kept of each family, and behind them those of lines that may come first.

    At the end stand those before which these lines do not count. `spread` and `behind` are those of
    `leading`. A line comes first where it and the row before which it does not count
    both lie before the nearest pairs; and it rules out those of the same crease that are never
    nearer.
    """
    rows: list[int] = []
    nearest: dict[int, None] = {}
    for family, first in kept.items():
        rows += first
        every = found.lines.get(family, np.zeros(0, dtype=np.intp))
        own = np.array([found.nearest[line] for line in every.tolist()], dtype=np.intp)
        others = np.array(first[:MOST_PASSED], dtype=np.intp)
        beyond = [behind(some, others) for some in (every, own)]
        ahead = [spread[others] - spread[some][:, None] for some in (every, own)]
        away = distances(np.concatenate(ahead, axis=1), np.concatenate(beyond, axis=1))
        may = np.flatnonzero(away < REACH_OF_LINES)
        lines, own = every[may], own[may]
        ruled = [
            behind(some, some) + ALIKE_MM
            >= REACH * np.linalg.norm(spread[some][:, None] - spread[some], axis=2)
            for some in (lines, own)
        ]
        left: dict[tuple[str, str], list[int]] = {}
        for n in np.argsort(np.round(found.values[lines], 9), kind="stable").tolist():
            name, (crease, _) = found.keys[lines[n]]
            before = left.setdefault((name, crease), [])
            if not (ruled[0] & ruled[1])[n, before].any():
                before.append(n)
                rows.append(int(lines[n]))
                nearest.setdefault(int(own[n]))
    return [*rows, *nearest]


def distances(ahead: Array, away: Array) -> Array:
    """How far off half spaces are met together, (l,), or less: a . z >= b for all of each.

    They are given by a (l, m, k) and b (l, m). Every choice of weights w >= 0 tells that it is at
    least w . b / |w . a| (weak duality); Hildreth's method makes them better one by one.
    """
    products = np.einsum("lik,ljk->lij", ahead, ahead)
    squares = np.maximum(np.einsum("lii->li", products), SAME**2)
    weights = np.zeros_like(away)
    for _ in range(ROUNDS):
        for i in range(away.shape[1]):
            short = away[:, i] - (products[:, i] * weights).sum(axis=1)
            weights[:, i] = np.maximum(weights[:, i] + short / squares[:, i], 0.0)
    size = np.sqrt(np.maximum(np.einsum("li,lij,lj->l", weights, products, weights), SAME**2))
    found: Array = (weights * away).sum(axis=1) / size
    return found
