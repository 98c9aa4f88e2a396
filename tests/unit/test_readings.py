"""A stranger's CSV: each thing wrong with it gets one line that says where, what and what to do."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Kind
from fitcheck.learn.csv_rows import Sheet, parse_sheet, read_sheet, write_sheet
from fitcheck.learn.csv_table import HEADER
from fitcheck.learn.twin_rows import chance_alike

HEAD = ",".join(HEADER)
STACK = "2026-11-20,kh,caliper,0.01,stack,,10,3.31,,,"


def sheet(*rows: str, head: str = HEAD) -> Sheet:
    return parse_sheet("\n".join([head, *rows]) + "\n", "r.csv")


def problem(*rows: str, head: str = HEAD) -> str:
    """The one line that these rows get."""
    with pytest.raises(InputError) as caught:
        sheet(*rows, head=head)
    (line,) = caught.value.lines
    return line


def test_readings_and_findings_are_read() -> None:
    found = sheet(
        STACK,
        '2026-11-20,kh,plug,0.1,inside,50,,,49.6,49.7,"piece C, folds along the grain"',
    )
    stack, inside = found.readings
    assert found.kind is Kind.STOCK
    assert (stack.feature, stack.count, stack.reading_mm, stack.row) == (Feature.STACK, 10, 3.31, 2)
    assert (inside.go_mm, inside.nogo_mm, inside.grain) == (49.6, 49.7, "along")
    assert inside.piece == ("r.csv", "C")


def test_a_spreadsheets_semicolons_and_decimal_commas_are_read() -> None:
    head = "\ufeff" + HEAD.replace(",", ";")
    text = f"{head}\r\n2026-11-20;kh;caliper;0,01;channel;60;;60,42;;;\r\n;;;;;;;;;;\r\n"
    (found,) = parse_sheet(text.removeprefix("\ufeff"), "r.csv").readings
    assert (found.resolution_mm, found.reading_mm) == (0.01, 60.42)


def test_columns_may_stand_in_another_order() -> None:
    names = list(HEADER)[::-1]
    cells = STACK.split(",")[::-1]
    (found,) = sheet(",".join(cells), head=",".join(names)).readings
    assert found.reading_mm == 3.31


ROWS = {
    '2026-11-20,kh,caliper,0.01,channel,60,,"60,421",,,': ("reading_mm", "read '60,421'"),
    "2026-11-20,kh,caliper,0.01,channel,60,,2 3/0,,,": ("reading_mm", "read '2 3/0'"),
    "2026-11-20,kh,caliper,0.01,channel,60,,60.4 ft,,,": ("reading_mm", "read '60.4 ft'"),
    "2026-11-20,kh,caliper,0,01,channel,60,,60,42,,,": (
        "read 13 cells",
        "decimal comma may have split",
    ),
    "2026-11-20,kh,caliper,0.01,channel,60,,2.378,,,": (
        "reading_mm",
        "looks like inches: write 60.40",
    ),
    "2026-11-20,kh,caliper,0.01,stack,,10,0.1303,,,": (
        "reading_mm",
        "looks like inches: write 3.31",
    ),
    "2026-11-20,kh,caliper,3.31,stack,,10,0.01,,,": ("resolution_mm", "swapped: exchange them"),
    "2026-11-20,kh,plug,0.1,inside,50,,,49.7,49.6,": ("go_mm", "swapped: exchange them"),
    "2026-11-20,kh,caliper,0.01,stack,10,,3.31,,,": ("count", "seems to stand in nominal_mm"),
    "kh,2026-11-20,caliper,0.01,stack,,10,3.31,,,": ("date", "seems to stand in 'by'"),
    "20.11.2026,kh,caliper,0.01,stack,,10,3.31,,,": ("date", "write 2026-11-20"),
    "2026-11-20,,caliper,0.01,stack,,10,3.31,,,": ("by", "who took it"),
    "2026-11-20,kh,,0.01,stack,,10,3.31,,,": ("instrument", "what it was taken with"),
    "2026-11-20,kh,caliper,,stack,,10,3.31,,,": ("resolution_mm", "the step of the instrument"),
    "2026-11-20,kh,caliper,0.01,channel,,,60.4,,,": ("nominal_mm", "copy it from the sheet"),
    "2026-11-20,kh,caliper,0.01,chanel,60,,60.4,,,": ("feature", "nearest known: 'channel'"),
    "2026-11-20,kh,caliper,0.01,channel,60,,66.4,,,": ("reading_mm", "allowed: 55 to 65 mm"),
    "2026-11-20,kh,caliper,0.01,stack,,10,33.1,,,": ("reading_mm", "allowed: 0.5 to 30 mm"),
    "2026-11-20,kh,caliper,0.01,stack,,ten,3.31,,,": ("count", "read 'ten'"),
    "2026-11-20,kh,caliper,0.01,channel,60,,sixty,,,": ("reading_mm", "read 'sixty'"),
    "2026-11-20,kh,caliper,0.01,channel,60,,nan,,,": ("reading_mm", "read 'nan'"),
    "2026-11-20,kh,caliper,0.01,channel,60,,60.4,60.3,,": ("reading_mm", "one of the two in a row"),
    "2026-11-20,kh,caliper,0.01,stack,,10,,3.3,3.4,": ("go_mm", "measured, not gauged"),
    "2026-11-20,kh,caliper,2,stack,,10,3.31,,,": ("resolution_mm", "up to 1.5875 mm (1/16 in)"),
}


TAKEN = {
    # as it stands there: what it is in mm, by 25.4 mm an inch exactly
    "0.163 in": 4.1402,
    '0.163"': 4.1402,
    "0,163 in": 4.1402,
    "60.4 mm": 60.4,
    "6,04 cm": 60.4,
    '"60,42"': 60.42,
    "2 3/8": 60.325,
    "2-3/8 in": 60.325,
    "2\u215c": 60.325,
    "5/32 in": 3.96875,
}


@pytest.mark.parametrize("text", TAKEN)
def test_readings_are_taken_as_people_write_them(text: str) -> None:
    small = TAKEN[text] < 5
    row = f"2026-11-20,kh,caliper,0.01,{'stack,,10' if small else 'channel,60,'},X,,,"
    cell = text if text.startswith('"') else f'"{text.replace(chr(34), 2 * chr(34))}"'
    found = sheet(row.replace("X", cell))
    assert found.readings[0].reading_mm == pytest.approx(TAKEN[text], abs=1e-9)
    told = any("is taken as" in note for note in found.notes)
    assert told == (text != '"60,42"')


def test_a_reading_out_of_range_is_told_as_it_was_written() -> None:
    """Nobody finds 644.525 on their sheet who wrote a fraction of an inch: 25 3/8 x 25.4."""
    line = problem("2026-11-20,kh,caliper,0.01,channel,25,,25 3/8 in,,,")
    assert "read '25 3/8 in', in mm 644.525; allowed: 20 to 30 mm" in line
    head = HEAD + ",unit"
    line = problem("2026-11-20,kh,caliper,0.0005,channel,50.8,,3.5,,,,in", head=head)
    assert "read '3.5 in', in mm 88.9;" in line
    line = problem("2026-11-20,kh,caliper,0.01,channel,25,,35.5,,,")
    assert "reading_mm: read 35.5; allowed" in line


def test_a_column_may_say_that_the_readings_are_in_inches() -> None:
    """The nominal stays as the coupon has it; the step is in the row's unit or names its own."""
    head = HEAD + ",unit"
    row = "2026-11-20,kh,caliper,0.0005,channel,50.8,,2.021,,,piece C,in"
    (found,) = sheet(row, head=head).readings
    assert (found.nominal_mm, found.reading_mm) == (50.8, pytest.approx(2.021 * 25.4))
    assert found.resolution_mm == pytest.approx(0.0127)
    (gauged,) = sheet("2026-11-20,kh,plug,0.1 mm,inside,50.8,,,1.98,1.99,,in", head=head).readings
    assert (gauged.go_mm, gauged.nogo_mm) == (pytest.approx(50.292), pytest.approx(50.546))
    assert gauged.resolution_mm == 0.1
    (plain,) = sheet("2026-11-20,kh,caliper,0.01,channel,60,,60.42,,,,", head=head).readings
    assert plain.reading_mm == 60.42
    for wrong, words in (
        ("2026-11-20,kh,caliper,0.01,channel,50.8,,2.021,,,,in", "0.0005 in or 0.01 mm"),
        ("2026-11-20,kh,caliper,0.01,channel,50.8,,2.021,,,,ell", "unit: read 'ell'"),
    ):
        with pytest.raises(InputError) as caught:
            sheet(wrong, head=head)
        assert words in str(caught.value)


