"""What a maker is told to cut, beside the closed forms of what is drawn and of what is true."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from fitcheck.bench.told import told_odds
from fitcheck.design.model import Design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.findings import Severity
from fitcheck.fit.check import Check, check
from fitcheck.fit.fingers import WayOut
from fitcheck.fit.selffit import FIGHT_MM, deepest_of
from fitcheck.odds.advice import advise
from fitcheck.odds.odds import hands_for, odds_of
from fitcheck.odds.prospect import take_prospect
from fitcheck.odds.rounded import printed_off_mm
from fitcheck.odds.staged import staged
from fitcheck.outputs.check_text import check_text
from fitcheck.outputs.compare_text import compare_text
from fitcheck.outputs.compared import compared
from fitcheck.outputs.publish.film import cues
from fitcheck.outputs.publish.recipe import Sheets, recipe_of
from fitcheck.outputs.report.figures import figures_of
from fitcheck.outputs.steps_text import show_exact, yield_lines
from fitcheck.outputs.table_text import table_markdown
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import LENGTH_EDGE, WIDTH_EDGE
from fitcheck.sheet.around import closed_mm
from fitcheck.sheet.job import SheetJob, sheet_job
from fitcheck.sheet.table import measurement_tables
from fitcheck.stock.bought_sheets import USUAL_SHEETS, Bought
from fitcheck.styles.insert_spec import InsertSpec
from fitcheck.units import Unit
from tests.agreement.test_around_a_box import lengths_mm
from tests.agreement.test_suggest_parts import part_of, read, text_of
from tests.bench_maker import follow
from tests.cli.designs import FRAMED
from tests.drawn import boxes_drawn

INCH = 25.4


def made(folder: Path, text: str) -> SheetJob:
    return sheet_job(read(folder, text), Paper.A4, (), 1)


def steps_of(job: SheetJob, part: str) -> str:
    (own,) = [sheet for sheet in job.sheets if sheet.name == part]
    return "\n".join("\n".join((one.text, *one.details)) for one in own.instructions)


def test_a_band_goes_round_a_shoulder_box_that_is_closed(tmp_path: Path) -> None:
    """Base and lid are 20 mm deep each, rim on rim: 40 mm and two floors' bends, not 35 mm."""
    found = check(read(tmp_path, text_of("boathouse")))
    assert found.lid is not None
    base, lid = found.assembly.base.sizes, found.assembly.lid.sizes  # type: ignore[union-attr]
    width, length, height = closed_mm(found.assembly)
    assert height == pytest.approx(base.height_mm + lid.height_mm, abs=0.05) and height > 40.0
    band = made(tmp_path, text_of("boathouse")).around[1]
    small, middle, _ = sorted((width, length, height))
    overlap = lengths_mm(band)[-1] - 2.0 * (small + middle)
    # half an inch where it is glued (common practice, no source), rounded up to 5 mm
    assert 12.7 <= overlap < 12.7 + 5.0


FOLDED = """format = 1
title = "Folded corners"
unit = "mm"
[base]
style = "tray"
stock = "cover-100"
floor = [80, 120]
depth = 20
[lid]
style = "tray"
stock = "cardstock-270"
corner = "folded"
oversize = [2, 3]
depth = 15
"""


def test_a_mat_for_the_lids_top_keeps_from_the_edges_of_the_top(tmp_path: Path) -> None:
    """Corners push the rim out; the top is the lid's floor with a crease's growth on each side."""
    one = read(tmp_path, FOLDED)
    lid = check(one).assembly.lid
    assert lid is not None
    grown = 2.0 * lid.recipe.stock.crease_allowance_mm
    top = np.array([82.0 + grown, 123.0 + grown])
    assert lid.sizes.outside_mm[1] > top[1] + 0.5
    (told,) = [line for line in made(tmp_path, FOLDED).around if line.startswith("mat for")]
    assert (top - lengths_mm(told)[:2] >= 2.0 * 1.5875 - 0.01).all()


