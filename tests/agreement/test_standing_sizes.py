"""What stands in a base and is too large for it is advised, and suggested, smaller.

Each size that could be chosen is folded by the whole check, with its own limits and its own boxes.
What is told of an inside is compared with sheet arithmetic: a floor less two creases' bites.
"""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest

from fitcheck.design.model import Design, LidVerdict
from fitcheck.fit.check import check
from fitcheck.fit.mates import MateFit
from fitcheck.odds.advice import advise
from fitcheck.odds.changes import live, rattles
from fitcheck.odds.grid import steps_for
from fitcheck.odds.lattice import lattice_of
from fitcheck.odds.odds import hands_for
from fitcheck.odds.prospect import take_prospect
from fitcheck.odds.rewrite import rewritten
from fitcheck.odds.sizes import LENGTH, design_of, sizes_of
from fitcheck.odds.suggest import suggest
from fitcheck.outputs.suggest_text import suggest_text
from tests.agreement.test_suggest_parts import ALIKE, BOXES, part_of, read, share, text_of


def with_line(text: str, starts: str, line: str) -> str:
    """The text with the line of a key in place of that one, or without it."""
    lines = [line if own.split("=")[0].strip() == starts else own for own in text.splitlines()]
    return "\n".join(lines)


def ferry(size: str, *, even: bool = False) -> str:
    """Strips of a size; with compartments alike where no pitch is to be kept."""
    text = with_line(text_of("ferry"), "cut", size)
    return with_line(text, "pitch", "") if even else text


def slipway(size: str, *, mat: bool = False) -> str:
    text = with_line(text_of("slipway"), "cut", size)
    return with_line(text.replace('"platform"', '"mat"'), "legs", "") if mat else text


TIGHT = {
    "strips that hardly go in": (ferry("cut = [74.5, 154.5]"), "dividers"),
    "strips too long one way": (ferry("cut = [75.5, 153.5]"), "dividers"),
    "strips too long": (ferry("cut = [76, 157]"), "dividers"),
    "strips with hardly any ease": (ferry("ease = 0.3", even=True), "dividers"),
    "legs that hardly go in": (slipway("cut = [74.5, 94.5]"), "insert"),
    "legs that do not go in": (slipway("cut = [76, 93]"), "insert"),
    "legs with hardly any ease": (slipway("ease = [0.2, 1]"), "insert"),
    "a mat too large one way": (slipway("cut = [74, 95.5]", mat=True), "insert"),
}


LONG = {
    "strips that hardly go in",
    "strips too long one way",
    "strips with hardly any ease",
    "legs that hardly go in",
    "a mat too large one way",
}
"""Tried in the long tier: like others that are tried always."""


def around(one: Design, place: str) -> list[Design]:
    """The design with what stands in it smaller by whole steps, either way or both."""
    spec = next(part for part in one.parts if part.place == place)
    sign = -1.0 if spec.size_by == "cut" else 1.0
    more = [sign * mm for mm in (0.0, 1.0, 2.5, 3.5)]
    return [
        one.with_sizes(place, (spec.size_mm[0] + wide, spec.size_mm[1] + long))
        for wide, long in itertools.product(more, more)
        if wide == long or 0.0 in (wide, long)
    ]


