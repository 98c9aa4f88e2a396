"""A published recipe: every step with its picture, tagged and selectable, the sheet at 1:1."""

from __future__ import annotations

import base64
import io
import json
import re
import struct
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest
import shapely
import vtk
from PIL import Image
from pypdf import PdfReader

from fitcheck.cli.odds_options import odds_with_advice
from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.findings import Severity
from fitcheck.fit.check import Check, check
from fitcheck.odds.odds import odds_of
from fitcheck.odds.retarget import retargeted
from fitcheck.outputs.publish.film import cues
from fitcheck.outputs.publish.flat_pictures import MARGIN, FlatPictures
from fitcheck.outputs.publish.fold_pictures import FoldPictures, placed_parts
from fitcheck.outputs.publish.recipe import Recipe, Sheets, recipe_of
from fitcheck.outputs.report.views.solids import BASE, part_solids
from fitcheck.outputs.report.views.view import view
from fitcheck.outputs.steps_text import plain_lines
from fitcheck.sheet.job import SheetJob, sheet_job
from fitcheck.units import hand_unit, show_hands
from tests.cli.commands import ROOT, Ran, fitcheck, fitcheck_here

MODELS = sorted(p.stem for p in (ROOT / "models").glob("*.toml") if p.stem != "items")


def flat(text: str) -> str:
    """Text without blanks, as lines break anywhere."""
    return re.sub(r"\s+", "", text)


def sheets(name: str) -> tuple[Check, SheetJob]:
    design = read_design(ROOT / "models" / f"{name}.toml")
    return check(design), sheet_job(design, Paper.A4, (), 1)


def recipe(name: str) -> Recipe:
    return recipe_of(Sheets(*sheets(name)), None, None)


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Ran]:
    folder = tmp_path_factory.mktemp("publish")
    design = str(ROOT / "models" / "lantern.toml")
    ran = fitcheck("publish", design, "-o", "out", "--film", "--odds", "500", cwd=folder)
    return folder / "out", ran


def structure(reader: PdfReader) -> list[dict[str, Any]]:
    """All elements of the tag tree."""
    found: list[dict[str, Any]] = []

    def walk(node: Any) -> None:
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, list):
            for one in node:
                walk(one)
        elif isinstance(node, dict):
            found.append(node)
            if "/K" in node:
                walk(node["/K"])

    walk(reader.trailer["/Root"]["/StructTreeRoot"])
    return found


def test_it_writes_a_pdf_a_page_and_a_sheet_for_the_camera(published: tuple[Path, Ran]) -> None:
    out, ran = published
    assert (ran.status, ran.err) == (0, "")
    names = {path.name for path in out.iterdir() if not path.name.startswith(".")}
    assert names == {"lantern.pdf", "lantern.html", "lantern-film.pdf"}
    assert set(ran.out.splitlines()) == {f"out/{name}" for name in names}


def test_the_pdf_is_tagged_titled_and_has_a_text_for_every_picture(
    published: tuple[Path, Ran],
) -> None:
    """ISO 14289 (PDF/UA) asks for a tag tree, a language, a title and alternative texts."""
    out, _ = published
    reader = PdfReader(out / "lantern.pdf")
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] and root["/Lang"].startswith("en")
    assert reader.metadata is not None and reader.metadata.title == "Lantern walk toffee box"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    figures = [node for node in structure(reader) if node.get("/S") == "/Figure"]
    own = recipe("lantern")
    drawn = sum(step.picture is not None for chapter in own.chapters for step in chapter.steps)
    assert len(figures) == 2 + drawn + len(own.pages)
    assert all(str(figure["/Alt"]).strip() for figure in figures)


def test_every_step_stands_in_both_as_text(published: tuple[Path, Ran]) -> None:
    out, _ = published
    pdf = flat("".join(page.extract_text() for page in PdfReader(out / "lantern.pdf").pages))
    page = (out / "lantern.html").read_text()
    for chapter in recipe("lantern").chapters:
        for step in chapter.steps:
            assert flat(step.text) in pdf
            assert step.text.replace("'", "&#39;") in page
            assert all(flat(line) in pdf for line in step.details)
    assert "Of100boxesmadebyhand" in pdf
    assert "cut away from the hand" in page and flat("cut away from the hand") in pdf


