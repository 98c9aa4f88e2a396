"""What is tried by where its lines come to lie is what is drawn anew, line by line."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.odds.hands import Hands
from fitcheck.odds.ideas import others, sizes_beside
from fitcheck.odds.inputs import u_of
from fitcheck.odds.limits import forms_of_rows, screened
from fitcheck.odds.propagate import Samples
from fitcheck.odds.prospect import Prospect, good_flags, take_prospect
from fitcheck.odds.relined import Relined
from fitcheck.odds.resized import resized
from tests.cli.commands import FRAMED, ROOT

MODELS = ROOT / "models"
DESIGNS = [FRAMED, *(MODELS / f"{name}.toml" for name in ("lantern", "tea", "boathouse", "whist"))]


@pytest.fixture(scope="module", params=DESIGNS, ids=lambda path: path.stem)
def prospect(request: pytest.FixtureRequest) -> Prospect:
    path: Path = request.param
    return take_prospect(check(read_design(path, roots=[ROOT])))


def by_lines(relined: Relined, design: Design) -> Prospect | None:
    """The prospect of a design by its lines, of the recipes that it settles on."""
    recipes = relined._recipes(design)
    assert recipes is not None, "its floor is settled"
    return relined._followed(design, recipes)


def tried(prospect: Prospect) -> list[Design]:
    """The designs of other sizes that advice tries."""
    design = prospect.check.design
    ideas = [*sizes_beside(prospect.check, design), *others(prospect.check)]
    return [idea.design for idea in ideas if idea.design is not None]


def test_designs_tried_by_their_lines_are_those_drawn_anew(prospect: Prospect) -> None:
    relined = Relined.of(prospect)
    followed = 0
    for design in tried(prospect):
        own, drawn = by_lines(relined, design), resized(prospect, design)
        if own is None:
            continue
        followed += 1
        assert drawn is not None
        assert own.limits.values == pytest.approx(drawn.limits.values, abs=1e-9)
        assert u_of(own.workshop.inputs) == pytest.approx(u_of(drawn.workshop.inputs), abs=1e-15)
        turns = [turn.at for turn in drawn.limits.turns]
        assert [turn.at for turn in own.limits.turns] == pytest.approx(turns, abs=1e-9)
    assert followed > 10


def test_lines_that_leave_their_sheet_are_not_followed() -> None:
    prospect = take_prospect(check(read_design(FRAMED, roots=[ROOT])))
    relined, design = Relined.of(prospect), prospect.check.design
    assert design.lid is not None
    lower, none = (replace(design.lid, depth_mm=depth) for depth in (9.0, -1.0))
    assert by_lines(relined, design.with_parts(lower)) is not None
    assert by_lines(relined, design.with_parts(none)) is None


def test_lines_that_come_to_or_past_each_other_are_not_followed() -> None:
    """Which score is the first from a fence would no longer be what it was."""
    prospect = take_prospect(check(read_design(FRAMED, roots=[ROOT])))
    relined = Relined.of(prospect)
    assert relined.lines is not None and max(map(len, relined.beside)) > 2
    at = relined.lines.at
    assert relined._in_order(at)
    for own in relined.beside:
        for where in (at[own[-1]], at[own[-1]] + 1.0, 0.0, -1.0):
            moved = at.copy()
            moved[own[0]] = where
            fine = len(own) == 1 and where > 0.0
            assert relined._in_order(moved) == fine


@pytest.mark.parametrize("name", ["whist", "rope"])
def test_recipes_that_differ_by_more_than_lengths_are_drawn(name: str) -> None:
    """The dust flaps of a carton follow its sizes by a rule of their own; tabs stand on other walls
    of one part where it grows longer the other way."""
    prospect = take_prospect(check(read_design(MODELS / f"{name}.toml", roots=[ROOT])))
    relined = Relined.of(prospect)
    designs = tried(prospect)
    drawn = [design for design in designs if by_lines(relined, design) is None]
    assert 0 < len(drawn) < len(designs)
    assert all(relined.tried(design) is not None for design in drawn)


def test_rates_of_like_designs_are_those_of_each_by_itself(prospect: Prospect) -> None:
    """Only what is changed is worked out: the other route carries every limit of each anew."""
    hands = Hands.of(prospect, 1_500, 5)
    relined = Relined.of(prospect)
    designs = tried(prospect)[::9]
    others = [own for design in designs if (own := relined.tried(design)) is not None]
    assert len(others) > 1
    rates = hands.rates([prospect, *others])
    for rate, own in zip(rates, [prospect, *others], strict=True):
        # changes are ranked without what the insides of creases stop
        inputs = own.workshop.inputs
        forms = forms_of_rows(own.limits, inputs, screened(own.limits, inputs, corners=False))
        off = forms.means[:, None] + u_of(forms.inputs)[:, None] * hands.off
        flags = good_flags(own, Samples(own.outlook.evaluate(forms, off)))
        assert rate == np.mean(flags)