@pytest.mark.parametrize(
    "which", [pytest.param(one, marks=[pytest.mark.long] * (one in LONG)) for one in TIGHT]
)
def test_what_is_too_large_for_its_base_is_made_smaller(tmp_path: Path, which: str) -> None:
    """By advice and suggestions: they can be written, read again, and come out as promised."""
    text, place = TIGHT[which]
    one = read(tmp_path, text)
    spec = next(part for part in one.parts if part.place == place)
    most = max(map(share, around(one, place)))
    prospect = take_prospect(check(one))
    advice = advise(prospect, hands_for(prospect, BOXES, 0))
    assert advice is not None and advice.design is not None
    assert advice.before.share < 0.9 < most
    assert advice.after.share > most - ALIKE
    assert advice.change.startswith((f"make the {place} ", f"give the {place} "))
    assert share(advice.design) == pytest.approx(advice.after.share, abs=ALIKE)
    found = suggest(one, BOXES)
    assert found.ranked[0].good.share > most - ALIKE
    assert f"{place} {spec.size_by} " in suggest_text(found)
    for option in found.ranked:
        again = read(tmp_path, rewritten(text, one, option.design, None))
        for now, was in zip(again.parts, option.design.parts, strict=True):
            np.testing.assert_allclose(now.size_mm, was.size_mm, atol=1e-4)
        assert share(again) == pytest.approx(option.good.share, abs=ALIKE)
        assert LidVerdict.LOOSE not in {
            fit.verdict for fit in check(again).mates if isinstance(fit, MateFit)
        }


def test_strips_that_are_cut_to_size_follow_a_larger_floor_by_whole_steps(tmp_path: Path) -> None:
    """Each row of lengths is the design that it was made of; the strips' ease stays as it was."""
    one = read(tmp_path, ferry("cut = [74.5, 154.5]"))
    found = check(one)
    start = sizes_of(found.assembly)
    rows = lattice_of(one, start, steps_for(one.tools, one.unit), start, larger=True)
    floors = [change for change in rows.floors if change[: LENGTH + 1].any()]
    assert len(floors) > 10
    for change in floors:
        design = design_of(found.assembly, start + change)
        grown = np.subtract(design.base.size_mm, one.base.size_mm)
        for strip in (part for part in design.parts if part.fills_base):
            np.testing.assert_allclose(
                strip.size_mm, [74.5 + grown[0], 154.5 + grown[1]], atol=1e-9
            )
        np.testing.assert_allclose(sizes_of(check(design).assembly), start + change, atol=1e-9)


def test_sizes_of_what_stands_in_a_base_are_read_off_rows(tmp_path: Path) -> None:
    """Every change of strips, and of legs, in the lattice comes back as a design's own sizes."""
    for text, place in (TIGHT["strips too long"], TIGHT["legs with hardly any ease"]):
        one = read(tmp_path, text)
        found = check(one)
        start = sizes_of(found.assembly)
        lattice = lattice_of(one, start, steps_for(one.tools, one.unit), start, larger=False)
        assert len(lattice.gaps) > 5
        for change in lattice.gaps[1:]:
            design = design_of(found.assembly, start + change)
            own = [part.size_mm for part in design.parts if part.place == place]
            assert len(set(own)) == 1 and own[0] != part_of(one, one.parts[1].name).size_mm
            np.testing.assert_allclose(sizes_of(check(design).assembly), start + change, atol=1e-9)


def test_strips_that_all_run_one_way_have_one_size(tmp_path: Path) -> None:
    text = with_line(ferry("ease = 0.3", even=True), "rows", "rows = 1")
    one = read(tmp_path, text)
    assert live(one, "dividers") == [False, True]
    prospect = take_prospect(check(one))
    advice = advise(prospect, hands_for(prospect, BOXES, 0))
    assert advice is not None
    assert "along the length" in advice.change and "along the width" not in advice.change


def test_what_rattles_is_not_suggested_unless_it_did_before(tmp_path: Path) -> None:
    """A floor of 75 mm leaves 74.79 between walls (two bites of 0.105 mm), so 73 has 1.79 mm."""
    one = read(tmp_path, ferry("cut = [74, 154]"))
    floor = np.array(one.base.size_mm)
    strips = part_of(one, "dividers across")
    assert strips.ease_in(75.0, 155.0) == pytest.approx((0.79, 0.79), abs=0.005)
    assert not rattles(one, strips, (-0.5, -0.5), floor)
    assert rattles(one, strips, (-1.0, 0.0), floor)
    loose = read(tmp_path, ferry("cut = [72, 154]"))
    assert not rattles(loose, part_of(loose, "dividers across"), (0.5, 0.0), floor)
