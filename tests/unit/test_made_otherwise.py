"""Other papers and tools change inputs alone: their odds need no new gradients."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fitcheck.design.model import Design
from fitcheck.design.read import read_design
from fitcheck.fit.check import check
from fitcheck.odds import responses
from fitcheck.odds.prospect import Prospect, good_chance, take_prospect
from fitcheck.odds.resized import made_otherwise
from tests.boxes import as_tray
from tests.cli.commands import FRAMED, ROOT

BOXES = 20_000
WITHIN = 0.02
"""Of all boxes; twice the sampling error of two counts is a hundredth."""


def framed() -> Design:
    return read_design(FRAMED, roots=[ROOT])


def thicker(design: Design, by: float) -> Design:
    """Base and lid of papers of another thickness and another name."""

    def other(spec: object) -> object:
        stock = spec.stock  # type: ignore[attr-defined]
        grown = replace(
            stock,
            name=f"{stock.name} other",
            caliper_mm=stock.caliper_mm + by,
            crease_allowance_mm=stock.crease_allowance_mm * (1.0 + by / stock.caliper_mm),
        )
        return replace(spec, stock=grown)  # type: ignore[type-var]

    assert design.lid is not None
    return design.with_parts(other(design.base), other(design.lid))


def rougher(design: Design, times: float) -> Design:
    """By a hand that is so many times less sure."""
    tools = design.tools
    return replace(
        design,
        tools=replace(
            tools,
            cut_u_mm=times * tools.cut_u_mm,
            score_u_on_grid_mm=times * tools.score_u_on_grid_mm,
            score_u_off_grid_mm=times * tools.score_u_off_grid_mm,
        ),
    )


def right(prospect: Prospect) -> float:
    asked, forms = prospect.asked()
    return good_chance(asked, asked.draw(forms, BOXES, 0)).share


@pytest.mark.parametrize(
    "changed",
    [
        pytest.param(lambda one: thicker(one, 0.03), id="thicker"),
        pytest.param(lambda one: thicker(one, -0.03), id="thinner"),
        pytest.param(lambda one: rougher(one, 0.5), id="surer"),
        pytest.param(lambda one: rougher(one, 1.3), id="rougher"),
    ],
)
def test_odds_of_other_papers_and_hands_are_those_of_gradients_taken_anew(
    changed: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    start = take_prospect(check(framed()))
    found = check(changed(framed()))  # type: ignore[operator]
    anew = right(take_prospect(found))

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("no gradients are to be taken")

    monkeypatch.setattr(responses, "take_limits", refuse)
    monkeypatch.setattr("fitcheck.odds.prospect.take_limits", refuse)
    again = made_otherwise(start, found)
    assert again.check is found
    assert right(again) == pytest.approx(anew, abs=WITHIN)


def test_another_style_has_gradients_of_its_own() -> None:
    start = take_prospect(check(framed()))
    design = framed()
    plain = design.with_parts(as_tray(design.base))
    found = check(plain)
    again = made_otherwise(start, found)
    assert right(again) == right(take_prospect(found))
