"""Which tests run which line: recorded once for each test module, kept until the code changes."""

from __future__ import annotations

import ast
import hashlib
import importlib.util
import json
from collections import defaultdict
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from tests.mutation.operators import Mutant
from tests.mutation.tree import Tree, pytest_in

FOLDERS = tuple(
    f"fitcheck/{name}" for name in ("folding", "fit", "odds", "learn", "packing", "sheet")
)
TESTS = ("tests/unit", "tests/agreement", "tests/published")
"""Tests that run in their own process only (the command line, the browser) are left out."""


@dataclass(frozen=True)
class Touches:
    """The record of all test modules."""

    seconds: dict[str, float]
    """By test."""
    lines: dict[tuple[str, int], frozenset[str]]
    """The tests by the file and line that they run."""
    importers: dict[str, frozenset[str]]
    """The tests that run anything of a file."""
    collected: dict[tuple[str, int], frozenset[str]]
    """The test modules that run a line before any test: when imported or for their parameters."""

    def tests_for(self, mutant: Mutant, source: str, budget_s: float) -> list[str]:
        """The tests worth running, the most telling first, adding up to some seconds.

        First those that run the line, the quickest ahead; then, as what a fixture or a cache
        computes is booked to the first test that asks for it, the others of the same modules.
        """
        here = mutant.path, mutant.lineno
        direct = self.lines.get(here, frozenset())
        if _in_a_function(source, mutant.lineno):
            modules = self.collected.get(here, frozenset())
            direct |= {test for test in self.seconds if _module(test) in modules}
        elif not direct:
            direct = self._through_a_name(mutant, source)
        modules = {_module(test) for test in direct}
        beside = [test for test in self.seconds if _module(test) in modules and test not in direct]
        chosen: list[str] = []
        spent = 0.0
        for group in (sorted(direct, key=self._cost), sorted(beside, key=self._cost)):
            for test in group:
                spent += self.seconds[test]
                if spent > budget_s and chosen:
                    return chosen
                chosen.append(test)
        return chosen

    def expected_s(self, tests: list[str]) -> float:
        """How long they took when they were recorded."""
        return sum(self.seconds[test] for test in tests)

    def _cost(self, test: str) -> tuple[float, str]:
        return self.seconds[test], test

    def _through_a_name(self, mutant: Mutant, source: str) -> frozenset[str]:
        """The tests of lines that use a module's constant, or else all that use its file."""
        name = mutant.before.split("=")[0].split(":")[0].strip()
        users: set[str] = set()
        for number, line in enumerate(source.split("\n"), start=1):
            if name.isidentifier() and name in line:
                users |= self.lines.get((mutant.path, number), frozenset())
        return frozenset(users) or self.importers.get(mutant.path, frozenset())


def record(tree: Tree, keep: Path, jobs: int) -> Touches:
    """Record what is not yet known of a copy; the rest is read from `keep`, a folder of our own."""
    if importlib.util.find_spec("coverage") is None:
        raise ModuleNotFoundError("coverage is not installed: pip install -e '.[test]'")
    keep.mkdir(parents=True, exist_ok=True)
    root = tree.root
    common = _digest(sorted((root / "fitcheck").rglob("*.py")) + sorted(root.glob("tests/*.py")))
    modules = sorted(file for folder in TESTS for file in (root / folder).glob("test_*.py"))
    paths = {file: keep / f"{file.stem}-{_digest([file], common)}.json" for file in modules}
    missing = [file for file, path in paths.items() if not path.exists()]
    with ThreadPoolExecutor(jobs) as pool:
        names = [file.relative_to(root).as_posix() for file in missing]
        list(pool.map(_record_one, [tree] * len(missing), names, [paths[f] for f in missing]))
    return _joined([json.loads(p.read_text("utf-8")) for p in paths.values() if p.exists()])


def _record_one(tree: Tree, module: str, path: Path) -> None:
    environment = {
        "MUTATION_FOLDERS": ",".join(str(tree.root / folder) for folder in FOLDERS),
        "MUTATION_RECORD": str(path),
    }
    status = pytest_in(tree.root, ["-p", "tests.mutation.recorder"], [module], 3600.0, environment)
    if status != 0:
        path.unlink(missing_ok=True)
        print(f"not used, as it fails without any mutant: {module}", flush=True)


def _joined(records: list[dict[str, dict[str, dict[str, list[str]]]]]) -> Touches:
    seconds: dict[str, float] = {}
    lines: dict[tuple[str, int], set[str]] = defaultdict(set)
    importers: dict[str, set[str]] = defaultdict(set)
    collected: dict[tuple[str, int], set[str]] = defaultdict(set)
    for one in records:
        modules = {_module(test) for test in one["seconds"]}
        seconds.update(one["seconds"])  # type: ignore[arg-type]
        for file, by_line in one["lines"].items():
            for line, tests in by_line.items():
                named = {test for test in tests if test}
                lines[file, int(line)] |= named
                collected[file, int(line)] |= modules if len(named) < len(tests) else set()
                importers[file] |= named
    return Touches(
        seconds,
        {key: frozenset(tests) for key, tests in lines.items()},
        {file: frozenset(tests) for file, tests in importers.items()},
        {key: frozenset(modules) for key, modules in collected.items()},
    )


def _in_a_function(source: str, lineno: int) -> bool:
    """Whether a line is of a function's body, so that importing alone does not run it."""
    return any(
        isinstance(node, ast.FunctionDef | ast.Lambda)
        and node.lineno <= lineno <= (node.end_lineno or 0)
        and not (isinstance(node, ast.FunctionDef) and lineno < node.body[0].lineno)
        for node in ast.walk(ast.parse(source))
    )


def _module(test: str) -> str:
    return test.split("::", maxsplit=1)[0]


def _digest(files: list[Path], start: str = "") -> str:
    whole = hashlib.sha256(start.encode())
    for file in files:
        whole.update(file.read_bytes())
    return whole.hexdigest()[:20]