@pytest.mark.parametrize(("name", "mirrored"), [("harbour", True), ("boathouse", False)])
def test_walls_lie_where_the_steps_say(tmp_path: Path, name: str, mirrored: bool) -> None:
    """A sheet that lies with its outside up has the right wall at its left; a ring has not."""
    part = {"harbour": "lid", "boathouse": "collar"}[name]
    job = sheet_job(read(tmp_path, text_of(name)), Paper.A4, (), 1)
    (own,) = [sheet for sheet in job.sheets if sheet.name == part]
    middles = {
        panel.name.partition(" ")[0]: own.pattern.outline(panel, {})[:, 0].mean()
        for panel in own.pattern.panels
        if panel.name.startswith(("left ", "right ")) and "tab" not in panel.name
    }
    assert bool(middles["right"] < middles["left"]) is mirrored
    assert ("the right one lies at the left edge" in steps_of(job, part)) is mirrored


@pytest.mark.parametrize("name", ["cards", "boathouse", "ferry", "slipway"])
def test_no_notch_is_advised_where_it_helps_nobody(tmp_path: Path, name: str) -> None:
    """At a lid's hinge, behind a ring, between strips and beside a window."""
    found = check(read(tmp_path, text_of(name)))
    assert all(fit.fingers.way_out is not WayOut.NOTCH for fit in found.contents)
    assert "half-round notch" not in check_text(found)


def test_a_platform_as_high_as_its_base_is_a_fault_and_no_failure(tmp_path: Path) -> None:
    """A tray of 15 mm with legs of 20: its top stands above the rim, under a lid on that rim."""
    for legs, depth in (("15", "15"), ("20", "15"), ("20", "25")):
        text = text_of("slipway", legs=legs)
        text = text.replace("depth  = 20", f"depth  = {depth}", 1)
        found = check(read(tmp_path, text))
        high = float(legs) >= float(depth)
        faults = [one for one in found.findings if one.severity is Severity.FAULT]
        assert any("stands" in one.message for one in faults) is high
        assert high <= (not found.fits)


TINS = """format = 1
title = "Tins"
unit = "in"
[base]
style = "tray"
stock = "cover-100"
floor = [4, 6]
depth = "3/4"
[lid]
style = "tray"
stock = "cover-100"
oversize = "3/32"
depth = "1/2"
[[content]]
item = "tea-tin"
count = 6
lay = "flat"
"""
TIN = """
[tea-tin]
kind = "cylinder"
unit = "in"
size = [2, "3/4"]
size_u = [0.012, 0.012]
source = "made up"
"""


def tins(folder: Path) -> Check:
    """Six tins of 50.8 mm in two rows of three: each side short, and each tin too tall."""
    from fitcheck.design.read import read_design
    from tests.cli.commands import ROOT

    (folder / "models").mkdir(exist_ok=True)
    (folder / "models" / "items.toml").write_text(TIN, encoding="utf-8")
    (folder / "models" / "tins.toml").write_text(TINS, encoding="utf-8")
    return check(read_design(folder / "models" / "tins.toml", roots=[folder, ROOT]))


def test_the_smaller_box_is_advised_where_a_larger_floor_and_a_deeper_base_both_help(
    tmp_path: Path,
) -> None:
    """In two layers they take 1 5/8 in of depth: 2.2 times the room, beside 1.2 times."""
    found = tins(tmp_path)
    prospect = take_prospect(found)
    advice = advise(prospect, hands_for(prospect, 2_000, 0))
    assert advice is not None and advice.design is not None and advice.after.share > 0.8
    width, length = advice.design.base.size_mm
    assert width * length * advice.design.base.depth_mm < 1.4 * 101.6 * 152.4 * 19.05
    told = " ".join(check_text(found).split())
    assert found.lid is not None and found.assembly.lid is not None
    # from the base's floor to the lid's: what closes it less both papers
    room = found.lid.closed_height_mm - 2.0 * found.assembly.lid.recipe.stock.caliper_mm
    assert f"each is {19.05 - room:.2f} mm too tall" in told
    # two of 3/4 in are 1 1/2 in, and the first thirty-second that leaves hands room is told too
    assert told.index("make the base's floor") < told.index("make the base 1 9/16 in")
    assert "or 1 5/8 in (41.3 mm), in the next groove" in told
    assert "none goes in as it is" in told


