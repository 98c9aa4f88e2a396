"""Boxes of surer hands are those that are drawn with the same numbers, one by one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.odds.hands import Hands
from fitcheck.odds.inputs import u_of, with_u
from fitcheck.odds.odds import MOST_TRIED, odds_of
from fitcheck.odds.propagate import CHUNK, Samples
from fitcheck.odds.prospect import good_flags, take_prospect
from fitcheck.odds.shares import cures_for
from fitcheck.outputs.odds_details import odds_details
from tests.cli.commands import FRAMED, ROOT

BOXES = CHUNK + 3_000


@pytest.mark.parametrize("path", [FRAMED, ROOT / "models" / "lantern.toml"])
def test_cured_boxes_are_those_drawn_with_the_cured_inputs(path: object) -> None:
    """The other route draws them anew, with other standard uncertainties of the same streams."""
    prospect, forms = take_prospect(check(read_design(path, roots=[ROOT]))).asked()
    cured = [with_u(forms.inputs, cure.changed) for cure in cures_for(forms.inputs)]
    assert len(cured) > 2
    off = Hands.of(prospect, BOXES, 0).off
    found = prospect.right_with(forms, [u_of(inputs) for inputs in cured], off)
    before = good_flags(prospect, prospect.draw(forms, BOXES, 0))
    for flags, inputs in zip(found, cured, strict=True):
        drawn = prospect.draw(replace(forms, inputs=inputs), BOXES, 0)
        assert np.array_equal(flags, good_flags(prospect, drawn))
    assert any(not np.array_equal(flags, before) for flags in found)
    assert prospect.right_with(forms, [], off) == []


@pytest.mark.parametrize("path", [FRAMED, ROOT / "models" / "lantern.toml"])
def test_boxes_of_rounded_sizes_are_those_drawn_about_them(path: object) -> None:
    """The other route draws them anew about other means, with the same streams."""
    prospect, forms = take_prospect(check(read_design(path, roots=[ROOT]))).asked()
    by = np.where(np.arange(len(forms.inputs)) % 3, 0.0, 0.2)
    others = tuple(
        replace(one, variate=replace(one.variate, mean=one.variate.mean + off))
        for one, off in zip(forms.inputs, by.tolist(), strict=True)
    )
    samples, right = prospect.draw_beside(forms, others, BOXES, 0)
    drawn = prospect.draw(forms, BOXES, 0)
    assert np.array_equal(samples.outcomes, drawn.outcomes)
    assert np.allclose(samples.covariances, drawn.covariances, rtol=0.0, atol=1e-12)
    anew = prospect.draw(replace(forms, inputs=others), BOXES, 0)
    assert np.array_equal(right, good_flags(prospect, anew))
    assert not np.array_equal(right, good_flags(prospect, drawn))


def test_what_would_help_is_told_of_the_first_boxes_alone() -> None:
    """Of more boxes than it is tried on the others say nothing of it, and that is said."""
    found = check(read_design(FRAMED, roots=[ROOT]))
    few, many = (odds_of(found, boxes, folded_again=2) for boxes in (MOST_TRIED, 25_000))
    told = {gain.what: (gain.before, gain.after) for gain in few.gains}
    assert told and all(after.boxes == MOST_TRIED for _, after in told.values())
    again = {gain.what: (gain.before, gain.after) for gain in many.gains}
    assert all(again[what] == told[what] for what in told.keys() & again.keys())
    said = "of the first 20000 boxes all right"
    assert said in odds_details(many) and said not in odds_details(few)


def test_what_is_left_of_samples_is_what_they_say() -> None:
    samples = Samples(np.random.default_rng(2).normal(3.0, 2.0, (3, 500)))
    for row, own in enumerate(samples.outcomes):
        assert samples.spreads.deviations[row] == own.std()
        assert samples.spreads.least[row] == own.min()
    first = samples.first(20)
    assert np.array_equal(first.outcomes, samples.outcomes[:, :20])
    assert first.outcomes.base is None, "the others are not held on to"
