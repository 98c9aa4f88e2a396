"""What is read again in a later file is no new piece: a hand is known as its pieces tell it.

The reference is arithmetic by hand. Of k pieces with a scatter s between them and readings that
scatter by next to nothing, a mean is known to s / sqrt(k) (JCGM 100:2008, 4.2.3), and a straight
line through them as a textbook has it (NIST/SEMATECH e-Handbook, 4.1.4.1), however often each of
them is read and in however many files.
"""

from __future__ import annotations

import csv
import math
import statistics
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fitcheck.cli.learn_options import said_of
from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.csv_rows import write_sheet
from fitcheck.learn.hand_pieces import Act
from fitcheck.learn.hand_profile import HandOutcome
from fitcheck.learn.questions import Doubt
from fitcheck.learn.same_pieces import Pieces
from fitcheck.learn.session import learn_from, rebuild
from fitcheck.learn.session_results import Outcome
from fitcheck.stock.profile_files import find_tools
from fitcheck.workspace.paths import shipped_workspace
from fitcheck.workspace.records import records_folder
from tests.unit.test_learning_sessions import place

BOARD = find_tools("score-board-metric", (shipped_workspace(),))
OFF = (0.31, -0.12, 0.05, 0.22, -0.27, 0.14, -0.08, 0.19, 0.02, -0.16)
"""What the pieces are off by, mm: a scatter of 0.19."""
TREMBLE = (0.001, -0.001)
"""What a reading of them is off by, mm."""
LETTERS = "BCDEFGHIJK"


def reading(
    feature: Feature, nominal: float | None, value: float, note: str = "", count: int | None = None
) -> Reading:
    return Reading(
        "taken.csv", 2, "2026-11-20", "MK", "caliper", 0.001, feature, nominal, count,
        round(value, 4), None, None, note,
    )  # fmt: skip


def papers(time: int) -> list[Reading]:
    """Ten channels of 10 mm of a paper of 0.3 mm, and its stack."""
    rows = [
        reading(Feature.CHANNEL, 10.0, 10.4 + off + tremble + 0.0002 * time, f"piece {letter}")
        for off, letter in zip(OFF, LETTERS, strict=True)
        for tremble in TREMBLE
    ]
    stack = [reading(Feature.STACK, None, 3.0 + 0.001 * k, "piece A", count=10) for k in range(3)]
    return rows if time else stack + rows


def strips(time: int) -> list[Reading]:
    """Ten strips of 100 mm."""
    return [
        reading(Feature.CUT, 100.0, 100.0 + off + tremble + 0.0002 * time, f"piece {letter}")
        for off, letter in zip(OFF, LETTERS, strict=True)
        for tremble in TREMBLE
    ]


SIDES = (10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0)


def prints(time: int) -> list[Reading]:
    """Ten outsides of a printed gauge along x."""
    return [
        reading(Feature.OUTSIDE_X, side, side + 0.2 + 0.1 * off + tremble + 0.0002 * time)
        for off, side in zip(OFF, SIDES, strict=True)
        for tremble in TREMBLE
    ]


def learn(
    root: Path, name: str, rows: Sequence[Reading], confirmed: Collection[Doubt] = ()
) -> Outcome | HandOutcome:
    file = root / "taken.csv"
    file.write_text(write_sheet(rows), encoding="utf-8")
    return learn_from(name, file, place(root), BOARD, confirmed=confirmed)


def u_of(outcome: Outcome | HandOutcome) -> float:
    if isinstance(outcome, HandOutcome):
        work = outcome.fit.hands[0].work(Act.CUT)
        assert work is not None
        return work.offset.u
    fit = outcome.learnt.fit
    return fit.u("crease allowance" if "crease allowance" in fit.names else "scale_x")


def known_to(what: str, off: Sequence[float] = OFF) -> float:
    u = statistics.stdev(off) / math.sqrt(len(off))
    if what == "paper":  # half of a width, beside what is believed of the board's scale ...
        read = math.hypot(u / 2, 10.0 * 0.003 / 2)
        rule = (
            0.15 * 0.30
        )  # ... and the rule of thumb for sheets 0.30 mm thick, by inverse variance
        return float((read**-2 + rule**-2) ** -0.5)
    if what == "hand":
        return u
    x, y = np.array(SIDES), 0.1 * np.array(OFF)
    line = np.polynomial.Polynomial.fit(x, y, 1)
    squares = float(np.sum((y - line(x)) ** 2))
    return math.sqrt(squares / 8 / float(np.sum((x - x.mean()) ** 2)))


