"""Grids of slotted strips against arithmetic, and their crossings against plane geometry.

A tray with the floor F of a paper with caliper t and allowance a is F - 2 (t - a) wide between its
walls, and D + a - t deep. n compartments between n - 1 strips of caliper s have
(inside - (n - 1) s) / n each. A slot is half the strip's height and a hair deep, and a hair wider
than the other strip (common practice, no source); worked by hand. The library shapely cuts the
crossing level by level.
"""

from __future__ import annotations

import itertools
import json
import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from scipy.integrate import quad
from scipy.stats import norm

from fitcheck import kinds
from fitcheck.design.model import Content, Design
from fitcheck.design.read import read_design
from fitcheck.drawing.page_sizes import Paper
from fitcheck.errors import InputError
from fitcheck.findings import Severity
from fitcheck.fit.assembly import assemble
from fitcheck.fit.check import Check, check
from fitcheck.fit.contents import ContentVerdict
from fitcheck.fit.grids import slots_of
from fitcheck.fit.mates import MateFit
from fitcheck.kinds.kind import Item, Lay
from fitcheck.odds.advice import advise
from fitcheck.odds.odds import hands_for, odds_of, prospect_of
from fitcheck.odds.suggest import suggest
from fitcheck.outputs.check_json import check_data
from fitcheck.outputs.check_text import check_text
from fitcheck.outputs.odds_text import odds_text
from fitcheck.outputs.report.bodies import bodies_of
from fitcheck.outputs.sheet_json import sheet_json
from fitcheck.pattern.plan import plan_of
from fitcheck.pattern.sheet import Axis
from fitcheck.sheet.instructions import instructions_for
from fitcheck.sheet.job import sheet_job
from fitcheck.sheet.steps import steps_for
from fitcheck.sheet.yields import Piece, fewest_sheets, purchase
from fitcheck.stock.bought_sheets import Bought
from fitcheck.styles.dividers import Dividers, DividersSpec
from fitcheck.styles.part import SizeBy
from tests.agreement.test_odds_closed_forms import BASE_STOCK, BOARD, design, stock, u_of_score

WIDE, LONG, DEEP = 80.0, 110.0, 23.0
"""The base's floor and depth."""
ROWS, COLUMNS = 4, 3
EASE = (0.9, 1.3)
SLOT, HEIGHT = 0.7, 20.0
STRIP = stock("strip paper", 0.24, 0.1)
BITE = BASE_STOCK.caliper_mm - BASE_STOCK.crease_allowance_mm
INSIDE = WIDE - 2 * BITE, LONG - 2 * BITE
ROOM = (
    (INSIDE[0] - (COLUMNS - 1) * STRIP.caliper_mm) / COLUMNS,
    (INSIDE[1] - (ROWS - 1) * STRIP.caliper_mm) / ROWS,
)


def block(width: float, length: float, height: float) -> Content:
    """One block that lies flat, as it is."""
    size, u = (width, length, height), (0.1, 0.1, 0.1)
    item = Item("block", kinds.BLOCK, size, 0.0, None, u, None, "", frozenset())
    return Content(item, 1, Lay.FLAT)


def divided(
    *contents: Content,
    height: float | None = HEIGHT,
    slot: float = SLOT,
    ease: tuple[float, float] = EASE,
    rows: int = ROWS,
    columns: int = COLUMNS,
    lidded: bool = True,
) -> Design:
    """The tray of 80 x 110 x 23 with its lid, and strips of a paper of their own in it."""
    plain = design("tray", 2.0)
    whole = DividersSpec(
        name="dividers",
        style="dividers",
        stock=STRIP,
        size_by=SizeBy.EASE,
        size_mm=ease,
        depth_mm=0.0,
        rows=rows,
        columns=columns,
        height_mm=height,
        slot_mm=slot,
    )
    base = replace(plain.base, depth_mm=DEEP)
    parts = tuple(part.beside(base) for part in Dividers().split(whole))
    lid = (replace(plain.lid, depth_mm=18.0),) if lidded and plain.lid else ()
    return replace(plain, parts=(base, *lid, *parts), contents=contents)


def plays(found: Check, mover: str) -> dict[str, float]:
    (fit,) = (one for one in found.mates if one.mate.mover == mover)
    return {str(travel.axis): travel.play_mm for travel in fit.slide.travels}


