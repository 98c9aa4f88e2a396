"""Turns of a lid with a lip against its section drawn by hand: circles about an axis that moves.

In the section across the hinge the back wall stands upright, the lid hangs on its rim and a lip on
the lid's far end; only the front wall's rim can be met. Everything is worked out here from
the bend allowance and the growth of a fold alone (sheet-metal handbooks), none of it from the
program's poses: a strip of flat length f theta bends round a circle whose middle lies r + t inside
the outside face, where the strip begins.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest
from scipy.optimize import brentq, fsolve, minimize_scalar

from fitcheck.fit.turn import swing
from fitcheck.fit.turn_fit import Outcome
from fitcheck.folding.pieces import Pieces
from fitcheck.folding.prisms import prism
from fitcheck.stock.crease import Crease
from tests.hinged import HingedTray

CLOSED = math.pi / 2.0
SAME_RAD = 2e-7
SAME_MM = 2e-5
SHARP = Crease(0.0, 1e-6, 0.4)
"""Bends about its inside face and uses up next to nothing: its axis stays where it is."""
PLAIN = Crease(0.0, 0.5, 0.33)
ROUND = Crease(0.35, 0.45, 0.5)


@dataclass(frozen=True)
class Section:
    """Lengths from score to score or to a cut edge, mm."""

    crease: Crease
    length: float
    front: float
    back: float
    lid: float
    lip: float

    @property
    def design(self) -> HingedTray:
        """The tray; its side walls are too low to be met and nothing is glued."""
        return HingedTray(
            self.crease,
            length=self.length,
            front=self.front,
            side=4.0,
            back=self.back,
            lid=self.lid,
            lip=self.lip,
            tabs=0.0,
            inset=3.0,
        )

    @property
    def growth(self) -> float:
        """How far outside a right-angled fold ends up beyond its score."""
        r, k, t = self.crease.radius_mm, self.crease.neutral, self.crease.caliper_mm
        return (r + t) - 0.5 * CLOSED * (r + k * t)

    def rim(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """The front wall's corners, inside and outside: up from the hinge's score, off the back."""
        across = self.length + 2.0 * self.growth
        up = self.front - self.back
        return (up, across - self.crease.caliper_mm), (up, across)

    def on_lid(self, angle: float, up: float, away: float) -> tuple[float, float]:
        """A place as seen from the lid: how far from its score, how far inside its outside face."""
        r, k, t = self.crease.radius_mm, self.crease.neutral, self.crease.caliper_mm
        half = 0.5 * angle * (r + k * t)
        du, da = up + half, away - (r + t)
        along = du * math.cos(angle) + da * math.sin(angle)
        deep = -du * math.sin(angle) + da * math.cos(angle)
        return along + half, deep + r + t

    def lip_corners(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """The end of the lip as seen from the lid: its inside and its outside corner."""
        along, deep = self.lid + self.growth, self.lip + self.growth
        return (along - self.crease.caliper_mm, deep), (along, deep)


INSIDE = [
    Section(SHARP, 40.0, 15.0, 15.0, 39.0, 8.0),
    Section(SHARP, 40.0, 14.2, 15.0, 38.9, 9.0),
    Section(PLAIN, 41.0, 14.5, 15.3, 40.0, 8.5),
    Section(ROUND, 37.0, 12.0, 13.0, 36.2, 7.0),
]


@pytest.mark.parametrize("section", INSIDE, ids=str)
def test_a_lip_too_long_lands_on_the_rim(section: Section) -> None:
    """The front wall's inside corner meets the lip's end face, which is level on the lid."""
    (inner, deep), (outer, _) = section.lip_corners()
    corner = section.rim()[0]
    at = brentq(lambda angle: section.on_lid(angle, *corner)[1] - deep, 0.9, CLOSED, xtol=1e-13)
    assert inner < section.on_lid(at, *corner)[0] < outer
    found = swing(section.design.folded(), "lid", 0.0, CLOSED)
    assert found.outcome is Outcome.BLOCKED
    assert found.angle_rad == pytest.approx(at, abs=SAME_RAD)
    assert found.pieces == ("front", "lip")
    assert found.at_mm is not None
    up = section.front + section.growth
    away = -section.length / 2.0 - section.growth + section.crease.caliper_mm
    assert found.at_mm == pytest.approx((0.0, away, up), abs=1e-3)


@pytest.mark.parametrize("crease", [SHARP, PLAIN, ROUND], ids=["sharp", "plain", "round"])
def test_the_edge_of_a_lip_lands_on_the_rim(crease: Crease) -> None:
    """A little longer, and the inside edge of its end comes down on the rim's top."""
    section = Section(crease, 40.0, 14.5, 15.0, 39.3, 8.0)
    tip = section.lip_corners()[0]
    (up, inside), (_, outside) = section.rim()
    at, away = fsolve(
        lambda own: np.subtract(section.on_lid(own[0], up, own[1]), tip),
        [1.35, outside],
        xtol=1e-13,
    )
    assert inside < away < outside
    found = swing(section.design.folded(), "lid", 0.0, CLOSED)
    assert found.outcome is Outcome.BLOCKED
    assert found.angle_rad == pytest.approx(at, abs=SAME_RAD)