ALL = {"paper": papers, "hand": strips, "printer": prints}


def files(what: str, way: str) -> Iterator[list[Reading]]:
    """Four files: the readings of one more day each, alone or below those of before."""
    rows: list[Reading] = []
    for time in range(4):
        day = [replace(row, date=f"2026-11-{20 + time}") for row in ALL[what](time)]
        rows = [*rows, *day] if way == "written on" else day
        yield rows


@pytest.mark.parametrize("way", ["written on", "a sheet of its own"])
@pytest.mark.parametrize("what", list(ALL))
def test_pieces_read_again_tell_no_more_than_the_pieces(
    tmp_path: Path, what: str, way: str
) -> None:
    """2 %: what a reading trembles by, and how finely the scatter is sought."""
    for number, rows in enumerate(files(what, way), 1):
        outcome = learn(tmp_path, "mine", rows)
        assert u_of(outcome) == pytest.approx(known_to(what), rel=0.02)
        assert len(outcome.records) == number
        told = [line for line in outcome.notes if "counted as the same pieces" in line]
        assert bool(told) == (number > 1 and way != "written on")
        if told:
            assert "--confirm anew" in told[0] and outcome.record
    before = outcome.profile.read_bytes()
    assert not rebuild("mine", place(tmp_path), BOARD).changed
    outcome.profile.unlink()
    assert rebuild("mine", place(tmp_path), BOARD).profile.read_bytes() == before
    assert learn(tmp_path, "mine", rows).record is None
    assert outcome.profile.read_bytes() == before


def test_strips_of_another_person_are_others(tmp_path: Path) -> None:
    """A hand is a person's own."""
    learn(tmp_path, "mine", strips(0))
    outcome = learn(tmp_path, "mine", [replace(row, by="Lena") for row in strips(1)])
    assert isinstance(outcome, HandOutcome) and len(outcome.fit.hands) == 2


@pytest.mark.parametrize("by", ["Lena", "MK l."])
@pytest.mark.parametrize("what", ["paper", "printer"])
def test_pieces_that_somebody_else_reads_are_no_new_ones(
    tmp_path: Path, what: str, by: str
) -> None:
    """s / sqrt(k) of the pieces, whoever reads them, with a caliper that is 0.03 mm off."""
    learn(tmp_path, "mine", ALL[what](0))
    for time in (1, 2):
        day = [
            replace(
                row, by=by, date=f"2026-11-{20 + time}", reading_mm=row.reading_mm + 0.03 * time
            )
            for row in ALL[what](time)
            if row.reading_mm is not None
        ]
        outcome = learn(tmp_path, "mine", day)
        assert isinstance(outcome, Outcome)
        pieces = {entry.piece for entry in outcome.learnt.entries}
        assert len(pieces) == (11 if what == "paper" else 10)
        # 3 %: readings of two days, 0.03 mm apart, of pieces that scatter by 0.19 or 0.019 mm
        if what == "paper":
            assert u_of(outcome) == pytest.approx(known_to(what), rel=0.03)
        assert any("counted as the same pieces" in line for line in outcome.notes)


def test_pieces_that_somebody_else_made_are_new_ones(tmp_path: Path) -> None:
    """Of twice the pieces everything is known better, by 1 / sqrt(2) but for few beliefs."""
    first = u_of(learn(tmp_path, "mine", papers(0)))
    other = [replace(row, by="Lena") for row in anew(papers(0))]
    assert u_of(learn(tmp_path, "mine", other)) < 0.85 * first


def test_pieces_that_may_be_somebody_elses_are_asked_about(tmp_path: Path) -> None:
    """One fold that is 0.05 mm off: a second hand at the same fold, or another fold."""
    learn(tmp_path, "mine", papers(0))
    two = [
        replace(row, by="Lena", reading_mm=(row.reading_mm or 0.0) + 0.05) for row in papers(1)[:2]
    ]
    with pytest.raises(InputError, match=r"piece.* B are in .*--confirm same.*--confirm anew"):
        learn(tmp_path, "mine", two)
    same = learn(tmp_path, "mine", two, {Doubt.SAME})
    assert folded(same) == 10
    assert folded(learn(tmp_path, "mine", two, {Doubt.ANEW})) == 11


