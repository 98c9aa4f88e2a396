"""What can hardly be true is asked about in one line; nothing is written until it is confirmed."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.csv_rows import write_sheet
from fitcheck.learn.doubtful import of_readings
from fitcheck.learn.doubtful_stacks import Known
from fitcheck.learn.questions import Doubt
from fitcheck.learn.session import learn_from, turn_records
from fitcheck.learn.session_results import Outcome, Turn
from fitcheck.outputs.learn_text import learn_text
from fitcheck.stock.profile_files import read_stock
from tests.coupons import HANDS, Bench, Hand, Paper
from tests.unit.test_learning_sessions import TOOLS, everything, place

T, A = 0.30, 0.19
Change = Callable[[list[Reading]], list[Reading]]


def coupon(seed: int, hand: Hand = HANDS["read"], **paper: float) -> list[Reading]:
    known = {"t": T, "along": A - 0.02, "across": A, "give": 0.95, "board": 0.0, "fence": 0.02}
    true = Paper(**{**known, "joint": 0.1, "hem": 0.08, **paper})
    return Bench(np.random.default_rng(seed), true, hand).take()


def learn(
    root: Path, rows: Sequence[Reading], confirmed: Collection[Doubt] = (), name: str = "mine"
) -> Outcome:
    file = root / "taken.csv"
    file.write_text(write_sheet(rows), encoding="utf-8")
    return learn_from(name, file, place(root), TOOLS, confirmed=confirmed)


def of(feature: Feature, change: Callable[[Reading], Reading]) -> Change:
    return lambda rows: [change(row) if row.feature is feature else row for row in rows]


def inside_out(row: Reading) -> Reading:
    """A channel whose jaws were put inside: narrower by two sheets."""
    return replace(row, reading_mm=(row.reading_mm or 0.0) - 2 * T)


def one_sheet(rows: list[Reading]) -> list[Reading]:
    """A board of 0.8 mm, one sheet of it measured where ten were asked for."""
    one = of(Feature.STACK, lambda row: replace(row, reading_mm=0.8))
    return one(rows)


def tenfold(rows: list[Reading]) -> list[Reading]:
    """The decimal point of every stack forgotten: 30 for 3.0 mm."""
    return of(Feature.STACK, lambda r: replace(r, reading_mm=round(10 * (r.reading_mm or 0), 2)))(
        rows
    )


def stacks_alone(rows: list[Reading]) -> list[Reading]:
    return [row for row in tenfold(rows) if row.feature is Feature.STACK]


def no_inside(rows: list[Reading]) -> list[Reading]:
    return [row for row in tenfold(rows) if row.feature is not Feature.INSIDE]


def torn(rows: list[Reading]) -> list[Reading]:
    """Two readings of the stack, one of them with a slip of a millimetre."""
    stacks = [row for row in rows if row.feature is Feature.STACK][:2]
    rest = [row for row in rows if row.feature is not Feature.STACK]
    return [stacks[0], replace(stacks[1], reading_mm=(stacks[1].reading_mm or 0) + 1.0), *rest]


def other_stack(rows: list[Reading]) -> list[Reading]:
    """A second stack, of which two sheets were not counted."""
    more = [
        replace(row, reading_mm=round(12 * T, 2), note="piece Z")
        for row in rows
        if row.feature is Feature.STACK
    ]
    return [*rows, *more]


def half_millimetre(rows: list[Reading]) -> list[Reading]:
    """Channels read with jaws that were not set to zero; no inside beside them."""
    wide = of(
        Feature.CHANNEL, lambda row: replace(row, reading_mm=round((row.reading_mm or 0) + 0.5, 2))
    )
    return [row for row in wide(rows) if row.feature is not Feature.INSIDE]


def test_a_rule_does_not_show_that_nothing_scatters(tmp_path: Path) -> None:
    """Scores off by 0.06 mm, read in steps of 0.4 mm: most readings of a size are the same."""
    step = 25.4 / 64
    rows = [
        replace(row, resolution_mm=step, reading_mm=round((row.reading_mm or 0) / step) * step)
        for row in coupon(3, Hand(score_mm=0.06, read_mm=0.01))
        if row.feature in (Feature.STACK, Feature.CHANNEL)
    ]
    text = learn_text(learn(tmp_path, rows, {Doubt.AGAIN}), {})
    (line,) = [line for line in text.splitlines() if "scatter of scores" in line]
    assert "hidden by what is read of them, at most" in line
    assert float(line.partition("at most ")[2].split()[0]) > 0.06
    fine = [row for row in coupon(3) if row.feature in (Feature.STACK, Feature.CHANNEL)]
    text = learn_text(learn(tmp_path, fine, name="other-card"), {})
    (line,) = [line for line in text.splitlines() if "scatter of scores" in line]
    assert "as the readings show" in line and "0.000" not in line


def typed_short(rows: list[Reading]) -> list[Reading]:
    """A nought too many behind the point of each channel: no crease adds less than 1 - pi/4 = 0.21
    of its sheet (r = 0, k = 1 in a = (r + t) - (pi / 2) (r + k t) / 2)."""
    return [
        replace(row, reading_mm=(row.nominal_mm or 0) + 0.08, go_mm=None, nogo_mm=None)
        for row in rows
        if row.feature is Feature.CHANNEL
    ] + [row for row in rows if row.feature is Feature.STACK]


def below(row: Reading) -> Reading:
    """The tray read at the floor's foot, where the tabs push nothing, and short."""
    return replace(row, reading_mm=(row.reading_mm or 0.0) - 2.0)


