"""Readers that are not ours find the same lines, sizes and texts in the three formats."""

from __future__ import annotations

import io
from collections.abc import Iterable
from dataclasses import fields

import ezdxf
import numpy as np
import pytest
import shapely

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import PAPER_SIZES, Paper
from fitcheck.drawing.pages import Page, lay_on_pages
from fitcheck.drawing.pens import PENS
from fitcheck.drawing.shapes import Drawing, LineKind
from fitcheck.fit.assembly import Part, assemble
from fitcheck.folding.fold import fold
from fitcheck.folding.measure import measure
from fitcheck.outputs.write_dxf import dxf_file
from fitcheck.outputs.write_pdf import pdf_file
from fitcheck.outputs.write_svg import svg_page
from fitcheck.pattern.creases import CreaseLine
from fitcheck.pattern.pattern import Panel, Pattern
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import Corner, Fence, Rule, Sheet
from fitcheck.sheet.job import sheet_job
from fitcheck.sheet.part_drawing import DrawnPart, draw_part
from fitcheck.units import Unit
from fitcheck.workspace.paths import shipped_workspace
from tests.readers import Segment, dxf_header, dxf_lines, read_pdf, read_svg

NAMES = ("harbour", "lantern", "rope")
SAME_MM = 0.01
KINDS = ("cut", "score", "glue")
NASTY = "Ä & <b> \"q\" 'a' %%d ^I 港 / .. \\ | * % \u2014"


def parts_of(name: str) -> tuple[tuple[Part, ...], Unit]:
    design = read_design(shipped_workspace() / "models" / f"{name}.toml")
    return assemble(design).parts, design.unit


def drawn(part: Part, unit: Unit, title: str) -> Drawing:
    stock = part.recipe.stock.name
    plan = plan_of(part.pattern)
    return draw_part(DrawnPart(title, part.pattern, plan, unit, stock, score_face="inside"))


@pytest.fixture(scope="module")
def drawings() -> dict[str, Drawing]:
    return {
        f"{name} {part.recipe.part}": drawn(part, unit, f"{name} {NASTY}")
        for name in NAMES
        for parts, unit in [parts_of(name)]
        for part in parts
    }


EVERY = [f"{name} {part}" for name in NAMES for part in ("base", "lid")]


def ordered(segments: Iterable[Segment]) -> np.ndarray:
    """Segments as rows (x, y, x, y), each and all in order, rounded to see a hundredth."""
    rows = sorted(
        tuple(round(v, 4) + 0.0 for end in sorted(segment) for v in end) for segment in segments
    )
    return np.array(rows)


def covered(segments: Iterable[Segment]) -> shapely.Geometry:
    return shapely.union_all([shapely.LineString(segment) for segment in segments])


def same_lines(one: list[Segment], two: list[Segment]) -> bool:
    """Whether all of either lies within the allowance of the other."""
    a, b = covered(one), covered(two)
    return a.difference(b.buffer(SAME_MM)).is_empty and b.difference(a.buffer(SAME_MM)).is_empty


def on_drawing(page: Page, segments: list[Segment]) -> list[Segment]:
    """From the page back to the drawing, the legend at the foot left out."""
    foot = page.window.bottom + page.offset[1] - 0.01
    return [
        tuple((x - page.offset[0], y - page.offset[1]) for x, y in segment)
        for segment in segments
        if min(y for _, y in segment) >= foot
    ]


@pytest.mark.parametrize("name", EVERY)
@pytest.mark.parametrize("paper", [Paper.A3, Paper.LETTER])
def test_the_same_lines_in_all_three(drawings: dict[str, Drawing], name: str, paper: Paper) -> None:
    drawing = drawings[name]
    dxf = dxf_lines(dxf_file(drawing))
    pages = lay_on_pages(drawing, paper)
    svg: dict[str, list[Segment]] = {kind: [] for kind in KINDS}
    pdf: dict[str, list[Segment]] = {kind: [] for kind in KINDS}
    read = read_pdf(pdf_file("x", pages))
    for page, seen in zip(pages, read, strict=True):
        again = read_svg(svg_page(page))
        for kind in KINDS:
            svg[kind] += on_drawing(page, again.lines.get(kind, []))
            pdf[kind] += on_drawing(page, seen.lines.get(kind, []))
    for kind in KINDS:
        wanted = dxf[kind.upper()]
        assert len(wanted) > 3
        assert same_lines(svg[kind], wanted)
        assert same_lines(pdf[kind], wanted)
        if len(pages) == 1:
            found = ordered(svg[kind]), ordered(pdf[kind]), ordered(wanted)
            assert found[0].shape == found[1].shape == found[2].shape


