"""Placed contents against a general collision library, at many heights of their way in.

Bodies are built anew from the placements and the items' own sizes (coal's ball, cylinder and
convex hulls), lifted out step by step and measured against the base's pieces. In their place
nothing overlaps; shifted by half the slack and a little more, something does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import coal
import numpy as np
import pytest
import shapely
import trimesh

from fitcheck import kinds
from fitcheck.design.model import Content, Item, Lay
from fitcheck.fit.assembly import make_part
from fitcheck.fit.contents import Cavity, ContentFit, ContentVerdict, cavity_of, fit_contents
from fitcheck.kinds.kind import Kind
from fitcheck.packing.placing import Placement
from fitcheck.pattern.sheet import Axis
from fitcheck.styles.walled import WalledRecipe as Recipe
from tests.boxes import paper, shadow_box, tray

OVERLAP_MM = 2e-3
BEFORE_MM = 0.02
HEIGHTS = 25


def item(kind: Kind, *size: float, radius: float = 0.0, name: str = "thing") -> Item:
    return Item(
        name=name,
        kind=kind,
        size_mm=size,
        corner_radius_mm=radius,
        mesh_path=None,
        size_u_mm=(0.0,) * len(size),
        size_range_mm=None,
        source="invented for tests",
        hazards=frozenset(),
    )


@dataclass(frozen=True)
class Case:
    name: str
    base: Recipe
    contents: tuple[Content, ...]
    lid_mm: float | None = None
    beyond_mm: float = 0.02
    """How far beyond the slack they surely meet: a sharp foot climbs a round crease slowly."""


BLOCK, ROD, BALL = kinds.BLOCK, kinds.CYLINDER, kinds.SPHERE
TIGHT = tray(80.0, 70.0, 20.0, paper(0.3, 0.18), tabs=Axis.WIDTH, setback=0.4)
ROUND = tray(71.3, 83.9, 26.0, paper(0.3, 0.5), joint=0.05, tabs=Axis.WIDTH)
CASES = [
    Case("one between tabs", TIGHT, (Content(item(BLOCK, 79.4, 40.0, 9.0), 1, Lay.FLAT),)),
    Case("two halves of it", TIGHT, (Content(item(BLOCK, 79.4, 40.0, 4.5), 2, Lay.FLAT),)),
    Case("two beside each other", TIGHT, (Content(item(BLOCK, 79.4, 22.0, 15.0), 2, Lay.FLAT),)),
    Case("a ball by the creases", ROUND, (Content(item(BALL, 70.9), 1, Lay.ANY),)),
    Case("a lying cylinder", ROUND, (Content(item(ROD, 24.0, 80.1), 1, Lay.FLAT),), 27.0, 0.4),
    Case("a coin on its rim", ROUND, (Content(item(ROD, 70.9, 11.0), 1, Lay.EDGE),), None, 0.4),
    Case(
        "turned by the tabs",
        tray(60.3, 60.3, 33.0, paper(0.5, 0.3), setback=0.6),
        (Content(item(BLOCK, 62.2, 22.0, 10.0), 1, Lay.FLAT),),
    ),
    Case(
        "a card in a frame",
        shadow_box(76.0, 98.0, 19.0, paper(0.33, 0.2), frame=9.0, setback=0.1),
        (Content(item(kinds.CARD, 56.9, 75.0, 2.0, radius=3.0), 2, Lay.FLAT),),
        17.0,
    ),
    Case(
        "balls and bars",
        ROUND,
        (
            Content(item(BALL, 21.0, name="ball"), 5, Lay.ANY),
            Content(item(BLOCK, 60.0, 12.0, 7.0, name="bar"), 2, Lay.FLAT),
            Content(item(ROD, 9.0, 40.0, name="rod"), 1, Lay.FLAT),
        ),
        25.0,
        beyond_mm=0.4,
    ),
]


def convex(points: np.ndarray) -> coal.ConvexBase:
    cloud = coal.StdVec_Vec3s()
    cloud.extend(points)
    return coal.ConvexBase.convexHull(cloud, True, "Qt")


def body_of(thing: Item, place: Placement) -> tuple[object, np.ndarray, np.ndarray]:
    """A coal shape, its turn and its middle above the corner of the clear room."""
    turn = math.radians(place.turn_deg)
    spin = np.array(
        [[math.cos(turn), -math.sin(turn), 0], [math.sin(turn), math.cos(turn), 0], [0, 0, 1.0]]
    )
    sides = np.array([place.pose.width_mm, place.pose.length_mm, place.pose.height_mm])
    middle = np.array([place.x_mm, place.y_mm, place.z_mm + 0.5 * sides[2]])
    if thing.kind is BALL:
        return coal.Sphere(0.5 * thing.size_mm[0]), spin, middle
    if thing.kind is ROD:
        across, long = thing.size_mm
        axis = int(np.argmin(np.abs(sides - long)))
        # coal's cylinder stands along z: an even exchange of axes brings it along x or y
        swap = np.roll(np.eye(3), axis + 1, axis=0) if axis < 2 else np.eye(3)
        return coal.Cylinder(0.5 * across, long), spin @ swap, middle
    radius = thing.corner_radius_mm
    plan = shapely.box(*(-0.5 * sides[:2] + radius), *(0.5 * sides[:2] - radius))
    if radius:
        plan = plan.buffer(radius, quad_segs=6)
    outline = np.array(plan.exterior.coords)[:-1]
    ends = [np.column_stack([outline, np.full(len(outline), z)]) for z in (-0.5, 0.5)]
    points = np.vstack(ends) * [1.0, 1.0, sides[2]]
    return convex(points), spin, middle


def least_gap(cavity: Cavity, found: tuple[ContentFit, ...], shift: tuple[float, float]) -> float:
    """The least distance of any body to any piece at any height of the way out; 1 where more."""
    room, base = cavity.room, cavity.base
    corner = np.array([-0.5 * room.width_mm, -0.5 * room.length_mm, base.caliper_mm])
    pieces = [(convex(piece.vertices), piece) for piece in base.pieces]
    request, least = coal.DistanceRequest(), 1.0
    for fit in found:
        for place in fit.placements:
            shape, turn, middle = body_of(fit.content.item, place)
            reach = 0.5 * math.dist((0.0, 0.0, 0.0), (
                place.pose.width_mm, place.pose.length_mm, place.pose.height_mm
            ))  # fmt: skip
            for lift in np.linspace(1e-4, base.height_mm + 1.0, HEIGHTS):
                at = corner + middle + [*shift, lift]
                for solid, piece in pieces:
                    beyond = np.maximum(piece.low - at, at - piece.high)
                    if beyond.max() > reach + 1.0:
                        continue
                    pose = coal.Transform3s(turn, at)
                    here = coal.Transform3s()
                    gap = coal.distance(solid, here, shape, pose, request, coal.DistanceResult())
                    least = min(least, gap)
    return least


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_placed_contents_go_in_and_leave_what_is_said(case: Case) -> None:
    part = make_part(case.base)
    cavity = cavity_of(part.folded, part.sizes.inside_mm, part.sizes.depth_mm, case.lid_mm)
    found = fit_contents(cavity, case.contents)
    assert [fit.verdict for fit in found] == [ContentVerdict.FITS] * len(found), found[0].reason
    assert sum(len(fit.placements) for fit in found) == sum(c.count for c in case.contents)
    assert least_gap(cavity, found, (0.0, 0.0)) > -OVERLAP_MM
    slack = found[0].slack
    assert slack is not None
    for free, along in ((slack.width_mm, (1.0, 0.0)), (slack.length_mm, (0.0, 1.0))):
        for sign in (-1.0, 1.0):
            for by, meets in ((0.5 * free - BEFORE_MM, False), (0.5 * free + case.beyond_mm, True)):
                gap = least_gap(cavity, found, (sign * by * along[0], sign * by * along[1]))
                assert (gap < -OVERLAP_MM) is meets, (along, sign, by, gap)


def test_a_turned_mesh_lies_between_the_walls(tmp_path: Path) -> None:
    """A long scalene triangle goes in slantwise only, and its middle is not that of its box."""
    corners = np.array([[0.0, 0.0], [103.0, 2.0], [31.0, 24.0]])
    trimesh.creation.extrude_polygon(shapely.Polygon(corners), 6.0).export(tmp_path / "w.stl")
    size = (*np.ptp(corners, axis=0), 6.0)
    wedge = Item(
        "wedge", kinds.MESH, tuple(map(float, size)), 0.0, tmp_path / "w.stl", (0.0,) * 3,
        None, "invented for tests", frozenset(),
    )  # fmt: skip
    part = make_part(tray(92.0, 61.0, 15.0, paper(0.33, 0.2)))
    cavity = cavity_of(part.folded, part.sizes.inside_mm, part.sizes.depth_mm, None)
    (found,) = fit_contents(cavity, [Content(wedge, 1, Lay.FLAT)])
    assert found.verdict is ContentVerdict.FITS and found.turn_deg % 90.0 != 0.0
    (place,) = found.placements
    # the mesh about the middle of its own extents, turned and put where it was placed
    mesh = trimesh.load_mesh(tmp_path / "w.stl")
    flat = np.asarray(mesh.vertices)[:, :2]
    flat = flat - 0.5 * (flat.min(axis=0) + flat.max(axis=0))
    if place.pose.name.endswith("turned 90"):
        flat = np.column_stack([-flat[:, 1], flat[:, 0]])
    turn = math.radians(place.turn_deg)
    spin = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    stands = flat @ spin + [place.x_mm, place.y_mm]
    inside = 92.0 - 2 * 0.13, 61.0 - 2 * 0.13  # W - 2 (t - a)
    middle = 0.5 * np.array([cavity.room.width_mm, cavity.room.length_mm])
    for axis in range(2):
        assert np.abs(stands[:, axis] - middle[axis]).max() <= 0.5 * inside[axis]
    assert found.slack is not None
    assert found.slack.width_mm <= inside[0] - np.ptp(stands[:, 0]) + 1e-6
    assert found.slack.length_mm <= inside[1] - np.ptp(stands[:, 1]) + 1e-6