def test_the_sheet_is_at_true_scale(published: tuple[Path, Ran]) -> None:
    """The base's sheet is 120 x 130 mm: at 254 dots per inch 1200 by 1300 dots."""
    out, _ = published
    document = pypdfium2.PdfDocument(out / "lantern.pdf")
    own = recipe("lantern")
    first = len(document) - len(own.pages)
    assert document[first].get_size() == pytest.approx((595.28, 841.89), abs=0.1)
    picture = document[first].render(scale=254 / 72, grayscale=True).to_numpy().squeeze()
    dark = picture < 128
    upright, level = (
        np.flatnonzero(dark.sum(axis=0) > 1250),
        np.flatnonzero(dark.sum(axis=1) > 1150),
    )
    assert upright[-1] - upright[0] == pytest.approx(1200, abs=4)
    assert level[-1] - level[0] == pytest.approx(1300, abs=4)


def test_the_same_design_gives_the_same_bytes(tmp_path: Path) -> None:
    design = str(ROOT / "models" / "lantern.toml")
    for name in ("one", "other"):
        ran = fitcheck("publish", design, "-o", name, "--no-odds", cwd=tmp_path)
        assert ran.status == 0, ran.err
    for file in ("lantern.pdf", "lantern.html"):
        assert (tmp_path / "one" / file).read_bytes() == (tmp_path / "other" / file).read_bytes()


def test_another_readers_paper_and_board_have_a_column(tmp_path: Path) -> None:
    design = str(ROOT / "models" / "harbour.toml")
    theirs = ("--for-stock", "base=cover-80", "--for-tools", "score-board-metric")
    ran = fitcheck("publish", design, "-o", "out", "--no-odds", *theirs, cwd=tmp_path)
    assert ran.status == 0, ran.err
    page = (tmp_path / "out" / "harbour.html").read_text()
    assert (
        "on a metric board (score-board-metric) with cover-80 (216 g/m2, 0.22 mm thick) and "
        "patterned-160 (160 g/m2, 0.18 mm thick)" in page
    )
    assert "3/8, 1 1/4, 1 5/8 and 2 1/2 in (9.5, 31.8, 41.3 and 63.5 mm)" in page
    assert "9.5, 31.5, 41 and 63.5 mm (3/8, 1 1/4, 1 5/8 and 2 1/2 in)" in page


def test_a_reader_with_a_rule_alone_keeps_the_recipe_s_own_unit(tmp_path: Path) -> None:
    """A profile without a grid names no board and no unit; the recipe is in inches."""
    shelf = tmp_path / "calibration" / "tools"
    shelf.mkdir(parents=True)
    text = (ROOT / "calibration" / "tools" / "score-board-inch.toml").read_text()
    lines = [line for line in text.splitlines() if not line.startswith("grid")]
    (shelf / "a-rule.toml").write_text("\n".join(lines) + "\n")
    (tmp_path / "models").mkdir()
    harbour = (ROOT / "models" / "harbour.toml").read_text()
    (tmp_path / "models" / "harbour.toml").write_text(harbour)
    ran = fitcheck(
        *("publish", "harbour", "-o", "out", "--no-odds", "--for-tools", "a-rule"), cwd=tmp_path
    )
    assert ran.status == 0, ran.err
    page = (tmp_path / "out" / "harbour.html").read_text()
    assert "along a rule, without a grooved board (a-rule) with" in page
    assert "metric board" not in page
    theirs = "3/8, 1 1/4, 1 5/8 and 2 1/2 in (9.5, 31.8, 41.3 and 63.5 mm)"
    assert page.count(theirs) >= 2, "a column each"
    assert "before its sizes are rounded as here" not in page


@pytest.mark.parametrize("name", MODELS)
def test_every_step_of_every_design_can_be_drawn_and_told(name: str) -> None:
    found, job = sheets(name)
    own = recipe_of(Sheets(found, job), None, None)
    told = sum(len(sheet.instructions) for sheet in job.sheets) + len(job.together)
    assert sum(len(chapter.steps) for chapter in own.chapters) == told == len(cues(job))
    for chapter in own.chapters:
        for step in chapter.steps:
            assert step.picture is not None, step
    names = [s.picture.name for c in own.chapters for s in c.steps if s.picture is not None]
    assert len(set(names)) == len(names)


def points(mark: str) -> np.ndarray:
    """The places of a path."""
    found = re.search(r'd="M ([^"]+)"', mark)
    assert found
    return np.array([[float(v) for v in at.split(",")] for at in found[1].split(" L ")])


