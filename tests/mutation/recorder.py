"""A pytest plugin that writes down which test ran which line, and how long each test took.

Loaded with `-p tests.mutation.recorder`; the lines come from coverage's dynamic contexts.
"""

from __future__ import annotations

import json
import os
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import coverage
import pytest

IMPORTED = ""
"""Coverage's own name for what ran before any test: the import of the module."""

_root = Path.cwd()
_recorder = coverage.Coverage(data_file=None, source=os.environ["MUTATION_FOLDERS"].split(","))
_recorder.start()
_seconds: dict[str, float] = defaultdict(float)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """Name what runs after the test."""
    _recorder.switch_context(item.nodeid)
    outcome = yield
    _recorder.switch_context(IMPORTED)
    return outcome


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Add up set-up, call and tear-down."""
    _seconds[report.nodeid] += report.duration


def pytest_sessionfinish() -> None:
    """Write the record: seconds by test, and by file and line the tests that ran it."""
    _recorder.stop()
    data = _recorder.get_data()
    lines = {
        Path(file).relative_to(_root).as_posix(): {
            str(line): sorted(contexts) for line, contexts in data.contexts_by_lineno(file).items()
        }
        for file in sorted(data.measured_files())
    }
    record = {"seconds": _seconds, "lines": lines}
    Path(os.environ["MUTATION_RECORD"]).write_text(json.dumps(record), encoding="utf-8")
