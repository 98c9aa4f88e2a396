"""Pairs of pieces of many boxes are grouped by their names, as what is said of them is."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from fitcheck.fit.contact import Flags, Rows


class Groups:
    """Pairs of pieces of many boxes, (n,), grouped by their box and their two names."""

    def __init__(
        self,
        whose: Rows,
        a: Sequence[tuple[Rows, list[str]]],
        b: Sequence[tuple[Rows, list[str]]],
        rows: tuple[Rows, Rows],
    ) -> None:
        """`a` and `b` are the kinds of each box's pieces, `rows` (n,) the pairs' places there."""
        numbers = []
        for kinds, own in ((a, rows[0]), (b, rows[1])):
            names: dict[str, int] = {}
            tables = [
                np.array([names.setdefault(name, len(names)) for name in listed], dtype=np.intp)
                for _, listed in kinds
            ]
            starts = np.cumsum([0, *(len(one) for one, _ in kinds)])
            every = [table[one] for table, (one, _) in zip(tables, kinds, strict=True)]
            flat = np.concatenate(every) if every else np.zeros(0, dtype=np.intp)
            numbers.append((flat[starts[whose] + own], list(names)))
        (one, first), (other, second) = numbers
        code = (whose * max(len(first), 1) + one) * max(len(second), 1) + other
        found, self.of = np.unique(code, return_inverse=True)
        """(n,) the group of each pair."""
        pair, inner = np.divmod(found, max(len(second), 1))
        self.boxes, outer = np.divmod(pair, max(len(first), 1))
        """(g,) whose each group is."""
        self.names = [
            (first[o], second[i]) for o, i in zip(outer.tolist(), inner.tolist(), strict=True)
        ]

    def among(self, only: Collection[tuple[str, str]]) -> Flags:
        """(n,) which pairs are of some pairs of names."""
        wanted = np.array([name in only for name in self.names], dtype=bool)
        found: Flags = wanted[self.of]
        return found
