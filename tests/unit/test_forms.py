"""Limits as forms of the inputs: least members, slopes and spreads against plain formulas."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitcheck.odds.forms import Forms
from fitcheck.odds.inputs import Input, Source
from fitcheck.odds.turns import Turn
from fitcheck.odds.variates import Variate

INPUTS = (
    Input(Variate("a", 0.1), Source.CUT),
    Input(Variate("b", 0.3, mean=0.5), Source.CREASE),
    Input(Variate("c", 0.2, mean=-1.0), Source.CALIPER),
)
TURN = Turn(np.array([0.0, 1.0, -0.6]), 0.4, 1, 0.3)
"""Where b - 0.6 c = 0.4: the designed box is short of it, the mean one (1.1) beyond."""
FORMS = Forms(
    inputs=INPUTS,
    turns=(TURN,),
    families=("wide", "long"),
    starts=(0, 2, 5),
    lines=(2, 5),
    nearest=np.zeros(0, dtype=np.intp),
    values=np.array([1.0, 1.4, 2.0, 1.9, 2.5]),
    gradients=np.array(
        [
            [1.0, 0.0, 0.0, 0.0],
            [0.0, -1.0, 0.5, 2.0],
            [0.5, 0.5, 0.0, -1.0],
            [0.0, 0.0, 1.0, 0.0],
            [2.0, 0.0, -1.0, 0.0],
        ]
    ),
    kinked=np.array([0, 2]),
    kinks=np.array([[0.0, 0.0], [0.7, 0.0], [0.0, -0.4], [0.0, 0.0], [0.2, 0.1]]),
    members=tuple((str(k), str(k)) for k in range(5)),
)


IN_CORNERS = replace(FORMS, starts=(0, 2, 3), lines=(1, 3), nearest=np.array([3]))
"""The same numbers where the second is a line in a corner that does not count before the fourth."""


def by_hand(a: float, b: float, c: float) -> list[float]:
    beyond = max(b - 0.6 * c - 0.4, 0.0)
    return [
        1.0 + a,
        1.4 - b + 0.5 * c + 2.0 * beyond + 0.7 * abs(a),
        2.0 + 0.5 * a + 0.5 * b - beyond - 0.4 * abs(c),
        1.9 + c,
        2.5 + 2.0 * a - c + 0.2 * abs(a) + 0.1 * abs(c),
    ]


def test_the_least_of_each_family_box_by_box() -> None:
    boxes = np.random.default_rng(0).normal(0.0, 1.0, (3, 200))
    expected = [[min(v[:2]), min(v[2:])] for v in (by_hand(*box) for box in boxes.T)]
    assert pytest.approx(np.array(expected)) == FORMS.least(boxes).T
    some = FORMS.of(["long"])
    assert some.least(boxes)[0] == pytest.approx(FORMS.least(boxes)[1])
    assert some.starts == (0, 3) and some.members == FORMS.members[2:]


@pytest.mark.parametrize("changed", [[0], [1], [2], [0, 2], [1, 2], [0, 1, 2]])
def test_boxes_are_carried_on_from_others_that_differ_in_some_inputs(changed: list[int]) -> None:
    """Turns and bent inputs, too: what they make is the difference of both by hand."""
    rng = np.random.default_rng(3)
    boxes, others = rng.normal(0.0, 1.0, (3, 300)), rng.normal(0.0, 1.0, (3, 300))
    others = np.where(np.isin(np.arange(3), changed)[:, None], others, boxes)
    expected = [
        np.subtract(by_hand(*b), by_hand(*a)) for a, b in zip(boxes.T, others.T, strict=True)
    ]
    found = FORMS.between(boxes, others, np.array(changed))
    assert pytest.approx(np.array(expected), abs=1e-12) == found.T


def test_a_turn_that_the_designed_box_is_beyond_counts_from_there() -> None:
    """As designed nothing is off, so a form has its own value: what lies beyond is taken off."""
    turn = Turn(np.array([0.0, 1.0, 0.0]), -0.25, 1, 0.3)
    offsets = np.array([[0.0] * 4, [0.0, 0.5, -0.1, -1.0], [9.0] * 4])
    assert turn.beyond(offsets) == pytest.approx([0.0, 0.5, -0.1, -0.25])


def test_slopes_at_the_means_by_differences() -> None:
    means = FORMS.means
    assert means == pytest.approx([0.0, 0.5, -1.0])
    for k in range(3):
        step = 1e-6 * (np.arange(3) == k)
        rise = np.array(by_hand(*(means + step))) - np.array(by_hand(*(means - step)))
        assert FORMS.slopes[:, k] == pytest.approx(rise / 2e-6, abs=1e-6)
    # right at a turn it is the middle of both sides
    there = Turn(TURN.weights, 1.1, 1, 0.3)
    at_turn = Forms(**{**vars(FORMS), "turns": (there,)}).slopes
    before, after = FORMS.gradients[1, :3], FORMS.gradients[1, :3] + 2.0 * TURN.weights
    assert at_turn[1] == pytest.approx(0.5 * (before + after))


def test_a_line_counts_from_the_crease_on() -> None:
    boxes = np.random.default_rng(0).normal(0.0, 1.0, (3, 200))
    boxes[:, 0] = 2.0, -1.0, -2.0
    values = [by_hand(*box) for box in boxes.T]
    expected = np.array([[min(v[0], max(v[1], v[3])), v[2]] for v in values])
    assert pytest.approx(expected) == IN_CORNERS.least(boxes).T
    assert any(v[1] < v[0] < v[3] for v in values) and any(v[3] < v[1] < v[0] for v in values)
    for name, column, rows in (("wide", 0, 3), ("long", 1, 1)):
        some = IN_CORNERS.of([name])
        assert some.least(boxes)[0] == pytest.approx(expected[:, column])
        assert len(some.values) == rows
    assert IN_CORNERS.first("wide") == 0


def test_the_first_member_is_the_least_at_the_means() -> None:
    at_means = FORMS.values + FORMS.slopes @ FORMS.means
    assert FORMS.first("wide") == int(np.argmin(at_means[:2]))
    assert FORMS.first("long") == 2 + int(np.argmin(at_means[2:]))


def test_the_spread_of_each_limit() -> None:
    """By arithmetic; what lies beyond the turn varies by the root of 0.3^2 + (0.6 x 0.2)^2, and
    where two sides of an input differ the steeper one counts."""
    beyond = np.hypot(0.3, 0.6 * 0.2)
    expected = [
        0.1,
        np.sqrt((0.7 * 0.1) ** 2 + 0.3**2 + (0.5 * 0.2) ** 2 + (2.0 * beyond) ** 2),
        np.sqrt(0.05**2 + 0.15**2 + (0.4 * 0.2) ** 2 + beyond**2),
        0.2,
        np.hypot(2.2 * 0.1, 1.1 * 0.2),
    ]
    assert FORMS.u_of_rows == pytest.approx(expected)
