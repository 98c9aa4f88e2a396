"""Flow through narrow gaps, plates and paper tests, held against what makes a lid sink and bow.

Sources: a hydraulics worked example (annular leak), Rao, Mechanical Vibrations (dashpot), a
hydraulics lexicon (eccentric annulus), lubrication theory (taper), ISO 5636 (air permeance, from
memory), Roark, Table 26 case 2a (plate with a free edge), Timoshenko (plate buckling, from memory).
"""

import math

import numpy as np
import pytest

from fitcheck.feel.bow import PLATE_SHARE, TWIST_SHARE, Sheet, buckling_n, spring
from fitcheck.feel.driving import ENTRY_HEADS
from fitcheck.feel.gap import Gap, Way
from fitcheck.stock.gives import bendtsen_permeance, gurley_permeance
from tests.air import PA, aside, let_go, plain_gap
from tests.published.rows import Row

LEAK = "a hydraulics worked example, annular leak"
RAO = "Rao, Mechanical Vibrations, damper example"
LEXICON = "a hydraulics lexicon"
LUBRICATION = "lubrication theory"
ISO_GURLEY, ISO_BENDTSEN = "ISO 5636-5 (from memory)", "ISO 5636-3 (from memory)"
SHAH = "Shah and London, plates, laminar (from memory)"
ROARK = "Roark, Table 26 case 2a, free edge, nu 0.3"
TIMOSHENKO = "Timoshenko, three edges supported (from memory)"
NU = 0.3
ROUND = 720
"""Stations on a quarter of an annulus."""


def annulus(diameter_mm: float, clearance_mm: float, length_mm: float, aside_: float = 0.0) -> Gap:
    """A ring of gap as four sides, its inner cylinder so much of the clearance to one side."""
    way = Way(0.5 * length_mm, length_mm, 4)
    angles = (np.arange(4 * ROUND) + 0.5) * 2.0 * math.pi / (4 * ROUND)
    wide = clearance_mm * (1.0 + aside_ * np.cos(angles)).reshape(4, ROUND)
    inn = np.repeat(wide[:, :, None], way.cells, axis=2)
    spacing = np.full(4, math.pi * diameter_mm / (4 * ROUND))
    return Gap(way, np.zeros_like(inn), inn, spacing, None)


def flow_mm3_s(gap: Gap, pressure_pa: float, viscosity: float) -> float:
    """What passes a gap at its full length."""
    plan = 1.0
    found = let_go(gap, np.zeros((1, 4)), pressure_pa / PA, plan, viscosity=viscosity)
    return float(found.pace_mm_s[0, -1]) * plan


def damping(diameter_m: float, clearance_m: float, length_m: float) -> float:
    """Force over speed of a piston, N s/m, of a fluid of 1 Pa s."""
    gap = annulus(1e3 * diameter_m, 1e3 * clearance_m, 1e3 * length_m)
    plan = math.pi * (1e3 * diameter_m) ** 2 / 4.0
    pace = let_go(gap, np.zeros((1, 4)), 1.0, plan, viscosity=1.0).pace_mm_s[0, -1]
    return 1.0 / (1e-3 * float(pace))


def tapered() -> float:
    """g^3 that an even gap would need, of one from 0.10 to 0.25 mm."""
    way = Way(5.0, 10.0, 2000)
    gap = plain_gap(1.0, 1.0, (0.10, 0.10), way, stations=1, taper=0.015)
    pace = let_go(gap, np.zeros((1, 4)), 1.0, 1.0).pace_mm_s[0, -1]
    even = plain_gap(1.0, 1.0, (0.10, 0.10), way, stations=1)
    return 0.001 * float(pace / let_go(even, np.zeros((1, 4)), 1.0, 1.0).pace_mm_s[0, -1])


def corner_ratio() -> float:
    """How much faster a rectangle that touches in a corner passes air."""
    halves, way = (0.15, 0.15), Way(2.0, 15.5, 28)
    gap = plain_gap(76.0, 108.0, halves, way)
    shifts = np.vstack([aside(halves, 0.0, 0.0), aside(halves, 1.0, 1.0)])
    pace = let_go(gap, shifts, 0.023, 76.0 * 108.0).pace_mm_s[:, -1]
    return float(pace[1] / pace[0])


def touching_ratio() -> float:
    ring = [flow_mm3_s(annulus(50.0, 0.2, 10.0, e), 10.0, 1e-5) for e in (0.0, 1.0)]
    return ring[1] / ring[0]


