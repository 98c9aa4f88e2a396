"""Boxes that are folded, slid and read together are those that are so by themselves."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import Check, check
from fitcheck.fit.contact import difference_body
from fitcheck.fit.lid import fit_lids
from fitcheck.fit.selffit import meetings, stand_alike
from fitcheck.odds.found_inputs import inputs_of
from fitcheck.odds.making import Made, Workshop, offsets_of
from fitcheck.odds.outlook import outlook_of
from fitcheck.odds.slopes import read_again, read_anew
from fitcheck.odds.variates import draw_values
from fitcheck.pattern.sheet import Axis
from tests.cli.commands import FRAMED, ROOT

DESIGNS = (FRAMED, ROOT / "models" / "lantern.toml")
BOXES = 9
SAME_MM = 1e-9


@cache
def checked(design: int) -> Check:
    return check(read_design(DESIGNS[design], roots=[ROOT]))


@cache
def drawn(design: int) -> tuple[Made, ...]:
    """Boxes with everything off as hands are, one of them by three times as much."""
    assembly = checked(design).assembly
    inputs = inputs_of(assembly)
    offsets = np.empty((len(inputs), BOXES))
    rng = np.random.default_rng(11)
    draw_values([one.variate for one in inputs], rng.spawn(len(inputs)), offsets)
    offsets[:, 4] *= 3.0
    workshop = Workshop(assembly, inputs, {})
    made = workshop.make_all([offsets_of(inputs, column.tolist()) for column in offsets.T])
    return tuple(one for one in made if one is not None)


@pytest.mark.parametrize("design", range(len(DESIGNS)))
def test_lids_fitted_together_are_lids_fitted_alone(design: int) -> None:
    bands = checked(design).design.bands
    pairs = [(made.base, made.lid) for made in drawn(design) if made.lid is not None]
    assert len(pairs) == BOXES
    together = fit_lids(pairs, bands)
    for pair, found in zip(pairs, together, strict=True):
        (alone,) = fit_lids([pair], bands)
        assert found.verdict is alone.verdict
        assert found.seat_mm == pytest.approx(alone.seat_mm, abs=SAME_MM)
        assert found.rim_mm == pytest.approx(alone.rim_mm, abs=SAME_MM)
        for axis in Axis:
            one, other = found.slide.travel(axis), alone.slide.travel(axis)
            assert one.play_mm == pytest.approx(other.play_mm, abs=SAME_MM)
            assert one.limiting is not None and other.limiting is not None
            assert (one.limiting.outer, one.limiting.inner) == (
                other.limiting.outer,
                other.limiting.inner,
            )


@pytest.mark.parametrize("design", range(len(DESIGNS)))
def test_limits_read_together_are_limits_read_alone(design: int) -> None:
    found = outlook_of(checked(design))
    boxes = list(drawn(design))
    read: dict[str, dict[tuple[str, str], float]] = {}
    nominal = Workshop(checked(design).assembly, (), {}).as_designed
    for own in read_anew([nominal], found.readers, 2.0):
        read |= own
    for together, alone in (
        (
            read_again(boxes, found.readers, read),
            [read_again([b], found.readers, read)[0] for b in boxes],
        ),
        (
            read_anew(boxes, found.readers, 0.5),
            [read_anew([b], found.readers, 0.5)[0] for b in boxes],
        ),
    ):
        for one, other in zip(together, alone, strict=True):
            assert one.keys() == other.keys()
            for family, members in one.items():
                assert members == pytest.approx(other[family], abs=SAME_MM), family


def test_panels_that_stand_alike_press_alike() -> None:
    """A box with one score off: the depths of all pairs, each pair's worked out by itself."""
    assembly = checked(0).assembly
    inputs = inputs_of(assembly)
    name = next(i.name for i in inputs if "score from the left fence" in i.name)
    made = Workshop(assembly, inputs, {}).make({name: 0.4})
    designed = assembly.base.folded
    alike = stand_alike([made.base], designed)[0]
    panels = [panel.name for panel in made.base.pattern.panels]
    panels += [line.name for line in made.base.pattern.creases]
    here, there = (meetings(part, -math.inf) for part in (made.base, designed))
    same = [
        pair
        for pair in there
        if alike[panels.index(pair[0]), panels.index(pair[1])] and pair in here
    ]
    assert len(same) > 20 and len(same) < len(there)
    for pair in same:
        assert here[pair].depth_mm == pytest.approx(there[pair].depth_mm, abs=SAME_MM)
    met = here[same[0]]
    own = difference_body(met.one, met.other).depth(np.zeros(3))[0]
    assert met.depth_mm == pytest.approx(own, abs=SAME_MM)
