"""What a step names is on the drawing of its part, by that name and where the piece lies.

A name stands on its piece, in one line or in two, or beside the sheet at the end of a line whose
other end lies on the piece. Where pieces lie is read from their outlines, by a geometry library;
what the steps name from their words. Told together, and so by no name of their own, are tabs marked
by an x, and what a step calls by its kind alone (the walls, each flap, its frame, the rim).

The boxes of a few centimetres are invented; a hand reads letters of 1.5 mm (common practice, no
source).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import shapely

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.drawing.shapes import Drawing, Label, LineKind
from fitcheck.pattern.pattern import Panel
from fitcheck.sheet.job import PartSheet, sheet_job
from fitcheck.workspace.paths import shipped_workspace
from tests.cli.commands import ROOT

FILES = [
    *sorted(path for path in (ROOT / "models").glob("*.toml") if path.stem != "items"),
    *sorted((ROOT / "tests" / "designs").glob("*.toml")),
]
HEAD = 'format = 1\ntitle = "Wren box"\nunit = "mm"\n[base]\nstock = "cover-80"\n'
SMALL_TRAY = 'style = "tray"\nfloor = [30, 40]\ndepth = 12\n'
SMALL = {
    "tray": SMALL_TRAY,
    "folded corners": SMALL_TRAY + 'corner = "folded"\n',
    "larger folded corners": 'style = "tray"\nfloor = [60, 80]\ndepth = 24\ncorner = "folded"\n',
    "platform": SMALL_TRAY
    + '[insert]\nstyle = "platform"\nstock = "cover-80"\nease = 1\nheight = 6\nwindow = [9, 14]\n',
    "mat": SMALL_TRAY + '[insert]\nstyle = "mat"\nstock = "cover-80"\nease = 1\nwindow = [9, 14]\n',
    "collar": SMALL_TRAY
    + '[collar]\nstyle = "collar"\nstock = "cover-80"\nease = [1.6, 1.6]\nrise = 8\n',
    "dividers": SMALL_TRAY
    + '[dividers]\nstyle = "dividers"\nstock = "cover-80"\nrows = 3\ncolumns = 2\nease = 1\n',
    "frame": 'style = "shadow-box"\nfloor = [30, 40]\ndepth = 12\nframe = 6\nflap = 3\n',
    "tuck end": 'style = "tuck-end"\nfloor = [30, 14]\ndepth = 40\n',
    "hinged": 'style = "hinged-tray"\nfloor = [30, 40]\ndepth = 12\nlip = 7\nfront = "in"\n',
}
KINDS = "wall|flap|frame|rim|leg|side|lid|lip|floor|top|tab|strip|corner|mat"
SIDES = "left|right|front|back"
NAMED = re.compile(rf"\b((?:{SIDES})(?: \w+)? (?:{KINDS})(?:'s (?:corner|tab), (?:{SIDES}))?)\b")
EDGE = re.compile(r"\b(left|right|top|bottom) edge\b")
READ_MM = 1.5


@pytest.fixture(params=[*FILES, *SMALL], ids=lambda own: getattr(own, "stem", own))
def sheets(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[PartSheet, ...]:
    if isinstance(request.param, Path):
        return sheet_job(read_design(request.param), Paper.A4, (), 1).sheets
    path = tmp_path / "small.toml"
    path.write_text(HEAD + SMALL[request.param])
    design = read_design(path, roots=(tmp_path, shipped_workspace()))
    return sheet_job(design, Paper.A4, (), 1).sheets


def sheet_area(drawing: Drawing) -> shapely.Polygon:
    """Where the sheet lies on its drawing: all that is cut is on it."""
    cuts = [stroke.points for stroke in drawing.strokes if stroke.kind is LineKind.CUT]
    found = shapely.box(*shapely.MultiPoint([at for points in cuts for at in points]).bounds)
    assert isinstance(found, shapely.Polygon)
    return found


def area_of(sheet: PartSheet, panel: Panel) -> shapely.Polygon:
    left, bottom, _, _ = sheet_area(sheet.drawing).bounds
    outer = sheet.pattern.boundary(panel).polygons(sheet.pattern.sheet)[0]
    return shapely.Polygon([(x + left, y + bottom) for x, y in outer])


def box_of(label: Label) -> shapely.Polygon:
    box = label.box
    found = shapely.box(box.left, box.bottom, box.right, box.top)
    assert isinstance(found, shapely.Polygon)
    return found


def names_at(sheet: PartSheet, area: shapely.Polygon) -> Iterator[str]:
    """What is written on a piece, lines that stand together as one too, and what is led to it."""
    drawing, whole = sheet.drawing, sheet_area(sheet.drawing)
    on_it = [label for label in drawing.labels if area.buffer(1e-6).covers(box_of(label))]
    yield from (label.text for label in on_it)
    for one in on_it:
        for other in on_it:
            way = (other.at[0] - one.at[0]) if one.upright else (one.at[1] - other.at[1])
            along = (other.at[1] - one.at[1]) if one.upright else (one.at[0] - other.at[0])
            if 0.0 < way < 1.5 * one.height_mm and abs(along) < 1e-6:
                yield f"{one.text} {other.text}"
    for stroke in drawing.strokes:
        ends = [shapely.Point(at) for at in stroke.points]
        if stroke.kind is not LineKind.THIN or len(ends) != 2:
            continue
        for foot, tip in (ends, ends[::-1]):
            if area.contains(foot) and not whole.intersects(tip):
                for label in drawing.labels:
                    if box_of(label).distance(tip) < 1.0 and not box_of(label).intersects(whole):
                        yield label.text


def is_named(sheet: PartSheet, panel: Panel) -> bool:
    found = set(names_at(sheet, area_of(sheet, panel)))
    by_name = {panel.name, f"this is the {panel.name}", f"x {panel.name}"}
    marked = {"x", "x tab"} if "tab" in panel.name else set[str]()
    return bool(found & (by_name | marked))


def words_of(sheet: PartSheet) -> str:
    lines = [line for told in sheet.instructions for line in (told.text, *told.details)]
    return "\n".join(lines)


def test_every_piece_has_its_name_on_it_or_led_to_it(sheets: tuple[PartSheet, ...]) -> None:
    for sheet in sheets:
        assert [p.name for p in sheet.pattern.panels if not is_named(sheet, p)] == [], sheet.name
        assert min(label.height_mm for label in sheet.drawing.labels) >= READ_MM


def test_what_steps_name_is_written_as_they_name_it(sheets: tuple[PartSheet, ...]) -> None:
    """Sides, and tabs and corners of sides, which lie at different places of the sheet."""
    for sheet in sheets:
        names = {panel.name for panel in sheet.pattern.panels}
        told = set(NAMED.findall(words_of(sheet))) & names
        told |= {name for name in names if f"the {name}'s " in words_of(sheet)}
        for name in told:
            (panel,) = [one for one in sheet.pattern.panels if one.name == name]
            written = set(names_at(sheet, area_of(sheet, panel)))
            assert written & {name, f"x {name}", f"this is the {name}"}, (sheet.name, name)


def test_edges_that_steps_name_are_named_beside_the_sheet(sheets: tuple[PartSheet, ...]) -> None:
    """A length inside a panel would be read as that panel's."""
    for sheet in sheets:
        whole = sheet_area(sheet.drawing)
        left, bottom, right, top = whole.bounds
        assert set(EDGE.findall(words_of(sheet))) <= {"left", "right", "top", "bottom"}
        for name, at in (("left", left), ("right", right), ("bottom", bottom), ("top", top)):
            (label,) = [x for x in sheet.drawing.labels if x.text.startswith(f"{name} edge, ")]
            box = box_of(label)
            assert not box.intersects(whole), label.text
            near = {"left": box.bounds[2], "right": box.bounds[0]}
            near |= {"bottom": box.bounds[3], "top": box.bounds[1]}
            assert abs(near[name] - at) < 12.0


