"""The search for a right-angled arrangement: over spots where they are few, else pair by pair."""

from __future__ import annotations

from collections.abc import Sequence

from fitcheck.packing.pairs import by_pairs
from fitcheck.packing.placing import Demand
from fitcheck.packing.room import Room
from fitcheck.packing.solver import End, Searched, whole_kind, whole_room
from fitcheck.packing.spots import by_spots, list_spots

_MOST_BY_PAIRS = 40


def right_angled(room: Room, demands: Sequence[Demand], *, held: bool, work: float) -> Searched:
    """Search for an arrangement along the axes; `work` is the solver's deterministic time.

    With `held`, each body must stand on the floor or have its middle over the top of one other;
    without, bodies may hang. Raises MissingLibraryError when the solver cannot be loaded.
    """
    ends = whole_room(room, demands)
    kinds = [whole_kind(demand, ends) for demand in demands]
    if not all(kind.poses for kind in kinds):
        return Searched(End.NONE_EXISTS)
    spots = list_spots(kinds, ends)
    if spots is not None:
        return by_spots(kinds, spots, held, work)
    if sum(demand.count for demand in demands) <= _MOST_BY_PAIRS:
        return by_pairs(kinds, ends, held, work)
    return Searched(End.TOO_MANY)