@pytest.mark.parametrize("name", EVERY)
@pytest.mark.parametrize("paper", [Paper.A3, Paper.LETTER])
def test_a_machine_that_cuts_the_cut_group_cuts_the_part_and_nothing_else(
    drawings: dict[str, Drawing], name: str, paper: Paper
) -> None:
    """Every line of the groups cut, score and glue, none left out, lies on the DXF's."""
    wanted = dxf_lines(dxf_file(drawings[name]))
    for page in lay_on_pages(drawings[name], paper):
        groups = read_svg(svg_page(page)).lines
        for kind in KINDS:
            dx, dy = page.offset
            lines = [
                tuple((x - dx, y - dy) for x, y in segment) for segment in groups.get(kind, [])
            ]
            if lines:
                beside = covered(lines).difference(covered(wanted[kind.upper()]).buffer(SAME_MM))
                assert beside.is_empty, f"{kind}: {beside}"
        samples = covered(groups["legend"]).bounds
        assert samples[3] < page.window.bottom + page.offset[1], "the legend is shown, at the foot"


@pytest.mark.parametrize("paper", Paper)
def test_pages_have_their_papers_size_to_a_hundredth(
    drawings: dict[str, Drawing], paper: Paper
) -> None:
    size = PAPER_SIZES[paper]
    allowed = [(size.width_mm, size.height_mm), (size.height_mm, size.width_mm)]
    for drawing in drawings.values():
        pages = lay_on_pages(drawing, paper)
        for page, seen in zip(pages, read_pdf(pdf_file("x", pages)), strict=True):
            again = read_svg(svg_page(page))
            assert any(np.allclose(seen.size_mm, a, rtol=0, atol=SAME_MM) for a in allowed)
            assert np.allclose(again.size_mm, seen.size_mm, rtol=0, atol=SAME_MM)


@pytest.mark.parametrize("name", EVERY)
def test_every_page_has_both_check_bars_at_their_length(
    drawings: dict[str, Drawing], name: str
) -> None:
    pages = lay_on_pages(drawings[name], Paper.LETTER)
    for page, seen in zip(pages, read_pdf(pdf_file("x", pages)), strict=True):
        lengths = [abs(a[0] - b[0]) for a, b in seen.lines["thin"] if abs(a[1] - b[1]) < 1e-6]
        for bar in (50.0, 50.8):
            assert min(abs(length - bar) for length in lengths) < 1e-3
        assert "50 mm" in seen.texts
        assert "2 in" in seen.texts
        assert any(text.startswith("Scale 1:1.") for text in seen.texts)
        assert any(f"page {page.number} of {page.total}" in text for text in seen.texts)


@pytest.mark.parametrize("name", EVERY)
def test_texts_are_texts_in_all_three(drawings: dict[str, Drawing], name: str) -> None:
    drawing = drawings[name]
    wanted = sorted(label.text for label in drawing.labels)
    assert any("港" in text for text in wanted)
    page = lay_on_pages(drawing, Paper.A3)[0]
    svg = read_svg(svg_page(page)).texts
    pdf = "\n".join(read_pdf(pdf_file("x", [page]))[0].texts)
    document = ezdxf.read(io.StringIO(dxf_file(drawing)))
    dxf = [entity.plain_text() for entity in document.modelspace().query("TEXT")]
    assert sorted(dxf) == wanted
    assert all(text in svg for text in wanted)
    squeezed = "".join(pdf.split())
    assert all("".join(text.split()) in squeezed for text in wanted)


@pytest.mark.parametrize("name", EVERY)
def test_the_dxf_says_millimetres_and_has_the_five_layers(
    drawings: dict[str, Drawing], name: str
) -> None:
    text = dxf_file(drawings[name])
    assert dxf_header(text, "$INSUNITS") == "4"  # DXF reference: 4 = millimetres
    document = ezdxf.read(io.StringIO(text))
    assert not document.audit().errors
    layers = {entity.dxf.layer for entity in document.modelspace()}
    assert layers == {"CUT", "SCORE", "GLUE", "HATCH", "TEXT"}
    theirs = document.modelspace().query("LINE[layer=='SCORE']")
    ends = [((e.dxf.start.x, e.dxf.start.y), (e.dxf.end.x, e.dxf.end.y)) for e in theirs]
    assert np.allclose(ordered(ends), ordered(dxf_lines(text)["SCORE"]), rtol=0, atol=1e-6)


def test_the_same_bytes_every_time(drawings: dict[str, Drawing]) -> None:
    drawing = drawings["harbour base"]
    pages = lay_on_pages(drawing, Paper.A4)
    assert dxf_file(drawing) == dxf_file(drawing)
    assert pdf_file("x", pages) == pdf_file("x", pages)
    assert svg_page(pages[0]) == svg_page(lay_on_pages(drawing, Paper.A4)[0])


def test_every_mark_to_join_pages_by_is_on_two_of_them(drawings: dict[str, Drawing]) -> None:
    pages = lay_on_pages(drawings["harbour base"], Paper.LETTER)
    assert len(pages) == 2
    crosses = []
    for page in pages:
        middles = [
            tuple(np.round(np.mean(s.points, axis=0) - page.offset, 3))
            for s in page.strokes
            if s.kind is LineKind.THIN and s.closed and len(s.points) == 24
        ]
        crosses.append(set(middles))
    assert len(crosses[0]) >= 2
    assert crosses[0] == crosses[1]