ASKED: dict[str, tuple[Change, dict[str, float], Doubt, str]] = {
    "channels measured inside": (
        of(Feature.CHANNEL, inside_out), {}, Doubt.CHANNELS, "write inside in feature",
    ),
    "channels measured inside, no inside beside them": (
        lambda rows: [
            inside_out(r) if r.feature is Feature.CHANNEL else r
            for r in rows
            if r.feature is not Feature.INSIDE
        ],
        {}, Doubt.CHANNELS, "as if their inside had been measured",
    ),
    "channels half a millimetre too wide": (
        half_millimetre, {"t": 0.29}, Doubt.CHANNELS, "times the sheet's 0.2",
    ),
    "channels typed 25.04 for 25.4": (typed_short, {"t": 0.29}, Doubt.CHANNELS, "0.14 times"),
    "one sheet read as ten": (one_sheet, {"t": 0.8, "along": 0.5, "across": 0.5}, Doubt.SHEETS,
                              "write 1 in count"),
    "a decimal point forgotten, stacks alone": (
        stacks_alone, {"t": 0.24}, Doubt.SHEETS, "thicker than card that is folded",
    ),
    "a decimal point forgotten, channels beside it": (
        no_inside, {"t": 0.29}, Doubt.SHEETS, "channels of 25 mm",
    ),
    "a decimal point forgotten, outside and inside beside it": (
        tenfold, {"t": 0.29}, Doubt.SHEETS, "outside and inside of a piece are",
    ),
    "two readings of a stack": (torn, {}, Doubt.STACKS, "which contradict each other"),
    "two stacks": (other_stack, {}, Doubt.STACKS, "which contradict each other"),
    "a tray that draws in": (
        of(Feature.CORNER, below), {}, Doubt.CORNER, "read it from front to back",
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", ASKED)
def test_it_is_asked_about_and_nothing_is_written(tmp_path: Path, what: str) -> None:
    change, paper, doubt, words = ASKED[what]
    before = everything(tmp_path)
    with pytest.raises(InputError) as caught:
        learn(tmp_path, change(coupon(1, **paper)))
    told = [line for line in caught.value.lines if f"add --confirm {doubt}" in line]
    assert told and words in told[0] and "is that so?" in told[0], caught.value.lines
    assert {k: v for k, v in everything(tmp_path).items() if k != "taken.csv"} == before


@pytest.mark.parametrize("seed", range(12))
def test_nothing_is_asked_of_a_good_coupon(tmp_path: Path, seed: int) -> None:
    """Of two sessions a few hundredths apart only whether the second's pieces are new ones."""
    outcome = learn(tmp_path, coupon(seed))
    assert outcome.record
    again = [replace(r, date="2026-11-24") for r in coupon(seed + 100, across=A + 0.03)]
    with pytest.raises(InputError) as caught:
        learn(tmp_path, again)
    assert len(caught.value.lines) == 1 and "--confirm anew" in caught.value.lines[0]
    assert learn(tmp_path, again, {Doubt.ANEW}).record


@pytest.mark.parametrize("change", [no_inside, tenfold])
def test_a_stack_ten_times_too_thick_does_not_blame_the_channels(
    tmp_path: Path, change: Change
) -> None:
    """Channels of ordinary card beside a stack of 2.9 mm a sheet: it is one thing that is asked."""
    rows = change(coupon(1, t=0.29))
    with pytest.raises(InputError) as caught:
        learn(tmp_path, rows)
    (line,) = caught.value.lines
    assert "about 0.29" in line and "--confirm sheets" in line
    with pytest.raises(InputError, match="--confirm channels"):
        learn(tmp_path, rows, {Doubt.SHEETS})


@pytest.mark.parametrize("seed", range(6))
def test_five_sheets_counted_as_ten_are_told_of(tmp_path: Path, seed: int) -> None:
    """Half the sheet, 0.145 mm, beside folds of 0.20 mm: 1.4 sheets, where a crease adds one at
    the most (1 - pi/4 k of a sharp crease, k >= 0). One coupon's channels can be chance: then it is
    a remark."""
    still = Hand(score_mm=0.03, read_mm=0.01)
    rows = [
        replace(row, reading_mm=round((row.reading_mm or 0) / 2, 2))
        if row.feature is Feature.STACK
        else row
        for row in coupon(seed, still, t=0.29, along=0.20, across=0.20)
        if row.feature is not Feature.INSIDE
    ]
    try:
        told = learn(tmp_path, rows).learnt.notes
    except InputError as error:
        told = error.lines
    assert any("times the sheet's 0.14" in line and "count the" in line for line in told), told


def test_one_step_of_the_instrument_is_no_slip_whatever_the_decimal_point(tmp_path: Path) -> None:
    """2.4, 2.35 and 2.4 mm in steps of 0.05: kept; ten times that is asked about first."""
    rows = [row for row in coupon(1) if row.feature is Feature.STACK][:3]
    read = [
        replace(row, reading_mm=mm, resolution_mm=0.05, note="piece A")
        for row, mm in zip(rows, (2.4, 2.35, 2.4), strict=True)
    ]
    assert not learn(tmp_path, read, {Doubt.AGAIN}).learnt.set_aside
    with pytest.raises(InputError, match="--confirm sheets"):
        learn(tmp_path, tenfold(read), name="other")


@pytest.mark.parametrize(
    ("sheet", "asked"),
    [(0.16, "too thin"), (0.21, None), (0.25, None), (0.52, None), (0.56, "too thick")],
)
def test_a_sheet_is_as_thick_as_its_weight_allows(sheet: float, asked: str | None) -> None:
    """270 g/m2 at 1.3 and 0.5 g/cm3 are 0.208 and 0.54 mm; what is known already is not asked."""
    stack = next(row for row in coupon(1) if row.feature is Feature.STACK)
    rows = [replace(stack, reading_mm=10 * sheet, count=10)]
    questions = list(of_readings(rows, [], Known(grammage_gsm=270.0)))
    assert [one.doubt for one in questions] == ([Doubt.SHEETS] if asked else [])
    assert all(asked is not None and asked in one.line for one in questions)
    assert not list(of_readings(rows, [], Known(sheet_mm=sheet, grammage_gsm=270.0)))


def test_what_is_confirmed_is_learnt(tmp_path: Path) -> None:
    """Two kinds of sheets in one name: the caliper is as unsure as they differ."""
    rows = [row for row in other_stack(coupon(1)) if row.feature is not Feature.INSIDE]
    outcome = learn(tmp_path, rows, {Doubt.STACKS})
    found = read_stock(outcome.profile)
    assert found.caliper_u_mm > 0.02
    assert abs(found.caliper_mm - 1.1 * T) < 1.96 * found.caliper_u_mm


def test_the_same_readings_under_other_initials_are_asked_about(tmp_path: Path) -> None:
    rows = coupon(1)
    learn(tmp_path, rows)
    copied = [replace(r, by="mb", date="2026-11-25", instrument="other") for r in rows]
    before = everything(tmp_path)
    with pytest.raises(InputError, match=r"to the last digit.*--confirm again"):
        learn(tmp_path, copied)
    assert {k: v for k, v in everything(tmp_path).items() if k != "taken.csv"} == {
        k: v for k, v in before.items() if k != "taken.csv"
    }
    with pytest.raises(InputError, match="the first half of its rows"):
        learn(tmp_path, [*rows, *copied], name="fresh")
    assert learn(tmp_path, copied, {Doubt.AGAIN}).record


def test_the_same_readings_under_another_name_are_asked_about(tmp_path: Path) -> None:
    """The wrong file's name is the commonest slip; a part of it and more than it are asked too."""
    rows = coupon(1)
    learn(tmp_path, rows)
    for same in (rows, rows[:-4], [*rows, replace(rows[-1], note="piece X", reading_mm=41.5)]):
        with pytest.raises(InputError) as caught:
            learn(tmp_path, same, name="twin")
        (line,) = caught.value.lines
        assert "its readings stand in stock-mine-0001.csv, which is of mine" in line
        assert line.endswith(
            "if these are of twin, set the other aside: fitcheck learn mine --set-aside "
            "stock-mine-0001.csv; if it is, add --confirm again"
        )
    assert not (tmp_path / "calibration" / "stocks" / "twin.toml").exists()
    assert learn(tmp_path, coupon(2), name="twin").record, "others are nobody's twin"
    turn_records("mine", Turn(aside=("stock-mine-0001.csv",)), place(tmp_path), TOOLS)
    assert learn(tmp_path, rows, name="third").record, "what is set aside counts nowhere"
    assert learn(tmp_path, rows, {Doubt.AGAIN}, name="fourth").record


@pytest.mark.parametrize(
    ("paper", "words"),
    [({"across": A + 0.35, "along": A + 0.33}, "wider"), ({"t": T * 1.25}, "mm a sheet")],
)
def test_a_wide_gap_between_sessions_is_asked_about(
    tmp_path: Path, paper: dict[str, float], words: str
) -> None:
    learn(tmp_path, coupon(1))
    later = [replace(r, date="2026-11-24") for r in coupon(2, **paper)]
    with pytest.raises(InputError, match=f"{words}.*--confirm gap"):
        learn(tmp_path, later)
    assert learn(tmp_path, later, {Doubt.GAP, Doubt.ANEW, Doubt.CHANNELS}).record


def test_a_misspelt_paper_is_asked_about(tmp_path: Path) -> None:
    file = tmp_path / "taken.csv"
    file.write_text(write_sheet(coupon(1)), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        learn_from("cardstok-270", file, place(tmp_path), TOOLS)
    assert "no such paper: add --new to make one of that name" in str(caught.value)
    assert "or did you mean 'cardstock-270'? then correct the name" in str(caught.value)
    assert learn_from("cardstok-270", file, place(tmp_path), TOOLS, new=True).record
    with pytest.raises(InputError, match="--new: read it with 'cardstok-270', a stock that is"):
        learn_from("cardstok-270", file, place(tmp_path), TOOLS, new=True)


def test_a_name_that_shares_only_what_it_is_a_name_of_is_new(tmp_path: Path) -> None:
    learn(tmp_path, gauge_read(0.08, -0.15, 0.002), name="desk-printer")
    assert learn(tmp_path, gauge_read(0.3, -0.35, 0.0), name="attic-printer").record
    assert learn(tmp_path, gauge_read(0.1, -0.1, 0.0), name="desk-printer-2").record
    with pytest.raises(InputError, match="or did you mean 'desk-printer'"):
        learn(tmp_path, gauge_read(0.1, -0.2, 0.0), name="desk-prnter")


def test_a_caliper_is_never_known_better_than_its_instrument(tmp_path: Path) -> None:
    """Twenty readings of ten sheets that agree: 0.03 mm either way is 0.03/sqrt(3)/10 a sheet."""
    rows = coupon(1)
    stack = next(r for r in rows if r.feature is Feature.STACK)
    more = [replace(stack, note=f"piece A, reading {k}") for k in range(20)]
    fine = replace(TOOLS, instrument_tolerance_mm=0.03)
    file = tmp_path / "taken.csv"
    file.write_text(write_sheet([*more, *rows[5:]]), encoding="utf-8")
    found = read_stock(learn_from("mine", file, place(tmp_path), fine).profile)
    least = 0.03 / 3**0.5 / 10
    assert least <= found.caliper_u_mm < 1.3 * least
    again = (Doubt.AGAIN,)
    other = learn_from("other", file, place(tmp_path), TOOLS, confirmed=again)
    plain = read_stock(other.profile)
    assert 0.02 / 3**0.5 / 10 <= plain.caliper_u_mm < found.caliper_u_mm


@pytest.mark.parametrize("across", [0.0, 0.01, 0.02])
def test_a_crease_below_nothing_is_no_silent_nothing(tmp_path: Path, across: float) -> None:
    """A paper that grows next to nothing: said aloud, and what is possible of it is kept."""
    doubts = {Doubt.CHANNELS}
    outcome = learn(tmp_path, coupon(3, across=across, along=across), doubts)
    found = read_stock(outcome.profile)
    assert found.by_grain is not None
    for way, mm, u in (
        ("along", found.by_grain.along_mm, found.by_grain.along_u_mm),
        ("across", found.by_grain.across_mm, found.by_grain.across_u_mm),
    ):
        fitted = outcome.learnt.get(f"allowance {way}")
        assert fitted is not None and mm > 0 and 0 < u < fitted.u
        assert mm - 1.96 * u < across + 0.02
        assert any(f"allowance {way}" in note for note in outcome.learnt.notes)


def gauge_read(outside: float, hole: float, scale: float) -> list[Reading]:
    """Rings of 40 and 100 mm with holes of 30 and 90, read once each: n (1 + scale) + offset."""
    sizes = [("outside-x", 40.0), ("outside-x", 100.0), ("outside-y", 40.0), ("outside-y", 100.0)]
    sizes += [("inside-x", 30.0), ("inside-x", 90.0), ("inside-y", 30.0), ("inside-y", 90.0)]
    blank = replace(coupon(1)[0], count=None, note="", instrument="caliper", resolution_mm=0.01)
    return [
        replace(
            blank,
            feature=Feature(feature),
            nominal_mm=n,
            reading_mm=round(n * (1 + scale) + (outside if feature[0] == "o" else hole), 2),
            row=row,
        )
        for row, (feature, n) in enumerate(sizes, 2)
    ]


def test_two_printers_under_one_name_are_asked_about(tmp_path: Path) -> None:
    """Holes of 90 mm come out 90.03 and 89.29: 0.74 mm apart, more than any outside is."""
    learn(tmp_path, gauge_read(0.08, -0.15, 0.002), name="desk")
    other = [replace(r, date="2026-11-24") for r in gauge_read(0.30, -0.35, -0.004)]
    with pytest.raises(InputError) as caught:
        learn(tmp_path, other, name="desk")
    (line,) = caught.value.lines
    assert "inside-x of 90 mm is 0.74 mm smaller" in line, line
    assert "under another name" in line and "add --confirm gap" in line
    assert learn(tmp_path, other, {Doubt.GAP}, name="desk").record


def test_one_printer_on_two_days_is_not_asked_about(tmp_path: Path) -> None:
    """A filament that comes out 0.05 mm fatter: what differs is told with what to do about it."""
    learn(tmp_path, gauge_read(0.08, -0.15, 0.002), name="desk")
    later = [replace(r, date="2026-11-24") for r in gauge_read(0.13, -0.10, 0.002)]
    assert learn(tmp_path, later, name="desk").record


def stack_of(sheet: float, piece: str, file_day: str) -> list[Reading]:
    """Five readings of ten sheets, to the 0.05 mm."""
    stack = next(row for row in coupon(1) if row.feature is Feature.STACK)
    read = [10 * sheet, 10 * sheet, 10 * sheet + 0.05, 10 * sheet, 10 * sheet - 0.05]
    return [
        replace(
            stack,
            reading_mm=round(mm, 2),
            resolution_mm=0.05,
            note=f"piece {piece}, reading {k}",
            date=file_day,
        )
        for k, mm in enumerate(read)
    ]


def test_a_second_batch_is_offered_what_works(tmp_path: Path) -> None:
    """A sheet of 0.305 and one of 0.340 mm: what is offered gives the second one's thickness."""
    learn(tmp_path, coupon(1, t=0.305))
    later = [replace(r, date="2026-11-24") for r in coupon(2, t=0.340)]
    with pytest.raises(InputError) as caught:
        learn(tmp_path, later)
    (line,) = [each for each in caught.value.lines if "--confirm gap" in each]
    for words in ("new batch", "name of its own", "--set-aside stock-mine-0001.csv"):
        assert words in line, line
    file, turn = tmp_path / "taken.csv", Turn(aside=("stock-mine-0001.csv",))
    outcome = learn_from("mine", file, place(tmp_path), TOOLS, turn=turn)
    assert isinstance(outcome, Outcome)
    found = outcome.learnt.get("caliper")
    assert found is not None and found.value == pytest.approx(0.340, abs=0.005)


@pytest.mark.parametrize(("second", "two"), [(0.31, True), (0.295, False)])
def test_two_batches_are_told_apart_from_few_readings(
    tmp_path: Path, second: float, two: bool
) -> None:
    """Ten sheets of 0.29 and of 0.31 mm are 0.20 mm apart; stacks scatter by some hundredths."""
    learn(tmp_path, stack_of(0.29, "A", "2026-11-20"))
    text = learn_text(learn(tmp_path, stack_of(second, "P", "2026-11-24")), {"caliper": 1e-4})
    assert ("two stacks differ by 0.020 mm a sheet" in text) == two, text
    assert ("a name for each keeps them apart" in text) == two
    assert ("--set-aside RECORD" in text) == two