def anew(rows: Sequence[Reading]) -> list[Reading]:
    """Pieces made anew: by chance each is as the next one was, but for the stack."""
    folded = [row for row in rows if row.feature is not Feature.STACK]
    turned = [*folded[2:], *folded[:2]]
    return [
        replace(row, reading_mm=round((other.reading_mm or 0.0) + 0.0004, 4))
        for row, other in zip(folded, turned, strict=True)
    ]


@pytest.mark.parametrize("what", ["paper", "hand"])
def test_pieces_of_other_sizes_are_asked_about_once(tmp_path: Path, what: str) -> None:
    first = u_of(learn(tmp_path, "mine", ALL[what](0)))
    records = records_folder(tmp_path)
    kept = {path.name: path.read_bytes() for path in records.iterdir()}
    with pytest.raises(InputError) as caught:
        learn(tmp_path, "mine", anew(ALL[what](0)))
    (line,) = caught.value.lines
    assert "pieces B, C, D" in line and "--confirm same" in line
    assert line.endswith("--confirm anew") and "is that so?" in line
    assert {path.name: path.read_bytes() for path in records.iterdir()} == kept
    outcome = learn(tmp_path, "mine", anew(ALL[what](0)), {Doubt.ANEW})
    assert u_of(outcome) == pytest.approx(known_to(what, [*OFF, *OFF]), rel=0.02)
    assert u_of(outcome) < first
    before = outcome.profile.read_bytes()
    outcome.profile.unlink()
    assert rebuild("mine", place(tmp_path), BOARD).profile.read_bytes() == before
    # read again, the pieces are those that were made last
    more = [replace(row, date="2026-11-25") for row in anew(ALL[what](0))]
    more = [replace(row, reading_mm=(row.reading_mm or 0) + 0.001) for row in more]
    third = learn(tmp_path, "mine", more)
    assert u_of(third) == pytest.approx(u_of(outcome), rel=0.02)


def folded(outcome: Outcome | HandOutcome) -> int:
    """How many pieces were folded, as they are counted."""
    assert isinstance(outcome, Outcome)
    return len({entry.piece for entry in outcome.learnt.entries}) - 1


def by_rule(rows: Sequence[Reading]) -> list[Reading]:
    """The same with a rule of half millimetres."""
    return [
        row
        if row.reading_mm is None or row.feature is Feature.STACK
        else replace(row, resolution_mm=0.5, reading_mm=round(2.0 * row.reading_mm) / 2.0)
        for row in rows
    ]


def gauged(rows: Sequence[Reading]) -> list[Reading]:
    """The same by plugs a fifth of a millimetre apart."""
    return [
        replace(
            row,
            reading_mm=None,
            go_mm=math.floor(5.0 * (row.reading_mm or 0.0)) / 5.0,
            nogo_mm=math.floor(5.0 * (row.reading_mm or 0.0)) / 5.0 + 0.2,
        )
        for row in rows
        if row.feature is not Feature.STACK
    ]


@pytest.mark.parametrize("read", [by_rule, gauged])
def test_readings_that_cannot_tell_are_asked_about(
    tmp_path: Path, read: Callable[[Sequence[Reading]], list[Reading]]
) -> None:
    """New pieces that a rule or a plug hardly tells from the old ones."""
    stack = [row for row in papers(0) if row.feature is Feature.STACK]
    learn(tmp_path, "mine", [*stack, *read(papers(0)[3:])])
    with pytest.raises(InputError, match=r"cannot tell whether these are the same.*--confirm anew"):
        learn(tmp_path, "mine", read(anew(papers(0))))
    assert learn(tmp_path, "mine", read(anew(papers(0))), {Doubt.SAME}).record


def test_what_was_answered_can_be_answered_otherwise(tmp_path: Path) -> None:
    rows = anew(papers(0))
    learn(tmp_path, "mine", papers(0))
    same = learn(tmp_path, "mine", rows, {Doubt.SAME})
    assert folded(same) == 10
    new = learn(tmp_path, "mine", rows, {Doubt.ANEW})
    assert new.record is None and any("count as new ones" in line for line in new.notes)
    assert u_of(new) == pytest.approx(known_to("paper", [*OFF, *OFF]), rel=0.02)
    assert folded(new) == 20
    back = learn(tmp_path, "mine", rows, {Doubt.SAME})
    assert folded(back) == 10 and u_of(back) == pytest.approx(u_of(same), rel=1e-12)
    listed = next(records_folder(tmp_path).glob("*-set-aside.csv"))
    with listed.open(encoding="utf-8", newline="") as stream:
        said = [row[2] for row in csv.reader(stream)][1:]
    assert said == ["pieces read again", "pieces made anew", "pieces read again"]


