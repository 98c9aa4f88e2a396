"""What is believed of boards and papers beside what a coupon reads, by inverse variance by hand.

A channel of nominal n reads n (1 + b) + 2 a. The rule of thumb for a is (1 - pi/8) t +- 0.15 t, as
the odds have it of papers nobody measured; values of papers and boards are invented.
"""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fitcheck.learn.bench_readings import Feature, Kind
from fitcheck.learn.drafting import given_for
from fitcheck.learn.learning import Learnt, learn_stock
from fitcheck.learn.model_stock import Before, Given
from fitcheck.learn.profiles import stock_profile
from fitcheck.stock.profile_files import stock_from
from fitcheck.stock.tools import Habits, Tools
from tests.truth import Notebook

BOARD = Tools("board", 5.0, 0.10, 0.25, 0.05, 0.20, 0.10, 0.03)
HAND = Tools(
    *("hand", 5.0, 0.10, 0.25, 0.05, 0.20, 0.10, 0.03), habits=Habits(scale=0.0045, scale_u=0.00035)
)
NOTHING = Before(0.3, 0.1, None, None)
T = 0.30
SCORE_MM = 0.10
RULE, RULE_U = (1 - math.pi / 8) * T, 0.15 * T


def given(tools: Tools = BOARD, **more: float) -> Given:
    """What a fit with those tools starts from; repeats do not scatter in these readings."""
    scale, scale_u = tools.habits.believed_scale
    return Given(tools.name, SCORE_MM, 0.05, 0.10, 0.03, scale=scale, scale_u=scale_u, **more)


def fitted(channels: dict[float, float], own: Given) -> Learnt:
    """Two stacks of sheets T thick, and one channel of each nominal with what it is too wide by."""
    book = Notebook(np.random.default_rng(0), hand_mm=0.0)
    for _ in range(2):
        book.add(Feature.STACK, None, 10 * T, count=10)
    for nominal, wider in channels.items():
        book.piece(Feature.CHANNEL, nominal, nominal + wider)
    return learn_stock(book.rows, own, NOTHING)


def read_u_mm(nominal: float) -> float:
    """Of a channel: two scores, the caliper's step, and a scale nobody knows."""
    return math.sqrt(2 * SCORE_MM**2 + 0.01**2 / 12 + (nominal * 0.003) ** 2)


@pytest.mark.parametrize(("read", "unread"), [("along", "across"), ("across", "along")])
def test_a_direction_that_nobody_folded_has_what_the_rule_leaves(read: str, unread: str) -> None:
    """One direction at 0.13 mm: of the other, as of another paper, the rule of thumb is known."""
    book = Notebook(np.random.default_rng(0), hand_mm=0.0)
    for _ in range(2):
        book.add(Feature.STACK, None, 10 * T, count=10)
    for nominal in (25.0, 50.0, 75.0):
        book.piece(Feature.CHANNEL, nominal, nominal + 0.26)
    rows = [
        row
        if row.feature is Feature.STACK
        else replace(row, note=f"{row.note}, folds {read} the grain")
        for row in book.rows
    ]
    learnt = learn_stock(rows, given(), NOTHING)
    (note,) = [each for each in learnt.notes if "not measured" in each]
    assert f"folds {unread} the grain were not measured" in note
    text = stock_profile(learnt, None, given(), ["stock-mine-0001.csv"], "mine")
    stock = stock_from(tomllib.loads(text), Path("mine.toml"))
    allowance, u = stock.allowance(unread == "along")
    assert allowance == pytest.approx(RULE, abs=1e-4) and u == pytest.approx(RULE_U, rel=1e-3)
    assert stock.by_grain is not None and stock.by_grain.not_measured == unread
    known, known_u = stock.allowance(read == "along")
    assert 0.13 < known < RULE - 0.01 and known_u < RULE_U
    both, both_u = stock.allowance(None)
    assert both - 1.96 * both_u < 0.13 and both + 1.96 * both_u > RULE + RULE_U


