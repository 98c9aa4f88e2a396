"""A copy of the project in a temporary folder: mutants live there and never in the working tree."""

from __future__ import annotations

import compileall
import os
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.util import cache_from_source
from pathlib import Path

from tests.mutation.operators import Mutant

COPIED = ("fitcheck", "tests", "models", "calibration", "pyproject.toml", "README.md")
TIMED_OUT = -1
PLUGINS = ("-p", "no:cacheprovider", "-p", "tests.mutation.no_shrinking")


@dataclass(frozen=True)
class Tree:
    """A copy that tests can run in."""

    root: Path

    @classmethod
    def copy(cls, project: Path, root: Path) -> Tree:
        """Copy what tests need and compile it, so that a mutant costs one module's reading."""
        for name in COPIED:
            source = project / name
            if source.is_dir():
                leave = shutil.ignore_patterns("__pycache__", ".*")
                shutil.copytree(source, root / name, ignore=leave)
            else:
                shutil.copy2(source, root / name)
        compileall.compile_dir(root / "fitcheck", quiet=2)
        return cls(root)

    @contextmanager
    def mutated(self, mutant: Mutant) -> Iterator[None]:
        """The copy with one line changed; put back afterwards."""
        file = self.root / mutant.path
        source = file.read_text(encoding="utf-8")
        # a compiled file is trusted by its second and its size, and a mutant may keep both
        Path(cache_from_source(str(file))).unlink(missing_ok=True)
        file.write_text(mutant.applied(source), encoding="utf-8")
        try:
            yield
        finally:
            file.write_text(source, encoding="utf-8")


def pytest_in(
    root: Path,
    options: list[str],
    tests: list[str],
    limit_s: float,
    environment: dict[str, str] | None = None,
) -> int:
    """Run tests in a copy: pytest's exit status, or TIMED_OUT."""
    variables = os.environ | {
        "CI": "true",
        "OMP_NUM_THREADS": "1",
        "OPENBLAS_NUM_THREADS": "1",
        "PYTHONDONTWRITEBYTECODE": "1",
        "PYTHONPATH": os.pathsep.join([str(root), *_extra_paths()]),
    }
    with tempfile.NamedTemporaryFile("w", suffix=".txt", encoding="utf-8") as names:
        names.write("\n".join(tests))
        names.flush()
        running = subprocess.Popen(
            [sys.executable, "-m", "pytest", "-x", "-q", *PLUGINS, *options, f"@{names.name}"],
            cwd=root,
            env=variables | (environment or {}),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        try:
            return running.wait(limit_s)
        except subprocess.TimeoutExpired:
            os.killpg(running.pid, signal.SIGKILL)
            running.wait()
            return TIMED_OUT


def _extra_paths() -> list[str]:
    """What stood on the path already, but for other copies of the project."""
    given = os.environ.get("PYTHONPATH", "").split(os.pathsep)
    return [path for path in given if path and not (Path(path) / "fitcheck").exists()]
