"""Whoever writes a style or a kind finds every type that a signature asks for in one place."""

from __future__ import annotations

import dataclasses
import inspect
import typing
from collections.abc import Iterator

import numpy as np
import pytest
from numpy.typing import NDArray

import fitcheck.extending
from fitcheck.extending import Kind, Stock, Style, Tools
from fitcheck.pattern import pattern

OFFERED = {getattr(fitcheck.extending, name) for name in fitcheck.extending.__all__
           if name != "STRICT"}  # fmt: skip
OURS_TO_CALL = {"Boundary", "Crossing", "Layer", "Motion"}
"""What only the program asks of a value that a style gives, or makes itself, as a second flap."""


@pytest.fixture(autouse=True)
def arrays(monkeypatch: pytest.MonkeyPatch) -> None:
    """Modules name arrays for type checkers alone."""
    monkeypatch.setattr(pattern, "Points", NDArray[np.float64], raising=False)


def types_in(hint: object) -> Iterator[type]:
    """The classes of the program in a hint."""
    for inner in typing.get_args(hint):
        yield from types_in(inner)
    if inspect.isclass(hint) and hint.__module__.startswith("fitcheck."):
        yield hint


def hints_of(thing: type) -> Iterator[object]:
    """What a class asks for: its fields, and what its public methods take and give."""
    if dataclasses.is_dataclass(thing):
        yield from typing.get_type_hints(thing).values()
    for name, member in vars(thing).items():
        own = member.__func__ if isinstance(member, classmethod) else member
        if inspect.isfunction(own) and not name.startswith("_"):
            yield from typing.get_type_hints(own).values()


def test_every_type_in_a_signature_is_offered() -> None:
    """Papers and tools are handed to a writer and not made by one."""
    asked = {
        one.__name__
        for thing in OFFERED
        if inspect.isclass(thing) and thing not in (Stock, Tools)
        for hint in hints_of(thing)
        for one in types_in(hint)
        if one not in OFFERED
    }
    assert asked == OURS_TO_CALL


def test_names_are_sorted_and_there() -> None:
    names = fitcheck.extending.__all__
    assert list(names) == sorted(names, key=lambda name: (not name.isupper(), name.islower(), name))
    for name in ("Bond", "CreaseKind", "Cutout", "CutoutKind", "Face", "InputError", "Stock",
                 "Tools", "Unit"):  # fmt: skip
        assert hasattr(fitcheck.extending, name)


@pytest.mark.parametrize(
    ("base", "needed"),
    [
        (Style, ("name", "summary", "places", "file", "sizes")),
        (Kind, ("name", "summary", "sizes")),
    ],
)
def test_what_has_to_be_named_is_said(base: type, needed: tuple[str, ...]) -> None:
    """The very names without which a registered value is refused."""
    told = inspect.getdoc(base) or ""
    assert [name for name in needed if f"`{name}`" not in told] == []
