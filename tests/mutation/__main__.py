"""`python -m tests.mutation --count 120 --seed 1`: prints what the tests fail to notice."""

from __future__ import annotations

import argparse

from tests.mutation.run import BUDGET_S, Trial, chosen_mutants, summary, try_all


def main() -> None:
    """Read the options, try the mutants, print survivors as they come and the sum at the end."""
    options = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    options.add_argument("--count", type=int, default=120)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--jobs", type=int, default=2)
    options.add_argument("--budget", type=float, default=BUDGET_S, help="seconds of tests a mutant")
    options.add_argument("--only", nargs="*", default=[], help="ends of module paths: fit/slide.py")
    given = options.parse_args()
    mutants = chosen_mutants(given.count, given.seed, tuple(given.only))
    print(summary(try_all(mutants, given.jobs, given.budget, _say)))


def _say(trial: Trial) -> None:
    print(f"{trial.outcome.value} ({trial.tests} tests): {trial.mutant}", flush=True)


if __name__ == "__main__":
    main()
