"""Which quantity the linear law gets most wrong: that whose numbers would be read otherwise."""

from __future__ import annotations

import pytest

from fitcheck.odds.agreement import Agreement, LinearOrSampled
from fitcheck.outputs.odds_details import agreement_lines

HAIR = LinearOrSampled("the base's ease with itself", 0.79, 0.0, 0.79, 0.01)
"""A hundredth of a millimetre is all that it varies by: no verdict hangs on it."""
PLAY = LinearOrSampled("the lid's play along the width", 0.979, 0.374, 0.809, 0.313)
"""Its mean is off by (0.979 - 0.809) / 0.313 of a standard deviation, half of one."""


@pytest.mark.parametrize("laws", [(HAIR, PLAY), (PLAY, HAIR)])
def test_the_quantity_is_named_whose_numbers_are_off(laws: tuple[LinearOrSampled, ...]) -> None:
    (told,) = agreement_lines(Agreement(laws, (), 0, 0, 0))
    assert "the lid's play along the width 0.98 +- 0.37 mm, samples 0.81 +- 0.31 mm" in told


def test_a_hair_alone_is_no_disagreement() -> None:
    (told,) = agreement_lines(Agreement((HAIR,), (), 0, 0, 0))
    assert "agree" in told