def test_the_landing_about_a_fixed_axis_is_an_arcsine() -> None:
    """Lip l, rim D away, d below the axis, R from it: the slope is asin(l / R) - atan(d / D)."""
    section = INSIDE[1]
    t = SHARP.caliper_mm
    away, below = section.length, section.back - section.front
    far = math.hypot(away, below)
    elevation = math.asin(section.lip / far) - math.atan2(below, away)
    found = swing(section.design.folded(), "lid", 0.0, CLOSED)
    assert (section.lid + t) ** 2 + section.lip**2 > far**2
    assert found.angle_rad == pytest.approx(CLOSED - elevation, abs=SAME_RAD)


@pytest.mark.parametrize("spare", [-0.02, 0.02])
def test_a_lip_passes_where_its_circle_does(spare: float) -> None:
    """About a fixed axis it passes just where (L + t)^2 + l^2 < D^2 + d^2."""
    t, length, lip, below = SHARP.caliper_mm, 40.0, 8.0, 0.9
    far = math.hypot(length, below)
    lid = math.sqrt((far - spare) ** 2 - lip**2) - t
    section = Section(SHARP, length, 15.0 - below, 15.0, lid, lip)
    found = swing(section.design.folded(), "lid", 0.0, CLOSED)
    assert found.outcome is (Outcome.FREE if spare > 0.0 else Outcome.BLOCKED)
    assert found.least is not None
    if spare > 0.0:
        assert found.least.apart_mm == pytest.approx(spare, abs=SAME_MM)
        # there the lip's corner and the rim's lie in one line with the axis
        in_line = math.atan2(lip, lid + t) - math.atan2(below, length)
        assert found.least.angle_rad == pytest.approx(CLOSED - in_line, abs=2e-3)


@pytest.mark.parametrize("crease", [PLAIN, ROUND], ids=["moving axis", "round crease"])
def test_how_near_a_lip_comes_to_the_rim(crease: Crease) -> None:
    """Corner to corner, at the angle where they are nearest."""
    section = Section(crease, 41.0, 14.1, 15.0, 38.6, 9.0)
    corner, tip = section.rim()[0], section.lip_corners()[1]

    def apart(angle: float) -> float:
        along, deep = section.on_lid(angle, *corner)
        return math.hypot(along - tip[0], deep - tip[1])

    nearest = minimize_scalar(apart, bounds=(1.2, CLOSED), method="bounded")
    found = swing(section.design.folded(), "lid", 0.0, CLOSED)
    assert found.outcome is Outcome.FREE
    assert found.least is not None
    assert found.least.apart_mm == pytest.approx(nearest.fun, abs=SAME_MM)
    assert found.least.angle_rad == pytest.approx(nearest.x, abs=2e-3)