@pytest.mark.parametrize("name", ["mat", "dividers"])
def test_what_is_never_folded_lies_with_either_face_up(tmp_path: Path, name: str) -> None:
    """A flat piece has no outside, and no walls to be named."""
    path = tmp_path / "small.toml"
    path.write_text(HEAD + SMALL[name])
    design = read_design(path, roots=(tmp_path, shipped_workspace()))
    flat = [one for one in sheet_job(design, Paper.A4, (), 1).sheets if one.name != "base"]
    assert flat
    for sheet in flat:
        texts = {label.text for label in sheet.drawing.labels}
        assert f"{sheet.name}: either face up" in texts
        assert not any("outside" in text or "walls" in text for text in texts)
        assert "with either face up" in sheet.instructions[0].text


def test_walls_are_named_as_they_stand_just_where_the_steps_say_so(
    sheets: tuple[PartSheet, ...],
) -> None:
    for sheet in sheets:
        drawn = any(x.text == "walls are named as they stand" for x in sheet.drawing.labels)
        assert drawn == ("Walls are named as they stand" in sheet.instructions[0].text)


def test_lines_about_the_part_keep_off_what_is_cut_out(tmp_path: Path) -> None:
    """They stood against the window's edge, with room to spare."""
    path = tmp_path / "mat.toml"
    path.write_text(
        HEAD
        + 'style = "tray"\nfloor = [90, 120]\ndepth = 30\n[insert]\nstyle = "mat"\n'
        + 'stock = "cover-80"\nease = 1\nwindow = [45, 60]\n'
    )
    design = read_design(path, roots=(tmp_path, shipped_workspace()))
    (mat,) = [one for one in sheet_job(design, Paper.A4, (), 1).sheets if one.name == "insert"]
    lines = shapely.union_all(
        [shapely.LineString(s) for stroke in mat.drawing.strokes for s in stroke.segments()]
    )
    block = ("Wren box", "insert: either face up", "this is the mat", "stock cover-80")
    found = [label for label in mat.drawing.labels if label.text in block]
    assert len(found) == len(block)
    assert min(box_of(label).distance(lines) for label in found) >= 2.0


def test_a_sheet_as_wide_as_the_page_keeps_its_edges_names_inside() -> None:
    """Beside it they would cost a second page; there they say that they are the sheet's."""
    path = ROOT / "models" / "rope.toml"
    base = sheet_job(read_design(path), Paper.LETTER, (), 1).sheets[0]
    (page,) = base.pages
    assert {"sheet's left edge", "sheet's right edge"} <= {
        label.text.partition(",")[0] for label in page.labels
    }
