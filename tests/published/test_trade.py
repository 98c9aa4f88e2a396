"""Facts of the trade about lids, which no handbook prints: common practice, no source.

A lid whose floor is 1/16 in over the base's, score to score, slides when the base is cardstock of
about 0.3 mm and the lid paper of about 0.18 mm. When both are cardstock 1/8 in over is usual,
because at 1/16 in the lid no longer slides.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from fitcheck.design.model import Bands, LidVerdict
from fitcheck.fit.assembly import make_part
from fitcheck.fit.lid import LidFit, fit_lid
from fitcheck.styles.walled import WalledRecipe as Recipe
from tests.boxes import paper, shadow_box, tray

CARDSTOCK, PAPER = paper(0.30), paper(0.18)
IN = 25.4
BASES = [
    shadow_box(3.25 * IN, 4.5 * IN, 0.875 * IN, CARDSTOCK, frame=0.375 * IN),
    shadow_box(4 * IN, 5 * IN, 1 * IN, CARDSTOCK, frame=0.5 * IN),
    tray(3 * IN, 4 * IN, 1 * IN, CARDSTOCK),
]


def lid_over(base: Recipe, oversize: float, stock: object) -> LidFit:
    lid = tray(base.width_mm + oversize, base.length_mm + oversize, 0.625 * IN, part="lid")
    lid = replace(lid, stock=stock)
    return fit_lid(make_part(base), make_part(lid), Bands(0.15, 0.20, 1.50))


@pytest.mark.parametrize("base", BASES)
def test_a_sixteenth_over_slides_in_paper(base: Recipe) -> None:
    """common practice, no source"""
    assert lid_over(base, IN / 16, PAPER).verdict is LidVerdict.SLIDES


@pytest.mark.parametrize("base", BASES)
def test_a_sixteenth_is_too_little_for_two_cardstocks(base: Recipe) -> None:
    """common practice, no source"""
    assert lid_over(base, IN / 16, CARDSTOCK).verdict in (LidVerdict.SNUG, LidVerdict.BINDS)


@pytest.mark.parametrize("base", BASES)
def test_an_eighth_over_goes_on_in_two_cardstocks(base: Recipe) -> None:
    """common practice, no source: it goes on with room for hands that are a little off"""
    found = lid_over(base, IN / 8, CARDSTOCK)
    assert found.verdict in (LidVerdict.SLIDES, LidVerdict.LOOSE)
    assert found.slide.play_mm > 1.0
