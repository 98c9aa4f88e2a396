"""A bend's facets, reach and volume against the round itself, point by point.

The bend is lopsided on purpose: an inside radius, angles that start anywhere, ends that run
slantwise and a pose that is turned about all three axes.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import dblquad
from scipy.spatial.transform import Rotation

from fitcheck.folding.bends import Bend
from fitcheck.folding.pieces import ConvexPiece

ALLOWED_MM = 2e-4
"""How far facets may stand outside: well below the 1e-3 mm that no answer may move by."""


def pose(turn: tuple[float, float, float], shift: tuple[float, float, float]) -> np.ndarray:
    found = np.eye(4)
    found[:3, :3] = Rotation.from_euler("xyz", turn).as_matrix()
    found[:3, 3] = shift
    return found


SLANTED = Bend(
    name="crease",
    panels=frozenset({"floor", "wall"}),
    radius_mm=0.7,
    thickness_mm=0.33,
    start_rad=0.4,
    stop_rad=1.9,
    ends_start=(-5.0, 7.0),
    ends_stop=(-4.2, 7.5),
    pose=pose((0.3, -0.5, 1.1), (3.0, -8.0, 2.0)),
)
STRAIGHT = replace(SLANTED, ends_stop=SLANTED.ends_start)
SHARP = replace(STRAIGHT, radius_mm=0.0)
UPRIGHT = replace(
    STRAIGHT, start_rad=0.0, stop_rad=0.5 * math.pi, pose=pose((0, 0, 0.5), (1, 2, 0))
)
HEM = replace(SHARP, start_rad=0.0, stop_rad=math.pi, pose=pose((0.2, 0.1, 0.0), (0, 0, 0)))
BENDS = {"slanted": SLANTED, "straight": STRAIGHT, "sharp": SHARP, "upright": UPRIGHT, "hem": HEM}


@pytest.fixture(params=sorted(BENDS))
def bend(request: pytest.FixtureRequest) -> Bend:
    return BENDS[request.param]


def true_points(bend: Bend, shares: np.ndarray, radii: np.ndarray, along: np.ndarray) -> np.ndarray:
    """Points of the round in place, (n, 3): by their share of the angle, radius and length."""
    angle = bend.start_rad + shares * (bend.stop_rad - bend.start_rad)
    low = bend.ends_start[0] + shares * (bend.ends_stop[0] - bend.ends_start[0])
    high = bend.ends_start[1] + shares * (bend.ends_stop[1] - bend.ends_start[1])
    rho = bend.radius_mm + radii * bend.thickness_mm
    y = low + along * (high - low)
    local = np.column_stack([rho * np.sin(angle), y, -rho * np.cos(angle)])
    return local @ bend.pose[:3, :3].T + bend.pose[:3, 3]


def skin(bend: Bend) -> np.ndarray:
    """A dense net over everything that can reach furthest."""
    shares, radii, along = np.meshgrid(np.linspace(0, 1, 20_001), [0.0, 1.0], [0.0, 1.0])
    return true_points(bend, shares.ravel(), radii.ravel(), along.ravel())


def outside_by(piece: ConvexPiece, points: np.ndarray) -> np.ndarray:
    """How far each point is outside a convex piece by its faces, mm; negative inside."""
    limits = (piece.vertices @ piece.normals.T).max(axis=0)
    return (points @ piece.normals.T - limits).max(axis=1)


def test_the_facets_hold_the_whole_round(bend: Bend) -> None:
    rng = np.random.default_rng(4)
    points = true_points(bend, *rng.uniform(size=(3, 3000)))
    edge = true_points(bend, *rng.integers(0, 2, size=(3, 200)).astype(float))
    points = np.vstack([points, edge])
    nearest = np.min([outside_by(piece, points) for piece in bend.pieces()], axis=0)
    assert nearest.max() <= 1e-9


def test_the_facets_stand_out_by_no_more_than_is_allowed(bend: Bend) -> None:
    """Radii of the facets' corners and of the inner chords' middles; ends where they belong."""
    for piece in bend.pieces():
        local = (piece.vertices - bend.pose[:3, 3]) @ bend.pose[:3, :3]
        radii = np.hypot(local[:, 0], local[:, 2])
        angles = np.arctan2(local[:, 0], -local[:, 2])[radii > 1e-9]
        assert radii.max() <= bend.outer_mm + ALLOWED_MM + 1e-12
        half = 0.5 * np.ptp(angles) if bend.radius_mm > 0.0 else 0.0
        assert radii.min() * math.cos(half) >= bend.radius_mm - ALLOWED_MM - 1e-12
        assert angles.min() >= bend.start_rad - 1e-9 and angles.max() <= bend.stop_rad + 1e-9
        share = np.clip((angles - bend.start_rad) / (bend.stop_rad - bend.start_rad), 0.0, 1.0)
        low, high = (
            np.interp(share, [0.0, 1.0], [bend.ends_start[k], bend.ends_stop[k]]) for k in (0, 1)
        )
        # a slice is cut square where its slanted end reaches furthest
        slant = max(abs(bend.ends_stop[k] - bend.ends_start[k]) for k in (0, 1))
        slack = slant * np.ptp(share) + 1e-9
        along = local[radii > 1e-9][:, 1]
        assert np.all(along >= low - slack) and np.all(along <= high + slack)


def test_there_are_no_more_facets_than_closeness_asks_for() -> None:
    """A facet that touches a round of radius R stands out by e where cos(step/2) = R/(R + e)."""
    step = 2.0 * math.acos(SLANTED.outer_mm / (SLANTED.outer_mm + ALLOWED_MM))
    needed = math.ceil((SLANTED.stop_rad - SLANTED.start_rad) / step)
    assert needed <= len(SLANTED.pieces()) <= needed + 6  # and one for each of x, y, z both ways
    assert len(SHARP.pieces()) == 1


def test_the_reach_along_the_axes_is_that_of_the_round(bend: Bend) -> None:
    points = skin(bend)
    vertices = np.vstack([piece.vertices for piece in bend.pieces()])
    # a slice is cut square where its slanted end reaches furthest
    step = 2.0 * math.acos(bend.outer_mm / (bend.outer_mm + ALLOWED_MM))
    slant = max(abs(bend.ends_stop[k] - bend.ends_start[k]) for k in (0, 1))
    gained = slant * step / (bend.stop_rad - bend.start_rad)
    for direction in np.vstack([np.eye(3), -np.eye(3)]):
        far = (points @ direction).max()
        assert far - 1e-6 <= (vertices @ direction).max() <= far + gained + 1e-6
        assert bend.support(direction) == pytest.approx(far, abs=1e-6)


def test_the_reach_along_any_direction_is_that_of_the_round(bend: Bend) -> None:
    points = skin(bend)
    rng = np.random.default_rng(8)
    for direction in rng.normal(size=(30, 3)):
        unit = direction / np.linalg.norm(direction)
        assert bend.support(unit) == pytest.approx((points @ unit).max(), abs=1e-6)


def test_the_volume_is_the_integral_over_the_round(bend: Bend) -> None:
    def slice_mm2(rho: float, angle: float) -> float:
        share = (angle - bend.start_rad) / (bend.stop_rad - bend.start_rad)
        low = bend.ends_start[0] + share * (bend.ends_stop[0] - bend.ends_start[0])
        high = bend.ends_start[1] + share * (bend.ends_stop[1] - bend.ends_start[1])
        return rho * (high - low)

    inner, outer = bend.radius_mm, bend.radius_mm + bend.thickness_mm
    volume, _ = dblquad(slice_mm2, bend.start_rad, bend.stop_rad, inner, outer)
    assert bend.volume_mm3 == pytest.approx(volume, rel=1e-9)
