"""Readings from a form: what is written of them, what is tried, and that nothing else changes."""

from __future__ import annotations

import asyncio
import os
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fitcheck.bench import rehearsals
from fitcheck.bench.boxes import boxes_told
from fitcheck.bench.commands import COMMANDS
from fitcheck.bench.desk import Desk, Superseded
from fitcheck.bench.known import What, compared, known_rows, records_told, what_of
from fitcheck.bench.loop import measured_told
from fitcheck.bench.measure import Line, Row, Taken, groups_of, placed, plainly, sheet_of
from fitcheck.bench.rehearsals import NEW, Order, Rehearsals, copied, told
from fitcheck.bench.runs import Run
from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.boxes_file import BOXES_FILE, add_box
from fitcheck.learn.csv_rows import parse_sheet
from fitcheck.learn.forecast_files import add_forecast, read_forecast
from fitcheck.learn.hand_coupon import hand_coupon_for, hand_rows
from fitcheck.learn.paper_coupon import coupon_for, coupon_rows, empty_sheet, gauge_rows, rim_rows
from fitcheck.learn.questions import Doubt, Question, of_pieces
from fitcheck.learn.same_pieces import Again
from fitcheck.solids.ring_gauge import gauge_features
from fitcheck.stock.paper import GrainAllowance, Stock
from fitcheck.workspace.paths import search_roots
from fitcheck.workspace.records import records_folder
from tests.coupons import HANDS, INCH_BOARD, METRIC_BOARD, Bench, paper_of
from tests.forecasts import frozen_forecast, made

SHEETS = {
    "paper": lambda: (
        *coupon_rows(coupon_for("mine", METRIC_BOARD)),
        *rim_rows(coupon_for("mine", METRIC_BOARD)),
    ),
    "inches": lambda: coupon_rows(coupon_for("mine", INCH_BOARD)),
    "hand": lambda: hand_rows(hand_coupon_for(METRIC_BOARD)),
    "printer": lambda: gauge_rows(gauge_features()),
}


@pytest.mark.parametrize("name", SHEETS)
def test_the_form_asks_for_every_reading_of_the_sheet_and_for_no_other(name: str) -> None:
    rows = SHEETS[name]()
    asked = [
        (row.feature, row.nominal, row.count, row.note)
        for group in groups_of(empty_sheet(rows))
        for row in group.rows
        for _ in range(row.times)
    ]
    sheet = [(row["feature"], row["nominal_mm"], row["count"], row["note"]) for row in rows]
    assert sorted(asked) == sorted(sheet)


def test_readings_stand_by_piece_and_repeats_side_by_side() -> None:
    groups = groups_of(empty_sheet(SHEETS["paper"]()))
    assert [group.title for group in groups[:3]] == [
        "Piece A",
        "Piece B, folds along the grain",
        "Piece C, folds along the grain",
    ]
    channel, inside, rim = groups[2].rows
    assert (channel.times, inside.times, rim.times) == (2, 1, 2)
    assert inside.plug and inside.gauged and not channel.plug
    tray = groups[-1]
    assert tray.title == "Piece K, folds across the grain"
    assert tray.rows[0].words == "tray, front to back at the rim"
    assert not rim.gauged, "a rim is read, not gauged"
    assert "wide 20 mm" in rim.words and "coin" in rim.words


def test_strips_that_are_read_once_more_are_asked_for_apart() -> None:
    titles = [group.title for group in groups_of(empty_sheet(SHEETS["hand"]()))]
    assert titles.count("Piece P") == 1
    assert "Piece P, once more after all others" in titles
    assert len(titles) == len(set(titles))


def test_rings_of_a_gauge_are_asked_for_one_by_one() -> None:
    groups = groups_of(empty_sheet(SHEETS["printer"]()))
    assert groups[0].title == "Ring of 106 mm"
    assert all(group.rows[0].feature == "outside-x" for group in groups)


def line_of(reading: Reading, write: Callable[[float], str]) -> Line:
    """A reading as somebody types it."""

    def text(mm: float | None) -> str:
        return "" if mm is None else write(mm)

    return Line(
        feature=str(reading.feature),
        nominal="" if reading.nominal_mm is None else f"{reading.nominal_mm:g}",
        count="" if reading.count is None else str(reading.count),
        note=reading.note,
        reading=text(reading.reading_mm),
        go=text(reading.go_mm),
        nogo=text(reading.nogo_mm),
    )