def test_insides_are_told_alike_by_all_and_no_larger_than_they_are(tmp_path: Path) -> None:
    found = tins(tmp_path)
    inside = found.assembly.base.sizes.inside_mm
    assert inside[0] < 101.6
    least = [int(mm / INCH * 32) for mm in inside]  # whole 1/32 in that are there
    assert least == [3 * 32 + 31, 5 * 32 + 31]
    assert "inside         3 31/32 x 5 31/32 in" in check_text(found)
    wider = read(tmp_path, TINS.replace("[4, 6]", "[5, 7]").replace("tea-tin", "coin-us-quarter"))
    beside = compared((found, check(wider)), None)
    assert "3 31/32 x 5 31/32 in" in compare_text(beside, ("one", "other"))
    rows = dict(
        (row.label, [own.text for own in row.figures]) for row in figures_of(found).parts[0][2]
    )
    assert [text.partition(" in")[0] for text in rows["inside"]] == ["3 31/32", "5 31/32"]
    assert rows["outside, at the rim"][0].partition(" in")[0] == "4 1/32"


def test_a_window_is_as_wide_as_its_sides_are_apart_and_takes_what_it_is_cut_for(
    tmp_path: Path,
) -> None:
    """A badge of 58 mm with 2 mm of play, in halves of a millimetre and in 1/32 in."""
    for unit, play in (("mm", "0.3"), ("in", '"0.3 mm"')):
        text = text_of("slipway", play=play)
        if unit == "in":
            text = in_inches(text)
        job = made(tmp_path, text)
        told = steps_of(job, "insert")
        (size,) = re.findall(r"a rectangle (.*?) (?:in|about) the middle", told)
        pair = r"([\d.]+) and ([\d.]+) mm"
        lines = re.findall(
            rf"^(?:{pair} \(|.* in \({pair}\)).* from the .* edge", told, re.MULTILINE
        )
        own = [float(mm) for mm in re.findall(r"([\d.]+) mm", size)]
        apart = [float(b or d) - float(a or c) for a, b, c, d in lines]
        # inches are told in millimetres to a tenth beside them
        assert apart == pytest.approx(own, abs=0.11 if unit == "in" else 1e-9)
        spec = part_of(job.design, "insert")
        assert isinstance(spec, InsertSpec) and spec.window_mm is not None
        step = 0.5 if unit == "mm" else INCH / 32
        for drawn, cut in zip(spec.window_mm, own, strict=True):
            assert drawn - 0.071 <= cut < drawn + step + 0.05


GRID = """format = 1
title = "Cells"
unit = "mm"
[base]
style = "tray"
stock = "cardstock-270"
floor = FLOOR
depth = 25
[dividers]
style = "dividers"
stock = "index-110"
rows = 2
columns = 3
ease = 1
height = 20
"""


def in_inches(text: str) -> str:
    """A design in millimetres as one whose file is in inches, its lengths as they are."""
    text = text.replace('unit   = "mm"', 'unit   = "in"')
    text = re.sub(r"= \[([\d.]+), ([\d.]+)\]", r'= ["\1 mm", "\2 mm"]', text)
    return re.sub(r"^(depth|legs) *= (\d+)", r'\1 = "\2 mm"', text, flags=re.MULTILINE)


