"""Which limits may ever come first, and readings of pieces that are not there: by arithmetic."""

from __future__ import annotations

import numpy as np
import pytest

from fitcheck.folding.pieces import Pieces
from fitcheck.folding.prisms import prism
from fitcheck.odds.inputs import Input, Source
from fitcheck.odds.limits import Limits, screened
from fitcheck.odds.paths import Path
from fitcheck.odds.readings import family_name
from fitcheck.odds.turns import Limit, Turn
from fitcheck.odds.variates import Variate
from fitcheck.pattern.sheet import Axis

REACH = 6.0
"""Standard uncertainties up to which boxes are asked about."""


def limit(name: str, value: float, gradient: float, turned: float) -> Limit:
    return Limit(
        "seat", (name, ""), value, np.array([gradient, 0.0]), np.array([turned]), np.zeros(2)
    )


@pytest.mark.parametrize("u", [0.5, 0.08])
@pytest.mark.parametrize("weight", [1.0, -0.6])
def test_a_limit_that_turns_is_kept_where_it_may_come_first(u: float, weight: float) -> None:
    """Beyond its turn a limit 1 mm behind gains at the most 6 u |w| times its slope."""
    inputs = [
        Input(Variate("crease", u), Source.CREASE),
        Input(Variate("score", 0.3), Source.SCORE),
    ]
    turn = Turn(np.array([weight, 0.0]), 0.0, 0, u)
    enough = 1.0 / (REACH * u * abs(weight))
    for slope, kept in ((0.9 * enough, False), (1.1 * enough, True)):
        limits = [limit("first", 2.0, 0.0, 0.0), limit("behind", 3.0, 0.0, -slope)]
        found = Limits.of(limits, (turn,), np.array([u, u]))
        names = [found.keys[row][1][0] for row in screened(found, inputs)]
        assert names == ["first", "behind"][: 1 + kept]
        # as far off as boxes are asked about, by the turn's own words
        off = np.array([[REACH * u * np.sign(weight)], [0.0]])
        assert (3.0 - slope * turn.beyond(off)[0] < 2.0) == kept


def test_a_piece_that_a_box_does_not_have_stops_nothing() -> None:
    """A crease that came out sharp has no round: pairs with it are asked for and not there."""
    square = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    wall = prism("wall", frozenset(), 0.5 * square + [4.0, 0.0], 0.0, 5.0)
    body = prism("body", frozenset(), square, 0.0, 3.0)
    names = [family_name("way", axis, side) for axis in Axis for side in ("low", "high")]
    way = Path("way", np.array([0.0, 0.0, -9.0]), np.zeros(3))
    high = family_name("way", Axis.WIDTH, "high")

    def read(pair: tuple[str, str]) -> dict[str, dict[tuple[str, str], float]]:
        wanted = {name: {pair} for name in names}
        walls, bodies = Pieces.joined([[wall]]), Pieces.joined([[body]])
        (found,) = way.read_all(walls, bodies, 1, 50.0, wanted)
        return {k: dict(v) for k, v in found.items()}

    there = read(("wall", "body"))
    # the wall begins at 3.5, the body ends at 1
    assert there[high] == {("wall", "body"): pytest.approx(2.5)}
    for gone in (("round", "body"), ("wall", "lid"), ("round", "lid")):
        assert not any(read(gone).values())
