"""What goes into a base or round it is given the ease that goes best, however tight it was.

By brute force: every ease on whole steps is folded, with its own limits and its own boxes.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from fitcheck.design.model import Design, LidVerdict
from fitcheck.design.read import read_design
from fitcheck.findings import Severity
from fitcheck.fit.check import check
from fitcheck.odds.advice import advise
from fitcheck.odds.odds import hands_for
from fitcheck.odds.proof import fold_again
from fitcheck.odds.prospect import good_chance, take_prospect
from fitcheck.odds.start import widened
from fitcheck.odds.suggest import suggest
from fitcheck.styles.hinged_tray import LipSide
from fitcheck.styles.part import PartSpec, SizeBy
from fitcheck.units import hand_step_mm
from tests.cli.commands import ROOT

BOXES = 4_000
ALIKE = 0.025
STEPS = range(1, 9)


def eased(model: str, ease_mm: tuple[float, float]) -> Design:
    """A shipped design with another ease of the part that has one."""
    one = read_design(ROOT / "models" / f"{model}.toml")
    return one.with_parts(one.base, replace(part_of(one), size_mm=ease_mm))


def part_of(one: Design) -> PartSpec:
    return next(part for part in one.parts if part.size_by is SizeBy.EASE)


def share(one: Design, boxes: int = BOXES) -> float:
    """Of right boxes, from limits and boxes of its own."""
    asked, forms = take_prospect(check(one)).asked()
    return good_chance(asked, asked.draw(forms, boxes, seed=31)).share


@pytest.mark.parametrize("model", ["tea", pytest.param("boathouse", marks=pytest.mark.long)])
def test_a_tight_part_is_given_the_ease_that_goes_best(model: str) -> None:
    """No more than it needs: half of that is right less often by more than chance."""
    step = hand_step_mm(eased(model, (1.0, 1.0)).unit)
    shares = {n: share(eased(model, (n * step, n * step))) for n in STEPS}
    best = max(shares.values())
    for ease in (0.05, 0.2, 0.4):
        prospect = take_prospect(check(eased(model, (ease, ease))))
        found = advise(prospect, hands_for(prospect, BOXES, 0))
        assert found is not None and found.design is not None and found.before.share < 0.05
        sizes = np.array(part_of(found.design).size_mm) / step
        np.testing.assert_allclose(sizes, np.round(sizes), atol=1e-6)
        assert found.after.share == pytest.approx(share(found.design), abs=ALIKE)
        assert found.after.share > best - ALIKE
        enough = min(n for n, own in shares.items() if own > best - ALIKE)
        assert sizes.max() <= enough + 1


@pytest.mark.parametrize(
    ("model", "ease"),
    [
        pytest.param("boathouse", (0.3, 2.0), marks=pytest.mark.long),
        ("tea", (2.0, 0.2)),
        ("tea", (0.1, 2.0)),
    ],
)
def test_a_part_that_is_tight_one_way_is_eased_that_way(
    model: str, ease: tuple[float, float]
) -> None:
    """No better than the best of one size alone, by brute force, where that is as good as any."""
    step, tight = hand_step_mm(eased(model, ease).unit), int(np.argmin(ease))
    tries = [tuple(n * step if k == tight else mm for k, mm in enumerate(ease)) for n in STEPS]
    best = max(share(eased(model, (one[0], one[1]))) for one in tries)
    prospect = take_prospect(check(eased(model, ease)))
    found = advise(prospect, hands_for(prospect, BOXES, 0))
    assert found is not None and found.design is not None
    assert found.after.share > best - ALIKE
    assert found.after.share == pytest.approx(share(found.design), abs=ALIKE)
    sizes = np.array(part_of(found.design).size_mm)
    assert sizes[1 - tight] <= ease[1 - tight] + step + 1e-6


@pytest.mark.parametrize("less", [2.0, 3.0, 4.0, 8.0])
def test_a_lid_that_falls_into_a_shoulder_box_does_not_fit(less: float) -> None:
    """It presses by what it is smaller than one that slides, and is told as held on the neck."""
    one = read_design(ROOT / "models" / "boathouse.toml")
    assert one.lid is not None
    roomy = check(one)
    small = one.with_parts(one.base, replace(one.lid, size_mm=(-less, -less)))
    found = check(replace(small, contents=()))
    assert found.lid is not None and roomy.lid is not None
    assert not found.fits and found.lid.verdict is LidVerdict.BINDS
    for was, now in zip(roomy.lid.slide.travels, found.lid.slide.travels, strict=True):
        assert was.play_mm - now.play_mm == pytest.approx(less, abs=0.06)
    assert found.lid.closed_height_mm == pytest.approx(roomy.lid.closed_height_mm, abs=0.3)
    assert {own.code for own in found.findings if own.severity is Severity.FAULT} == {"lid-binds"}
    assert "lid-passes-base" not in {own.code for own in found.findings}
    prospect = take_prospect(found)
    advice = advise(prospect, hands_for(prospect, BOXES, 0))
    assert advice is not None and advice.design is not None and advice.design.lid is not None
    assert advice.after.share > share(one) - 0.03
    assert max(map(abs, advice.design.lid.size_mm)) < 1.0, "rims of one size meet"
    assert part_of(advice.design) == part_of(one)


@pytest.mark.parametrize("side", [0.0, 1.0])
def test_an_insert_as_large_as_the_floor_presses_and_has_odds(side: float) -> None:
    one = read_design(ROOT / "models" / "slipway.toml")
    insert = next(part for part in one.parts if part.fills_base)
    floor = one.base.size_mm
    large = replace(insert, size_mm=(floor[0] + side, floor[1] + side))
    found = check(one.with_parts(one.base, large))
    assert not found.fits
    assert share(found.design) < 0.05
    told = [own.message for own in found.findings if own.code == "mate-binds"]
    assert len(told) == 1 and "along the width" in told[0] and "along the length" in told[0]
    assert "ease" not in told[0]


@pytest.mark.parametrize("model", ["slipway", "ferry"])
def test_a_lid_over_what_is_divided_is_advised(model: str) -> None:
    """The lid by itself: what stands in the base is left as it is."""
    one = read_design(ROOT / "models" / f"{model}.toml")
    assert one.lid is not None
    tight = one.with_parts(one.base, replace(one.lid, size_mm=(0.0, 0.0)))
    prospect = take_prospect(check(tight))
    found = advise(prospect, hands_for(prospect, BOXES, 0))
    assert found is not None and found.design is not None
    assert found.after.share == pytest.approx(share(found.design), abs=ALIKE)
    assert found.after.share > share(one) - 0.03
    assert [own for own in found.design.parts if own.name != "lid"] == [
        own for own in one.parts if own.name != "lid"
    ]


@pytest.mark.parametrize("ease", [pytest.param(0.2, marks=pytest.mark.long), 0.45, 0.7])
def test_boxes_with_a_forced_collar_are_folded_as_they_are_counted(ease: float) -> None:
    """A skew collar that presses stands in corners that it only passes when it is square."""
    prospect = take_prospect(check(eased("boathouse", (ease, ease))))
    forms = prospect.forms()
    spreads = prospect.draw(forms, BOXES, 0).spreads
    told = fold_again(
        prospect.check,
        prospect.workshop,
        prospect.outlook,
        forms,
        spreads,
        60,
        np.random.default_rng(7),
    )
    plays = [one for one in told.refolded if "play" in one.name]
    assert len(plays) >= 3
    assert all(one.rms_mm < 0.7 and one.u_mm < 0.7 for one in plays), plays


@pytest.mark.parametrize("ease", [pytest.param(0.05, marks=pytest.mark.long), 0.4])
def test_tight_sleeves_are_suggested_wider(ease: float) -> None:
    best = max(share(eased("tea", (n * 0.5, n * 0.5))) for n in STEPS)
    found = suggest(eased("tea", (ease, ease)), BOXES)
    assert found.ranked and found.ranked[0].good.share > best - ALIKE
    for option in found.ranked:
        assert option.good.share == pytest.approx(share(option.design), abs=ALIKE)
        assert max(part_of(option.design).size_mm) <= 4.0


@pytest.mark.parametrize("model", ["tea", "boathouse"])
def test_what_slides_is_widened_by_a_step_or_two(model: str) -> None:
    """Each play becomes one to two steps more than nothing, and what slides is left as it is."""
    one = eased(model, (0.1, 0.1))
    step = hand_step_mm(one.unit)
    found = widened(check(one))
    assert found is not None
    assert all(step - 1e-6 <= fit.play_mm < 2.0 * step for fit in found.mates)
    assert found.design.base == one.base and found.design.lid == one.lid
    loose = eased(model, (2.0, 2.0))
    again = widened(check(loose))
    assert again is not None and again.design.parts == loose.parts


def test_contents_under_a_lid_that_stands_on_the_table_have_its_height() -> None:
    """What is counted is what boxes folded one by one are: room under the lid's own walls."""
    one = read_design(ROOT / "models" / "lantern.toml")
    assert one.lid is not None
    low = one.with_parts(replace(one.base, depth_mm=12.0), replace(one.lid, depth_mm=16.0))
    found = check(low)
    assert found.lid is not None and found.lid.reveal_mm < -1.0
    prospect = take_prospect(found)
    forms = prospect.forms()
    spreads = prospect.draw(forms, BOXES, 0).spreads
    rng = np.random.default_rng(7)
    told = fold_again(prospect.check, prospect.workshop, prospect.outlook, forms, spreads, 60, rng)
    assert told.contents_alike is not None and told.contents_alike >= told.boxes - 2