@pytest.mark.parametrize("play", ["0.1", "0.3", "0.7", "1.2", "1.6", "2"])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_check_tells_the_window_that_the_steps_cut_and_they_where_it_lies(
    tmp_path: Path, unit: str, play: str
) -> None:
    """In the middle is only what leaves as much on either side of the sheet that was cut."""
    text = text_of("slipway", play=f'"{play} mm"')
    job = made(tmp_path, text if unit == "mm" else in_inches(text))
    told = steps_of(job, "insert")
    millimetres = r"([\d.]+) {}([\d.]+) mm" if unit == "mm" else r"\(([\d.]+) {}([\d.]+) mm\)"
    pair = millimetres.format("and ")
    (sheet,) = re.findall(rf"cut a sheet .*?{millimetres.format('x ')}", told)
    sides = re.findall(rf"^.*?{pair}.* from the (right|left|top|bottom) edge$", told, re.M)
    assert len(sides) == 2
    off = []
    for near, far, edge in sides:
        side = float(sheet[0 if edge in ("left", "right") else 1])
        off.append(abs(float(near) - (side - float(far))))
    # in inches each of the three is told in millimetres to a tenth
    middle = max(off) <= (0.21 if unit == "in" else 1e-9)
    assert ("in the middle of" in told) is middle and ("about the middle of" in told) is not middle
    wider = [
        edge if float(near) > float(sheet[0 if edge in ("left", "right") else 1]) - float(far)
        else {"left": "right", "right": "left", "top": "bottom", "bottom": "top"}[edge]
        for (near, far, edge), uneven in zip(sides, off, strict=True) if uneven > 0.21
    ]  # fmt: skip
    step = "0.5 mm (1/32 in)" if unit == "mm" else "1/32 in (0.8 mm)"
    assert (f"its margin {step} wider at the {' and '.join(wider)}." in told) is bool(wider)
    (size,) = re.findall(r"a rectangle (.*?) (?:in|about) the middle", told)
    wide, long = re.findall(
        r"(\S+(?: \d+/\d+)?) (?:mm|in)(?: \([\d./ ]+ \w+\))? (?:wide|long)", size
    )
    assert f"window         {wide} x {long} " in check_text(check(job.design))


@pytest.mark.parametrize("floor", ["[110, 75]", "[110, 75.5]", "[110, 76]", "[110, 76.5]"])
def test_a_slot_off_the_middle_of_its_strip_says_which_end_is_longer(
    tmp_path: Path, floor: str
) -> None:
    """One slot halfway along a strip that is cut to half millimetres: 73.5 has no half, 74 has."""
    text = GRID.replace("FLOOR", floor)
    told = steps_of(made(tmp_path, text), "dividers along")
    (side,) = re.findall(r"cut 2 sheets.*?, ([\d.]+) x ", told) or re.findall(
        r"cut .*? ([\d.]+) x [\d.]+ mm", told
    )
    (at,) = re.findall(r"([\d.]+) mm .*? from the left edge", told)
    more = float(at) - (float(side) - float(at))
    assert abs(more) in (0.0, 0.5)
    end = "left" if more > 0.0 else "right"
    assert (f"the strip has 0.5 mm (1/32 in) more at its {end} end" in told) is bool(more)


def test_a_slot_finer_than_a_rule_is_told_as_it_is_drawn(tmp_path: Path) -> None:
    text = text_of("ferry", slot="0.2")
    told = steps_of(made(tmp_path, text), "dividers across")
    # the hair and a paper of 0.222 mm
    assert "slots, each 0.42 mm wide" in told


def test_a_score_between_grooves_is_said_so_whatever_unit_the_file_is_in(tmp_path: Path) -> None:
    """At 60 mm an inch board has grooves at 2 3/8 in = 60.325 mm, a third of a millimetre off."""
    text = FOLDED.replace('unit = "mm"', 'unit = "mm"\ntools = "score-board-inch"')
    text = text.replace("depth = 20", "depth = 60", 1).replace("depth = 15", "depth = 22.225")
    job = made(tmp_path, text)
    assert "No groove lies there" in steps_of(job, "base")
    assert "No groove" not in steps_of(job, "lid")


