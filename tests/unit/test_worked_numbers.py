"""The worked numbers in docstrings are run: each module that has some, by Python's own doctest."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

import fitcheck

PACKAGE = Path(fitcheck.__file__).parent
MODULES = sorted(
    ".".join(("fitcheck", *file.relative_to(PACKAGE).with_suffix("").parts))
    for file in PACKAGE.rglob("*.py")
    if ">>>" in file.read_text(encoding="utf-8")
)


@pytest.mark.parametrize("name", MODULES)
def test_worked_numbers_come_out(name: str) -> None:
    ran = doctest.testmod(importlib.import_module(name), optionflags=doctest.NORMALIZE_WHITESPACE)
    assert ran.attempted > 0 and ran.failed == 0
