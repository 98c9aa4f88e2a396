"""The walls round contents and what stands in a base are worked out for many boxes at once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.fit.mates import fit_placed
from fitcheck.fit.placed import both_of
from fitcheck.fit.stood import stood_in, walls_each, walls_of
from fitcheck.odds.found_inputs import inputs_of
from fitcheck.odds.ideas import others
from fitcheck.odds.making import Workshop
from fitcheck.styles.tuck_end import TuckEndSpec
from tests.cli.commands import ROOT

ROUNDING_MM = 1e-12
STANDING = ("boathouse", "ferry", "slipway")


@pytest.mark.parametrize("name", STANDING)
def test_each_box_among_many_is_that_box_alone(name: str) -> None:
    """Heights, walls and poses: those of many boxes are added up in another order, no more."""
    found = check(read_design(ROOT / "models" / f"{name}.toml"))
    inputs = inputs_of(found.assembly, None)
    rng = np.random.default_rng(5)
    offsets = [
        {one.name: float(rng.normal(0.0, one.variate.u)) for one in inputs} for _ in range(4)
    ]
    made = [own for own in Workshop(found.assembly, inputs, {}).make_all(offsets) if own]
    assert len(made) == len(offsets)
    stood = stood_in(found.assembly)
    together = walls_each(stood, [own.parts for own in made])
    for walls, own in zip(together, made, strict=True):
        alone = walls_of(stood, own.parts)
        assert walls.height_mm == pytest.approx(alone.height_mm, abs=ROUNDING_MM)
        for one, other in zip(walls.pieces.bounds, alone.pieces.bounds, strict=True):
            assert one == pytest.approx(other, abs=ROUNDING_MM)
    for mate in stood.mates:
        boxes = [both_of(mate.mate, own.parts) for own in made]
        fits = fit_placed(mate, boxes, found.design.bands)
        for fit, both in zip(fits, boxes, strict=True):
            (by_itself,) = fit_placed(mate, [both], found.design.bands)
            assert fit.closed_pose == pytest.approx(by_itself.closed_pose, abs=ROUNDING_MM)
            assert fit.plays == pytest.approx(by_itself.plays, abs=ROUNDING_MM)


def test_no_gap_is_tried_that_a_file_refuses() -> None:
    """A tuck's `clear` is a length above 0: the schema says so."""
    design = read_design(ROOT / "models" / "whist.toml")
    base = design.base
    assert isinstance(base, TuckEndSpec)
    found = check(design.with_parts(replace(base, clear_mm=0.8)))
    tried = [idea.design.base for idea in others(found) if idea.design is not None]
    gaps = [own.clear_mm for own in tried if isinstance(own, TuckEndSpec)]
    assert len(set(gaps)) > 3 and min(gaps) > 0.0
