"""Parts against the sheets that a workshop has: arithmetic on rectangles, paper sizes of standards.

A tray of floor W x L and depth H is cut from (W + 2 H) x (L + 2 H).
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.errors import InputError
from fitcheck.findings import Finding, Severity
from fitcheck.fit.check import Check, check
from fitcheck.outputs.check_text import check_text
from fitcheck.sheet.job import sheet_job
from fitcheck.stock.bought_sheets import USUAL_SHEETS, largest, sheet_of
from fitcheck.stock.tools_files import read_tools
from fitcheck.workspace.paths import shipped_workspace

TOOLS = """\
format = 1
grid = "5 mm"
score_u_mm = {on_grid = 0.10, off_grid = 0.25}
fence_u_mm = 0.05
cut_u_mm = 0.20
joint_mm = 0.10
joint_u_mm = 0.03
source = "invented"
"""
DESIGN = """\
format = 1
title = "Tray"
unit = "mm"
tools = "bench"
[base]
style = "tray"
stock = "index-110"
floor = [{width}, {length}]
depth = 31
"""


RING = """\
[collar]
style = "collar"
stock = "index-110"
ease = [2, 2]
rise = 15
seam = 10
[lid]
style = "tray"
stock = "index-110"
oversize = 0
depth = 20
"""


def checked(folder: Path, width: float, length: float, sheets: str = "", others: str = "") -> Check:
    shelf = folder / "calibration" / "tools"
    shelf.mkdir(parents=True, exist_ok=True)
    (shelf / "bench.toml").write_text(TOOLS + sheets)
    path = folder / "tray.toml"
    path.write_text(DESIGN.format(width=width, length=length) + others)
    return check(read_design(path, roots=(folder, shipped_workspace())))


def found(check: Check) -> list[Finding]:
    return [one for one in check.findings if one.code == "sheet-too-large"]


def test_a_square_of_362_mm_is_larger_than_every_usual_sheet(tmp_path: Path) -> None:
    check = checked(tmp_path, 300, 300)
    (finding,) = found(check)
    assert finding.severity is Severity.CAUTION and check.fits, "the papers are only assumed"
    assert finding.numbers == {"width_mm": 362.0, "length_mm": 362.0}
    assert "12 x 12 in" in finding.message and "letter" not in finding.message
    assert "cannot be cut in one piece" in finding.message
    # half of it with 12.7 mm of overlap is 187.4 x 362, longer than 304.8
    assert "nor as two halves from two sheets" in finding.message
    assert 'sheets = ["a4", ["500 mm", "700 mm"]]' in finding.message


def test_a_long_part_would_have_to_be_made_from_two_sheets(tmp_path: Path) -> None:
    """362 x 222: no usual sheet is 362 long; a half, 187.4 x 222, goes on 304.8 x 304.8."""
    (finding,) = found(checked(tmp_path, 300, 160))
    assert "from two sheets" in finding.message


def test_what_no_sheet_of_the_workshop_holds_cannot_be_made(tmp_path: Path) -> None:
    own = 'sheets = [["13 in", "19 in"], ["210 mm", "297 mm"]]\n'
    assert found(checked(tmp_path, 260, 360, own)) == []  # 322 x 422 on 330.2 x 482.6
    check = checked(tmp_path, 300, 300, own)
    (finding,) = found(check)
    assert finding.severity is Severity.CAUTION and check.fits, "the box itself is right"
    assert "13 x 19 in is the largest that the tools list" in finding.message
    assert "A4" not in finding.message
    assert "from two sheets" in finding.message  # 187.4 x 362 on 330.2 x 482.6


def test_a_ring_whose_half_no_sheet_holds_is_not_promised_two_strips(tmp_path: Path) -> None:
    """A flap of 10 mm and walls of 238 and 238 mm are 486 mm, 292 and 12 in is 304.8."""
    (finding,) = found(checked(tmp_path, 240, 240, others=RING))
    assert finding.piece == "collar"
    assert "its steps say" not in finding.message
    assert "nor from two strips, which would be 486 by 46 mm" in finding.message
    assert "make it smaller; steps for more strips are not told" in finding.message
    # 10 + 148 + 138 = 296 mm
    (finding,) = found(checked(tmp_path, 150, 140, others=RING))
    assert finding.piece == "collar"
    assert "its steps say how two strips make it" in finding.message
    assert "nor from" not in finding.message


def test_a_half_ring_is_held_by_the_sheets_that_the_tools_list(tmp_path: Path) -> None:
    """A strip of 486 mm is longer than 482.6 mm, 19 in, and shorter than 500 mm."""
    own = "sheets = [[{side}, 330]]\n"
    (finding,) = found(checked(tmp_path, 240, 240, own.format(side=482.6), others=RING))
    assert "nor from two strips" in finding.message
    (finding,) = found(checked(tmp_path, 240, 240, own.format(side=500), others=RING))
    assert "its steps say how two strips make it" in finding.message


SLEEVE = """\
[sleeve]
style = "sleeve"
stock = "index-110"
along = "width"
ease = [3, 2.5]
length = {length}
seam = 10
"""


def test_a_sleeve_that_two_strips_make_is_not_denied_them(tmp_path: Path) -> None:
    """A flap of 10, sides of 31 + 2.5 and faces of 160 + 3 mm: 10 + 2 x 33.5 + 2 x 163 = 403 mm.

    A flap, a side and a face are 206.5 mm; a letter sheet has 215.9 x 279.4 mm. A tube of 310 mm
    is longer than 12 in, 304.8 mm, in any number of strips.
    """
    (finding,) = found(checked(tmp_path, 110, 160, others=SLEEVE.format(length=112)))
    assert finding.piece == "sleeve" and "112 by 403 mm" in finding.message
    assert "two halves" not in finding.message and "cannot be cut in one piece" in finding.message
    assert "two strips, each a face, a side and a flap, 112 by 206.5 mm" in finding.message
    assert "would go on a sheet, but no steps are told for them" in finding.message
    (finding,) = found(checked(tmp_path, 110, 160, others=SLEEVE.format(length=310)))
    assert "nor from two strips, which would be 310 by 206.5 mm" in finding.message
    assert "would go on a sheet" not in finding.message


def test_of_a_part_without_a_floor_to_part_no_halves_are_spoken_of(tmp_path: Path) -> None:
    """A strip of 310 mm between walls may be made from two by hand; nothing is drawn for that."""
    (*_, finding) = found(checked(tmp_path, 312, 40, others=DIVIDERS))
    assert finding.piece is not None and finding.piece.startswith("dividers")
    assert "two halves" not in finding.message
    assert "cannot be cut in one piece, and no steps are told for more pieces" in finding.message


DIVIDERS = """\
[dividers]
style = "dividers"
stock = "index-110"
rows = 2
columns = 2
ease = 1
slot = 1
"""


def test_a_strip_is_told_as_it_is_cut_between_walls(tmp_path: Path) -> None:
    """A strip stands between walls, so half millimetres are rounded down: 308.5, not 309 mm.

    A floor of 310 mm lacks twice t - a, 0.3927 t of unmeasured paper, and the ease of 1 mm.
    """
    check = checked(tmp_path, 200, 310, others=DIVIDERS)
    strip = 310 - 2 * 0.3927 * check.assembly.parts[0].recipe.stock.caliper_mm - 1
    assert 308.75 < strip < 309, "so that to the nearest it would be 309"
    (finding,) = (one for one in found(check) if one.piece == "dividers along")
    assert "takes a sheet of 308.5 by 30.5 mm" in finding.message


def test_strips_stand_no_higher_than_they_are_cut(tmp_path: Path) -> None:
    """Drawn 30.8 mm high they are cut to 30.5, the half millimetre below, and stand as high."""
    said = check_text(checked(tmp_path, 90, 120, others=DIVIDERS + "height = 30.8\n"))
    assert len(re.findall(r"cut 1 of .* x 30\.5 mm", said)) == 2
    assert len(re.findall(r"stand .*, 30\.5 mm \(.*\) high", said)) == 2
    assert "31 mm" not in said[said.index("dividers") : said.index("compartments")]


def test_a_sheet_holds_a_strip_that_is_cut_as_small_as_it_is(tmp_path: Path) -> None:
    """Drawn 304.92 mm long it is cut at 304.5 mm, and 12 in is 304.8: nine of 30.5 mm from one."""
    check = checked(tmp_path, 200, 306.1, others=DIVIDERS)
    assert max(part.pattern.sheet.width_mm for part in check.assembly.parts[1:]) > 304.85
    assert {one.piece for one in found(check)} == {"base"}
    job = sheet_job(check.design, Paper.A4, USUAL_SHEETS, 1, paged=False)
    counts = {
        one.any_way
        for one in job.yields.parts
        if (one.piece.part, one.bought.name) == ("dividers along", "12 x 12 in")
    }
    assert counts == {9}


@pytest.mark.parametrize(("width", "length"), [(242.8, 242.8), (148.0, 235.0), (235.0, 148.0)])
def test_what_just_goes_on_a_sheet_is_silent(tmp_path: Path, width: float, length: float) -> None:
    """304.8 x 304.8 on the square; 210 x 297 on A4, either way round."""
    assert found(checked(tmp_path, width, length)) == []


def test_one_list_serves_the_check_and_the_count_of_sheets_to_buy(tmp_path: Path) -> None:
    tools = checked(tmp_path, 60, 60, "sheets = [[300, 450]]\n").design.tools
    assert [paper.name for paper in tools.papers] == ["300 x 450 mm"] and tools.papers_known
    tools = checked(tmp_path, 60, 60).design.tools
    assert tools.papers == USUAL_SHEETS and not tools.papers_known


def test_largest_leaves_out_what_another_sheet_holds() -> None:
    """Letter and A4 both go on a 12 in square; neither goes on the other."""
    assert [one.name for one in largest(USUAL_SHEETS)] == ["12 x 12 in"]
    assert [one.name for one in largest(USUAL_SHEETS[:2])] == ["letter", "A4"]
    assert len(largest((sheet_of(210, 297), sheet_of(297, 210)))) == 1


@pytest.mark.parametrize(
    "sheets",
    [
        "sheets = []",
        "sheets = [[210, 297, 3]]",
        'sheets = [["x", 300]]',
        'sheets = [["8 1/2", "11"]]',  # inches meant, but a tools file's bare lengths are mm
    ],
)
def test_a_bad_list_of_sheets_is_refused(tmp_path: Path, sheets: str) -> None:
    path = tmp_path / "bench.toml"
    path.write_text(TOOLS + sheets + "\n")
    with pytest.raises(InputError, match=r"sheets.*allowed"):
        read_tools(path)