def test_records_of_before_are_counted_as_the_same_and_told_of(tmp_path: Path) -> None:
    """Two records that nobody was asked about."""
    first = learn(tmp_path, "mine", papers(0))
    path = records_folder(tmp_path) / "stock-mine-0002.csv"
    path.write_text(write_sheet(anew(papers(0))), encoding="utf-8")
    first.profile.unlink()
    outcome = rebuild("mine", place(tmp_path), BOARD)
    assert outcome.records == ("stock-mine-0001.csv", "stock-mine-0002.csv")
    assert folded(outcome) == 10
    (told,) = [line for line in outcome.notes if "counted as the same pieces" in line]
    assert f"fitcheck learn mine {path} --confirm anew" in told
    answered = learn_from("mine", path, place(tmp_path), BOARD, confirmed={Doubt.ANEW})
    assert answered.record is None
    assert u_of(answered) == pytest.approx(known_to("paper", [*OFF, *OFF]), rel=0.02)
    again = rebuild("mine", place(tmp_path), BOARD)
    assert not again.changed
    assert not [line for line in again.notes if "counted as the same pieces" in line]


def test_only_one_of_the_two_answers_is_taken() -> None:
    assert said_of(["anew"], False).confirmed == {Doubt.ANEW}
    with pytest.raises(InputError, match="--confirm: read anew and same; allowed: one of the two"):
        said_of(["same", "anew"], False)


def test_whole_sets_of_two_makers_in_one_file_are_each_their_own() -> None:
    """Two people's strips under the same letters; one who reads a strip again has no whole set."""
    both = [*strips(0), *(replace(row, by="Lena") for row in strips(1))]
    found = Pieces(both).placed()
    assert len({row.piece for row in found}) == 20
    few = [*strips(0), *(replace(row, by="Lena") for row in strips(1)[:4])]
    assert len({row.piece for row in Pieces(few).placed()}) == 10


def lenas(rows: Sequence[Reading], off_mm: float) -> list[Reading]:
    return [
        replace(row, by="Lena", reading_mm=round((row.reading_mm or 0.0) + off_mm, 4))
        for row in rows
    ]


@pytest.mark.parametrize("first", ["MK", "Lena"])
def test_each_maker_in_one_file_is_told_by_own_strips(tmp_path: Path, first: str) -> None:
    """Means and s / sqrt(10) by hand: Lena cuts 0.30 mm longer, and no less surely."""
    sets = [strips(0), lenas(strips(0), 0.3)]
    both = [row for own in (sets if first == "MK" else sets[::-1]) for row in own]
    outcome = learn(tmp_path, "mine", both, {Doubt.AGAIN})
    assert isinstance(outcome, HandOutcome)
    found = {hand.person: hand.work(Act.CUT) for hand in outcome.fit.hands}
    assert list(found) == ([first, "Lena"] if first == "MK" else [first, "MK"])
    for person, mean in (("MK", statistics.fmean(OFF)), ("Lena", statistics.fmean(OFF) + 0.3)):
        work = found[person]
        assert work is not None and work.count == 10
        assert work.offset.value == pytest.approx(mean, abs=1e-3)
        assert work.offset.u == pytest.approx(known_to("hand"), rel=0.02)
    before = outcome.profile.read_bytes()
    outcome.profile.unlink()
    assert rebuild("mine", place(tmp_path), BOARD).profile.read_bytes() == before
    # and her strips, read again in a file of her own, are those of the file of both
    again = learn(tmp_path, "mine", lenas(strips(1), 0.3))
    assert isinstance(again, HandOutcome)
    assert sum(len(hand.works) and hand.works[0].count for hand in again.fit.hands) == 20


def test_two_makers_sets_that_run_together_are_refused(tmp_path: Path) -> None:
    part = [*strips(0), *lenas(strips(0), 0.3)[:-2]]
    with pytest.raises(InputError) as caught:
        learn(tmp_path, "mine", part)
    (line,) = caught.value.lines
    for words in ("by: read MK and Lena", "Lena has no 'cut' of 100 mm of piece K", "whole set"):
        assert words in line, words
    few = [*strips(0), *lenas(strips(0), 0.0)[:8]]  # four strips that she read again
    outcome = learn(tmp_path, "mine", few)
    assert isinstance(outcome, HandOutcome) and len(outcome.fit.hands) == 1