def test_strips_and_compartments_are_those_of_arithmetic() -> None:
    found = check(divided())
    parts = {part.recipe.part: part for part in found.assembly.parts}
    across, along = parts["dividers across"], parts["dividers along"]
    assert (across.pattern.copies, along.pattern.copies) == (ROWS - 1, COLUMNS - 1)
    assert across.pattern.sheet.width_mm == pytest.approx(INSIDE[0] - EASE[0])
    assert along.pattern.sheet.width_mm == pytest.approx(INSIDE[1] - EASE[1])
    assert across.sizes.height_mm == pytest.approx(HEIGHT)
    rooms = found.compartments
    assert rooms is not None
    assert rooms.size_mm == pytest.approx(ROOM)
    for spans, room in zip((rooms.widths_mm, rooms.lengths_mm), ROOM, strict=True):
        assert [high - low for low, high in spans] == pytest.approx([room] * len(spans))


def test_a_slot_is_half_the_height_and_a_hair_deep_and_a_hair_wider_than_the_other_strip() -> None:
    for part in assemble(divided()).parts[2:]:
        (panel,) = part.pattern.panels
        for cutout in panel.cutouts:
            spots = np.array([part.pattern.sheet.place(corner, {}) for corner in cutout.corners])
            wide, deep = np.ptp(spots, axis=0)
            assert wide == pytest.approx(STRIP.caliper_mm + SLOT)
            assert deep == pytest.approx(0.5 * HEIGHT + SLOT)


def test_without_a_height_strips_end_a_hair_below_the_rim() -> None:
    deep = DEEP - BITE
    assert divided(height=None).parts[2].depth_mm == pytest.approx(deep - 0.4)


def test_the_grid_has_its_ease_as_play_and_a_slot_its_hair() -> None:
    found = check(divided())
    grid = plays(found, "dividers")
    assert grid["width"] == pytest.approx(EASE[0], abs=1e-6)
    # across the length the glued walls lean out, by microns at the height of the strips' feet
    assert grid["length"] == pytest.approx(EASE[1], abs=5e-3)
    slots = plays(found, "dividers along")
    assert slots == pytest.approx({"width": SLOT, "length": SLOT}, abs=1e-9)


def outline_of(found: Check, name: str) -> shapely.Polygon:
    """A strip's paper seen on its face: x along it from its middle, y up from its lower edge."""
    (part,) = (one for one in found.assembly.parts if one.recipe.part == name)
    ring = part.pattern.outline(part.pattern.panels[0], {}) - [part.pattern.sheet.width_mm / 2, 0.0]
    paper = shapely.Polygon(ring)
    for cutout in part.pattern.panels[0].cutouts:
        spots = np.array([part.pattern.sheet.place(corner, {}) for corner in cutout.corners])
        paper = paper.difference(shapely.Polygon(spots - [part.pattern.sheet.width_mm / 2, 0.0]))
    return paper


def crossing_area(found: Check, shift: tuple[float, float], level: float) -> float:
    """What all strips have in common at one level, mm2, those along shifted by so much."""
    across, along = outline_of(found, "dividers across"), outline_of(found, "dividers along")
    (one, two) = (part.folded for part in found.assembly.parts[2:])
    half = 0.5 * STRIP.caliper_mm

    def level_of(paper: shapely.Polygon) -> list[tuple[float, float]]:
        line = shapely.LineString([(-500.0, level), (500.0, level)])
        cut = paper.intersection(line)
        return [(own.bounds[0], own.bounds[2]) for own in getattr(cut, "geoms", [cut])]

    first = shapely.union_all(
        [shapely.box(a, y - half, b, y + half) for y in slots_of(two) for a, b in level_of(across)]
    )
    x_off, y_off = shift
    second = shapely.union_all(
        [
            shapely.box(x - half + x_off, a + y_off, x + half + x_off, b + y_off)
            for x in slots_of(one)
            for a, b in level_of(along)
        ]
    )
    return float(first.intersection(second).area)


def test_a_plane_cut_at_every_level_finds_the_slots_play() -> None:
    found = check(divided())
    levels = [HEIGHT * k / 41 for k in range(1, 41)]
    near, past = 0.5 * SLOT - 1e-4, 0.5 * SLOT + 1e-3
    for sign, (x, y) in itertools.product((-1, 1), ((1, 0), (0, 1))):
        free = [crossing_area(found, (sign * near * x, sign * near * y), z) for z in levels]
        meets = [crossing_area(found, (sign * past * x, sign * past * y), z) for z in levels]
        assert max(free) == 0.0
        assert max(meets) > 0.0


