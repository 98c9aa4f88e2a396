"""A sheet with its outside up is the sheet with its inside up, seen in a mirror, in every style.

The mirror is shapely's: the shipped designs, lopsided ones among them, are drawn either way and
compared as areas and lines.
"""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely
from shapely import affinity

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.drawing.shapes import LineKind
from fitcheck.errors import InputError
from fitcheck.fit.assembly import Part, assemble
from fitcheck.fit.check import check
from fitcheck.folding.fold import fold_all
from fitcheck.odds.found_inputs import inputs_of
from fitcheck.odds.inputs import Source
from fitcheck.outputs.table_text import table_csv, table_markdown
from fitcheck.pattern.bonds import Face
from fitcheck.pattern.laid import face_up, laid, turned_over
from fitcheck.pattern.plan import plan_of
from fitcheck.sheet.areas import glue_outlines, paper_of, waste_pieces
from fitcheck.sheet.job import sheet_job
from fitcheck.sheet.table import measurement_tables
from tests.cli.commands import ROOT

DESIGNS = sorted(path.stem for path in (ROOT / "models").glob("*.toml") if path.stem != "items")


def parts(name: str) -> list[Part]:
    return list(assemble(read_design(ROOT / "models" / f"{name}.toml")).parts)


@pytest.mark.parametrize("name", DESIGNS)
def test_every_panel_lies_where_a_mirror_shows_it(name: str) -> None:
    for part in parts(name):
        pattern, over = part.pattern, turned_over(part.pattern)
        width = pattern.sheet.width_mm
        assert (pattern.seen, over.seen) == (Face.INSIDE, Face.OUTSIDE)
        for panel, other in zip(pattern.panels, over.panels, strict=True):
            assert panel.name == other.name
            mirrored = affinity.scale(paper_of(pattern, panel), -1.0, 1.0, origin=(width / 2, 0.0))
            assert mirrored.symmetric_difference(paper_of(over, other)).area < 1e-6
            assert shapely.LinearRing(over.outline(other, {})).is_ccw
        for line, other_line in zip(pattern.lines, over.lines, strict=True):
            spots = pattern.score(line, {}) * (-1.0, 1.0) + (width, 0.0)
            assert over.score(other_line, {}) == pytest.approx(spots)
        assert turned_over(over) == pattern


@pytest.mark.parametrize("name", DESIGNS)
def test_the_plan_and_what_falls_off_are_mirrored_too(name: str) -> None:
    for part in parts(name):
        pattern, over = part.pattern, turned_over(part.pattern)
        one, other = plan_of(pattern), plan_of(over)
        assert len(one.scores) == len(other.scores) and len(one.cuts) == len(other.cuts)
        swap = {"left": "right", "right": "left", "top": "top", "bottom": "bottom"}
        mine = sorted((swap[s.fence.value], round(s.at_mm, 6), s.outer) for s in one.scores)
        assert mine == sorted((s.fence.value, round(s.at_mm, 6), s.outer) for s in other.scores)
        areas = [sorted(p.area.area for p in waste_pieces(own)) for own in (pattern, over)]
        assert areas[0] == pytest.approx(areas[1])


def test_adhesive_on_the_outside_is_on_this_face_when_the_outside_is_up() -> None:
    (base, _) = parts("lantern")
    kinds = [
        {stroke.kind for stroke in glue_outlines(own)}
        for own in (base.pattern, turned_over(base.pattern))
    ]
    assert kinds == [{LineKind.GLUE}, {LineKind.GLUE_HERE}]


def test_a_pattern_that_is_seen_from_outside_is_not_folded() -> None:
    (base, _) = parts("lantern")
    with pytest.raises(ValueError, match="seen on its inside"):
        fold_all(turned_over(base.pattern), [])


@pytest.mark.parametrize("name", DESIGNS)
def test_most_scores_are_pressed_on_the_face_that_is_up(name: str) -> None:
    """Folds that go up are pressed outside, by the guidance that paper folds towards the bead."""
    for part in parts(name):
        ups = sum(line.angle_rad > 0.0 for line in part.pattern.lines)
        outside = face_up(part.pattern, "outside") is Face.OUTSIDE
        assert outside == (2 * ups >= len(part.pattern.lines))
        if part.pattern.lines and 2 * ups != len(part.pattern.lines):
            assert face_up(part.pattern, "inside") is not face_up(part.pattern, "outside")


def with_tools(tmp_path: Path, design: str, face: str) -> Path:
    """A workshop whose tools press one face, with a shipped design."""
    tools = tmp_path / "calibration" / "tools"
    tools.mkdir(parents=True)
    text = (ROOT / "calibration" / "tools" / "score-board-metric.toml").read_text()
    (tools / "mine.toml").write_text(f'{text}score_face = "{face}"\n')
    models = tmp_path / "models"
    models.mkdir()
    old = (ROOT / "models" / f"{design}.toml").read_text().splitlines()
    kept = [line for line in old if not line.startswith(("tools", "format"))]
    (models / f"{design}.toml").write_text("\n".join(['format = 1\ntools = "mine"', *kept]))
    return models / f"{design}.toml"