def test_bought_sheets_are_told_as_they_are() -> None:
    """ANSI/ASME Y14.1 letter, ISO 216 A4."""
    letter, a4, _ = USUAL_SHEETS
    both = [(own.width_mm, own.length_mm) for own in (letter, a4)]
    assert show_exact(both[0], Unit.MM) == "215.9 x 279.4 mm (8 1/2 x 11 in)"
    assert show_exact(both[1], Unit.IN) == "8.268 x 11.693 in (210 x 297 mm)"


def test_sheets_that_are_counted_say_which_grain_they_are_taken_to_have(tmp_path: Path) -> None:
    """Named 297 x 210 mm the grain runs along the shorter side (common practice, no source)."""
    a4 = (Bought("A4", 210.0, 297.0), Bought("turned", 297.0, 210.0))
    grained = read(tmp_path, text_of("harbour", grain='"length"'))
    lines = list(yield_lines(sheet_job(grained, Paper.A4, a4, 1)))
    assert "along the side named second" in lines[0] and "common practice, no source" in lines[0]
    told = [line for line in lines[1:] if "the base" in line and "A4" in line]
    turned = [line for line in lines[1:] if "the base" in line and "turned" in line]
    assert told and all(", long grain" in line for line in told)
    assert turned and all(", short grain" in line for line in turned)
    plain = list(yield_lines(sheet_job(read(tmp_path, text_of("boathouse")), Paper.A4, a4, 1)))
    assert not any("grain" in line for line in plain)


def test_what_does_not_go_on_a_sheet_is_named_with_its_reason(tmp_path: Path) -> None:
    """A base of 210 x 240 mm goes on letter, but not with its grain across; a lid always does."""
    text = text_of("harbour", grain='"width"')
    job = sheet_job(read(tmp_path, text), Paper.LETTER, USUAL_SHEETS, 1)
    lines = list(yield_lines(job))
    across = ", long grain: the base would lie across the grain (it wants short grain)"
    assert any(line.endswith(across) for line in lines)
    assert not any("too small" in line for line in lines)
    large = text_of("boathouse", floor="[300, 50]")
    job = sheet_job(read(tmp_path, large), Paper.LETTER, USUAL_SHEETS, 1)
    assert any("too small for the base and the lid" in line for line in yield_lines(job))


def test_a_ring_that_no_sheet_holds_is_made_from_two_strips(tmp_path: Path) -> None:
    """Two halves are as long as the drawn strip and one more flap; each folds to a wall and a wall
    that is shorter by paper and glue, as the drawn ring's wall on its flap is."""
    text = text_of("boathouse", floor="[120, 100]", depth="40")
    job = made(tmp_path, text)
    told = steps_of(job, "collar")
    assert "no sheet holds the collar in one piece, so it is made from two strips" in told
    (ring,) = [part for part in check(job.design).assembly.parts if part.recipe.part == "collar"]
    (width,) = re.findall(r"cut 2 sheets, all alike, each ([\d.]+) x", told)
    (score,) = re.findall(r"the left edge: from edge to edge, at ([\d.]+) mm", told)
    (seam,) = re.findall(r"mm\) inside ([\d.]+) mm", told)
    drawn = ring.pattern.sheet.width_mm
    assert 2.0 * float(width) == pytest.approx(drawn + 10.0, abs=0.02)
    scores = {line.at_mm for line in plan_of(ring.pattern).scores}
    assert any(abs(float(score) - at) < 0.01 for at in scores) and float(seam) == 10.0
    assert f"{drawn:g}" not in told and "both seams hold" in told
    assert any("cannot be cut in one piece" in one.message for one in job.cautions)
    small = made(tmp_path, text_of("boathouse"))
    assert "two strips" not in steps_of(small, "collar")