def test_slots_narrower_than_the_strip_do_not_go_on() -> None:
    """No design file says a negative hair; a thicker paper behind another's slots does as much."""
    found = check(divided(slot=-0.3))
    assert not found.fits
    assert {one.code for one in found.findings} >= {"slots-bind"}


def test_a_content_has_the_room_of_a_compartment() -> None:
    found = check(divided(block(20.0, 24.0, 12.0)))
    (fit,) = found.contents
    assert fit.verdict is ContentVerdict.FITS
    assert fit.slack is not None
    assert fit.slack.width_mm == pytest.approx(ROOM[0] - 20.0, abs=0.01)
    assert fit.slack.length_mm == pytest.approx(ROOM[1] - 24.0, abs=0.01)
    assert len(bodies_of(found)) == ROWS * COLUMNS
    middles = sorted({tuple(np.round(b.vertices.mean(axis=0)[:2], 3)) for b in bodies_of(found)})
    xs = [(k - 1) * (ROOM[0] + STRIP.caliper_mm) for k in range(COLUMNS)]
    assert sorted({x for x, _ in middles}) == pytest.approx(xs, abs=0.01)


def test_what_is_larger_than_a_compartment_goes_into_none() -> None:
    """It would go into the base a hundred times over."""
    wide = check(divided(block(ROOM[0] + 0.2, ROOM[0] + 0.2, 5.0)))
    assert wide.contents[0].verdict is ContentVerdict.DOES_NOT_FIT
    assert not wide.fits


def test_strips_may_not_stand_higher_than_the_lid_leaves_room_for() -> None:
    room = check(divided(height=10.0)).over_grid_mm
    assert room is not None
    assert room == pytest.approx(DEEP - BITE - 10.0, abs=0.02)
    fits, high = check(divided(height=10.0 + room - 0.1)), check(divided(height=10.0 + room + 0.6))
    assert fits.over_grid_mm == pytest.approx(0.1, abs=1e-6)
    assert fits.fits
    assert not high.fits
    assert "grid-too-high" in {one.code for one in high.findings}
    out = check(divided(height=30.0, lidded=False))
    (fit,) = (one for one in out.mates if one.mate.mover == "dividers")
    assert fit.stands_out_mm == pytest.approx(30.0 - (DEEP - BITE), abs=0.02)
    assert "grid-stands-out" in {one.code for one in out.findings}


@pytest.mark.parametrize(
    ("ease", "said"),
    [
        ((1.2, 9.0), "9.00 mm along the length, so that they slide about"),
        ((3.0, 9.0), "3.00 mm along the width and 9.00 mm along the length, so that they slide"),
    ],
)
def test_strips_far_too_short_for_their_base_are_a_caution(
    ease: tuple[float, float], said: str
) -> None:
    """As by a slip, from twice the play on that is called loose (common practice, no source)."""
    found = check(divided(ease=ease))
    (caution,) = (one for one in found.findings if one.code == "mate-astray")
    assert caution.severity is Severity.CAUTION
    assert said in caution.message and "less than 1.5 mm is usual" in caution.message
    assert "mate-loose" not in {one.code for one in found.findings}


def test_strips_that_rattle_are_told_so_once_and_that_they_are_right() -> None:
    found = check(divided(ease=(1.7, 1.9)))
    assert found.fits and "mate-astray" not in {one.code for one in found.findings}
    text = " ".join(check_text(found).split())
    assert text.count("rattle") == 1
    assert "have 1.70 mm of play at the least in the base: they rattle, and count as right" in text
    close = check(divided(ease=(0.9, 1.3)))
    assert not {"mate-astray", "mate-loose"} & {one.code for one in close.findings}


def test_strips_one_way_only_are_said_to_fall_over() -> None:
    found = check(divided(rows=1))
    assert [part.recipe.part for part in found.assembly.parts[2:]] == ["dividers along"]
    assert "grid-loose" in {one.code for one in found.findings}
    rooms = found.compartments
    assert rooms is not None
    assert rooms.size_mm == pytest.approx((ROOM[0], INSIDE[1]))


