"""What the right-angled search works with: whole steps of 0.01 mm, and the solver itself.

Sizes are rounded up and the room down, so what is found is truly free. The solver runs with one
worker, a fixed seed and a limit on its own count of work, not on the clock, so the same question
always has the same answer. Its preparation is kept short, because that is work it does not count:
left to itself it may take a hundred times what it was granted.
"""

from __future__ import annotations

import enum
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from fitcheck.errors import MissingLibraryError
from fitcheck.kinds.poses import Pose
from fitcheck.packing.placing import Demand, Placement
from fitcheck.packing.room import Room

STEPS_PER_MM = 100
_FUZZ = 1e-5
"""Share of a step that is taken for rounding of floats, not for size."""

Size = tuple[int, int, int]


class End(enum.Enum):
    """How a search ended."""

    FOUND = "found"
    NONE_EXISTS = "none exists"
    """proved for right-angled arrangements of the rounded sizes"""
    LIMIT = "limit"
    TOO_MANY = "too many"


@dataclass(frozen=True)
class Searched:
    """The end of a search, and where everything stands if it was found."""

    end: End
    placements: tuple[Placement, ...] = ()
    work: float = 0.0
    """What it took, in the solver's own count; see `Solved`."""


@dataclass(frozen=True)
class Kind:
    """A demand in whole steps: its poses that go in unturned, and their sizes."""

    demand: Demand
    poses: tuple[Pose, ...]
    sizes: tuple[Size, ...]

    def place(self, pose: int, at: Size) -> Placement:
        """One body in its pose number `pose` with its low corner at `at`."""
        size = self.sizes[pose]
        return Placement(
            self.demand.item,
            self.poses[pose],
            (at[0] + size[0] / 2.0) / STEPS_PER_MM,
            (at[1] + size[1] / 2.0) / STEPS_PER_MM,
            at[2] / STEPS_PER_MM,
        )


def whole_room(room: Room, demands: Sequence[Demand]) -> Size:
    """The room in steps, no higher than everything piled up."""
    pile = sum(d.count * max(_up(p.height_mm) for p in d.poses) for d in demands)
    height = pile if math.isinf(room.height_mm) else _down(room.height_mm)
    return _down(room.width_mm), _down(room.length_mm), min(height, pile)


def _up(length_mm: float) -> int:
    return math.ceil(length_mm * STEPS_PER_MM - _FUZZ)


def _down(length_mm: float) -> int:
    return math.floor(length_mm * STEPS_PER_MM + _FUZZ)


def whole_kind(demand: Demand, ends: Size) -> Kind:
    """The demand in steps; poses of one size after rounding are given once."""
    fitting: dict[Size, Pose] = {}
    for pose in demand.poses:
        size = (_up(pose.width_mm), _up(pose.length_mm), _up(pose.height_mm))
        if all(part <= end for part, end in zip(size, ends, strict=True)):
            fitting.setdefault(size, pose)
    return Kind(demand, tuple(fitting.values()), tuple(fitting))


def cp_model() -> Any:
    """The solver's module. Raises MissingLibraryError when it cannot be loaded."""
    try:
        from ortools.sat.python import cp_model as module
    except ImportError as error:
        raise MissingLibraryError(
            f"packing several contents needs the solver ortools ({error}); "
            "install it with: pip install ortools",
            package="ortools",
        ) from error
    return module


@dataclass(frozen=True, eq=False)
class Solved:
    """What the solver says of a model."""

    value: Callable[[Any], int] | None
    """Reads the variables' values; None when there is no solution."""
    end: End
    work: float
    """The solver's deterministic time: some 5 s each on a slow machine."""


def solve(model: Any, work: float) -> Solved:
    """Solve within so much of the solver's deterministic time."""
    cp = cp_model()
    solver = cp.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 0
    solver.parameters.max_deterministic_time = work
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.max_presolve_iterations = 1
    status = solver.solve(model)
    taken = float(solver.response_proto.deterministic_time)
    if status in (cp.OPTIMAL, cp.FEASIBLE):
        return Solved(solver.value, End.FOUND, taken)
    return Solved(None, End.NONE_EXISTS if status == cp.INFEASIBLE else End.LIMIT, taken)
