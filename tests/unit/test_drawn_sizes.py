"""The floor and the walls that are drawn are those that a design file says, read by itself."""

from __future__ import annotations

import tomllib

import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.assembly import assemble
from fitcheck.pattern.counted import HAIR_MM
from fitcheck.pattern.drawn_sizes import floor_mm, wall_mm
from fitcheck.styles import style_of
from tests.cli.commands import ROOT

SHIPPED = sorted(p.stem for p in (ROOT / "models").glob("*.toml") if p.stem != "items")


def millimetres(length: object, unit: str) -> float:
    """A length of a file: a number, or a text such as "2 1/2 in"."""
    text, own = (str(length), unit)
    if text.endswith((" in", " mm")):
        text, own = text[:-3], text[-2:]
    whole = 0.0
    for part in text.split():
        over, _, under = part.partition("/")
        whole += float(over) / float(under or 1)
    return whole * (25.4 if own == "in" else 1.0)


@pytest.mark.parametrize("name", SHIPPED)
def test_what_is_drawn_is_what_the_file_says(name: str) -> None:
    path = ROOT / "models" / f"{name}.toml"
    file = tomllib.loads(path.read_text())
    for part in assemble(read_design(path)).parts:
        style, table = style_of(part.recipe.style), file.get(part.recipe.part, {})
        drawn, wall = floor_mm(part.pattern), wall_mm(part.pattern)
        if "floor" in table and style.draws_floor and drawn is not None:
            told = [millimetres(side, file["unit"]) for side in table["floor"]]
            assert drawn == pytest.approx(told, abs=1e-6)
        if "depth" in table and style.draws_depth and wall is not None:
            assert wall == pytest.approx(millimetres(table["depth"], file["unit"]), abs=HAIR_MM)