@pytest.mark.parametrize(
    ("one", "free", "held"), [("rows", "width", "length"), ("columns", "length", "width")]
)
def test_strips_one_way_only_have_no_play_where_they_stand_free(
    one: str, free: str, held: str
) -> None:
    """Strips along the length are held at their ends; across the width nothing but glue holds them.

    How far they can go there, some 20 mm or more in a base of 80 x 110 mm, is no play.
    """
    found = check(divided(rows=1) if one == "rows" else divided(columns=1))
    (fit,) = (own for own in found.mates if own.mate.mover == "dividers")
    assert isinstance(fit, MateFit)
    assert fit.plays[free] > 20.0
    assert fit.plays[held] < 2.0
    said = check_text(found).split("  dividers  in the base: ")[1].split("content")[0]
    assert f"play           {held} " in said and f"{free} " not in said.split("\n")[1]
    assert f"free           along the {free}: glue the strips in their places" in said
    assert "once the strips are glued in their places\n" in check_text(found)
    odds = odds_of(found, 500, folded_again=0)
    told = odds_text(odds).split("go into the base")[1].split("content")[0]
    assert f"of play along the {held}" in told and f"along the {free}" not in told


def test_strips_both_ways_have_a_play_each_way() -> None:
    said = check_text(check(divided()))
    assert "glue the strips" not in said and "once the strips" not in said
    assert re.search(r"in the base: .*\n +play +width \d[^\n]*, length \d", said)


def test_text_and_json_tell_the_compartments() -> None:
    found = check(divided(block(20.0, 24.0, 12.0)))
    own = check_data(found)
    told = own["parts"]["dividers across"]
    assert (told["copies"], told["runs"]) == (ROWS - 1, "width")
    assert told["compartments"]["inside_mm"]["width"] == pytest.approx(ROOM[0], abs=1e-6)
    assert own["contents"][0]["in_each_of"] == ROWS * COLUMNS
    assert [one["mover"] for one in own["mates"]] == ["lid", "dividers along", "dividers"]
    text = check_text(found)
    assert "block in each of 12 compartments: fits" in text
    cut = json.loads(sheet_json(sheet_job(found.design, Paper.A4, (), 1)))["parts"]
    counts = {name: part.get("copies") for name, part in cut.items() if "dividers" in name}
    assert counts == {"dividers across": ROWS - 1, "dividers along": COLUMNS - 1}
    assert "copies" not in cut["base"]
    assert "12: 3 along the width, 4 along the length" in text


def test_the_odds_hold_where_boxes_are_folded_anew() -> None:
    """At the height of the lid, so that some boxes leave it no room."""
    found = check(divided(block(20.0, 24.0, 12.0), height=22.3, slot=1.0))
    odds = odds_of(found, 4_000)
    assert odds.agreement.trusted
    assert odds.agreement.verdicts_alike == odds.agreement.boxes
    named = {one.name: one for one in odds.agreement.refolded}
    assert named["what stands in the base is lower than the lid"].worst_mm < 0.02
    assert 0.5 < odds.good.share < 1.0


def test_slots_count_however_sure_the_knife() -> None:
    """What another part goes into is never left out of the odds."""
    found = check(divided(slot=0.05))
    odds = odds_of(found, 2_000, folded_again=4)
    goes = {one.mate.called: one.goes.share for one in odds.mates}
    assert goes["slots"] < 0.9


def test_every_slot_has_to_take_its_strip() -> None:
    """Each is cut by itself: with n of them all are wide enough as often as one is, to the n-th;
    the strips' caliper is one for all (integrated over its normal law)."""
    hair = 0.15
    found = check(divided(slot=hair))
    odds = odds_of(found, 20_000, folded_again=4)
    (slots,) = (one for one in odds.mates if one.mate.called == "slots")
    u = min(BOARD.knife_u_mm, 0.2 * (STRIP.caliper_mm + hair))
    count = 2 * (ROWS - 1) * (COLUMNS - 1)

    def all_wide(thicker: float) -> float:
        share = norm.cdf((hair - thicker) / u) ** count
        return float(share * norm.pdf(thicker, scale=STRIP.caliper_u_mm))

    far = 8.0 * STRIP.caliper_u_mm
    alone = float(norm.cdf(hair / math.hypot(u, STRIP.caliper_u_mm)))
    assert slots.goes.share == pytest.approx(quad(all_wide, -far, far)[0], abs=0.015)
    assert slots.goes.share < alone**2 - 0.1


