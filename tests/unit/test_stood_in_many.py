"""What stands in many boxes at once stands in each as it does there alone."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.fit.grids import stood_pieces
from fitcheck.odds.prospect import take_prospect

MODELS = Path(__file__).resolve().parents[2] / "models"
BOXES = 6


@pytest.mark.parametrize("name", ["boathouse", "ferry", "slipway"])
def test_each_box_has_its_own_place_for_what_stands_in_it(name: str) -> None:
    """Boxes whose sheets and scores are off: a collar stands over the middle of its own outline."""
    found = check(read_design(MODELS / f"{name}.toml"))
    workshop = take_prospect(found).workshop
    rng = np.random.default_rng(1)
    offsets = [
        {one.name: 3.0 * one.variate.u * float(rng.standard_normal()) for one in workshop.inputs}
        for _ in range(BOXES)
    ]
    made = [box for box in workshop.make_all(offsets) if box is not None]
    assert len(made) >= BOXES - 2
    stands = [k for k, spec in enumerate(found.design.parts) if spec.name not in ("base", "lid")]
    kinds = [[box.parts[k] for box in made] for k in stands]
    together = stood_pieces(kinds)
    for number in range(len(made)):
        alone = stood_pieces([[own[number]] for own in kinds])
        own = together.of_box(number)
        assert own.bounds[0] == pytest.approx(alone.bounds[0], abs=1e-9)
        assert own.bounds[1] == pytest.approx(alone.bounds[1], abs=1e-9)