def isotropic() -> Sheet:
    """A plate of D = 1 and of nu, whose foot turns freely: papers' own ratios undone."""
    twist = (1.0 - NU) / 2.0
    along = 1.0 / PLATE_SHARE
    return Sheet(np.array(along), np.array((twist / TWIST_SHARE) ** 2 / along), np.array(1e12))


def free_edge(height_over_length: float) -> float:
    """E t^3 / (q b^4) times the deflection in the middle of the free edge, under even pressure."""
    length, height = 1.0, height_over_length
    force = length * height / math.pi
    return 12.0 * (1.0 - NU**2) * force / float(spring(isotropic(), length, height))


def buckles(length_over_height: float) -> float:
    """The factor k of k pi^2 D / h^2, the line load at which such a plate buckles."""
    return float(buckling_n(isotropic(), length_over_height, 1.0)) / math.pi**2


def thin_over_exact(clearance_over_radius: float) -> float:
    """Our thin gap against the exact flow between two cylinders, the thinner one of radius 1."""
    inner, outer = 1.0, 1.0 + clearance_over_radius
    logs = math.log(outer / inner)
    exact = math.pi / 8.0 * (outer**4 - inner**4 - (outer**2 - inner**2) ** 2 / logs)
    gap = annulus(inner + outer, clearance_over_radius, 1.0)
    return flow_mm3_s(gap, 1.0, 1.0) / exact


def land_mm() -> float:
    """The flat length that resists as a land g0 + x^2 / 2R does, g0 0.1 and R 0.5 mm."""
    narrow, radius, long = 0.1, 0.5, 4.4
    way = Way(long - 0.0002, long, 2)
    from_middle = way.base_depths_mm - 0.5 * long
    inn = np.full((4, 1, way.cells), narrow)
    out = np.broadcast_to(-(from_middle**2) / (2.0 * radius), inn.shape).copy()
    gap = Gap(way, out, inn, np.ones(4), None)
    # beyond its ends, where gaps are capped, a land resists no more
    return 4.0 * narrow**3 / (12.0 * flow_mm3_s(gap, 1.0, 1.0))


def lid_s() -> float:
    """Play 0.3 mm all round, 76 x 108 mm, 0.0230 N, from 2 to 15.5 mm, no loss and no leak."""
    gap = plain_gap(76.0, 108.0, (0.15, 0.15), Way(2.0, 15.5, 32))
    return float(let_go(gap, np.zeros((1, 4)), 0.0230, 76.0 * 108.0).seconds[0])


RAO_SHEAR = 1.0 + 2.0 * 0.001 / 0.1
"""Rao's piston drags its fluid along, which a lid's air does not notice."""

ROWS: list[Row] = [
    Row(
        LEAK,
        "c 1 mm, 10 Pa, d 10 m, mu 0.5, l 1 m, 1e-8 m3/s",
        5.23599,
        flow_mm3_s(annulus(1e4, 1.0, 1e3), 10.0, 0.5) * 1e-9 * 1e8,
        5,
    ),
    Row(
        RAO,
        "damping over mu, D 0.1, d 0.001, l 0.05 m, 1e5",
        1.201659,
        damping(0.1, 0.001, 0.05) * RAO_SHEAR * 1e-5,
        6,
    ),
    Row(LEXICON, "annulus, touching over centred", 2.5, touching_ratio(), 1),
    Row("derived, rectangle", "touching in a corner over centred", 4.0, corner_ratio(), 1),
    Row(LUBRICATION, "taper 0.10 to 0.25 mm, g^3", 0.00357143, tapered(), 8),
    Row("exact solution, annulus", "thin over exact, c/R 0.1", 0.999849, thin_over_exact(0.1), 6),
    Row("derived, rounded land", "g0 0.1, R 0.5, flat length, mm", 0.372547, land_mm(), 4),
    Row(SHAH, "heads lost, entry 0.674 and exit 1", 1.674, ENTRY_HEADS, 1),
    Row("closed form, apart from us", "lid of 2.34 g, play 0.3 mm, s", 60.6, lid_s(), 1),
    Row(ISO_GURLEY, "100 ml in 100 s, um/(Pa s)", 1.277, gurley_permeance(100.0), 3),
    Row(ISO_BENDTSEN, "100 ml/min, um/(Pa s)", 1.134, bendtsen_permeance(100.0), 3),
    Row(ROARK, "height 0.5 of the edge, E t^3 y / (q b^4)", 0.08, free_edge(0.5), 2),
    # printed as 0.465; (6 / pi^2) (1 - nu) + 1 / 25 is 0.46555, its third decimal was cut
    Row(TIMOSHENKO, "buckling factor, free edge, 5 : 1", 0.465, buckles(5.0), 2),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_the_published_value(row: Row) -> None:
    assert row.agrees, str(row)