def coupon_read(seed: int, scene: str = "read") -> list[Reading]:
    rng = np.random.default_rng(seed)
    return Bench(rng, paper_of(rng), HANDS[scene]).take()


def taken(lines: list[Line], **more: Any) -> Taken:
    said = {"date": "2026-11-20", "by": "kh", "instrument": "caliper", "resolution": "0.01"}
    return Taken(**{**said, **more}, lines=lines)


WAYS: dict[str, tuple[Callable[[float], str], str, float]] = {
    "points": (lambda mm: f"{mm:.4f}", "", 0.0),
    "commas": (lambda mm: f"{mm:.4f}".replace(".", ","), "", 0.0),
    "commas before thousands": (lambda mm: f"{mm:.3f}".replace(".", ","), "", 5e-4),
    "centimetres": (lambda mm: f"{mm / 10:.5f}", "cm", 0.0),
    "with the unit": (lambda mm: f" {mm / 10:.5f}  cm ".replace(".", ","), "", 0.0),
    # The inch is 25.4 mm since 1959 (international yard and pound agreement).
    "inches": (lambda mm: f"{mm / 25.4:.7f} in", "", 25.4 * 5e-8),
    "inches once": (lambda mm: f"{mm / 25.4:.7f}", "in", 25.4 * 5e-8),
}
"""How readings are written, the unit that is chosen for all, and what the last digit leaves, mm."""


@pytest.mark.parametrize("way", WAYS)
def test_readings_reach_the_sheet_as_they_are_typed(way: str) -> None:
    write, unit, digit = WAYS[way]
    rows = coupon_read(3, "mixed")
    lines = [line_of(row, write) for row in rows]
    text, where = sheet_of(taken(lines, unit=unit, resolution="0.01 mm"))
    found = parse_sheet(text, "readings.csv").readings
    assert where == tuple(range(len(rows)))
    assert [r.feature for r in found] == [r.feature for r in rows]
    for own, true in zip(found, rows, strict=True):
        for column in ("nominal_mm", "reading_mm", "go_mm", "nogo_mm"):
            mm, meant = getattr(own, column), getattr(true, column)
            assert mm == (None if meant is None else pytest.approx(meant, abs=digit + 1e-9)), column
        assert (own.note, own.by, own.date) == (true.note, "kh", "2026-11-20")


def test_a_fraction_is_one_of_an_inch() -> None:
    line = Line(feature="channel", nominal="50", note="piece C", reading="1 63/64")
    found = parse_sheet(sheet_of(taken([line]))[0], "r").readings[0]
    assert found.reading_mm == pytest.approx((1 + 63 / 64) * 25.4, abs=1e-6)


def test_empty_lines_are_left_out_and_rows_lead_back_to_their_lines() -> None:
    lines = [Line(feature="channel", nominal="50", note="piece C") for _ in range(5)]
    lines[1] = lines[1].model_copy(update={"reading": "50.3"})
    lines[4] = lines[4].model_copy(update={"go": "49.6", "nogo": "49.5"})
    text, where = sheet_of(taken(lines))
    assert where == (1, 4)
    with pytest.raises(InputError) as wrong:
        parse_sheet(text, "readings.csv")
    found = placed(wrong.value.lines, where)
    assert [one["key"] for one in found] == ["4.go"]
    assert "exchange them" in found[0]["text"] and "_mm" not in found[0]["text"]


def test_what_is_said_once_is_told_of_once() -> None:
    lines = [Line(feature="channel", nominal="50", note="piece C", reading="50.3")] * 3
    text, where = sheet_of(taken(lines, by="", resolution="5"))
    with pytest.raises(InputError) as wrong:
        parse_sheet(text, "readings.csv")
    assert [one["key"] for one in placed(wrong.value.lines, where)] == ["by"]
    text, where = sheet_of(taken(lines, resolution="5"))
    with pytest.raises(InputError) as wrong:
        parse_sheet(text, "readings.csv")
    assert [one["key"] for one in placed(wrong.value.lines, where)] == ["resolution"]


