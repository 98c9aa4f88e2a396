"""Tries mutants on the tests and keeps count of what was noticed."""

from __future__ import annotations

import tempfile
import tomllib
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from queue import SimpleQueue

from tests.mutation.operators import Mutant, mutants_below, sample
from tests.mutation.touches import FOLDERS, Touches, record
from tests.mutation.tree import TIMED_OUT, Tree, pytest_in

PROJECT = Path(__file__).resolve().parents[2]
EQUIVALENT = Path(__file__).with_name("equivalent.toml")
KEPT = PROJECT / ".mutation"
BUDGET_S = 90.0
"""Seconds of tests, as recorded, that a mutant is given at the most."""
FAILED = (1, 2, 3, 4)
"""Pytest's statuses for failed tests, an error while collecting, one inside, and for names that are
not found: they are in the copy, so a module that cannot be read under the mutant hides them."""


class Outcome(Enum):
    """What the tests made of a mutant."""

    NOTICED = "noticed"
    TIMED_OUT = "noticed by the time limit"
    SURVIVED = "survived"
    UNTESTED = "no test runs it"


@dataclass(frozen=True)
class Trial:
    """A mutant and what came of it."""

    mutant: Mutant
    outcome: Outcome
    tests: int

    @property
    def noticed(self) -> bool:
        """True when a test failed or did not come back."""
        return self.outcome in (Outcome.NOTICED, Outcome.TIMED_OUT)


@dataclass(frozen=True)
class Equivalent:
    """A change that no input can show, or none that anyone could be hurt by, and why."""

    path: str
    before: str
    after: str
    why: str

    def matches(self, mutant: Mutant) -> bool:
        """By the text of the line, so that it holds wherever the line moves."""
        return (self.path, self.before, self.after) == (mutant.path, mutant.before, mutant.after)


def known_equivalents() -> list[Equivalent]:
    """The list that is kept beside this module."""
    with EQUIVALENT.open("rb") as file:
        return [Equivalent(**entry) for entry in tomllib.load(file).get("equivalent", [])]


def chosen_mutants(count: int, seed: int, only: tuple[str, ...] = ()) -> list[Mutant]:
    """Mutants by chance that are not known to be equivalent."""
    known = known_equivalents()
    every = mutants_below(PROJECT, FOLDERS, only)
    return sample([m for m in every if not any(k.matches(m) for k in known)], count, seed)


def try_all(
    mutants: list[Mutant],
    jobs: int = 1,
    budget_s: float = BUDGET_S,
    said: Callable[[Trial], None] = lambda trial: None,
) -> list[Trial]:
    """Try each mutant in a copy of the project, as many at a time as there are jobs."""
    with tempfile.TemporaryDirectory() as scratch:
        copies = [Tree.copy(PROJECT, Path(scratch) / f"tree{number}") for number in range(jobs)]
        # of the copy, as someone may go on working meanwhile
        touches = record(copies[0], KEPT, jobs)
        trees: SimpleQueue[Tree] = SimpleQueue()
        for tree in copies:
            trees.put(tree)

        def one(mutant: Mutant) -> Trial:
            tree = trees.get()
            try:
                trial = _try(tree, mutant, touches, budget_s)
            finally:
                trees.put(tree)
            said(trial)
            return trial

        with ThreadPoolExecutor(jobs) as pool:
            return list(pool.map(one, mutants))


def _try(tree: Tree, mutant: Mutant, touches: Touches, budget_s: float) -> Trial:
    source = (tree.root / mutant.path).read_text(encoding="utf-8")
    tests = touches.tests_for(mutant, source, budget_s)
    if not tests:
        return Trial(mutant, Outcome.UNTESTED, 0)
    with tree.mutated(mutant):
        status = pytest_in(tree.root, [], tests, 60.0 + 5.0 * touches.expected_s(tests))
    outcomes = {0: Outcome.SURVIVED, TIMED_OUT: Outcome.TIMED_OUT}
    outcomes |= dict.fromkeys(FAILED, Outcome.NOTICED)
    if status not in outcomes:
        raise RuntimeError(f"pytest ended with status {status} on\n{mutant}")
    return Trial(mutant, outcomes[status], len(tests))


def summary(trials: list[Trial]) -> str:
    """The survivors and the share that was noticed."""
    left = [trial for trial in trials if not trial.noticed]
    lines = [f"{trial.outcome.value}: {trial.mutant}" for trial in left]
    noticed = len(trials) - len(left)
    share = 100.0 * noticed / max(1, len(trials))
    return "\n".join([*lines, f"{noticed} of {len(trials)} mutants noticed ({share:.0f} %)"])
