"""Readings of a hand as people take them: what goes together, what is missing, what is refused."""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fitcheck.errors import InputError
from fitcheck.learn.bench_readings import Feature, Reading
from fitcheck.learn.hand_fit import fit_hands
from fitcheck.learn.hand_pieces import Act, hands_of
from fitcheck.learn.hand_profile import hand_outcome, measured_tools, tools_profile
from fitcheck.outputs.hand_text import hand_text
from fitcheck.stock.bought_sheets import sheet_of
from fitcheck.stock.tools import Habits
from fitcheck.stock.tools_files import tools_from
from tests.hand_truth import BOARD, Bench, Truth


def row(
    feature: Feature, nominal: float, value: float, note: str = "piece P", **more: object
) -> Reading:
    found = Reading(
        "r.csv", 2, "2026-11-20", "MK", "caliper", 0.01, feature, nominal, None, value, None, None,
        note,
    )  # fmt: skip
    return replace(found, **more)  # type: ignore[arg-type]


def folded(near: float, far: float, cut: float) -> list[Reading]:
    return [
        row(Feature.CUT, 150.0, cut),
        row(Feature.FOLD_NEAR, 50.0, near),
        row(Feature.FOLD_FAR, 100.0, far),
    ]


@pytest.mark.parametrize("gap", [0.0, 0.07, 0.4])
def test_what_a_fold_stands_out_drops_out(gap: float) -> None:
    """A score at 50.12 on a strip of 149.85 mm, by arithmetic: 50.12 + e and 99.73 + e."""
    found = hands_of(folded(50.12 + gap, 99.73 + gap, 149.85), BOARD)
    cut, score = found.departures
    assert (cut.act, score.act) == (Act.CUT, Act.GROOVE)
    assert cut.off_mm == pytest.approx(-0.15)
    assert score.off_mm == pytest.approx(0.12)
    assert score.gap_mm == pytest.approx(gap)
    assert (score.at_mm, cut.at_mm) == (50.0, 150.0)


@pytest.mark.parametrize("missing", [Feature.CUT, Feature.FOLD_FAR])
def test_a_fold_without_its_other_readings_is_left_out_and_named(missing: Feature) -> None:
    rows = [one for one in folded(50.2, 99.8, 149.9) if one.feature is not missing]
    found = hands_of(rows, BOARD)
    assert not [one for one in found.departures if one.act is not Act.CUT]
    assert any("left out" in note and "fold-near 50 mm" in note for note in found.notes)


OFF = (0.31, -0.12, 0.05, 0.22, -0.27, 0.14)
"""What six knife cuts are off by, mm, from marks made first."""


def pieces(missing: int = 0) -> list[Reading]:
    """How wide the pieces between those cuts come out, but for one."""
    return [
        row(Feature.KNIFE, 25.0, round(25.0 + off - before, 2), f"piece K{k}")
        for k, (off, before) in enumerate(zip(OFF, (0.0, *OFF), strict=False), 1)
        if k != missing
    ]


def test_a_piece_between_two_marks_is_off_by_two_cuts() -> None:
    """Widths up to a cut add up to where it lies; as single cuts they would scatter by 0.35 mm."""
    found = [one.off_mm for one in hands_of(pieces(), BOARD).departures]
    assert found == pytest.approx(OFF, abs=1e-9)
    work = fit_hands(pieces(), BOARD).hands[0].work(Act.KNIFE)
    s = math.sqrt(sum(off**2 for off in OFF) / 6)
    assert work is not None and work.scatter.s_mm == pytest.approx(s, rel=0.01)


def test_where_a_piece_is_missing_the_others_still_tell() -> None:
    """Generalised least squares of a textbook: y' C^-1 y with C = D D', D of single cuts."""
    own = pieces(missing=3)
    y = np.array([(one.reading_mm or 0.0) - 25.0 for one in own])
    numbers = [1, 2, 4, 5, 6]
    d = np.zeros((5, 7))
    for place, number in enumerate(numbers):
        d[place, number], d[place, number - 1] = 1.0, -1.0
    d[:, 0] = 0.0  # the card's own edge
    squares = float(y @ np.linalg.solve(d @ d.T, y))
    found = [one.off_mm for one in hands_of(own, BOARD).departures]
    assert sum(off**2 for off in found) == pytest.approx(squares, rel=1e-9)
    assert len(found) == 5


def test_a_flat_reading_stands_by_itself() -> None:
    (found,) = hands_of([row(Feature.SCORE, 52.0, 52.5, "")], BOARD).departures
    assert (found.act, found.off_mm) == (Act.BETWEEN, 0.5)


def test_blanks_and_capitals_make_no_other_person() -> None:
    rows = [
        row(Feature.CUT, 100.0, 99.9, f"piece {k}", by=by) for k, by in enumerate(("M K", " m  k "))
    ]
    assert hands_of(rows, BOARD).people == ("M K",)


