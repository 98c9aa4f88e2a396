"""How a paper gives: its stiffness, the air it lets through, its friction, the spring of its folds.

What no file says is estimated from grammage and caliper or taken as usual, and says so.
"""

from __future__ import annotations

import enum
import math
from dataclasses import dataclass

USUAL_BULK_CM3_G = 1.22
"""Caliper over grammage of card, where a file gives no grammage (common practice, no source)."""
SPECIFIC_ALONG, SPECIFIC_ACROSS = 6.5, 3.0
"""Young's modulus over density along and across the grain, km2/s2: what makes the minimum bending
stiffness that is specified for card of 160 g/m2 and 0.18 mm, 2.8 and 1.3 mN m."""
STIFFNESS_LOG_U = 0.30
USUAL_GURLEY_S, USUAL_GRAMMAGE_GSM = 100.0, 160.0
"""Uncoated card of 160 g/m2 takes 50 to 200 s (published); in proportion to its grammage."""
PERMEANCE_LOG_U = 0.45
USUAL_FRICTION, FRICTION_LOG_U = 0.40, 0.18
"""Card on card: 0.30 to 0.45 as published (after TAPPI T 549), 0.3 to 0.6 from memory."""
USUAL_CREASE_MM, CREASE_LOG_U = 10.0, 0.58
"""The length whose bending stiffness is the spring of a fold: 3 to 30 mm, assumed; no published
number was found."""
USUAL_REST_DEG, REST_U_DEG = 90.0, 0.3
"""The angle at which a wall stands by itself once it was folded over and burnished, within what
makes walls that look straight: a middle that stands out or in by 0.2 mm at the most; assumed."""
GRAVITY_M_S2 = 9.81
GRAM_N = GRAVITY_M_S2 * 1e-3
"""The weight of a gram, N."""
GURLEY = 127.7
"""um/(Pa s) of a paper that 100 ml of air pass in 1 s: 100 ml through 6.42 cm2 at 1.22 kPa
(ISO 5636-5, from memory)."""
BENDTSEN = 0.01134
"""um/(Pa s) of each ml/min through 10 cm2 at 1.47 kPa (ISO 5636-3, from memory)."""


class Known(enum.StrEnum):
    """Where a property comes from."""

    SAID = "said"
    """By the paper's file."""
    ESTIMATED = "estimated"
    """From grammage and caliper."""
    ASSUMED = "assumed"
    """As is usual for card."""


@dataclass(frozen=True)
class Property:
    """One property of a paper with how well it is known."""

    value: float
    log_u: float
    """Standard uncertainty of its natural logarithm: such properties err by factors."""
    known: Known
    source: str = ""

    @property
    def u(self) -> float:
        """Standard uncertainty of the value itself."""
        return self.value * math.sqrt(math.expm1(self.log_u**2))


@dataclass(frozen=True)
class Said:
    """What a stock's file says of how its paper gives; None where it says nothing."""

    along: Property | None = None
    across: Property | None = None
    permeance: Property | None = None
    friction: Property | None = None
    crease: Property | None = None
    rest_deg: float | None = None
    rest_u_deg: float | None = None
    rest_source: str = ""


NOTHING_SAID = Said()


@dataclass(frozen=True)
class Gives:
    """How a paper gives."""

    along: Property
    """Bending stiffness of a strip cut along the grain, per width, mN m (or N mm, the same)."""
    across: Property
    permeance: Property
    """Air permeance, um/(Pa s)."""
    friction: Property
    """Of card on card, static."""
    crease: Property
    """The length l whose bending stiffness S / l is the spring of a fold per width, mm."""
    rest_deg: float
    """The angle at which a fold stands by itself: 90 upright, more turned in."""
    rest_u_deg: float
    rest_known: Known

    @property
    def guessed(self) -> tuple[str, ...]:
        """The properties that no file says, in words."""
        words = {
            "bending stiffness": self.along.known,
            "air permeance": self.permeance.known,
            "friction": self.friction.known,
            "crease length": self.crease.known,
            "crease rest": self.rest_known,
        }
        return tuple(word for word, known in words.items() if known is not Known.SAID)


def log_u_of(value: float, u: float) -> float:
    """The standard uncertainty of the logarithm of a value that is known to within u.

    >>> round(log_u_of(10.0, 1.0), 4)
    0.0998
    """
    return math.sqrt(math.log1p((u / value) ** 2))


def gurley_permeance(seconds: float) -> float:
    """Air permeance, um/(Pa s), of a paper that 100 ml of air pass in so many seconds.

    ISO 5636-5 (100 ml through 6.42 cm2 at 1.22 kPa), from memory.

    >>> round(gurley_permeance(100.0), 3)
    1.277
    """
    return GURLEY / seconds


def bendtsen_permeance(ml_min: float) -> float:
    """Air permeance, um/(Pa s), of a paper that so many ml of air pass in a minute.

    ISO 5636-3 (10 cm2 at 1.47 kPa), from memory.

    >>> round(bendtsen_permeance(100.0), 3)
    1.134
    """
    return BENDTSEN * ml_min


def stiffness(specific: float, grammage_gsm: float, caliper_mm: float) -> float:
    """Bending stiffness per width, mN m, of a sheet whose modulus over density is given, km2/s2.

    E t^3 / 12 with E / density held, so that it goes with grammage times caliper squared.

    >>> round(stiffness(6.5, 160.0, 0.18), 2)
    2.81
    """
    return specific * grammage_gsm * caliper_mm**2 / 12.0


def gives_of(said: Said, grammage_gsm: float | None, caliper_mm: float) -> Gives:
    """How a paper gives: what its file says, and for the rest what is usual."""
    mass = grammage_of(grammage_gsm, caliper_mm)
    gurley = USUAL_GURLEY_S * mass / USUAL_GRAMMAGE_GSM
    along, across = (
        Property(stiffness(own, mass, caliper_mm), STIFFNESS_LOG_U, Known.ESTIMATED)
        for own in (SPECIFIC_ALONG, SPECIFIC_ACROSS)
    )
    usual = Property(gurley_permeance(gurley), PERMEANCE_LOG_U, Known.ESTIMATED)
    rest = said.rest_deg is None
    return Gives(
        along=said.along or along,
        across=said.across or across,
        permeance=said.permeance or usual,
        friction=said.friction or Property(USUAL_FRICTION, FRICTION_LOG_U, Known.ASSUMED),
        crease=said.crease or Property(USUAL_CREASE_MM, CREASE_LOG_U, Known.ASSUMED),
        rest_deg=USUAL_REST_DEG if said.rest_deg is None else said.rest_deg,
        rest_u_deg=REST_U_DEG if said.rest_u_deg is None else said.rest_u_deg,
        rest_known=Known.ASSUMED if rest else Known.SAID,
    )


def grammage_of(grammage_gsm: float | None, caliper_mm: float) -> float:
    """Mass per area, g/m2: what a file says, or from the caliper by the usual bulk of card."""
    return caliper_mm * 1000.0 / USUAL_BULK_CM3_G if grammage_gsm is None else grammage_gsm
