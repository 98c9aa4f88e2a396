"""The best of a lattice are found from coarse to fine: few boxes for all, more for the best.

Which lid goes best hardly depends on what else is changed, so lids are ranked first, with what else
gives parts room, then all the rest under the best lid, and then the best of both together. A small
lattice is rated whole.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.folding.flat import distinct
from fitcheck.folding.pose import Array, Flags
from fitcheck.odds.costs import Traits
from fitcheck.odds.lattice import Lattice, Places
from fitcheck.odds.rating import Rating
from fitcheck.odds.sizes import DEPTH, FLAP, LENGTH, SAME_MM

FEW_BOXES, SOME_BOXES = 250, 400
WHOLE = 2_500
"""A lattice of no more candidates is rated whole; of a larger one so many are rated together."""
MOST_BOXES = 5_000
"""So many shapes, floors and lid depths together are rated under one lid."""
COARSE, GOOD = 40, 16
"""So many lids and so many gaps are tried with each other at first, and so many of the best of
each then."""
IN_FRONT = 10
"""So many candidates of each order are rated on all boxes."""


@dataclass(frozen=True, eq=False)
class Candidates:
    """Rows of lengths with their rated odds; the design as it is comes first."""

    rows: Array
    """(c, s) mm."""
    rates: Array
    """(c,) shares of right boxes."""
    traits: Traits
    known: Flags
    """(c,) whether it was folded anew; all others are rated by gradients."""

    def folded(self, index: int, rate: float, higher_mm: float) -> Candidates:
        """The same, one of them with the rate and the height that it was folded to.

        Others of its shape are taken to be as much better or worse than they were rated.
        """
        rates, heights, known = self.rates.copy(), self.traits.height_mm.copy(), self.known.copy()
        known[index] = True
        shapes = self.rows[:, DEPTH : FLAP + 1]
        alike = ~known & (np.abs(shapes - shapes[index]) < SAME_MM).all(axis=1)
        rates[alike] = np.clip(rates[alike] + rate - rates[index], 0.0, 1.0)
        rates[index], heights[index] = rate, higher_mm
        traits = replace(self.traits, height_mm=heights)
        return replace(self, rates=rates, traits=traits, known=known)

    def failed(self, index: int) -> Candidates:
        """The same, one of them right in no box, as it is not right when it is folded."""
        rates, known = self.rates.copy(), self.known.copy()
        rates[index], known[index] = 0.0, True
        return replace(self, rates=rates, known=known)

    @property
    def proved(self) -> Candidates:
        """The same, all that were not folded right in no box."""
        return replace(self, rates=np.where(self.known, self.rates, 0.0))


@dataclass(frozen=True, eq=False)
class Search:
    """What candidates are looked for with."""

    rating: Rating
    lattice: Lattice
    traits: Callable[[Array], Traits]
    """Of rows (c, s)."""
    orders: Callable[[Array, Traits], Iterable[Places]]
    """Which of candidates with these rates (c,) are in front, in several orders."""

    def run(self) -> tuple[Candidates, int]:
        """The candidates in front for any kind of option, and how many were rated."""
        rated = _Rated(self.rating)
        rated.rate(np.zeros((1, len(self.lattice.kinds)), dtype=np.intp), FEW_BOXES)
        if self.lattice.count <= WHOLE:
            rated.rate(_product([np.arange(len(kind)) for kind in self.lattice.kinds]), SOME_BOXES)
        else:
            self._in_rounds(rated)
        front = self._front(rated, IN_FRONT)
        rows = self.lattice.rows(front)
        rates = self.rating.rates(front, self.rating.off.shape[1])
        known = np.zeros(len(rows), dtype=bool)
        return Candidates(rows, rates, self.traits(rows), known), len(rated.rates)

    def _in_rounds(self, rated: _Rated) -> None:
        """Each change by itself, all else under the best lid, and the best of both together."""
        kinds = self.lattice.kinds
        shapes, floors, depths, *_ = (np.arange(len(kind)) for kind in kinds)
        for column, kind in enumerate(kinds):
            alone = np.zeros((len(kind), len(kinds)), dtype=np.intp)
            alone[:, column] = np.arange(len(kind))
            rated.rate(alone, SOME_BOXES)
        # where contents do not go in as it is, the largest floor and the deepest base may take them
        deepest = int(np.argmax(self.lattice.shapes[:, DEPTH]))
        largest = int(np.argmax(self.lattice.floors[:, : LENGTH + 1].sum(axis=1)))
        tries = sorted({(0, 0), (0, largest), (deepest, largest)})
        best = self._rooms(rated, tries)
        if len(shapes) * len(floors) * len(depths) > MOST_BOXES:
            # whatever goes best on its own goes well with the rest
            own = rated.rate(_with(_product([[0, deepest], floors, [0]]), best[:1]), FEW_BOXES)
            floors = _order(own.reshape(2, -1))[: max(1, MOST_BOXES // (len(shapes) * len(depths)))]
            own = rated.rate(_with(_product([[0], floors[:1], depths]), best[:1]), FEW_BOXES)
            depths = _order(own.reshape(1, -1))[: max(1, MOST_BOXES // len(shapes))]
        rated.rate(_with(_product([shapes, floors, depths]), best[:1]), FEW_BOXES)
        boxes = np.unique(self._front(rated, IN_FRONT)[:, :3], axis=0)
        rated.rate(_with(boxes, best[: max(1, WHOLE // len(boxes))]), SOME_BOXES)

    def _rooms(self, rated: _Rated, tries: Sequence[tuple[int, int]]) -> Places:
        """Lids and gaps together (m, 2), the best first by some shapes and floors."""
        lids, gaps = (np.arange(len(kind)) for kind in self.lattice.kinds[3:])

        def best_of(rooms: Places) -> Places:
            boxes = np.array([(shape, floor, 0) for shape, floor in tries])
            found = rated.rate(_with(boxes, rooms), FEW_BOXES)
            return rooms[_order(found.reshape(len(tries), -1))]

        if min(len(lids), len(gaps)) == 1:
            return best_of(_product([lids, gaps]))
        # what either does alone says little where both are too tight
        ((lid, gap), *_) = best_of(_product([_some(lids), _some(gaps)])).tolist()
        good = [
            distinct(np.append(0, best_of(rooms)[:GOOD, column]))
            for column, rooms in enumerate((_product([lids, [gap]]), _product([[lid], gaps])))
        ]
        alone = [_product([lids, [0]]), _product([[0], gaps])]
        return best_of(np.unique(np.concatenate([_product(good), *alone]), axis=0))

    def _front(self, rated: _Rated, count: int) -> Places:
        """The so many first of each order, (c, k), behind the design as it is."""
        places, rates = rated.all()
        kept: dict[int, None] = {0: None}
        for order in self.orders(rates, self.traits(self.lattice.rows(places))):
            kept |= dict.fromkeys(order[:count].tolist())
        return places[list(kept)]


class _Rated:
    """Candidates that were rated, each with its last rate."""

    def __init__(self, rating: Rating) -> None:
        self.rating = rating
        self.rates: dict[tuple[int, ...], float] = {}

    def rate(self, places: Places, boxes: int) -> Array:
        """Rate candidates (c, k), (c,)."""
        rates = self.rating.rates(places, boxes)
        self.rates |= dict(zip(map(tuple, places.tolist()), rates.tolist(), strict=True))
        return rates

    def all(self) -> tuple[Places, Array]:
        """(c, k) and (c,), in the order in which they were first rated."""
        return np.array(list(self.rates), dtype=np.intp), np.array(list(self.rates.values()))


def _order(rates: Sequence[Array] | Array) -> Places:
    """Places by the best of their rates (m, c), the best first."""
    found: Places = np.argsort(-np.max(rates, axis=0), kind="stable")
    return found


def _product(ways: Sequence[Sequence[int] | Places]) -> Places:
    """All choices of one from each of some lists, (c, k)."""
    found: Places = np.stack(np.meshgrid(*ways, indexing="ij"), axis=-1).reshape(-1, len(ways))
    return found


def _with(boxes: Places, rooms: Places) -> Places:
    """All of some boxes (m, 3) with all of some lids and gaps (n, 2), (m n, 5)."""
    return np.column_stack([np.repeat(boxes, len(rooms), axis=0), np.tile(rooms, (len(boxes), 1))])


def _some(every: Places) -> Places:
    """So many evenly among all, the first one of them."""
    return every[:: max(1, -(-len(every) // COARSE))]