def test_a_score_is_drawn_where_it_is_made() -> None:
    """Four lines across a sheet of 120 x 130 mm, 25 mm from its edges, in the picture's scale."""
    _, job = sheets("lantern")
    base = job.sheets[0]
    pictures = FlatPictures(base)
    drawn = [
        pictures.of(f"base-{n}", told.steps, told.text)  # type: ignore[arg-type]
        for n, told in enumerate(base.instructions[:3])
    ]
    assert all(drawn)
    scored = drawn[1]
    assert scored is not None
    scale = (scored.height - 2 * MARGIN) / 130.0
    lines = [(points(m) - MARGIN) / scale for m in scored.marks if 'class="new-score"' in m]
    level = sorted(round(float(a[1]), 2) for a, b in lines if abs(a[1] - b[1]) < 0.01)
    upright = sorted(round(float(a[0]), 2) for a, b in lines if abs(a[0] - b[0]) < 0.01)
    assert level == pytest.approx([25.0, 105.0], abs=0.02)
    assert upright == pytest.approx([25.0, 95.0], abs=0.02)
    cut = drawn[2]
    assert cut is not None
    assert sum('class="was-score"' in mark for mark in cut.marks) == 4
    assert not any('class="new-score"' in mark for mark in cut.marks)


@pytest.mark.parametrize("name", ["lantern", "harbour", "decks"])
def test_the_last_picture_of_a_part_is_the_part_as_it_was_checked(name: str) -> None:
    _, job = sheets(name)
    base = job.sheets[0]
    folding = FoldPictures(base.part.folded, BASE)
    last = None
    for told in base.instructions:
        last = folding.of("base", told.steps, "") or last  # type: ignore[arg-type]
    assert last is not None
    wanted = view("base", "", "", part_solids(base.part.folded, np.eye(4), BASE))
    hands = ('"hand"', '"hand-way"', '"mark-tip"')
    assert tuple(m for m in last.marks if not any(own in m for own in hands)) == wanted.marks


def camera_photo(path: Path) -> None:
    """A picture that lies on its side and says where it was taken."""
    picture = Image.new("RGB", (3000, 2000), "#5b93ad")
    exif = picture.getexif()
    exif[0x0112] = 6  # orientation: turned a quarter
    exif.get_ifd(0x8825)[1] = "N"  # GPS
    picture.save(path, exif=exif)


def test_a_photograph_is_upright_moderate_and_says_nothing_of_where(tmp_path: Path) -> None:
    camera_photo(tmp_path / "made.jpg")
    text = (ROOT / "models" / "lantern.toml").read_text()
    own = text.replace("format = 1", 'format = 1\nphoto = "made.jpg"\nby = "A maker"\n', 1)
    (tmp_path / "mine.toml").write_text(own + "\n")
    ran = fitcheck("publish", "mine.toml", "-o", "out", "--no-odds", cwd=tmp_path)
    assert ran.status == 0, ran.err
    page = (tmp_path / "out" / "mine.html").read_text()
    assert "by A maker" in page
    data = re.search(r'src="data:image/jpeg;base64,([^"]+)"', page)
    assert data
    with Image.open(io.BytesIO(base64.b64decode(data[1]))) as picture:
        assert picture.size == (1067, 1600)
        assert not dict(picture.getexif())


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda path: None, "No such file"),
        (lambda path: path.write_bytes(b"GIF89a no picture"), "which is no picture"),
        (lambda path: path.mkdir(), "Is a directory"),
    ],
)
def test_a_photograph_that_is_none_is_a_line(make: Any, said: str, tmp_path: Path) -> None:
    make(tmp_path / "made.jpg")
    text = (ROOT / "models" / "lantern.toml").read_text()
    (tmp_path / "mine.toml").write_text(
        text.replace("format = 1", 'format = 1\nphoto = "made.jpg"', 1)
    )
    ran = fitcheck("publish", "mine.toml", "-o", "out", "--no-odds", cwd=tmp_path)
    assert ran.status == 2 and said in ran.err and ran.err.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_colours_are_six_digits_or_a_web_name_and_nothing_else(tmp_path: Path) -> None:
    text = (ROOT / "models" / "lantern.toml").read_text()
    for colour, wanted in (("navy", "#000080"), ("#5B93ad", "#5b93ad")):
        path = tmp_path / "mine.toml"
        path.write_text(text.replace("#f6e7c1", colour))
        assert read_design(path).base.stock.colour == wanted
    path.write_text(text.replace("#f6e7c1", "sky"))
    ran = fitcheck("check", "mine.toml", "--no-odds", cwd=tmp_path)
    assert ran.status == 2 and "base.colour" in ran.err and "is no colour" in ran.err