def test_two_strips_are_what_is_drawn_bought_and_told_of_a_ring_in_two(tmp_path: Path) -> None:
    """The ring of a floor of 118.5 x 98 mm is 443 mm and a flap long; half of it 226.5 x 55 mm.

    The maker who follows the words ends each strip with a wall of 118.5 mm at one end, a flap of 10
    mm and a hair at the other, and what is left, which lacks the same hair, in between.
    """
    text = text_of("boathouse", floor="[120, 100]", depth="40")
    found = check(read(tmp_path, text))
    job = sheet_job(found.design, Paper.A4, USUAL_SHEETS, 3)
    (own,) = [sheet for sheet in job.sheets if sheet.name == "collar"]
    wide, high = 118.5 + 98.0 + 10.0, 55.0
    *flat, fold, glue, stand = own.instructions
    maker = follow(flat)
    assert (maker.width, maker.length) == pytest.approx((wide, high), abs=0.02)
    at = sorted(line.centroid.x for line in maker.scored)
    assert at == pytest.approx([118.5, wide - 10.0], abs=0.05)
    (ring,) = [part for part in found.assembly.parts if part.recipe.part == "collar"]
    paper_mm = ring.recipe.stock.caliper_mm
    assert f"a hair ({paper_mm + found.design.joint_mm:.1f} mm) inside" in steps_of(job, "collar")
    assert "2 creases" in fold.text and "each flap" in glue.text and "into the base" in stand.text
    bought = {one.bought.name: one for one in job.yields.parts if one.piece.part == "collar"}
    assert {one.piece.count for one in bought.values()} == {2}
    # strips side by side and one on the other: 304.8 / 226.5 and 304.8 / 55 mm
    assert bought["12 x 12 in"].any_way >= 1 * 5
    lines = list(yield_lines(job))
    assert not any("not from" in line for line in lines)
    assert any("Parts for the collar, 2 to a box" in line for line in lines)
    recipe = recipe_of(Sheets(found, job), None, None)
    paper = dict(recipe.needs)["Paper"]
    assert "for the collar: 2 pieces 226.5 x 55 mm" in paper
    (row,) = [row for row in recipe.card if row.part == "collar" and "sheets" in row.what]
    assert row.what == "2 sheets, each" and row.sizes.startswith("226.5 x 55 mm")
    (told,) = [chapter for chapter in recipe.chapters if chapter.heading == "The collar"]
    pictures = [card.picture is not None for card in told.steps]
    assert all(pictures) and len(pictures) == len(own.instructions)
    assert any("Cut 2 pieces" in cue.line for cue in cues(job))
    single = f"{ring.pattern.sheet.width_mm:g}"
    assert not any(
        single in text for text in (paper, row.sizes, *(card.text for card in told.steps))
    )


def test_only_what_has_a_floor_is_halved_across_it(tmp_path: Path) -> None:
    def said(design: Design) -> str:
        return " ".join(one.message for one in check(design).findings)

    assert "across the floor" in said(read(tmp_path, text_of("boathouse", floor="[300, 50]")))
    carton = text_of("whist", floor="[120, 90]")
    assert "it cannot be cut in one piece" in said(read(tmp_path, carton))
    assert "across the floor" not in said(read(tmp_path, carton))


NARROW = """format = 1
title = "A narrow rim"
unit = "mm"
joint = "0.05 mm"
[base]
style = "double-wall"
stock = "tag-165"
floor = [82.5, 87.5]
depth = 18
rim = 1
inner_wall = 16
lock = "foot"
"""


