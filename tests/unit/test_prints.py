"""Prints of papers: read from files, laid on the sheet at true size, carried to the picture."""

from __future__ import annotations

import math
import re
from importlib import resources
from pathlib import Path

import numpy as np
import pytest
import shapely

from fitcheck.design.read import read_design
from fitcheck.errors import InputError
from fitcheck.fit.assembly import assemble
from fitcheck.outputs.report.views.prints import (
    DARKER,
    INKED,
    PALER,
    PITCH_MM,
    onto_picture,
    print_ink,
    print_shapes,
)
from fitcheck.outputs.report.views.projection import camera
from fitcheck.outputs.report.views.scenes import tones_of
from fitcheck.outputs.report.views.solids import BASE, part_solids
from fitcheck.outputs.report.views.view import view
from fitcheck.workspace.colours import Print, rgb
from tests.cli.commands import fitcheck

MODELS = Path(__file__).resolve().parents[2] / "models"
PICNIC = (MODELS / "picnic.toml").read_text()
SQUARE = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]]) * PITCH_MM
"""Ten by ten of the print."""


def test_a_part_says_what_is_printed_on_it_or_its_paper_does(tmp_path: Path) -> None:
    path = tmp_path / "models" / "box.toml"
    path.parent.mkdir()
    path.write_text(PICNIC)
    design = read_design(path)
    assert design.lid is not None
    assert design.lid.stock.printed is Print.CHECK and design.base.stock.printed is None
    stock = (MODELS.parent / "calibration" / "stocks" / "cover-80.toml").read_text()
    own = tmp_path / "calibration" / "stocks" / "cover-80.toml"
    own.parent.mkdir(parents=True)
    own.write_text(re.sub(r"^kind", 'printed = "dots"\nkind', stock, flags=re.MULTILINE))
    design = read_design(path)
    assert design.lid is not None
    assert design.base.stock.printed is Print.DOTS, "the paper's"
    assert design.lid.stock.printed is Print.CHECK, "the part's goes before it"


def test_what_is_no_print_is_told_with_what_is(tmp_path: Path) -> None:
    path = tmp_path / "box.toml"
    path.write_text(PICNIC.replace('printed = "check"', 'printed = "stars"'))
    with pytest.raises(InputError, match=r"lid\.printed.*stars") as told:
        read_design(path)
    assert all(name in str(told.value) for name in ("dots", "stripes", "check"))


def covered(layers: list[shapely.Geometry]) -> list[float]:
    return [float(shapely.area(layer)) / (100.0 * PITCH_MM**2) for layer in layers]


def test_prints_cover_what_their_sizes_say() -> None:
    """Of ten by ten: dots of 2/5 of the pitch across, as 12-gons; stripes of 2/5; both ways."""
    dots = 12 * 0.5 * math.sin(math.tau / 12) * (0.5 * INKED) ** 2
    assert covered(print_shapes(Print.DOTS, SQUARE)) == pytest.approx([dots])
    assert covered(print_shapes(Print.STRIPES, SQUARE)) == pytest.approx([INKED])
    check = print_shapes(Print.CHECK, SQUARE)
    assert covered(check) == pytest.approx([INKED, INKED])
    crossed = shapely.area(shapely.intersection(*check)) / (100.0 * PITCH_MM**2)
    assert crossed == pytest.approx(INKED**2)


def test_a_print_goes_on_from_panel_to_panel_and_keeps_to_each() -> None:
    left, right = SQUARE * (0.37, 1.0), SQUARE * (0.63, 1.0) + (3.7 * PITCH_MM, 0.0)
    for printed in Print:
        halves = [print_shapes(printed, half) for half in (left, right)]
        for whole, a, b in zip(print_shapes(printed, SQUARE), *halves, strict=True):
            assert shapely.area(shapely.intersection(a, b)) < 1e-9
            both = shapely.union_all([a, b])
            assert shapely.area(shapely.symmetric_difference(both, whole)) < 1e-6


def test_a_print_is_seen_on_outsides_only_and_as_foreshortened_as_its_face() -> None:
    lid = read_design(MODELS / "picnic.toml").lid
    assembly = assemble(read_design(MODELS / "picnic.toml"))
    assert lid is not None and assembly.lid is not None
    solids = part_solids(assembly.lid.folded, np.eye(4), tones_of(lid.stock, BASE))
    printed = [face for solid in solids for face in solid.faces if face.printed is not None]
    plates = assembly.lid.folded.plates
    assert len(printed) == sum(len(plate.cells) for plate in plates), "one face of each cell"
    seen = camera()
    for face in printed:
        assert face.sheet is not None
        flat = seen.flat(face.corners)
        own = onto_picture(face, flat, shapely.Polygon(face.sheet))
        assert shapely.area(shapely.symmetric_difference(own, shapely.Polygon(flat))) < 1e-4
        sides = np.linalg.norm(np.roll(face.sheet, -1, axis=0) - face.sheet, axis=1)
        made = np.linalg.norm(np.roll(face.corners, -1, axis=0) - face.corners, axis=1)
        assert made == pytest.approx(sides), "at true size"
    marks = view("lid", "", "", solids).marks
    assert any('class="printed"' in mark for mark in marks)


def test_the_print_is_paler_than_a_deep_paper_and_darker_than_a_pale_one() -> None:
    assert print_ink(rgb("#7c2f3a")) == PALER
    assert print_ink(rgb("#f3ead6")) == DARKER


def test_the_turning_view_has_the_same_prints() -> None:
    page = resources.files("fitcheck.outputs.report") / "page"
    painting = (page / "painting.js").read_text(encoding="utf-8")
    assert f"#define PITCH {PITCH_MM}" in painting and f"#define INKED {INKED}" in painting
    names = re.search(r"PRINTS = \[(.+)\]", painting)
    assert names and [n.strip(' "') for n in names[1].split(",")] == [str(own) for own in Print]
    inks = (page / "inks.js").read_text(encoding="utf-8")
    said = re.search(r"> 0.5 \? \[(.+?)\] : \[(.+?)\]", inks)
    assert said is not None
    for numbers, (ink, cover) in zip(said.groups(), (DARKER, PALER), strict=True):
        values = [float(v) for v in numbers.split(",")]
        assert values == pytest.approx([*rgb(ink), cover], abs=2e-3)


def test_a_command_refuses_an_unknown_print(tmp_path: Path) -> None:
    path = tmp_path / "box.toml"
    path.write_text(PICNIC.replace('printed = "check"', "printed = 3"))
    ran = fitcheck("check", str(path), cwd=tmp_path)
    assert ran.status == 2 and "lid.printed" in ran.err