def test_every_strip_has_to_go_in() -> None:
    """Each strip's end is cut by itself; the tray's inside is one for all of them: its sheet, two
    scores, twice the fence, and twice its caliper less its crease (drawn 200 000 times)."""
    ease = 0.3
    found = check(divided(ease=(ease, ease), height=15.0))
    odds = odds_of(found, 20_000)
    (strips,) = (one for one in odds.mates if one.mate.called == "dividers")
    rng, boxes = np.random.default_rng(1), 200_000
    cut, score = BOARD.cut_u_mm, u_of_score(DEEP)
    fence = 2 * rng.normal(0.0, BOARD.fence_u_mm, boxes)
    bite = rng.normal(0.0, BASE_STOCK.caliper_u_mm, boxes)
    bite -= rng.normal(0.0, BASE_STOCK.crease_allowance_u_mm, boxes)
    goes = np.ones(boxes, dtype=bool)
    for count in (ROWS - 1, COLUMNS - 1):
        side = rng.normal(0.0, cut, boxes) - rng.normal(0.0, score, (2, boxes)).sum(axis=0)
        longest = rng.normal(0.0, cut, (count, boxes)).max(axis=0)
        goes &= ease + side - fence - 2 * bite - longest >= 0.0
    assert strips.goes.share == pytest.approx(goes.mean(), abs=0.015)
    assert odds.agreement.trusted


def test_wider_slots_are_the_cure_of_strips_that_bind_in_them() -> None:
    """No other size of the strips is, and what wider ones promise comes out so."""
    own = divided(slot=0.1)
    best = suggest(own, 2_000).ranked[0].design
    strips = [[one.size_mm for one in design.parts if one.fills_base] for design in (best, own)]
    assert strips[0] == strips[1]
    tight = prospect_of(check(own), 4_000)
    advice = advise(tight, hands_for(tight, 4_000, 0))
    assert advice is not None and advice.design is not None
    said = re.fullmatch(
        r"cut the slots (\S+) mm wider than a strip is thick instead of 0\.1 mm", advice.change
    )
    assert said is not None
    wider = divided(slot=float(said[1]))
    assert [one.size_mm for one in advice.design.parts] == [one.size_mm for one in wider.parts]
    again = odds_of(check(wider), 4_000, folded_again=4)
    assert advice.after.share == pytest.approx(again.good.share, abs=0.015)
    assert advice.after.share > advice.before.share + 0.3


def test_strips_are_cut_as_often_as_they_stand() -> None:
    own = divided()
    part = assemble(own).parts[2]
    steps = steps_for(part.pattern, plan_of(part.pattern), "paper", None, own.tools, own.unit)
    told = instructions_for(steps, own.unit)
    assert "cut 3 sheets, all alike" in told[0].text
    assert "slots up" in told[-1].text
    piece = Piece("strip", "card", 100.0, 50.0, None, count=3)
    # four go on a sheet: two boxes take six
    assert purchase([piece], Bought("sheet", 100.0, 200.0), 2).sheets == 2
    assert fewest_sheets(frozenset([(4, 1)]), 2, (3, 1)) == 2


TEXT = """format = 1
title = "Divided"
unit = "mm"
[base]
style = "tray"
stock = "cover-100"
floor = [75, 155]
depth = 20
[dividers]
style = "dividers"
stock = "cover-80"
"""


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ("rows = 0\ncolumns = 3\nease = 1", ["dividers.rows", "read 0"]),
        ("rows = 2\ncolumns = 13\nease = 1", ["dividers.columns", "read 13"]),
        ("rows = 1\ncolumns = 1\nease = 1", ["dividers: divides nothing", "above 1"]),
        ("rows = 2\ncolumns = 3", ["dividers: its size is missing", "one of ease, cut"]),
        ("rows = 2\ncolumns = 3\nease = 1\nslots = 2", ["dividers.slots", "slot"]),
        ("rows = 2\ncolumns = 3\nease = 1\nheight = 1", ["dividers.height", "too little"]),
        ("rows = 2\ncolumns = 3\nease = 1\nslot = 25", ["dividers.columns", "too small to cut"]),
    ],
)
def test_what_cannot_be_made_is_one_line(tmp_path: Path, keys: str, words: list[str]) -> None:
    path = tmp_path / "box.toml"
    path.write_text(TEXT + keys + "\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_design(path)
    for word in words:
        assert word in str(caught.value)


def test_an_axis_is_the_way_a_strip_runs() -> None:
    rows = [part.pattern.row for part in assemble(divided()).parts[2:]]
    assert [row.runs for row in rows if row] == [Axis.WIDTH, Axis.LENGTH]