def test_a_coin_is_weighed_once_and_its_want_stands_at_its_field() -> None:
    rim = next(row for row in SHEETS["paper"]() if row["feature"] == "rim")
    line = Line(feature="rim", nominal=rim["nominal_mm"], note=rim["note"], reading="1.2")
    found = parse_sheet(sheet_of(taken([line], coin="3,6"))[0], "r").readings[0]
    assert (found.coin_g, found.wide_mm) == (3.6, 20.0)
    text, where = sheet_of(taken([line]))
    with pytest.raises(InputError) as wrong:
        parse_sheet(text, "readings.csv")
    assert placed(wrong.value.lines, where)[0]["key"] == "coin"


def test_a_ruler_reads_scores_and_not_folds() -> None:
    line = Line(feature="fold-near", nominal="50", note="piece P", reading="50.5")
    read = parse_sheet(sheet_of(taken([line], ruler=True, resolution="0.5"))[0], "r").readings
    assert read[0].feature is Feature.SCORE


@pytest.mark.parametrize("text", ["=1+1", "+cmd", "@x", '"a;b"\n"c', "\tx", "-2+3"])
def test_no_text_becomes_a_formula_or_another_cell(text: str) -> None:
    line = Line(feature="channel", nominal="50", note="piece C", reading="50.3")
    written, _ = sheet_of(taken([line], by=text))
    cell = re.split("[;\n]", written.partition("\n")[2])[1].strip('"')
    assert not cell.startswith(("=", "+", "@", "-", "\t"))
    readings = parse_sheet(written, "r").readings
    assert [one.by for one in readings] == [" ".join(text.split())]


def test_far_too_many_lines_are_refused() -> None:
    lines = [Line(feature="channel", reading="1")] * 3_001
    with pytest.raises(InputError, match="3000"):
        sheet_of(taken(lines))


def test_problems_stand_where_they_belong_or_by_themselves() -> None:
    found = placed(
        [
            "readings.csv: row 2: reading_mm: read 'abc'; allowed: a length; write it",
            "readings.csv: row 3: channel 50 mm is too wide: is that so?",
            "readings.csv: rows 3, 2 say the same",
            "readings.csv: row 9: reading_mm: no such row",
            "--joint: read 'x'; allowed: a length; leave --joint out",
            "stock-mine-0001.csv: row 2: far away",
        ],
        (4, 7),
    )
    keys = [one["key"] for one in found]
    assert keys == ["4.reading", "7.reading", "", "", "joint", ""]
    assert found[4]["text"] == "read 'x'; allowed: a length; leave joint out"
    assert placed(["stock-mine-0001.csv: row 2: far"], (4,), ("stock-mine-0001.csv",)) == [
        {"key": "4.reading", "text": "far"}
    ]
    assert plainly("half-way -- no option") == "half-way -- no option"


@pytest.mark.parametrize("doubt", Doubt)
def test_every_question_of_the_program_can_be_confirmed_by_its_word(doubt: Doubt) -> None:
    asked = Question(doubt, "readings.csv: row 3: it is off by 1 mm", "measure it again")
    found = told([asked.line], (0, 5))
    assert found["problems"] == []
    assert found["questions"] == [
        {
            "key": "5.reading",
            "text": "it is off by 1 mm: is that so?",
            "word": doubt.value,
            "cure": "measure it again",
        }
    ]


def test_a_question_with_two_answers_has_both_to_tick() -> None:
    again = Again("stock-mine-0001.csv", ("B", "C"), 0.21, alike=False)
    found = told([of_pieces(again, "readings.csv").line], ())
    assert found["problems"] == []
    assert [one["word"] for one in found["questions"]] == [Doubt.ANEW, Doubt.SAME]
    anew, same = (one["text"] for one in found["questions"])
    assert "pieces B, C are in stock-mine-0001.csv too" in anew and "made anew" in anew
    assert same == "These are the same pieces read again: is that so?"