def test_odds_name_the_fences_as_the_steps_do(tmp_path: Path) -> None:
    """The sleeve's seam flap lies at the left of the inside, so at the right of the outside."""
    for face, fence in (("inside", "left"), ("outside", "right")):
        path = with_tools(tmp_path / face, "tea", face)
        assembly = assemble(read_design(path))
        scores = [
            one.name
            for one in inputs_of(assembly)
            if one.source is Source.SCORE and one.parts == ("sleeve",)
        ]
        assert scores and all(name.endswith(f"from the {fence} fence") for name in scores)
        sleeve = assembly.part("sleeve")
        assert sleeve is not None
        plan = plan_of(laid(sleeve.pattern, face))
        assert {score.fence.value for score in plan.scores} == {fence}


def test_tools_press_the_outside_or_the_inside_and_nothing_else(tmp_path: Path) -> None:
    path = with_tools(tmp_path / "good", "lantern", "inside")
    assert read_design(path).tools.score_face == "inside"
    with pytest.raises(InputError, match="score_face"):
        read_design(with_tools(tmp_path / "bad", "lantern", "both"))


def test_a_paper_that_was_learnt_on_the_other_face_is_said(tmp_path: Path) -> None:
    for face, said in (("outside", False), ("inside", True)):
        path = with_tools(tmp_path / face, "lantern", face)
        stocks = path.parent.parent / "calibration" / "stocks"
        stocks.mkdir()
        old = (ROOT / "calibration" / "stocks" / "cover-80.toml").read_text()
        learnt = (
            '[learnt]\ntools = "mine"\nscore_u_mm = 0.1\nfence_u_mm = 0.05\njoint_mm = 0.1\n'
            'joint_u_mm = 0.03\nsetback_mm = 0.0\ntolerance_mm = 0.02\nscore_face = "outside"\n'
        )
        allowance = "crease_allowance_mm = 0.15\ncrease_allowance_u_mm = 0.02\n"
        kept = [line for line in old.splitlines() if not line.startswith("crease_allowance")]
        (stocks / "cover-80.toml").write_text(allowance + "\n".join(kept) + "\n" + learnt)
        codes = [found.code for found in check(read_design(path)).findings]
        assert ("scored-otherwise" in codes) is said


@pytest.mark.parametrize("unread", ["along", "across", None])
def test_a_direction_that_nobody_folded_is_said(tmp_path: Path, unread: str | None) -> None:
    """A paper learnt from half of its coupon is still judged by a rule, and that has to be said."""
    path = with_tools(tmp_path, "lantern", "outside")
    stocks = path.parent.parent / "calibration" / "stocks"
    stocks.mkdir()
    old = (ROOT / "calibration" / "stocks" / "cover-80.toml").read_text()
    grain = "along_mm = 0.15, along_u_mm = 0.02, across_mm = 0.13, across_u_mm = 0.03"
    grain += "" if unread is None else f', not_measured = "{unread}"'
    allowance = "crease_allowance_mm = 0.14\ncrease_allowance_u_mm = 0.03\n"
    allowance += f"crease_allowance_by_grain = {{{grain}}}\n"
    kept = [line for line in old.splitlines() if not line.startswith("crease_allowance")]
    (stocks / "cover-80.toml").write_text(allowance + "\n".join(kept) + "\n")
    told = [
        found.message
        for found in check(read_design(path)).findings
        if found.code == "crease-not-measured" and found.message.startswith("cover-80:")
    ]
    assert len(told) == (0 if unread is None else 1)
    if told:
        assert f"creases {unread} the grain were not measured" in told[0]
        assert ("0.15 mm" if unread == "along" else "0.13 mm") in told[0]


HALF_CUT = """\
format = 1
title  = "Half cut hinge"
unit   = "mm"
tools  = "mine"
[base]
style  = "hinged-tray"
stock  = "cardstock-270"
floor  = [90, 60]
depth  = 22
lip    = 12
hinge  = "half cut"
"""


def test_a_half_cut_is_a_line_of_its_own_on_the_face_that_it_is_made_on(tmp_path: Path) -> None:
    """Outside the fold, whatever face the maker presses: drawn, listed and told alike."""
    for face, kind, made in (
        ("outside", LineKind.HALF_CUT, "cut half through |"),
        ("inside", LineKind.HALF_CUT_OVER, "cut half through, on the other face |"),
    ):
        path = with_tools(tmp_path / face, "lantern", face).with_name("hinge.toml")
        path.write_text(HALF_CUT)
        design = read_design(path)
        job = sheet_job(design, Paper.A4, (), 1)
        strokes = job.sheets[0].drawing.strokes
        drawn = [s for s in strokes if s.kind is kind and not s.sample]
        assert len(drawn) == 1
        (x0, y0), (x1, y1) = drawn[0].points
        assert abs(y1 - y0) < 1e-9 and abs(x1 - x0) > 80.0
        table = table_markdown(design, measurement_tables(job))
        assert table.count(made) == 1
        assert "half cut" in table_csv(measurement_tables(job))