def test_boxes_that_cannot_be_folded_do_not_come_out_right(tmp_path: Path) -> None:
    """A rim of 1 mm in a card of 0.35 mm: each box is folded, and those that cannot be counted."""
    found = check(read(tmp_path, NARROW))
    odds = odds_of(found, 20_000)
    boxes = 400
    share = sum(one is not None for one in boxes_drawn(found, boxes, 5)) / boxes
    assert 0.4 < share < 0.7
    # a proof of 100 boxes and 400 of these: three standard errors of both
    assert abs(odds.good.share - share) < 3.0 * np.sqrt(0.25 / 100 + 0.25 / boxes)
    assert "all taken up by its bends" in check_text(found, odds)
    assert any("could not be folded at all" in one.message for one in odds.findings)


def test_more_boxes_that_are_only_counted_do_not_undo_those_that_were_folded(
    tmp_path: Path,
) -> None:
    found = check(read(tmp_path, NARROW))
    *_, proved, more = staged(found, 2_000, many=10_000)
    assert more.boxes == 10_000 and proved.advice is None
    assert more.good == proved.good and more.good.share < 0.8


def test_what_helps_is_told_from_the_figure_that_stands_above_it(tmp_path: Path) -> None:
    """Changes are tried on fewer boxes than are counted in the end: those have one figure."""
    found = check(read(tmp_path, text_of("lantern", oversize="1.25")))
    told = [told_odds(found, one, None) for one in staged(found, 2_000, few=500, many=20_000)]
    assert len({one["right"] for one in told}) > 1 and told[-1]["advice"]
    for one in told:
        helps = [one["advice"] or "", *re.findall(r"twice as exactly: .*", one["text"])]
        before = re.findall(r": ((?:about )?\d+) ->", "\n".join(helps))
        assert set(before) <= {one["right"]} and len(before) >= bool(one["advice"])


@pytest.mark.parametrize(("floor", "often"), [("[68, 80]", True), ("[52, 66]", False)])
def test_several_pieces_are_said_to_be_counted_in_one_arrangement(
    tmp_path: Path, floor: str, often: bool
) -> None:
    """Where that leaves boxes out: six toffees with room to spare need no word."""
    odds = odds_of(check(read(tmp_path, text_of("lantern", floor=floor))), 2_000)
    told = [one.message for one in odds.findings if one.code == "one-arrangement"]
    assert all(one.fits.share > 0.98 for one in odds.contents) is often
    assert bool(told) is not often


OFF_GROOVES = """format = 1
title = "A frame off the grooves"
unit = "mm"
[base]
style = "shadow-box"
stock = "cardstock-270"
floor = [79, 114]
depth = 20
frame = 10
flap = 8
"""


def fighting(found: Check, boxes: int) -> float:
    """The share of boxes, each folded by itself, in which no part fights itself."""
    folded = boxes_drawn(found, boxes, 7)
    parts = [part for made in folded if made is not None for part in made.parts]
    (names,) = {part.name for part in parts}
    assert names == "base"
    return sum(not deeper for deeper in deepest_of(parts, FIGHT_MM)) / len(folded)


def test_a_tab_that_slides_past_a_frame_does_not_fight_it(tmp_path: Path) -> None:
    """Tab and frame lie over each other by half a millimetre at the most: none of 120 boxes that
    are folded one by one fights itself, where 6 of 100 were said to."""
    found = check(read(tmp_path, OFF_GROOVES))
    odds = odds_of(found, 20_000, folded_again=4)
    assert odds.at_ease is None or odds.at_ease.share > 0.99
    assert fighting(found, 120) > 0.99


def test_a_pair_that_fights_is_still_followed(tmp_path: Path) -> None:
    """Flaps of 8 mm under a frame of 7 mm stand in the walls behind it in half of the boxes."""
    text = OFF_GROOVES.replace("frame = 10", "frame = 7").replace("depth = 20", "depth = 18.5")
    found = check(read(tmp_path, text.replace("cardstock-270", "text-80")))
    odds = odds_of(found, 20_000, folded_again=4)
    share = fighting(found, 150)
    assert 0.2 < share < 0.9 and odds.at_ease is not None
    # half of 150 boxes: three standard errors are 12 of 100
    assert odds.at_ease.share == pytest.approx(share, abs=0.125)