def test_known_things_are_told_in_lengths_within_which_95_of_100_lie() -> None:
    """1.96 standard uncertainties hold 95 of 100 (JCGM 100, table G.1: 1.960)."""
    grain = GrainAllowance(0.15, 0.02, 0.2, 0.03)
    paper = Stock("mine", "cover", 0.3, 0.005, 0.18, 0.01, True, by_grain=grain, corner_give_u=0.25)
    from fitcheck.bench.known import _paper  # the file around it is read by others

    assert dict(_paper(paper)) == {
        "one sheet is thick": "0.300 mm, give or take 0.010",
        "a folded wall stands beyond its score by, along the grain": "0.15 mm, give or take 0.04",
        "a folded wall stands beyond its score by, across the grain": "0.20 mm, give or take 0.06",
        "a glued corner pushes its wall out by": "1.0 times a sheet and the glue, give or take 0.5",
    }
    unknown = replace(paper, by_grain=None, calibrated=False, corner_give_u=None)
    assert "not measured yet" in list(_paper(unknown))[1][1]


@pytest.mark.parametrize("what", What)
def test_everything_that_is_shipped_can_be_told(what: What) -> None:
    roots = search_roots()
    names = {"paper": "cover-80", "hand": "score-board-metric", "printer": "none-known"}
    rows = known_rows(what, names[what.value], roots)
    assert bool(rows) == (what is not What.PRINTER)
    assert len({one for one, _ in rows}) == len(rows), "each line is told apart"
    with pytest.raises(InputError):
        what_of("crayon")


def test_before_and_after_stand_side_by_side() -> None:
    found = compared([("a", "1"), ("b", "2")], [("a", "1"), ("b", "3"), ("c", "4")])
    assert [(one["before"], one["after"], one["new"]) for one in found] == [
        ("1", "1", False),
        ("2", "3", True),
        ("not measured yet", "4", True),
    ]


@pytest.fixture
def root(tmp_path: Path) -> Path:
    place = tmp_path / "bench"
    (place / "models").mkdir(parents=True)
    (place / "calibration" / "stocks").mkdir(parents=True)
    return place


