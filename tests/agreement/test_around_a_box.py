"""Ribbon, band, label and liner against what goes round the folded solids, measured apart."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.fit.assembly import Assembly, Part, assemble
from fitcheck.outputs.words import WORDS
from fitcheck.pattern.pattern import Role
from fitcheck.sheet.around import around_words
from fitcheck.sheet.instructions import instructions_for
from fitcheck.sheet.job import sheet_job
from tests.cli.commands import ROOT

INCH = 25.4


def folded(name: str) -> Assembly:
    return assemble(read_design(ROOT / "models" / f"{name}.toml"))


def girth_mm(assembly: Assembly, axis: int) -> float:
    """Round the closed box, square to an axis: the hull of what is seen along it.

    A lid rests on the base's rim, its inside upwards against it.
    """
    base = np.vstack([piece.vertices for piece in assembly.base.folded.pieces])
    points = [base]
    if assembly.lid is not None:
        lid = np.vstack([piece.vertices for piece in assembly.lid.folded.pieces])
        top = base[:, 2].max() + assembly.lid.recipe.stock.caliper_mm
        lid = lid * (1.0, -1.0, -1.0) + (0.0, 0.0, top)
        lid[:, :2] += 0.5 * (base[:, :2].max(0) + base[:, :2].min(0))
        lid[:, :2] -= 0.5 * (lid[:, :2].max(0) + lid[:, :2].min(0))
        points.append(lid)
    seen = np.delete(np.vstack(points), axis, axis=1)
    return float(shapely.MultiPoint(seen).convex_hull.length)


def lengths_mm(line: str) -> list[float]:
    """The millimetres in a line."""
    found = [
        number
        for group in re.findall(r"([\d. x]+) mm", line)
        for number in re.split(r" x ", group.strip())
    ]
    return [float(number) for number in found]


@pytest.mark.parametrize("name", ["harbour", "lantern", "rope", "picnic"])
def test_a_ribbon_goes_round_both_ways_and_leaves_enough_to_tie(name: str) -> None:
    assembly = folded(name)
    knot, bow = lengths_mm(around_words(assembly)[0])
    round_mm = girth_mm(assembly, 0) + girth_mm(assembly, 1)
    # a knot's ends 8 in, a bow 24 in: common practice, no source; rounded up to half an inch.
    # the hull cuts across rounded corners and never over the lid's rise, so that it is shorter
    assert 0.0 <= knot - round_mm - 8 * INCH <= 13.0 + 0.02 * round_mm
    assert 0.0 <= bow - round_mm - 24 * INCH <= 13.0 + 0.02 * round_mm


@pytest.mark.parametrize("name", ["harbour", "lantern"])
def test_labels_and_liners_lie_inside_their_faces(name: str) -> None:
    assembly = folded(name)
    lines = {line.partition(":")[0]: lengths_mm(line) for line in around_words(assembly)}
    assert assembly.lid is not None
    top = assembly.lid.pattern.outline(assembly.lid.pattern.panels[0], {})
    face = np.sort(np.ptp(top, axis=0))
    mat, label = (np.sort(lines[name][:2]) for name in ("mat for the lid's top", "label on it"))
    assert (face - mat > 2.0).all() and (face - mat < 6.0).all()
    assert (mat - label > 2.0).all() and (face - label < 12.0).all()
    # a wall's outside, from its own outline and the fold at its foot, at the least and at the most
    walls = [p for p in assembly.lid.pattern.panels if p.role is Role.WALL]
    spans = [np.sort(np.ptp(assembly.lid.pattern.outline(wall, {}), axis=0)) for wall in walls]
    for what, least, most in (
        ("mats for the lid's sides", 2.0, 6.0),
        ("strips on them", 5.0, 12.0),
    ):
        for k, size in enumerate(np.reshape(lines[what], (-1, 2))):
            less = sorted(spans, key=lambda span: span[1])[2 * k] - np.sort(size)
            assert (less > least).all() and (less < most).all(), (what, less)
    inside = np.sort(assembly.base.sizes.inside_mm)
    liner = np.sort(lines["liner for the floor"])
    assert (inside - liner > 1.0).all() and (inside - liner < 6.0).all()
    deep = assembly.base.sizes.depth_mm
    for k, (across, high) in enumerate(np.reshape(lines["liners for the walls inside"], (-1, 2))):
        assert 1.0 < assembly.base.sizes.inside_mm[k] - across < 6.0 and 1.0 < deep - high < 4.0


@pytest.mark.parametrize(("name", "most"), [("harbour", 14), ("rope", 14), ("lantern", 12)])
def test_a_whole_box_takes_few_steps(name: str, most: int) -> None:
    """A framed box with its lid at most fourteen, a tray with its lid twelve."""
    design = read_design(ROOT / "models" / f"{name}.toml")
    job = sheet_job(design, Paper.LETTER, (), 1, paged=False)
    told = [step for sheet in job.sheets for step in instructions_for(sheet.steps, design.unit)]
    assert len(told) + len(job.together) <= most
    assert job.together[0].text.startswith("Put the contents in")
    assert job.together[-1].text.startswith("Lower the lid over the base")


def sloping(part: Part) -> Part:
    """The part with a corner of its left wall's rim 10 mm nearer the foot, on its pattern alone."""
    pattern = part.pattern
    wall = pattern.panel("left wall")
    rim = min(wall.corners, key=lambda corner: pattern.sheet.place(corner, {}))
    lower = tuple(replace(at, dx=at.dx + 10.0) if at is rim else at for at in wall.corners)
    panels = tuple(replace(one, corners=lower) if one is wall else one for one in pattern.panels)
    return replace(part, pattern=replace(pattern, panels=panels))


def test_no_strip_is_told_for_walls_that_slope() -> None:
    """A strip is a rectangle (arithmetic); what lies on the floor and on the top is one as well."""
    whole = folded("lantern")
    assert whole.lid is not None
    told = around_words(replace(whole, parts=(sloping(whole.base), sloping(whole.lid))))
    kept = [line for line in around_words(whole) if line in told]
    left = [line.split(":")[0] for line in around_words(whole) if line not in told]
    assert left == ["mats for the lid's sides", "strips on them", "liners for the walls inside"]
    assert kept == list(told)


def test_liners_are_told_with_what_they_take_of_the_room() -> None:
    """Paper of 0.16 mm and tape of 0.10 mm (common practice, no source), at two walls."""
    found = around_words(assemble(read_design(ROOT / "models" / "lantern.toml")))
    told = [line for line in found if line.startswith("room: no check counts liners")]
    assert len(told) == 1 and any(line.startswith("liner") for line in found)
    assert (
        f"about {0.16 + 0.10:.2f} mm" in told[0] and f"take {2 * (0.16 + 0.10):.2f} mm" in told[0]
    )
    assert "No check counts it" in WORDS["liner"]
