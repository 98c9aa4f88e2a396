"""Sizes that were given in millimetres are told back as they are, in an inch design too.

An inch is 25.4 mm (international yard and pound agreement, 1959); all else here is arithmetic.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from fitcheck.design.read import design_from
from fitcheck.fit.check import check
from fitcheck.outputs.new_text import new_text
from fitcheck.outputs.report.figures import figures_of
from fitcheck.proposals.wish import Sits, Wish
from fitcheck.units import Unit
from fitcheck.workspace.paths import search_roots
from tests.cli.commands import fitcheck

SOAP = """format = 1
title = "Soap"
unit = "in"
tools = "score-board-inch"

[base]
style = "tray"
stock = "cover-80"
floor = ["83 mm", "57.5 mm"]
depth = "3/4"
"""


@pytest.mark.parametrize(
    ("unit", "floor", "told"),
    [
        # 83 mm are 104.6 and 57.5 mm 72.4 thirty-seconds of an inch
        ("in", '["83 mm", "57.5 mm"]', ["3 9/32 in (83 mm)", "2 1/4 in (57.5 mm)"]),
        ("mm", "[83.2, 57.5]", ["83.2 mm (3 9/32 in)", "57.5 mm (2 1/4 in)"]),
        ("in", '["3 1/4", "2 1/4"]', ["3 1/4 in (82.6 mm)", "2 1/4 in (57.2 mm)"]),
    ],
)
def test_a_floor_is_told_as_it_was_typed(unit: str, floor: str, told: list[str]) -> None:
    text = SOAP.replace('"in"', f'"{unit}"').replace('["83 mm", "57.5 mm"]', floor)
    text = text if unit == "in" else text.replace('"3/4"', "19")
    design = design_from(tomllib.loads(text), "design", search_roots(), {}, name="soap")
    ((_, _, rows),) = figures_of(check(design)).parts
    (found,) = (row for row in rows if row.label.startswith("floor"))
    assert [figure.text for figure in found.figures] == told


def test_a_room_stands_in_the_new_file_as_it_was_typed() -> None:
    stock = {"base": "cover-80"}
    room = 83.0, 55.0, 25.0
    wish = Wish("soap", "tray", Unit.IN, "score-board-inch", stock, (), Sits.SLIDES, room)
    # 83, 55 and 25 mm are 104.6, 69.3 and 31.5 thirty-seconds of an inch
    told = "what takes 3 9/32 x 2 5/32 x 31/32 in (83 x 55 x 25 mm) at the most"
    assert told in " ".join(new_text(wish, {}).replace("\n# ", " ").split())


def test_a_room_that_is_too_large_is_read_back_as_it_was_typed(tmp_path: Path) -> None:
    ran = fitcheck(
        *("new", "huge", "--room", "900 x 800 x 20 mm", "--style", "tray"),
        *("--stock", "base=cover-80", "--tools", "score-board-inch"),
        cwd=tmp_path,
    )
    assert ran.status == 2 and "(900 x 800 x 20 mm)" in ran.err
