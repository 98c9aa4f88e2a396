"""The section of a carton racks freely, and what goes in squares it: against arithmetic by hand.

Four walls hinged at four creases are a linkage that keeps no shape of its own. Walls of W and L
and a side wall that came out longer by d close with the front wall askew by d / W, whatever way
the section racks; upright side walls leave W - 2 (t - a) between them all the way, so that a deck
presses nothing that gives way first. A section that were held by its own four creases alone would
lean by d / 2 W and take d L / 2 W from the room (plane geometry).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from fitcheck import kinds
from fitcheck.design.model import Content, Item, Lay
from fitcheck.fit.assembly import making_of
from fitcheck.fit.check import check
from fitcheck.folding.fold import fold_all
from fitcheck.odds.inputs import score_u
from fitcheck.odds.odds import odds_of
from fitcheck.pattern.sheet import Fence, Rule
from fitcheck.styles.carton import LockKind
from tests.agreement.test_odds_closed_forms import BASE_STOCK, BOARD
from tests.tuck_ends import design_of, part_of, spec_of

WIDTH, LENGTH = 18.0, 66.0
T, A = BASE_STOCK.caliper_mm, BASE_STOCK.crease_allowance_mm
U_BLOCK = 0.1
SPARE = 0.30
BOXES = 20_000
SLIM = spec_of(floor=(WIDTH, LENGTH), depth=92.0, lock=LockKind.NONE, clear=4.0)
"""Too slim for its lids to press before its contents do."""


@pytest.mark.parametrize("off", [-0.5, 0.3, 0.6])
def test_side_walls_of_unequal_length_stand_upright(off: float) -> None:
    """The score between back and left wall off by so much makes that wall longer or shorter."""
    part = part_of(SLIM)
    rule = Rule(Fence.RIGHT, WIDTH)
    folded = fold_all(part.pattern, [making_of(part.recipe, {rule: off})]).part(0)
    assert folded is not None
    inside = []
    for name in ("left wall", "right wall"):
        wide = folded.plate(name).corners()[:, 0]
        assert np.ptp(wide) == pytest.approx(T, abs=1e-3)
        inside.append(float(np.abs(wide).min()))
    assert sum(inside) <= WIDTH - 2.0 * (T - A) + 1e-3
    assert sum(inside) >= WIDTH - 2.0 * (T - A) - 0.5 * off**2 / WIDTH - 1e-3
    long = np.ptp(folded.plate("left wall").corners()[:, 1])
    short = np.ptp(folded.plate("right wall").corners()[:, 1])
    assert long != pytest.approx(short, abs=0.1)


def test_a_deck_goes_into_as_many_cartons_as_a_normal_law_says() -> None:
    """The front wall lies between two scores from one fence; the back wall is glued as wide.

    u^2 = 2 u(score)^2 + 4 (u(t)^2 + u(a)^2) + u(deck)^2, and along the length a block of 40 mm has
    all the room that it wants.
    """
    room = WIDTH - 2.0 * (T - A)
    size, u = (room - SPARE, 40.0, 80.0), (U_BLOCK,) * 3
    item = Item("block", kinds.BLOCK, size, 0.0, None, u, None, "invented", frozenset())
    found = check(design_of(SLIM, Content(item, 1, Lay.END)))
    (fit,) = found.contents
    assert fit.slack is not None and fit.slack.width_mm == pytest.approx(SPARE, abs=1e-6)
    scores = [score_u(BOARD, Rule(Fence.RIGHT, at)) for at in (WIDTH + LENGTH, 2 * WIDTH + LENGTH)]
    papers = BASE_STOCK.caliper_u_mm, BASE_STOCK.crease_allowance_u_mm
    spread = math.hypot(*scores, 2.0 * papers[0], 2.0 * papers[1], U_BLOCK)
    share = 0.5 * math.erfc(-SPARE / spread / math.sqrt(2.0))
    said = odds_of(found, BOXES)
    # three standard errors of so many boxes
    assert said.contents[0].fits.share == pytest.approx(share, abs=0.01)
    alike = said.agreement.contents_alike
    assert alike is not None and alike >= said.agreement.boxes - 1