# --- the box again, from nothing but the drawn lines ---


def panels_of(lines: dict[str, list[Segment]]) -> list[shapely.Polygon]:
    """The faces between the drawn cuts and scores."""
    cuts, scores = covered(lines["CUT"]), covered(lines["SCORE"])
    net = shapely.union_all([cuts, scores], grid_size=1e-6)
    return list(shapely.get_parts(shapely.polygonize([net])))


def nearest(faces: list[shapely.Polygon], place: np.ndarray) -> shapely.Polygon:
    return min(faces, key=lambda face: face.centroid.distance(shapely.Point(place)))


def from_drawing(text: str, design: Pattern, offset: float) -> Pattern:
    """The drawn faces as panels and the drawn scores as creases; the design lends only names."""
    lines = dxf_lines(text)
    faces = panels_of(lines)
    sheet = Sheet(design.sheet.width_mm + 2 * offset, design.sheet.length_mm + 2 * offset)
    found: dict[str, shapely.Polygon] = {}
    for panel in design.panels:
        outline = shapely.Polygon(design.outline(panel, {}) + offset)
        found[panel.name] = nearest(faces, np.array(outline.centroid.coords[0]))
    assert len(set(map(id, found.values()))) == len(design.panels)

    def corner(point: tuple[float, ...]) -> Corner:
        return Corner(Rule(Fence.LEFT, point[0]), Rule(Fence.BOTTOM, point[1]))

    def crease(line: CreaseLine) -> CreaseLine:
        shared = found[line.parent].intersection(found[line.child])
        drawn_line = shapely.line_merge(shared) if shared.geom_type != "LineString" else shared
        score = covered(lines["SCORE"]).buffer(1e-5)
        assert drawn_line.difference(score).length < 1e-6
        ends = drawn_line.coords[0], drawn_line.coords[-1]
        return CreaseLine(line.parent, line.child, corner(ends[0]), corner(ends[1]))

    def panel(named: Panel) -> Panel:
        ring = found[named.name].normalize().simplify(1e-7).exterior
        points = list(ring.coords[:-1])
        return Panel(
            named.name,
            named.role,
            tuple(corner(p) for p in (points if ring.is_ccw else points[::-1])),
        )

    return Pattern(
        design.part,
        sheet,
        tuple(panel(p) for p in design.panels),
        tuple(crease(c) for c in design.creases),
        design.bonds,
        design.laps,
    )


@pytest.mark.parametrize("name", NAMES)
def test_the_drawn_lines_fold_into_the_same_box(name: str) -> None:
    parts, unit = parts_of(name)
    for part in parts:
        text = dxf_file(drawn(part, unit, name))
        offset = min(x for segment in dxf_lines(text)["CUT"] for x, _ in segment)
        again = from_drawing(text, part.pattern, offset)
        recipe = part.recipe
        sizes = measure(fold(again, recipe.stock.crease, recipe.joint_mm))
        for field in fields(sizes):
            assert getattr(sizes, field.name) == pytest.approx(
                getattr(part.sizes, field.name), abs=1e-3
            ), field.name


def test_a_shifted_line_would_be_seen(drawings: dict[str, Drawing]) -> None:
    lines = dxf_lines(dxf_file(drawings["lantern base"]))["SCORE"]
    moved = [tuple((x + 0.03, y) for x, y in segment) for segment in lines]
    assert same_lines(lines, lines)
    assert not same_lines(lines, moved)


def test_a_tiled_sheet_begins_with_an_overview_that_cannot_be_taken_for_it() -> None:
    design = read_design(shipped_workspace() / "models" / "harbour.toml")
    job = sheet_job(design, Paper.LETTER, (), 1)
    base, lid = job.sheets
    assert lid.overview is None and len(lid.pages) == 1
    overview = base.overview
    assert overview is not None
    words = " ".join(label.text for label in overview.labels)
    assert "not to scale: cut nothing from this page" in words
    assert all(f"page {page.number}" in words for page in base.pages)
    cut = [p for s in overview.strokes if s.kind is LineKind.CUT for p in s.points]
    wide = max(x for x, _ in cut) - min(x for x, _ in cut)
    assert wide < 0.75 * base.plan.sheet.width_mm
    assert min(x for x, _ in cut) >= 0.0 and max(y for _, y in cut) <= overview.height_mm


def test_lines_differ_by_weight_or_dash_and_by_colour_and_stay_dark_in_grey() -> None:
    """Luma by ITU-R BT.601: what prints in grey must still be seen on white."""
    looks = [(pen.width_mm, pen.dashes_mm) for kind, pen in PENS.items() if kind != "hatch"]
    assert len(set(looks)) == len(looks)
    assert len({PENS[k].ink for k in (LineKind.CUT, LineKind.SCORE, LineKind.GLUE)}) == 3
    for pen in PENS.values():
        red, green, blue = (int(pen.ink[k : k + 2], 16) for k in (1, 3, 5))
        assert 0.299 * red + 0.587 * green + 0.114 * blue < 128