def test_texts_of_a_design_are_never_read_as_markup(tmp_path: Path) -> None:
    text = (ROOT / "models" / "lantern.toml").read_text()
    title = "<b>#panic() $x$ \\\\u{0} </script>"
    own = re.sub(r"(?m)^title.*$", lambda _: f"title = {json.dumps(title)}", text, count=1)
    (tmp_path / "mine.toml").write_text(own)
    ran = fitcheck("publish", "mine.toml", "-o", "out", "--no-odds", cwd=tmp_path)
    assert ran.status == 0, ran.err
    page = (tmp_path / "out" / "mine.html").read_text()
    assert "<b>#panic" not in page and "&lt;b&gt;#panic()" in page
    reader = PdfReader(tmp_path / "out" / "mine.pdf")
    assert flat("<b>#panic() $x$") in flat(reader.pages[0].extract_text())


def test_a_title_with_a_picture_sign_is_published_and_told_of_once(tmp_path: Path) -> None:
    text = (ROOT / "models" / "lantern.toml").read_text(encoding="utf-8")
    text = re.sub(r"(?m)^title .*$", 'title = "For Mia \U0001f381"', text)
    (tmp_path / "gift.toml").write_text(text, encoding="utf-8")
    ran = fitcheck_here("publish", "gift.toml", "-o", "out", "--film", "--no-odds", cwd=tmp_path)
    assert ran.status == 0, ran.err
    note = "\U0001f381 has no shape in the fonts of the print, which says [wrapped present]"
    assert ran.out.count(note) == 1
    assert "For Mia \U0001f381" in (tmp_path / "out" / "gift.html").read_text(encoding="utf-8")
    for name in ("gift.pdf", "gift-film.pdf"):
        first = PdfReader(tmp_path / "out" / name).pages[0].extract_text()
        assert "For Mia [wrapped present]" in first


def test_the_box_for_a_phone_is_in_metres_and_in_its_colours(tmp_path: Path) -> None:
    """glTF 2.0: magic, version, y upwards, metres, factors as light; read by a second library."""
    design = str(ROOT / "models" / "harbour.toml")
    ran = fitcheck("publish", design, "-o", "out", "--no-odds", "--glb", cwd=tmp_path)
    assert ran.status == 0, ran.err
    data = (tmp_path / "out" / "harbour.glb").read_bytes()
    magic, version, length, size, kind = struct.unpack("<4sIIII", data[:20])
    assert (magic, version, length, kind) == (b"glTF", 2, len(data), 0x4E4F534A)
    tree = json.loads(data[20 : 20 + size])
    assert tree["asset"]["version"] == "2.0"
    assert {node["name"] for node in tree["nodes"] if "mesh" in node} == {
        "base",
        "lid",
        "card-id1 1",
    }
    lid = next(one for one in tree["materials"] if one["name"] == "lid")
    # sRGB 0x5b, 0x93, 0xad as light, IEC 61966-2-1
    light = [((c / 255 + 0.055) / 1.055) ** 2.4 for c in (0x5B, 0x93, 0xAD)]
    factor = lid["pbrMetallicRoughness"]["baseColorFactor"]
    assert factor[:3] == pytest.approx(light, abs=0.004)
    reader = vtk.vtkGLTFReader()
    reader.SetFileName(str(tmp_path / "out" / "harbour.glb"))
    reader.Update()
    bounds = vtk.vtkBoundingBox()
    low_high = [0.0] * 6
    reader.GetOutput().GetBounds(low_high)
    bounds.SetBounds(low_high)
    lid_sizes = check(read_design(Path(design))).assembly.lid
    assert lid_sizes is not None
    width, length_mm = lid_sizes.sizes.outside_mm
    assert bounds.GetLength(0) == pytest.approx(width / 1000, rel=0.01)
    assert bounds.GetLength(2) == pytest.approx(length_mm / 1000, rel=0.01)
    assert 0.03 < bounds.GetLength(1) < 0.2