def everything_in(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_the_copy_holds_what_learning_reads_and_follows_no_link(root: Path, tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "secret.toml").write_text("x = 1")
    (root / "calibration" / "stocks" / "own.toml").write_text("y = 2")
    (root / "calibration" / "stocks" / "photo.raw").write_bytes(b"0" * 100)
    (root / "elsewhere.toml").write_text("z = 3")
    os.symlink(outside / "secret.toml", root / "models" / "linked.toml")
    os.symlink(outside, root / "calibration" / "more")
    into = tmp_path / "copy"
    into.mkdir()
    copied(root, into)
    assert everything_in(into) == {"calibration/stocks/own.toml": b"y = 2"}


def test_a_shelf_that_is_a_link_is_not_copied(root: Path, tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    (outside / "stocks").mkdir(parents=True)
    (outside / "stocks" / "a.toml").write_text("a = 1")
    (root / "models").rmdir()
    os.symlink(outside, root / "models")
    into = tmp_path / "copy"
    into.mkdir()
    copied(root, into)
    assert everything_in(into) == {}


@pytest.mark.parametrize(("limit", "most"), [("MOST_FILES", 2), ("MOST_BYTES", 9)])
def test_a_workspace_that_is_too_large_is_not_copied(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, limit: str, most: int
) -> None:
    for number in range(3):
        (root / "models" / f"{number}.toml").write_text("1234")
    into = tmp_path / "copy"
    into.mkdir()
    monkeypatch.setattr(rehearsals, limit, most)
    with pytest.raises(InputError, match="too large"):
        copied(root, into)


@pytest.fixture
def bench(root: Path) -> Iterator[tuple[Rehearsals, Path]]:
    desk = Desk(root)
    yield Rehearsals(desk), root
    asyncio.run(desk.close())


def order(lines: list[Line], name: str = "mine", **options: Any) -> Order:
    return Order(What.PAPER, name, taken(lines), options)


def typed(mm: float) -> str:
    return f"{mm:.4f}".replace(".", ",")


def test_a_rehearsal_tells_what_is_kept_later_and_changes_nothing(
    bench: tuple[Rehearsals, Path],
) -> None:
    loop, root = bench
    rows = coupon_read(5)
    lines = [line_of(row, typed) for row in rows]
    before = everything_in(root)
    tried = asyncio.run(loop.rehearse("page", order(lines)))
    assert everything_in(root) == before
    assert not tried["problems"] and not tried["questions"]
    assert {one["before"] for one in tried["learnt"]} == {"not measured yet"}
    kept = asyncio.run(loop.keep(order(lines)))
    assert kept["kept"] and kept["learnt"] == tried["learnt"]
    assert kept["record"] == "stock-mine-0001.csv"
    assert records_told(What.PAPER, "mine", root)[0]["words"] == (
        f"{len(rows)} readings, 2026-11-20, by kh"
    )
    again = asyncio.run(loop.keep(order(lines)))
    assert again["kept"] and "nothing new" in " ".join(one["text"] for one in again["notes"])
    assert not any(one["new"] for one in again["learnt"])
    home = loop.desk.runs._home
    assert list(home.iterdir()) == [], "no copy is left"


def test_nonsense_is_told_at_once_beside_its_reading(bench: tuple[Rehearsals, Path]) -> None:
    loop, root = bench
    lines = [line_of(row, typed) for row in coupon_read(5)]
    lines[6] = lines[6].model_copy(update={"reading": "wide"})
    found = asyncio.run(loop.rehearse("page", order(lines)))
    assert [one["key"] for one in found["problems"]] == ["6.reading"]
    kept = asyncio.run(loop.keep(order(lines)))
    assert not kept["kept"] and kept["problems"] == found["problems"]
    assert not (root / "calibration" / "records").exists()


def test_a_slip_is_set_aside_beside_its_reading(bench: tuple[Rehearsals, Path]) -> None:
    loop, _ = bench
    rows = coupon_read(5)
    slip = next(k for k, row in enumerate(rows) if row.feature is Feature.CHANNEL)
    assert rows[slip].reading_mm is not None
    off = replace(rows[slip], reading_mm=rows[slip].reading_mm + 1.0)
    lines = [line_of(off if k == slip else row, typed) for k, row in enumerate(rows)]
    lines.insert(0, Line(feature="stack", count="10"))  # a line that nobody filled in
    found = asyncio.run(loop.rehearse("page", order(lines)))
    assert f"{slip + 1}.reading" in [one["key"] for one in found["aside"]]


def test_what_can_hardly_be_is_asked_and_kept_once_it_is_confirmed(
    bench: tuple[Rehearsals, Path],
) -> None:
    loop, root = bench
    rows = coupon_read(5)
    lines = [line_of(row, typed) for row in rows]
    assert asyncio.run(loop.keep(order(lines)))["kept"]
    copy = replace(order(lines), taken=taken(lines, by="nn"))  # the same to the last digit
    tried = asyncio.run(loop.rehearse("page", copy))
    assert [one["word"] for one in tried["questions"]] == [Doubt.AGAIN]
    assert not tried["problems"], "a question is no problem"
    before = everything_in(root)
    assert not asyncio.run(loop.keep(copy))["kept"]
    assert everything_in(root) == before
    sure = asyncio.run(loop.keep(replace(copy, options={"confirm": [Doubt.AGAIN.value]})))
    assert sure["kept"] and not sure["questions"]
    assert len(records_told(What.PAPER, "mine", root)) == 2


def test_a_name_like_a_known_one_is_asked_about(bench: tuple[Rehearsals, Path]) -> None:
    loop, _ = bench
    lines = [line_of(row, typed) for row in coupon_read(5)]
    kept = [line_of(row, typed) for row in coupon_read(6)]
    asyncio.run(loop.keep(order(kept, "harbour-card")))
    found = asyncio.run(loop.rehearse("page", order(lines, "harbour-cart")))
    assert [one["word"] for one in found["questions"]] == [NEW]
    sure = asyncio.run(loop.rehearse("page", order(lines, "harbour-cart", new=True)))
    assert not sure["questions"] and sure["learnt"]


def test_the_newest_rehearsal_wins(
    bench: tuple[Rehearsals, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    loop, _ = bench
    rows = coupon_read(5)
    few = [line_of(row, typed) for row in rows[:5]]
    all_ = [line_of(row, typed) for row in rows]

    begun: list[Run] = []
    command = loop.desk.runs.command

    def noted(*given: Any, **more: Any) -> Run:
        begun.append(command(*given, **more))
        return begun[-1]

    monkeypatch.setattr(loop.desk.runs, "command", noted)

    async def both() -> list[Any]:
        first = asyncio.create_task(loop.rehearse("page", order(few)))
        other = asyncio.create_task(loop.rehearse("another page", order(few)))
        while not begun:
            await asyncio.sleep(0.01)
        second = asyncio.create_task(loop.rehearse("page", order(all_)))
        return list(await asyncio.gather(first, second, other, return_exceptions=True))

    first, second, other = asyncio.run(both())
    assert sorted(run.events[-1]["kind"] for run in begun) == ["done", "done", "stopped"]
    assert isinstance(first, Superseded)
    assert len(second["learnt"]) > len(other["learnt"]) > 0
    assert loop.desk.runs._all == {}, "rehearsals push no coupon out"


def test_the_options_of_learning_are_those_of_the_command(
    bench: tuple[Rehearsals, Path],
) -> None:
    loop, _ = bench
    lines = [line_of(row, typed) for row in coupon_read(5)]
    found = asyncio.run(loop.rehearse("page", order(lines, joint="thick")))
    assert [one["key"] for one in found["problems"]] == ["joint"]
    with pytest.raises(InputError):
        asyncio.run(loop.rehearse("page", order(lines, want="caliper=1")))
    assert "want" not in COMMANDS["learn"].options


def test_a_profile_that_is_broken_is_told_beside_its_records(
    bench: tuple[Rehearsals, Path],
) -> None:
    loop, root = bench
    asyncio.run(loop.keep(order([line_of(row, typed) for row in coupon_read(5)])))
    (root / "calibration" / "stocks" / "mine.toml").write_text("format = what")
    found = measured_told(What.PAPER, "mine", root)
    assert "mine.toml" in found["wrong"][0]["text"] and not found["known"]
    assert [one["name"] for one in found["records"]] == ["stock-mine-0001.csv"]


def test_no_box_is_nothing_to_score(root: Path) -> None:
    found = boxes_told(root)
    assert found["boxes"] == [] and found["score"]["boxes"] == 0 and found["problems"] == []


def test_boxes_are_listed_beside_their_forecast_and_scored(root: Path) -> None:
    place = add_forecast(root, frozen_forecast(0.7, 0.2))
    kept = read_forecast(place)
    for number, play in enumerate((0.5, 0.9)):
        box = made(kept.forecast, play, date=f"2026-11-2{number}").box
        add_box(root, replace(box, frozen=kept.frozen, note="=dry"))
    add_box(root, replace(box, frozen=None))
    found = boxes_told(root)
    assert [one["date"] for one in found["boxes"]] == ["2026-11-21", "2026-11-21", "2026-11-20"]
    assert found["boxes"][0]["apart"] and not found["boxes"][1]["apart"]
    assert found["boxes"][2]["forecast"] == place.name
    assert [one["name"] for one in found["forecasts"]] == [place.stem]
    score = found["score"]
    assert (score["boxes"], score["apart"]) == (2, 1)
    assert score["verdict"] == ("Nothing speaks against the odds so far; 2 boxes can tell little.")
    assert any("2 of 2 came out right" in line for line in score["lines"])


def test_forecasts_that_are_far_off_are_told_with_what_to_measure(root: Path) -> None:
    place = add_forecast(root, frozen_forecast(0.7, 0.1))
    kept = read_forecast(place)
    for number in range(12):
        box = made(kept.forecast, 1.2, date=f"2026-11-{10 + number}").box
        add_box(root, replace(box, frozen=kept.frozen))
    verdict = boxes_told(root)["score"]["verdict"]
    assert verdict.startswith("The odds are off: plays are larger than was said")


def test_a_file_of_boxes_that_is_spoilt_is_told_and_hides_nothing_else(root: Path) -> None:
    add_forecast(root, frozen_forecast(0.7, 0.2))
    (records_folder(root) / BOXES_FILE).write_text("date,what\n")
    found = boxes_told(root)
    assert found["boxes"] == [] and len(found["forecasts"]) == 1
    assert BOXES_FILE in found["problems"][0]


def test_rows_are_told_in_words() -> None:
    rows: list[Row] = [r for g in groups_of(empty_sheet(SHEETS["hand"]())) for r in g.rows]
    assert all(row.words and "_" not in row.words for row in rows)