@pytest.mark.parametrize("row", ROWS)
def test_each_thing_wrong_gets_a_line(row: str) -> None:
    line = problem(row)
    assert line.startswith("r.csv: row 2: ") and "allowed: " in line
    for words in ROWS[row]:
        assert words in line, line


def test_every_problem_is_told_at_once() -> None:
    with pytest.raises(InputError) as caught:
        sheet(
            "2026-11-20,kh,caliper,0.01,chanel,60,,60.4,,,", "x,kh,caliper,0.01,stack,,10,3.31,,,"
        )
    assert [line.split(": ")[1] for line in caught.value.lines] == ["row 2", "row 3"]


def test_a_text_seen_before_is_no_day_for_that() -> None:
    """What was looked at once is not taken on trust in another column."""
    twin = STACK.replace("2026-11-20,kh", "kh,kh").replace("0.01", "3.31")
    with pytest.raises(InputError) as caught:
        sheet(STACK, twin, STACK.replace("2026-11-20", "caliper"))
    assert [line.split(": ")[1:3] for line in caught.value.lines] == [
        ["row 3", "date"],
        ["row 4", "date"],
    ]


def test_spaces_by_the_thousand_do_not_hold_it_up() -> None:
    """A hundred thousand blanks within a number: patterns that go back on themselves would hang."""
    line = problem(f"2026-11-20,kh,caliper,0.01,channel,60,,1{' ' * 100_000}x,,,")
    assert "reading_mm" in line and len(line) < 300