def test_one_folded_piece_leaves_the_crease_surer_than_the_rule_of_thumb() -> None:
    found = fitted({25.0: 0.50}, given()).known("crease allowance")
    assert found is not None
    weights = np.array([(read_u_mm(25.0) / 2) ** -2, RULE_U**-2])
    expected = float(weights @ [0.25, RULE] / weights.sum())
    assert found.value == pytest.approx(expected, abs=2e-5)
    assert found.u == pytest.approx(weights.sum() ** -0.5, rel=1e-3)
    assert found.u < RULE_U


def test_what_a_maker_says_is_believed_instead_of_the_rule() -> None:
    own = given(allowance_mm=0.22, allowance_u_mm=0.03)
    found = fitted({25.0: 0.50}, own).known("crease allowance")
    assert found is not None
    weights = np.array([(read_u_mm(25.0) / 2) ** -2, 0.03**-2])
    assert found.value == pytest.approx(weights @ [0.25, 0.22] / weights.sum(), abs=2e-5)


def test_readings_that_contradict_the_rule_count_alone() -> None:
    """1.5 calipers of growth are no usual paper's: five folds of one width, 0.9 mm too wide."""
    wide = {24.0 + 0.5 * n: 0.90 for n in range(5)}
    found = fitted(wide, given()).known("crease allowance")
    assert found is not None and found.value == pytest.approx(0.45, abs=2e-3)


def test_a_measured_board_s_scale_is_what_its_coupons_start_from() -> None:
    """0.0045 +- 0.00035: its widths read as that board makes them leave the scale where it was."""
    own = given_for(Kind.STOCK, None, HAND, True, (None, None))
    assert (own.scale, own.scale_u) == (0.0045, 0.00035)
    assert given_for(Kind.STOCK, None, BOARD, True, (None, None)).scale_u == 0.003
    folds = {n: 0.0045 * n + 2 * RULE for n in (25.0, 50.0, 75.0)}
    learnt = fitted(folds, given(HAND))
    scale, crease = learnt.get("board scale"), learnt.get("crease allowance")
    assert scale is not None and crease is not None
    assert scale.value == pytest.approx(0.0045, abs=1e-4) and scale.u <= 0.00035
    assert crease.value == pytest.approx(RULE, abs=3e-3)
    unknown = fitted(folds, given()).get("board scale")
    assert unknown is not None and unknown.u > 3 * scale.u


def test_a_paper_learnt_again_does_not_believe_its_own_readings(tmp_path: Path) -> None:
    """A maker's word is kept in the profile that takes its place; a fitted value is no belief."""
    file = tmp_path / "paper.toml"
    known = ["format = 1", 'kind = "card"', f"caliper_mm = {T}", "caliper_u_mm = 0.01"]
    known += ["crease_allowance_mm = 0.22", "crease_allowance_u_mm = 0.03", 'source = "invented"']
    file.write_text("\n".join(known) + "\n", encoding="utf-8")
    own = given_for(Kind.STOCK, file, BOARD, True, (None, None))
    assert (own.allowance_mm, own.allowance_u_mm) == (0.22, 0.03)
    learnt = fitted({25.0: 0.50}, own)
    text = stock_profile(learnt, None, own, ("stock-paper-0001.csv",), "paper")
    file.write_text(text, encoding="utf-8")
    assert stock_from(tomllib.loads(text), file).crease_allowance_mm != 0.22
    for chosen in (True, False):
        again = given_for(Kind.STOCK, file, BOARD, chosen, (None, None))
        assert (again.allowance_mm, again.allowance_u_mm) == (0.22, 0.03)
    plain = fitted({25.0: 0.50}, given())
    file.write_text(stock_profile(plain, None, given(), ("stock-paper-0001.csv",), "paper"))
    again = given_for(Kind.STOCK, file, BOARD, True, (None, None))
    assert again.allowance_mm is None and again.give is None