def test_strips_that_nothing_crosses_are_told_where_they_stand(tmp_path: Path) -> None:
    """Three compartments between two papers of 0.222 mm: their middles are a third of the inside
    and of a paper apart, half of that from the middle of the base."""
    text = text_of("ferry", rows="1")
    text = re.sub(r"^(pitch|cut) .*$", "", text, flags=re.MULTILINE) + "\n"
    text = text.replace("columns = 3", "columns = 3\nease = 0.8")
    job = made(tmp_path, text)
    inside = check(job.design).assembly.base.sizes.inside_mm[0]
    apart = (inside - 2.0 * 0.222) / 3.0 + 0.222
    (own,) = re.findall(r"one ([\d.]+) mm .* from its middle", steps_of(job, "dividers along"))
    assert float(own) == pytest.approx(0.5 * apart, abs=0.25)


@pytest.mark.parametrize(
    ("front", "clear", "side"), [("over", 0.8, "outside"), ("in", -1, "behind")]
)
def test_a_lip_is_told_on_which_side_it_goes(
    tmp_path: Path, front: str, clear: float, side: str
) -> None:
    job = made(tmp_path, text_of("cards", front=f'"{front}"', clear=str(clear)))
    told = " ".join(one.text for one in job.together)
    assert f"the lip {side} the wall that it meets" in told


def test_liners_of_a_shoulder_box_lie_inside_its_ring(tmp_path: Path) -> None:
    """A ring of 35 mm stands before the base's walls of 20, a paper and a play inside them."""
    job = made(tmp_path, text_of("boathouse"))
    (ring,) = [one for one in check(job.design).assembly.parts if one.recipe.part == "collar"]
    floor, walls = (
        lengths_mm(line) for line in job.around if line.startswith(("liner for", "liners for"))
    )
    assert floor[0] < ring.sizes.inside_mm[0] and floor[1] < ring.sizes.inside_mm[1]
    assert 30.0 < walls[1] < 35.0


IN_A_FRAME = f"""{FRAMED.partition("[[content]]")[0]}
[insert]
style = "mat"
stock = "cover-65"
ease = "{{ease}}"
"""


@pytest.mark.parametrize("ease", ["0.02", "1/32", "0.05"])
def test_what_stands_between_walls_is_told_no_larger_than_it_is(tmp_path: Path, ease: str) -> None:
    """A mat goes in with what is left of its ease; the nearest 1/32 in may be larger than that."""
    job = made(tmp_path, IN_A_FRAME.format(ease=ease))
    (own,) = [sheet for sheet in job.sheets if sheet.name == "insert"]
    said = re.search(r"cut a sheet (\S+ \S+) x (\S+ \S+) in", own.instructions[0].text)
    assert said is not None
    step = INCH / 32.0
    drawn = own.part.sizes.outside_mm
    told = [INCH * sum(float(Fraction(own)) for own in size.split()) for size in said.groups()]
    for exact, mm in zip(drawn, told, strict=True):
        assert exact - step < mm <= exact + 0.02
    assert f"| insert | mat | cover-65 | {said[1]} in" in table_markdown(
        job.design, measurement_tables(job)
    )
    found = check(job.design)
    assert f"cut the sheet  {said[1]} x {said[2]} in" in check_text(found)


def test_rounding_a_mat_loses_no_box_that_it_would_go_into(tmp_path: Path) -> None:
    found = check(read(tmp_path, IN_A_FRAME.format(ease="1/32")))
    assembly = found.assembly
    mats = [
        one
        for one in take_prospect(found).workshop.inputs
        if one.parts == ("insert",) and one.rule in (WIDTH_EDGE, LENGTH_EDGE)
    ]
    assert len(mats) == 2
    for one in mats:
        assert -INCH / 32.0 < printed_off_mm(assembly, one) <= 0.02