def test_headers_are_checked() -> None:
    assert "unknown column; read 'readings_mm'" in _first(
        HEAD.replace(",reading_mm", ",readings_mm")
    )
    assert "column note is missing" in _first(HEAD.removesuffix(",note"))


def _first(head: str) -> str:
    with pytest.raises(InputError) as caught:
        sheet(STACK, head=head)
    return caught.value.lines[0]


def test_a_paper_and_a_printer_do_not_share_a_file() -> None:
    line = problem(STACK, "2026-11-20,kh,caliper,0.01,outside-x,20,,20.1,,,")
    assert "row 3" in line and "part it in two" in line


def test_rows_not_taken_yet_are_left_out_and_said() -> None:
    found = sheet(STACK, "2026-11-20,kh,caliper,0.01,channel,60,,,,,", ",,,,hem,25,,,,,")
    assert len(found.readings) == 1
    assert [note.split(": ")[1] for note in found.notes] == ["row 3", "row 4"]
    assert "has no readings" in problem(",,,,hem,25,,,,,")


def channels(*pairs: tuple[float, float]) -> list[str]:
    """Channels that were read twice each, in steps of 0.01 mm."""
    return [
        f"2026-11-20,kh,caliper,0.01,channel,{25 * k},,{25 * k + off:.2f},,,piece {'ABCDEFGH'[k]}"
        for k, pair in enumerate(pairs, 1)
        for off in pair
    ]


def test_honest_repeats_are_not_called_copies() -> None:
    """A hand that scatters by 0.01 mm shows the same hundredth again 27 times in 100: of six pairs
    two are as ordinary as one, and six hardly ever are (0.27 to the sixth is 0.0004)."""
    some = channels((0.3, 0.3), (0.31, 0.33), (0.4, 0.4), (0.3, 0.32), (0.35, 0.34), (0.29, 0.3))
    assert sheet(*some).notes == () and sheet(STACK, STACK).notes == ()
    all_alike = sheet(*channels(*[(0.3, 0.3), (0.31, 0.31), (0.4, 0.4)] * 2))
    assert len(all_alike.notes) == 6 and "rows 2, 3 say the same" in all_alike.notes[0]
    assert not any("remove" in note for note in all_alike.notes)
    assert len(all_alike.readings) == 12


def test_how_often_readings_are_alike_by_drawing_them() -> None:
    rng = np.random.default_rng(4)
    for step, scatter in ((0.01, 0.01), (0.01, 0.02), (0.05, 0.02), (0.02, 0.1)):
        at = rng.uniform(0.0, step, 200_000)
        one, other = (np.round((at + rng.normal(0.0, scatter, at.size)) / step) for _ in range(2))
        assert chance_alike(step, scatter) == pytest.approx(np.mean(one == other), abs=0.005)


def test_a_file_pasted_twice_is_refused() -> None:
    other = STACK.replace("3.31", "3.32")
    assert "duplicates" in problem(STACK, other, STACK, STACK, other, STACK)


