"""The mutation script by itself, quickly; and with -m long, what share of mutants is noticed."""

from __future__ import annotations

import pytest

from tests.mutation.operators import Mutant, mutants_below, mutants_of, sample
from tests.mutation.run import PROJECT, chosen_mutants, known_equivalents, summary, try_all
from tests.mutation.touches import FOLDERS, Touches

ENOUGH = 0.85


def afters(source: str) -> set[str]:
    return {mutant.after for mutant in mutants_of("m.py", source)}


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("x = a < b", {"x = (a <= b)", "x = (a > b)"}),
        ("x = a + b", {"x = (a - b)"}),
        ("x = -a", {"x = (a)"}),
        ("x = not a", {"x = (a)"}),
        ("x = a and b", {"x = a or b", "x = (a or b)"}),
        ("x = min(a, b)", {"x = max(a, b)"}),
        ("x = f(a, b)", {"x = f(b, a)"}),
        ("x = f(a, 'b')", set()),
        (
            "x = Label(text, (x + 1.0, 2.0), 3.0)",
            {f"x = Label(text, (x + 1.0, 2.0), {height})" for height in (3.75, 1.5)},
        ),
        ("x = a[0]", {"x = a[1]", "x = a[-1]"}),
        ("x = 2.0", {"x = 2.5", "x = 1.0"}),
        ("x = 1e-9", set()),
        ("x += 1", {"pass", "x += 2", "x += 0"}),
        ("x = a.width_mm", {"x = a.length_mm"}),
        ("x = zip(a, b, strict=True)", set()),
        ("raise ValueError('a' + b)", {"pass"}),
        ("'a text'", set()),
        ("x = f'{a + b}'", set()),
        ("x: tuple[int, 3] = a", set()),
    ],
)
def test_what_is_made_of_a_line(line: str, expected: set[str]) -> None:
    found = afters(line + "\n")
    assert found <= expected and bool(found) == bool(expected)


def test_a_mutant_changes_its_line_and_no_other() -> None:
    source = "def f(a, b):\n    # first\n    if a > b:\n        return a - b\n    return 0\n"
    for mutant in mutants_of("m.py", source):
        changed = mutant.applied(source).split("\n")
        differing = [
            n
            for n, pair in enumerate(zip(source.split("\n"), changed, strict=True), 1)
            if pair[0] != pair[1]
        ]
        assert differing == [mutant.lineno]
        compile(mutant.applied(source), "m.py", "exec")


def test_the_sample_is_the_same_for_the_same_seed_and_takes_a_line_once() -> None:
    mutants = mutants_below(PROJECT, FOLDERS)
    first = sample(mutants, 200, 1)
    assert first == sample(list(reversed(mutants)), 200, 1) != sample(mutants, 200, 2)
    assert len({(mutant.path, mutant.lineno) for mutant in first}) == 200
    assert {mutant.path.split("/")[1] for mutant in first} == {f.split("/")[1] for f in FOLDERS}


def test_tests_that_run_the_line_come_first_and_the_quickest_of_them() -> None:
    seconds = {"a.py::one": 5.0, "a.py::two": 1.0, "a.py::three": 0.1, "b.py::four": 0.1}
    lines = {("m.py", 3): frozenset({"a.py::one", "a.py::two"})}
    touches = Touches(seconds, lines, {"m.py": frozenset(seconds)}, {})
    mutant = Mutant("m.py", 3, "x = 1", "x = 2", 4)
    assert touches.tests_for(mutant, "", 60.0) == ["a.py::two", "a.py::one", "a.py::three"]
    assert touches.tests_for(mutant, "", 2.0) == ["a.py::two"]
    constant = Mutant("m.py", 1, "LIMIT = 1", "LIMIT = 2", 8)
    users = touches.tests_for(constant, "LIMIT = 1\n\nx = LIMIT\n", 60.0)
    assert users == ["a.py::two", "a.py::one", "a.py::three"]


def test_every_known_equivalent_says_why() -> None:
    assert all(known.why.strip() for known in known_equivalents())


@pytest.mark.long
def test_known_equivalents_still_stand_in_the_code() -> None:
    """One that matches no line any more goes from the list."""
    mutants = mutants_below(PROJECT, FOLDERS)
    stale = [k for k in known_equivalents() if not any(k.matches(m) for m in mutants)]
    assert stale == []


@pytest.mark.long
def test_mutants_are_noticed() -> None:
    """A hundred and twenty by chance; known equivalents are not among them."""
    trials = try_all(chosen_mutants(120, 1), jobs=2)
    noticed = sum(trial.noticed for trial in trials)
    assert noticed >= ENOUGH * len(trials), summary(trials)