@pytest.mark.parametrize("crease", [SHARP, PLAIN, ROUND], ids=["sharp", "plain", "round"])
def test_a_lip_over_the_wall_closes_with_what_is_left(crease: Crease) -> None:
    """Outside the wall its play is the lid's length less the tray's, both outside and inside."""
    section = Section(crease, 40.0, 14.0, 16.0, 40.0 + 2.0 * crease.caliper_mm, 6.0)
    closed = section.lip_corners()[0][0] - section.on_lid(CLOSED, *section.rim()[1])[0]
    found = swing(section.design.folded(), "lid", 0.0, CLOSED)
    assert closed > 0.05
    assert found.outcome is Outcome.FREE
    assert found.least is not None
    assert found.least.pieces == ("front", "lip")
    assert found.least.apart_mm == pytest.approx(closed, abs=SAME_MM)


def test_a_lid_comes_to_lie_on_a_rim() -> None:
    """Its inside face is level with the front rim when it is closed: it touches and is free."""
    t = PLAIN.caliper_mm
    section = Section(PLAIN, 40.0, 15.0, 15.0, 45.0, 0.0)
    level = section.growth - t  # of the lid's inside face above the hinge's score
    touching = Section(PLAIN, 40.0, 15.0 + level, 15.0, 45.0, 0.0)
    for start, stop in ((0.0, CLOSED), (CLOSED, 0.0)):
        found = swing(touching.design.folded(), "lid", start, stop)
        assert found.outcome is Outcome.FREE
        assert found.least is not None
        assert found.least.apart_mm == pytest.approx(0.0, abs=SAME_MM)
    higher = Section(PLAIN, 40.0, 15.0 + level + 0.01, 15.0, 45.0, 0.0)
    found = swing(higher.design.folded(), "lid", 0.0, CLOSED)
    corner = higher.rim()[0]
    at = brentq(lambda angle: higher.on_lid(angle, *corner)[1] - t, 1.5, CLOSED, xtol=1e-13)
    assert found.angle_rad == pytest.approx(at, abs=SAME_RAD)


def test_a_thin_thing_in_the_way_is_not_stepped_past() -> None:
    """A thread of a hundredth of a millimetre is met where the lid's outside face gets there."""
    section = Section(ROUND, 40.0, 14.0, 16.0, 42.0, 0.0)
    part = section.design.folded()
    up, away = 9.0, 21.0
    place = section.length / 2.0 + section.growth - away, section.back + section.growth + up
    thread = prism("thread", frozenset(["thread"]), _square(place[0]), place[1], place[1] + 0.01)
    found = swing(part, "lid", 0.0, CLOSED, Pieces.joined([[thread]]))
    # the lid falls on it from above and behind: on the inside face, at the upper back edge
    at = brentq(
        lambda angle: section.on_lid(angle, up + 0.01, away - 0.005)[1] - ROUND.caliper_mm,
        0.5,
        CLOSED,
        xtol=1e-13,
    )
    assert found.outcome is Outcome.BLOCKED
    assert found.pieces == ("thread", "lid")
    assert found.angle_rad == pytest.approx(at, abs=SAME_RAD)


def _square(y: float) -> np.ndarray:
    half = 0.005
    return np.array([[-5.0, y - half], [5.0, y - half], [5.0, y + half], [-5.0, y + half]])


def test_what_is_neither_proven_free_nor_seen_in_contact_is_undecided() -> None:
    """A press is allowed that is just as deep as the deepest: no bound can tell the two apart."""
    part = INSIDE[2].design.folded()
    deepest = swing(part, "lid", 0.0, CLOSED).least
    assert deepest is not None
    less, more = (-deepest.apart_mm + by for by in (-1e-4, 1e-4))
    seen = set()
    for _ in range(16):
        give = 0.5 * (less + more)
        found = swing(part, "lid", 0.0, CLOSED, give_mm=give, within_mm=None)
        seen.add(found.outcome)
        if found.outcome is Outcome.UNDECIDED:
            assert found.angle_rad == pytest.approx(deepest.angle_rad, abs=1e-4)
            assert found.pieces == ("front", "lip")
        less, more = (give, more) if found.outcome is Outcome.BLOCKED else (less, give)
    assert seen == set(Outcome)