@pytest.mark.parametrize(
    ("name", "step", "least"), [("lantern", 5, 2), ("harbour", 4, 3), ("harbour", 5, 2)]
)
def test_arrows_of_hands_end_at_edges_that_are_drawn(name: str, step: int, least: int) -> None:
    """At the rim that is taken hold of, found among the drawn lines by a geometry library."""
    found, job = sheets(name)
    (card,) = [s for s in recipe_of(Sheets(found, job), None, None).chapters[0].steps][
        step - 1 : step
    ]
    assert card.picture is not None
    heads = [m for m in card.picture.marks if 'class="mark-tip"' in m]
    ways = [m for m in card.picture.marks if 'class="hand-way"' in m]
    assert least <= len(heads) == len(ways) <= 4
    edges = [
        shapely.LineString([tuple(map(float, at.split(","))) for at in pair])
        for mark in card.picture.marks
        if 'class="edge' in mark
        for pair in re.findall(r"M ([\d.,-]+) L ([\d.,-]+)", mark)
    ]
    drawn = shapely.union_all(edges)
    for head in heads:
        tip = re.findall(r"([\d.-]+),([\d.-]+)", head)[0]
        assert drawn.distance(shapely.Point(*map(float, tip))) < 0.5


def test_every_caution_of_the_check_stands_in_recipe_and_steps() -> None:
    """Small parts and food, as 16 CFR 1501.4 and the wrapping of food ask for."""
    found, job = sheets("lantern")
    said = " ".join(recipe_of(Sheets(found, job), None, None).cautions)
    told = " ".join(plain_lines(job))
    for finding in found.findings:
        if finding.severity is Severity.CAUTION:
            assert finding.message in said and finding.message in told
    assert "choking hazard" in said and "wrap it" in said


def test_a_box_that_does_not_go_together_says_so_first(tmp_path: Path) -> None:
    text = (ROOT / "models" / "lantern.toml").read_text().replace("[1.5, 2]", "[0, 0]")
    (tmp_path / "tight.toml").write_text(text)
    design = read_design(tmp_path / "tight.toml", roots=[ROOT])
    made = recipe_of(Sheets(check(design), sheet_job(design, Paper.A4, (), 1)), None, None)
    assert made.cautions[0].startswith("this box does not go together as it stands here: the lid")


def test_another_reader_is_told_the_odds_of_the_sizes_that_are_printed(tmp_path: Path) -> None:
    """The other route: those sizes, in half millimetres, as a design of its own."""
    path = ROOT / "models" / "harbour.toml"
    other = retargeted(path, {"base": "cover-80"}, "score-board-metric")
    theirs = Sheets(check(other), sheet_job(other, Paper.A4, (), 1))
    odds = odds_with_advice(theirs.check, 10_000)
    own = Sheets(*sheets("harbour"))
    reader = recipe_of(own, None, None, theirs, odds).reader
    assert reader is not None and odds.rounded is not None
    counted = int(re.findall(r"tools, (\d+) come out right", reader.verdict)[0])
    text = path.read_text().replace('unit   = "in"', 'unit = "mm"')
    for old, new in (
        ('["3 1/4", "4 1/2"]', "[82.5, 114.5]"),
        ('"7/8" ', "22 "),
        ('"7/8"', "22"),
        ('frame  = "3/8"', "frame = 10"),
        ('flap   = "3/8"', "flap = 9.5"),
        ('["3/32", "1/16"]', "[2, 1]"),
        ('depth  = "5/8"', "depth = 16"),
        ("score-board-inch", "score-board-metric"),
    ):
        assert old in text, old
        text = text.replace(old, new)
    (tmp_path / "printed.toml").write_text(text)
    design = read_design(tmp_path / "printed.toml", stocks={"base": "cover-80"}, roots=[ROOT])
    whole = odds_of(check(design), 10_000, folded_again=4)
    assert counted == pytest.approx(100 * whole.good.share, abs=4)


def test_scores_are_numbered_where_cuts_are_found_by_them() -> None:
    """A frame's four scores from each of the four edges, as the words count them."""
    card = recipe("harbour").chapters[0].steps[2]
    assert "fourth score" in " ".join(card.details) and card.picture is not None
    said = [re.sub(r"<[^>]+>", "", mark) for mark in card.picture.marks if mark.startswith("<text")]
    assert [said.count(str(number)) for number in range(1, 6)] == [4, 4, 4, 4, 0]


