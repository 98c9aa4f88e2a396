"""The coupon: one page, every score in a groove, and rows that can be filled in and learnt."""

from __future__ import annotations

import csv
import io
import itertools
from dataclasses import replace

import pytest

from fitcheck.drawing.page_sizes import Paper
from fitcheck.drawing.pages import lay_on_pages
from fitcheck.drawing.shapes import Box, Drawing, LineKind
from fitcheck.learn.bench_readings import Feature, Kind
from fitcheck.learn.coupon_drawing import coupon_drawing
from fitcheck.learn.csv_rows import parse_sheet
from fitcheck.learn.csv_table import HEADER
from fitcheck.learn.drafting import given_for
from fitcheck.learn.entries import entries_of
from fitcheck.learn.feel_how_to import feel_how_to
from fitcheck.learn.hand_coupon import hand_coupon_for, hand_rows
from fitcheck.learn.hand_drawing import hand_drawing
from fitcheck.learn.hand_how_to import hand_how_to
from fitcheck.learn.how_to import how_to_drawing
from fitcheck.learn.paper_coupon import (
    Coupon,
    coupon_for,
    coupon_rows,
    coupon_score_u_mm,
    empty_sheet,
    gauge_rows,
)
from fitcheck.learn.possible_readings import LIMITS
from fitcheck.outputs.coupon_files import folding_block
from fitcheck.solids.correction import IDENTITY
from fitcheck.stock.profile_files import find_stock, find_tools
from fitcheck.stock.tools import Tools
from fitcheck.workspace.paths import shipped_workspace
from tests.readers import overlap

ROOTS = (shipped_workspace(),)
STOCK = find_stock("cardstock-270", ROOTS)


GRIDS = (1.0, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0, 16.0, 17.0)
INCH_GRIDS = tuple(25.4 * part for part in (1 / 16, 1 / 8, 1 / 4, 3 / 8, 1 / 2, 5 / 8))
COARSE = (None, 20.0, 25.4)
"""No grooves, or none that walls of a coupon could be scored in."""


def tools(name: str) -> Tools:
    return find_tools(f"score-board-{name}", ROOTS)


def board_of(grid: float | None) -> Tools:
    return replace(tools("metric"), name="own", grid_mm=grid)


def coupon(name: str) -> Coupon:
    return coupon_for(STOCK.name, tools(name))


READINGS = "cardstock-270-readings.csv"


def drawings() -> list[Drawing]:
    drawn = [coupon_drawing(coupon(name), STOCK) for name in ("metric", "inch")]
    boards = map(board_of, (*GRIDS, *INCH_GRIDS, *COARSE))
    hands = [hand_drawing(hand_coupon_for(tools(name))) for name in ("metric", "inch")]
    told = how_to_drawing(STOCK.name, "score-board-inch", READINGS, "outside")
    guide = hand_how_to("attic-bench", "attic-bench-readings.csv", "score-board-inch")
    feel = feel_how_to(STOCK.name, "score-board-inch", READINGS)
    others = [coupon_drawing(coupon_for(STOCK.name, board), STOCK) for board in boards]
    return [*drawn, told, *hands, guide, feel, *others]


def test_what_is_printed_is_the_whole_command() -> None:
    """A coupon is learnt with the board that it was made with, under the name that it is of."""
    command = "fitcheck learn cardstock-270 cardstock-270-readings.csv --tools score-board-inch"
    for drawing in (
        how_to_drawing(STOCK.name, "score-board-inch", READINGS, "outside"),
        feel_how_to(STOCK.name, "score-board-inch", READINGS),
    ):
        words = " ".join(label.text for label in drawing.labels)
        assert command in words and "NAME" not in words
    new = hand_how_to("attic-bench", "attic-bench-readings.csv", "score-board-inch")
    words = " ".join(label.text for label in new.labels)
    assert "learn attic-bench attic-bench-readings.csv --tools score-board-inch" in words
    known = hand_how_to("score-board-inch", "r.csv")
    assert "--tools" not in " ".join(label.text for label in known.labels)


@pytest.mark.parametrize("grid", [*GRIDS, *INCH_GRIDS])
def test_every_score_is_in_a_groove(grid: float) -> None:
    """A groove lies at each whole multiple of the grid, by arithmetic of its own."""
    made = coupon_for(STOCK.name, board_of(grid))
    scores = [made.wall_mm, made.hem_mm, made.wall_mm + made.tray_mm]
    scores += [made.wall_mm + strip.floor_mm for strip in made.strips]
    assert all(abs(at - round(at / grid) * grid) < 1e-4 for at in scores)
    floors = [strip.floor_mm for strip in made.strips]
    assert len({*floors}) == 3 and floors[:3] == floors[3:] == sorted(floors[:3])
    assert floors[2] > 1.99 * floors[0], "or the board's scale could not be told"
    assert made.in_grooves and 8.0 <= made.wall_mm <= 17.0
    assert coupon_score_u_mm(board_of(grid)) == tools("metric").score_u_on_grid_mm


@pytest.mark.parametrize("grid", COARSE)
def test_without_grooves_for_it_a_coupon_is_scored_by_a_rule(grid: float | None) -> None:
    board = board_of(grid)
    made = coupon_for(STOCK.name, board)
    assert not made.in_grooves
    assert coupon_score_u_mm(board) == board.score_u_off_grid_mm
    assert given_for(Kind.STOCK, None, board, True, (None, None)).score_u_mm == 0.25
    told = how_to_drawing(STOCK.name, board.name, "r.csv", "outside", in_grooves=False)
    words = " ".join(label.text for label in (*told.labels, *coupon_drawing(made, STOCK).labels))
    assert "along a rule" in words and "groove" not in words