@pytest.mark.parametrize(
    ("front", "clear"),
    [("over", 0.0), pytest.param("over", 0.5, marks=pytest.mark.long), ("in", -1.0)],
)
def test_a_lid_in_one_piece_is_given_the_room_that_it_closes_with(front: str, clear: float) -> None:
    """By brute force over all of it on whole steps."""
    one = read_design(ROOT / "models" / "cards.toml")

    def cleared(mm: float) -> Design:
        own: dict[str, Any] = {"front": LipSide(front), "clear_mm": mm}
        return one.with_parts(replace(one.base, **own))

    best = max(share(cleared(clear + 0.5 * n)) for n in range(-5, 6))
    prospect = take_prospect(check(cleared(clear)))
    found = advise(prospect, hands_for(prospect, BOXES, 0))
    assert found is not None and found.design is not None
    assert found.after.share > best - ALIKE
    assert found.after.share == pytest.approx(share(found.design), abs=ALIKE)
    assert found.change.startswith("make clear ") and " and " not in found.change


def test_contents_without_a_place_are_let_in_by_a_deeper_base() -> None:
    """Twenty cards of 0.76 mm are 15.2 mm high: too high for walls of 15 mm, less a hair."""
    one = read_design(ROOT / "models" / "cards.toml")
    low = one.with_parts(one.base.with_depth(15.0))
    prospect = take_prospect(check(low))
    found = advise(prospect, hands_for(prospect, BOXES, 0))
    assert found is not None and found.design is not None and found.before.hits == 0
    assert 15.2 < found.design.base.depth_mm < 18.5
    assert found.after.share == pytest.approx(share(found.design), abs=ALIKE)
    assert found.after.share > share(one) - ALIKE