@pytest.mark.parametrize("name", MODELS)
def test_a_cue_is_one_short_sentence_with_all_that_lies_on_the_table(name: str) -> None:
    """What a maker can say before the camera in five seconds, at two to three words a second."""
    _, job = sheets(name)
    told = cues(job)
    for cue in told:
        assert re.fullmatch(r"[A-Z][^.!?]*(?:\d\.\d[^.!?]*)*\.", cue.line), cue.line
        assert len(cue.line.split()) <= 22 and "(" not in cue.line, cue.line
        assert "  " not in cue.line and cue.table, cue
    for sheet in job.sheets:
        size = sheet.plan.sheet
        first = next(cue for cue in told if cue.part == sheet.name)
        assert first.line.startswith("Cut ") and " x " in first.line
        assert (
            show_hands((size.width_mm, size.length_mm), hand_unit(job.design.unit), " x ").split(
                " ("
            )[0]
            in first.line
        )
    inside = next(cue for cue in told if cue.line.startswith("Put "))
    assert "or printed stand-ins for what goes in" in inside.table
    # who makes the box from a recipe has no program
    assert not any("fitcheck" in what for cue in told for what in cue.table)


@pytest.mark.parametrize(("lock", "glued"), [("foot", [5]), ("glued", [5, 6, 7])])
def test_adhesive_lies_on_the_table_where_something_is_glued(
    lock: str, glued: list[int], tmp_path: Path
) -> None:
    """Tabs are glued in step 5; inner walls, in steps 6 and 7, are where no foot holds them."""
    (tmp_path / "tray.toml").write_text(
        'format = 1\ntitle = "Bait drawer"\nunit = "mm"\n[base]\nstyle = "double-wall"\n'
        'stock = "cover-65"\nfloor = [140, 90]\ndepth = 30\nrim = 5\n'
        f'lock = "{lock}"\n'
    )
    told = cues(sheet_job(read_design(tmp_path / "tray.toml"), Paper.A4, (), 1, paged=False))
    assert [cue.number for cue in told if "adhesive" in cue.table] == glued


def test_cues_say_the_distances_and_count_the_tabs() -> None:
    lines = [cue.line for cue in cues(sheets("harbour")[1])]
    assert "Score all four sides at 3/8, 1 1/4, 1 5/8 and 2 1/2 in." in lines
    assert "Cut out the four corners, keeping the 4 tabs marked x." in lines
    lines = [cue.line for cue in cues(sheets("boathouse")[1])]
    left, right = "at 58.5, 106.5 and 165 mm", "at a hair inside 10 mm"
    assert f"Score the left edge {left}, and the right edge {right}." in lines


@pytest.mark.parametrize(
    ("name", "chapter", "part"),
    [("boathouse", "The collar", "collar"), ("slipway", "The insert", "insert")],
)
def test_what_is_set_down_in_the_base_is_shown_in_it(name: str, chapter: str, part: str) -> None:
    """The last picture of a ring or a platform has the base round it, and an arrow from above.

    All corners of both lie in it: it is the view of the two parts where they stand."""
    own = next(one for one in recipe(name).chapters if one.heading == chapter)
    picture = own.steps[-1].picture
    assert picture is not None
    marks = "".join(picture.marks)
    arrow = re.search(r"<path[^>]*hand-way[^>]*>", marks)
    assert arrow is not None
    way = points(arrow[0])
    assert np.ptp(way[:, 0]) < 0.1 and (np.diff(way[:, 1]) > 0.0).all()  # down the page
    found, _ = sheets(name)
    solids = [
        solid
        for other, folded, pose in placed_parts(found, None)
        if other in ("base", part)
        for solid in part_solids(folded, pose, BASE)
    ]
    both = view("both", "Both.", "Both.", solids)
    assert picture.width == pytest.approx(both.width, abs=1.0)


def test_a_lean_that_only_its_author_can_cure_is_not_printed_to_readers(tmp_path: Path) -> None:
    """It is seen and takes no room; other lids are worked out with the program, not at a bench."""
    path = tmp_path / "low.toml"
    path.write_text(
        'format = 1\ntitle = "Low lid"\nunit = "mm"\n[base]\nstyle = "tray"\nstock = "cover-100"\n'
        'floor = [80, 120]\ndepth = 20\n[lid]\nstyle = "tray"\nstock = "cover-100"\n'
        "oversize = 1.5\ndepth = 9\n"
    )
    found = check(read_design(path))
    assert any("lean by" in finding.message for finding in found.findings)
    recipe = recipe_of(Sheets(found, sheet_job(found.design, Paper.A4, (), 1)), None, None)
    assert recipe.cautions and not any("lean by" in text for text in recipe.cautions)