def test_a_strip_read_by_two_is_the_first_one_s_and_says_so() -> None:
    rows = folded(50.2, 99.8, 149.9)
    found = hands_of([rows[0], *(replace(one, by="ab") for one in rows[1:])], BOARD)
    assert {one.by for one in found.departures} == {"MK"}
    assert any("read by MK and ab" in note for note in found.notes)


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ([row(Feature.CUT, 100.0, 100.1), row(Feature.CUT, 125.0, 125.1)], "has 2 lengths"),
        ([row(Feature.CUT, 100.0, 100.1, by="n" * 5000)], "by: read 'nnn"),
        ([row(Feature.FOLD_FAR, 100.0, 100.1)], "there is no cut or score to learn from"),
        (
            [row(Feature.CUT, 100.0, 100.1, f"piece {k}", by=f"p{k}") for k in range(51)],
            "by: read 51 different names",
        ),
        (
            [row(Feature.CUT, 100.0, 100.0 + (-1) ** k * 4.9, f"piece {k}") for k in range(9)],
            "sheets cut with the trimmer scatter by 5.",
        ),
    ],
    ids=["two lengths", "a long name", "nothing", "many people", "no hand"],
)
def test_what_no_hand_gives_is_refused_in_a_line(rows: list[Reading], told: str) -> None:
    with pytest.raises(InputError) as caught:
        fit_hands(rows, BOARD)
    assert any(told in line for line in caught.value.lines)
    assert all(len(line) < 500 for line in caught.value.lines)


def test_a_few_strips_keep_what_was_assumed() -> None:
    """Two cuts tell no scatter: the profile has the old one, and nothing is made up."""
    rows = [row(Feature.CUT, 100.0, 100.0 + k / 10, f"piece {k}") for k in (1, 2)]
    found = measured_tools(fit_hands(rows, BOARD), BOARD, ["r.csv"])
    assert found.cut_u_mm == BOARD.cut_u_mm and found.habits == Habits()
    assert found.assumed is not None and found.assumed.cut_u_mm == BOARD.cut_u_mm


def test_a_profile_is_read_back_as_it_was_measured() -> None:
    bench = Bench(np.random.default_rng(8))
    bench.coupon(Truth(), 'M "K" \\ é')
    bench.coupon(Truth(cut_s=0.4), "ab")
    base = replace(BOARD, source="a board", sheets=(sheet_of(215.9, 279.4), sheet_of(210.0, 297.0)))
    made = measured_tools(fit_hands(bench.rows, base), base, ["tools-board-0001.csv"])
    text = tools_profile(made, "board")
    read = tools_from(tomllib.loads(text), Path("board.toml"))
    assert tools_profile(read, "board") == text
    assert read.sheets == base.sheets and read.grid_mm == 5.0
    assert [name for name, _ in read.people] == ['M "K" \\ é', "ab"]
    assert read.habits.scale == pytest.approx(made.habits.scale, abs=1e-7)
    assert read.assumed is not None and read.assumed.source == base.source
    held = read.held_by("AB")
    assert held is not None and held.assumed == read.assumed and held.cut_u_mm > read.cut_u_mm
    again = measured_tools(fit_hands(bench.rows, read), read, ["tools-board-0001.csv"])
    assert tools_profile(again, "board") == text


def test_any_source_of_assumed_tools_is_a_text_of_the_profile() -> None:
    """Python's own parser reads it back; it takes no control character as it is (TOML 1.0)."""
    bench = Bench(np.random.default_rng(8))
    bench.coupon(Truth())
    base = replace(BOARD, source='a "board"\\\x07\x1f\x7f\té')
    text = tools_profile(measured_tools(fit_hands(bench.rows, base), base, ["r.csv"]), "board")
    assert tomllib.loads(text)["assumed"]["source"] == base.source


def test_where_reading_is_rougher_than_the_hand_the_assumed_scatter_stays() -> None:
    """A hand of 0.02 mm read with 0.15 mm: nothing is claimed of it, and no finer tool is asked."""
    bench, board = Bench(np.random.default_rng(3)), replace(BOARD, source="a board")
    bench.coupon(Truth(groove_s=0.02, read_s=0.15))
    outcome, text = hand_outcome("board", Path("board.toml"), board, bench.rows, None)
    groove = outcome.fit.hands[0].work(Act.GROOVE)
    assert groove is not None and groove.noise.value > groove.line.rest.value
    assert outcome.new.score_u_on_grid_mm == BOARD.score_u_on_grid_mm
    told = " ".join(hand_text(outcome).split())
    assert "what was assumed is kept" in told and "0.00 mm" not in told
    assert "leave up to 0." in told and "leave 0.00" not in told
    assert "finer instrument" not in told
    assert f"on_grid = {BOARD.score_u_on_grid_mm:g}" in text


def test_what_odds_take_lies_in_the_interval_that_is_told() -> None:
    """Hands that are read about as roughly as they work, in 60 coupons."""
    rng, told = np.random.default_rng(5), 0
    for _ in range(60):
        bench = Bench(rng)
        bench.coupon(Truth(groove_s=0.05, between_s=0.08, cut_s=0.08, read_s=0.1))
        fit = fit_hands(bench.rows, BOARD)
        tools = measured_tools(fit, BOARD, ["r.csv"])
        for act, mm in (
            (Act.CUT, tools.cut_u_mm),
            (Act.GROOVE, tools.score_u_on_grid_mm),
            (Act.BETWEEN, tools.score_u_off_grid_mm),
        ):
            work = fit.hands[0].work(act)
            assert work is not None
            assert 0.0 < mm <= work.scatter.high_mm
            assert work.scatter.low_mm <= mm or not work.scatter_estimated
            told += work.scatter_estimated
    assert told > 60