@pytest.mark.parametrize("grid", [*GRIDS, *INCH_GRIDS, *COARSE])
def test_the_folding_block_goes_into_every_channel(grid: float | None) -> None:
    made = coupon_for(STOCK.name, board_of(grid))
    corners = folding_block(made, IDENTITY).mesh.vertices
    width, _, height = corners.max(axis=0) - corners.min(axis=0)
    assert width < min(strip.floor_mm for strip in made.strips) and height < made.wall_mm


@pytest.mark.parametrize(
    "drawing",
    drawings(),
    ids=[
        *("metric", "inch", "how to", "hand metric", "hand inch", "hand how to", "feel"),
        *(f"grooves {grid}" for grid in (*GRIDS, *INCH_GRIDS, *COARSE)),
    ],
)
def test_a_page_holds_it_and_no_text_covers_another(drawing: Drawing) -> None:
    for paper in (Paper.A4, Paper.LETTER):
        assert len(lay_on_pages(drawing, paper)) == 1
    sheet = Box(0.0, 0.0, drawing.width_mm, drawing.length_mm)
    boxes = [label.box for label in drawing.labels]
    assert all(box.inside(sheet) for box in boxes)
    assert not overlap(boxes)
    ends = [point for stroke in drawing.strokes for point in stroke.points]
    assert all(0 <= x <= sheet.right and 0 <= y <= sheet.top for x, y in ends)


def test_the_channels_are_drawn_at_their_size() -> None:
    made = coupon("metric")
    drawing = coupon_drawing(made, STOCK)
    outlines = [s.points for s in drawing.strokes if s.kind is LineKind.CUT and s.closed]
    wide = {round(points[2][0] - points[0][0], 6) for points in outlines}
    assert {strip.floor_mm + 30.0 for strip in made.strips} <= wide


def test_rows_are_learnt_once_they_are_filled_in() -> None:
    text = empty_sheet(coupon_rows(coupon("metric")))
    rows = list(csv.DictReader(io.StringIO(text)))
    assert tuple(rows[0]) == HEADER
    for row in rows:
        row |= {"date": "2026-11-20", "by": "kh", "instrument": "caliper", "resolution_mm": "0.01"}
        if row["feature"] == "inside":
            row |= {"go_mm": "49.7", "nogo_mm": "49.8"}
        else:
            row["reading_mm"] = "3.31" if row["feature"] == "stack" else row["nominal_mm"]
    out = io.StringIO()
    writer = csv.DictWriter(out, HEADER)
    writer.writeheader()
    writer.writerows(rows)
    found = parse_sheet(out.getvalue(), "r.csv")
    assert len(found.readings) == len(rows) == 5 + 12 + 1 + 1 + 2
    assert {r.grain for r in found.readings if r.feature is Feature.CHANNEL} == {"along", "across"}
    # One entry for each piece: a stack, six channels, an inside, a hem, a corner.
    assert len(entries_of(found.readings)) == 10


def test_a_gauges_rows_name_known_features() -> None:
    rows = gauge_rows((("outside-x", 106.0), ("first-layer", 106.0)))
    assert [row["nominal_mm"] for row in rows] == ["106", "106"]
    assert all(Feature(row["feature"]) in LIMITS for row in rows)


@pytest.mark.parametrize("name", ["metric", "inch"])
def test_a_hand_s_coupon_scores_in_grooves_and_between_them(name: str) -> None:
    """Lengths and scores can be set on the board; every second score lies between its grooves."""
    board = tools(name)
    made = hand_coupon_for(board)
    mark = 25.4 / 32 if name == "inch" else 1.0
    for strip in made.strips:
        assert strip.groove_mm is not None
        assert board.on_grid(strip.groove_mm) and not board.on_grid(strip.between_mm)
        for mm in (strip.length_mm, strip.groove_mm, strip.between_mm):
            assert abs(mm / mark - round(mm / mark)) < 1e-4
        for at in (strip.groove_mm, strip.between_mm):
            assert 20.0 < at < strip.length_mm - 20.0
    grooves = [strip.groove_mm for strip in made.strips if strip.groove_mm is not None]
    assert max(grooves) - min(grooves) > 100.0  # or a scale could not be told
    assert len({strip.piece for strip in made.strips}) == 10


def test_a_hand_s_rows_can_be_filled_in_and_read(tmp_path: object) -> None:
    """Every row of the empty sheet is taken by the reader once it is filled in."""
    rows = hand_rows(hand_coupon_for(tools("metric")))
    told = {"date": "2026-11-20", "by": "MK", "instrument": "caliper", "resolution_mm": "0.01"}
    text = empty_sheet(tuple(row | told | {"reading_mm": row["nominal_mm"]} for row in rows))
    readings = parse_sheet(text, "r.csv").readings
    assert len(readings) == len(rows)
    assert {reading.kind for reading in readings} == {"tools"}
    assert all(reading.piece is not None for reading in readings)


def test_the_printed_ruler_is_true() -> None:
    """361 marks half a millimetre apart, every tenth millimetre with its number."""
    drawing = hand_drawing(hand_coupon_for(tools("metric")))
    ruler = [s for s in drawing.strokes if s.kind is LineKind.THIN and s.points[0][1] == 3.0]
    marks = sorted(s.points[0][0] for s in ruler if s.points[0][0] == s.points[1][0])
    assert len(marks) == 361
    assert [b - a for a, b in itertools.pairwise(marks)] == pytest.approx([0.5] * 360)
    for label in (one for one in drawing.labels if one.text.isdigit()):
        middle = 0.5 * (label.box.left + label.box.right)
        assert middle - marks[0] == pytest.approx(float(label.text), abs=0.8)