def test_a_score_on_a_flat_strip_has_no_far_side() -> None:
    """The way without a caliper leaves 'fold-far' empty, as its how-to says: that is no fault."""
    day = "2026-11-20,kh,ruler,0.5"
    flat = f"{day},score,25,,25.0,,,piece P", f"{day},fold-far,75,,,,,piece P"
    assert sheet(*flat).notes == ()
    (note,) = sheet(*flat, f"{day},fold-far,75,,,,,piece Q").notes
    assert "row 4: fold-far 75 has no reading" in note


def test_repeats_that_a_coarse_step_gives_anyway_are_no_copies() -> None:
    """A hand that scatters by 0.02 mm reads one number again in steps of 0.05 mm; five it is."""
    coarse = STACK.replace(",0.01,", ",0.05,").replace("3.31", "3.30")
    assert sheet(*[coarse] * 5).notes == ()
    assert "rows 2, 3, 4, 5, 6, 7 say the same" in sheet(*[coarse] * 6).notes[0]
    other = coarse.replace("3.30", "3.35")
    assert "duplicates" in problem(coarse, coarse, other, coarse, coarse, other)


def problems_of(*rows: str) -> str:
    """All lines that these rows get."""
    with pytest.raises(InputError) as caught:
        sheet(*rows)
    return "\n".join(caught.value.lines)


def test_readings_in_each_others_place_are_told_as_exchanged() -> None:
    """A strip of 150 mm from its other end, and the ring of a gauge: 23 for 127 and 106 for 100."""
    day = "2026-11-21,ida,caliper,0.05"
    near, far = f"{day},fold-near,127,,23.05,,,piece R", f"{day},fold-far,23,,127.3,,,piece R"
    told = problems_of(near, far)
    assert "exchanged with row 3? 23.05 mm belongs there" in told
    assert "exchanged with row 2? 127.3 mm belongs there" in told
    assert told.count("other end of the strip?") == 2 and "measure it again" not in told
    out, inside = f"{day},outside-x,106,,99.8,,,", f"{day},inside-x,100,,106.1,,,"
    told = problems_of(out, inside)
    assert "exchanged with row 3? 99.8 mm belongs there; write each in its own row" in told
    assert "exchanged with row 2?" in told and "strip" not in told


@pytest.mark.parametrize(("size", "piece"), [("127.3", "piece Q"), ("88", "piece R")])
def test_readings_of_other_pieces_or_sizes_are_not_exchanged(size: str, piece: str) -> None:
    day = "2026-11-21,ida,caliper,0.05"
    told = problems_of(
        f"{day},fold-near,127,,23.05,,,piece R", f"{day},fold-far,23,,{size},,,{piece}"
    )
    assert "exchanged" not in told and told.count("measure it again") == 2


def test_a_record_reads_back_the_same() -> None:
    found = sheet(STACK, '2026-11-20,kh,"a ""good"" plug",0.1,inside,50,,,49.6,,"piece C, along"')
    text = write_sheet(found.readings)
    again = parse_sheet(text, "r.csv")
    assert again.readings == found.readings
    assert write_sheet(again.readings) == text


def test_files_that_are_no_csv_are_told(tmp_path: Path) -> None:
    path = tmp_path / "r.csv"
    path.write_bytes(HEAD.encode() + b"\n2026-11-20,k\xe4th\n")
    with pytest.raises(InputError, match="row 2: read the byte 0xe4"):
        read_sheet(path)
    with pytest.raises(InputError, match="cannot be read"):
        read_sheet(tmp_path / "none.csv")
    with pytest.raises(InputError, match="is empty"):
        parse_sheet("\n\n", "r.csv")


@pytest.mark.parametrize(
    ("step", "mm"), [("1/16 in", 1.5875), ("1/32 in", 0.79375), ("1/16", 1.5875)]
)
def test_a_rule_in_sixteenths_is_entered_as_what_it_is(step: str, mm: float) -> None:
    """25.4 mm an inch exactly, by 16 or 32."""
    (found,) = sheet(f"2026-11-20,kh,rule,{step},channel,60,,2 3/8,,,").readings
    assert found.resolution_mm == pytest.approx(mm, abs=1e-9)
    assert "up to 1.5875 mm (1/16 in)" in problem("2026-11-20,kh,rule,1/8 in,channel,60,,60.4,,,")
